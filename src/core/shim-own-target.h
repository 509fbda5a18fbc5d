/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-luma.h"
#include "shim-geometry.h"
#include "shim-reduced-luma.h"

G_BEGIN_DECLS

/**
 * ShimOwnTarget:
 *
 * The printed target, recognised in a picture by its solid marks.
 * @n_bars: bars of the strip's track that were seen
 * @residual_mm: rms distance of their middles from @strip
 * @strip: the strip's plane: x = (strip[0] + strip[1] r + strip[2] x') / (1 + strip[6] r), y likewise with strip[3] to
 *   strip[5]; r and x' as in the target's measures, mm
 * @has_discs: whether both discs of the card were seen
 * @disc: the right one and the left one
 * @px_per_mm: scale at the card's face, by the discs
 * @rect: the piece of the picture that a measurement needs
 *
 * All in pixels of the whole picture. NAN where there is no such number.
 */
typedef struct
{
  guint n_bars;
  double residual_mm;
  double strip[7];
  gboolean has_discs;
  ShimPoint disc[2];
  double px_per_mm;
  ShimRect rect;
} ShimOwnTarget;

gboolean  shim_own_target_find  (const ShimReducedLuma *luma, int picture_width, int picture_height, ShimOwnTarget *target);
gboolean  shim_own_target_refine (const ShimLuma *luma, ShimOwnTarget *target);
ShimPoint shim_own_target_point (const ShimOwnTarget *self, double r_mm, double x_mm);
double    shim_own_target_aside_mm (const ShimOwnTarget *self);

G_END_DECLS
