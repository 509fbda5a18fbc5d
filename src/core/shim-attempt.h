/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lattice.h"
#include "shim-measurement.h"
#include "shim-tick-ranks.h"

G_BEGIN_DECLS

/**
 * ShimAttempt:
 *
 * One attempt at measuring a frame: on one tick lattice.
 * @luma: pixels
 * @request: what is known
 * @result: (nullable) (owned): what came of it
 * @lattice: the lattice
 * @geometry: where the ruler stands, by that lattice
 * @v_target: where the target line meets the lane; NAN = not given
 */
typedef struct
{
  const ShimLuma *luma;
  const ShimMeasureRequest *request;
  ShimMeasurement *result;
  ShimLattice lattice;
  ShimRulerGeometry geometry;
  double v_target;
} ShimAttempt;

void   shim_attempt_init            (ShimAttempt *self, const ShimLuma *luma, const ShimMeasureRequest *request);
void   shim_attempt_on_lattice      (ShimAttempt *self, ShimTickFamily family);
double shim_attempt_distance_misses (const ShimAttempt *self);

G_END_DECLS
