/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lane.h"
#include "shim-lattice.h"

G_BEGIN_DECLS

/**
 * ShimLaneSignal:
 *
 * The ticks' signal along a lane: for each row the lane's mean of (light / local mean − 1), the slant undone by
 * turning the phase of each pixel (so its value is complex, and holds for frequencies near the ticks' own).
 * @v_first: row of the first value
 * @n: number of rows
 * @re: (array length=n): real part
 * @im: (array length=n): imaginary part
 * @mean: (array length=n): local mean of the light; 0 where there is none
 * @noise: (array length=n): standard deviation of @re by chance, from the difference of the lane's halves
 */
typedef struct
{
  int v_first;
  int n;
  double *re;
  double *im;
  double *mean;
  double *noise;
} ShimLaneSignal;

ShimLaneSignal *shim_lane_signal_new  (const ShimStrip *strip, const ShimLane *lane, const ShimLattice *lattice);
void            shim_lane_signal_free (ShimLaneSignal *self);
gboolean        shim_lane_signal_lock (const ShimLaneSignal *self, const ShimLattice *lattice, double v,
                                       double half_ticks, double *re, double *im, double *se);
gboolean        shim_lattice_fit      (const ShimLaneSignal *signal, double v_lo, double v_hi, gboolean fresh,
                                       ShimLattice *lattice);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimLaneSignal, shim_lane_signal_free)

G_END_DECLS
