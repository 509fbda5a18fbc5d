/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-frame-shift.h"
#include "shim-level.h"

G_BEGIN_DECLS

/**
 * ShimShiftPatch:
 * @at_px: its middle, in the marked frame
 * @has_texture: whether there is anything in it to go by
 * @likeness: correlation of the two frames there, −1 to 1, at the shift last tried
 * @normal: normal equations of what is left of its own shift, xx, xy, yy …
 * @side: … and their right-hand side
 */
typedef struct
{
  ShimPoint at_px;
  gboolean has_texture;
  double likeness;
  double normal[3];
  double side[2];
} ShimShiftPatch;

GArray *shim_shift_patches_new     (const ShimRect *rect);
void    shim_shift_patches_compare (GArray *patches, const ShimLevel *before, const ShimLevel *after,
                                    const ShimFrameShift *shift);

G_END_DECLS
