/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kinds.h"
#include "shim-ops-slots.h"
#include "shim-register.h"

G_BEGIN_DECLS

/**
 * ShimAccept:
 * @pair: (nullable): id; %NULL with a @test = that of the test
 * @test: (nullable): id of the test it rests on; %NULL for a value that was predicted or copied
 * @value: the whole number
 * @end: (nullable): "all", "wide", "long" or "table"; %NULL = "all"
 * @table_focal_mm: cell of the own table, for "table"
 * @table_distance_m: cell of the own table, for "table"; INFINITY is kept as "not known"
 * @origin: (nullable): "measured", "predicted" or "copied"; %NULL = "measured"
 * @slot: the number it is keyed into, %SHIM_SLOT_IN_LENS, %SHIM_SLOT_NEXT or %SHIM_SLOT_NONE
 * @overwrite: whether the slot may hold another pair, which then loses it
 * @note: (nullable): anything else
 *
 * A setting that is accepted. Start from shim_accept_init().
 */
typedef struct
{
  const char *pair;
  const char *test;
  gint64 value;
  const char *end;
  double table_focal_mm;
  double table_distance_m;
  const char *origin;
  gint64 slot;
  gboolean overwrite;
  const char *note;
} ShimAccept;

void          shim_accept_init        (ShimAccept *request);
ShimDecision *shim_ops_accept         (ShimRegister *reg, const ShimAccept *request, ShimSlotEntry **entry, GError **error);
gboolean      shim_ops_accept_withdraw (ShimRegister *reg, const char *pair, const char *end, const char *note, GError **error);

G_END_DECLS
