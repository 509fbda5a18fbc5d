/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lattice.h"

G_BEGIN_DECLS

/**
 * ShimTickFamily:
 * @SHIM_TICK_FAMILY_UNKNOWN: no longer ticks could be read
 * @SHIM_TICK_FAMILY_FIVES: every 5th tick is longer: millimetres, tenths of an inch
 * @SHIM_TICK_FAMILY_HALVES: every 2nd is longer, and every 10th again: half millimetres
 * @SHIM_TICK_FAMILY_BINARY: every 2nd, 4th, 8th is longer: parts of an inch
 * @SHIM_TICK_FAMILY_TWOS: every 2nd is longer, more is not known
 */
typedef enum
{
  SHIM_TICK_FAMILY_UNKNOWN,
  SHIM_TICK_FAMILY_FIVES,
  SHIM_TICK_FAMILY_HALVES,
  SHIM_TICK_FAMILY_BINARY,
  SHIM_TICK_FAMILY_TWOS,
} ShimTickFamily;

ShimTickFamily shim_tick_ranks_read (const ShimLuma *luma, ShimLattice *lattice);

G_END_DECLS
