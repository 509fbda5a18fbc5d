/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-luma.h"

G_BEGIN_DECLS

/**
 * ShimReducedLuma:
 * @factor: pixels of the picture, each way, that make one here
 * @width: columns here
 * @height: rows here
 * @px: (array): @width × @height means of 8-bit luma
 * @sums: of the row being gathered, of each column of the picture
 * @next_y: row of the picture that is expected next
 *
 * A whole picture made smaller, to a size in which things of a set-up are as many pixels large whatever the camera's pixels:
 * 2600 to 5200 along its longer side, smaller pictures as they are.
 */
typedef struct
{
  int factor;
  int width;
  int height;
  guint8 *px;
  guint16 *sums;
  int next_y;
} ShimReducedLuma;

ShimReducedLuma *shim_reduced_luma_new      (int width, int height);
ShimReducedLuma *shim_reduced_luma_of       (const ShimLuma *luma);
void             shim_reduced_luma_add_rows (ShimReducedLuma *self, int n_rows, const guint8 *luma, gsize stride);
void             shim_reduced_luma_free     (ShimReducedLuma *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimReducedLuma, shim_reduced_luma_free)

G_END_DECLS
