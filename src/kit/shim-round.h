/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_ROUND (shim_round_get_type ())
G_DECLARE_FINAL_TYPE (ShimRound, shim_round, SHIM, ROUND, ShimRecord)

/**
 * ShimRound:
 * @test: id
 * @started_at: when
 * @kind: what it shows; one of "setting", "reference"
 * @setting: keyed in while it was taken; not known for a reference round
 * @note: (nullable): anything else
 *
 * The frames taken at one setting without moving anything.
 */
struct _ShimRound
{
  ShimRecord parent_instance;

  char *test;
  char *started_at;
  char *kind;
  gint64 setting;
  char *note;
};

ShimRound *shim_round_new (void);

G_END_DECLS
