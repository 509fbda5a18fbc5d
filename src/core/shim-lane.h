/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-strip-geometry.h"
#include "shim-survey.h"

G_BEGIN_DECLS

/**
 * ShimLane:
 *
 * The lane that holds all the finest ticks, before their lattice is known. u, v as in #ShimStrip.
 * @u0: centre at @v_ref …
 * @u1: … and slope
 * @v_ref: where @u0 counts from
 * @half_px: half of its width, edges left out
 * @slant: dv/du along a tick
 * @v_best: where the ticks are strongest
 * @cycles_per_px: their frequency there …
 * @cycles_slope: … and its change per pixel
 * @edge_side: −1 or +1: side of the strip's long edge from which the ticks start, 0 = none found
 * @edge_px: distance of that edge from the centre
 */
typedef struct
{
  double u0;
  double u1;
  double v_ref;
  double half_px;
  double slant;
  double v_best;
  double cycles_per_px;
  double cycles_slope;
  int edge_side;
  double edge_px;
} ShimLane;

gboolean shim_lane_find (const ShimLuma *luma, const ShimStripGuess *guess, double v_ref, ShimLane *lane);
void     shim_lane_snap_to_edge (const ShimLuma *luma, gboolean transposed, double v_lo, double v_hi, ShimLane *lane);
void     shim_lane_find_edges (const ShimLuma *luma, gboolean transposed, double v_lo, double v_hi, double reach_px,
                               const ShimLane *lane, double distance_px[2]);

G_END_DECLS
