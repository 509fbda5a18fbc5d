/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lattice.h"
#include "shim-own-target.h"

G_BEGIN_DECLS

/**
 * ShimOwnLane:
 * @tick_mm: distance of its ticks
 * @from_mm: across the strip, its ticks reach from here …
 * @to_mm: … to here
 * @long_every: every how many ticks a longer one stands; 0 = none
 *
 * A lane of fine ticks on the strip of the printed target.
 */
typedef struct
{
  double tick_mm;
  double from_mm;
  double to_mm;
  int long_every;
} ShimOwnLane;

gboolean shim_own_lattice_find (const ShimLuma *luma, const ShimOwnTarget *target, const ShimOwnLane *lane, ShimLattice *lattice);

G_END_DECLS
