/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_SLOT_ENTRY (shim_slot_entry_get_type ())
G_DECLARE_FINAL_TYPE (ShimSlotEntry, shim_slot_entry, SHIM, SLOT_ENTRY, ShimRecord)

/**
 * ShimSlotEntry:
 * @body: id
 * @number: 1 … slot count; 0 = inside the lens (own table)
 * @pair: (nullable): id; unknown when cleared
 * @decision: (nullable): id
 * @value: keyed in (wide end for two values)
 * @value_long: keyed in
 * @action: what was done; one of "keyed", "cleared", "lost", "overwritten"
 * @done_at: when
 * @note: (nullable): anything else
 *
 * What was done to one slot of a body. The newest for body and number counts.
 */
struct _ShimSlotEntry
{
  ShimRecord parent_instance;

  char *body;
  gint64 number;
  char *pair;
  char *decision;
  gint64 value;
  gint64 value_long;
  char *action;
  char *done_at;
  char *note;
};

ShimSlotEntry *shim_slot_entry_new (void);

G_END_DECLS
