/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-luma.h"

G_BEGIN_DECLS

/**
 * ShimLevel:
 * @step_px: pixels of the picture from one sample to the next, the same both ways
 * @left_px: where the first sample stands in the picture
 * @top_px: likewise
 * @width: columns
 * @height: rows
 * @value: (array): the samples, row by row
 *
 * A piece of a picture, smoothed and perhaps thinned out, for comparing two frames.
 */
typedef struct
{
  double step_px;
  double left_px;
  double top_px;
  int width;
  int height;
  float *value;
} ShimLevel;

ShimLevel *shim_level_new    (const ShimLuma *luma);
ShimLevel *shim_level_halve  (const ShimLevel *self);
gboolean   shim_level_sample (const ShimLevel *self, double x_px, double y_px, float *value);
void       shim_level_free   (ShimLevel *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimLevel, shim_level_free)

G_END_DECLS
