/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define SHIM_JPEG_SIDE 8
#define SHIM_JPEG_COEFFICIENTS (SHIM_JPEG_SIDE * SHIM_JPEG_SIDE)

/**
 * ShimJpegTicks:
 *
 * A lane of ticks in a JPEG picture. Compression cuts it into 8 × 8 blocks and rounds the cosine coefficients of each to
 * whole steps; weak ticks vanish in the rounding, and half-weak ones lose more than their share.
 * @steps: step of each coefficient, codes (0..255) of the file, [frequency along the ruler × 8 + frequency across]; 0 = unknown
 * @cycles_per_px: frequency of the ticks along the ruler
 * @from_px: one side of the lane, pixels across from the left side of a block
 * @to_px: the other side
 * @amplitude: of the ticks, codes
 * @noise: standard deviation of a pixel before compression, codes
 */
typedef struct
{
  const guint16 *steps;
  double cycles_per_px;
  double from_px;
  double to_px;
  double amplitude;
  double noise;
} ShimJpegTicks;

double shim_jpeg_loss_keep (const ShimJpegTicks *ticks);

G_END_DECLS
