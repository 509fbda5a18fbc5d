/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define SHIM_JPEG_SIDE 8
#define SHIM_JPEG_COEFFICIENTS (SHIM_JPEG_SIDE * SHIM_JPEG_SIDE)

/**
 * ShimJpegLoss:
 *
 * What compression takes from ticks. It cuts the picture into 8 × 8 blocks and rounds the cosine coefficients of each to
 * whole steps; weak ticks vanish in the rounding, and half-weak ones lose more than their share.
 */
typedef struct _ShimJpegLoss ShimJpegLoss;

/**
 * ShimJpegTicks:
 *
 * A lane of ticks in a JPEG picture.
 * @cycles_per_px: frequency of the ticks along the ruler
 * @from_px: one side of the lane, pixels across from the left side of a block
 * @to_px: the other side
 * @amplitude: of the ticks, codes (0..255) of the file
 */
typedef struct
{
  double cycles_per_px;
  double from_px;
  double to_px;
  double amplitude;
} ShimJpegTicks;

ShimJpegLoss *shim_jpeg_loss_new  (const guint16 *steps, double noise);
void          shim_jpeg_loss_free (ShimJpegLoss *self);
double        shim_jpeg_loss_keep (const ShimJpegLoss *self, const ShimJpegTicks *ticks);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimJpegLoss, shim_jpeg_loss_free)

G_END_DECLS
