/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-geometry.h"
#include "shim-luma.h"

G_BEGIN_DECLS

/* How far to look round a piece of the marked frame for where it lies in another one, pixels. */
#define SHIM_FRAME_SHIFT_REACH_PX 192

/**
 * ShimFrameShift:
 * @middle_px: middle of the piece that was compared, in the marked frame
 * @dx_px: what lay there lies so much further right in the other frame …
 * @dy_px: … and so much further down
 * @turn_rad: and all of it turned by this, clockwise, about that middle …
 * @growth: … and grew by this share
 * @se_px: standard error of @dx_px and of @dy_px
 * @n_patches: how many patches had something to go by
 * @n_agreeing: and how many of them tell the same shift
 *
 * Where the marks of one frame lie in another one.
 */
typedef struct
{
  ShimPoint middle_px;
  double dx_px;
  double dy_px;
  double turn_rad;
  double growth;
  double se_px;
  guint n_patches;
  guint n_agreeing;
} ShimFrameShift;

gboolean  shim_frame_shift_find        (const ShimLuma *before, const ShimLuma *after, ShimFrameShift *shift);
ShimPoint shim_frame_shift_apply       (const ShimFrameShift *self, ShimPoint px);
double    shim_frame_shift_movement_px (const ShimFrameShift *self, int picture_width, int picture_height,
                                        double half_length_px);

G_END_DECLS
