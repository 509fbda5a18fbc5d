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
 * @own_target: whether the lattice is beyond doubt that of the printed target
 * @result: (nullable) (owned): what came of it
 * @lattice: the lattice
 * @geometry: where the ruler stands, by that lattice
 * @v_target: where the target line meets the lane; NAN = not given
 */
typedef struct
{
  const ShimLuma *luma;
  const ShimMeasureRequest *request;
  gboolean own_target;
  ShimMeasurement *result;
  ShimLattice lattice;
  ShimRulerGeometry geometry;
  double v_target;
} ShimAttempt;

void   shim_attempt_init            (ShimAttempt *self, const ShimLuma *luma, const ShimMeasureRequest *request);
void   shim_attempt_on_lattice      (ShimAttempt *self, ShimTickFamily family);
void   shim_attempt_with_tick       (ShimAttempt *self, double tick_mm);
double shim_attempt_distance_misses (const ShimAttempt *self);

G_END_DECLS
