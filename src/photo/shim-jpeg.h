/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-jpeg-source.h"

G_BEGIN_DECLS

/* Private to the photo layer: one pass over one JPEG picture. */

/**
 * ShimJpegLimits:
 * @max_pixels: largest picture, columns × rows
 * @max_memory: most memory the decoder may take, bytes; only progressive files need much (all coefficients at once)
 * @max_scans: most passes over a progressive picture; ordinary files have about ten
 *
 * What a file may ask for before it is taken for a hostile one.
 */
typedef struct
{
  guint64 max_pixels;
  gsize max_memory;
  int max_scans;
} ShimJpegLimits;

/**
 * ShimJpegColors:
 * @SHIM_JPEG_LUMA: one byte a pixel
 * @SHIM_JPEG_RGB: red, green, blue
 * @SHIM_JPEG_BGRA: blue, green, red, 255
 */
typedef enum
{
  SHIM_JPEG_LUMA,
  SHIM_JPEG_RGB,
  SHIM_JPEG_BGRA,
} ShimJpegColors;

typedef struct _ShimJpeg ShimJpeg;

extern const ShimJpegLimits shim_jpeg_default_limits;

ShimJpeg *shim_jpeg_open           (const ShimJpegSource *source, const ShimJpegLimits *limits,
                                    GCancellable *cancellable, GError **error);
void      shim_jpeg_free           (ShimJpeg *self);
int       shim_jpeg_get_width      (const ShimJpeg *self);
int       shim_jpeg_get_height     (const ShimJpeg *self);
gboolean  shim_jpeg_is_progressive (const ShimJpeg *self);
void      shim_jpeg_get_luma_steps (const ShimJpeg *self, guint16 steps[64]);
guint     shim_jpeg_get_n_damaged  (const ShimJpeg *self);
char     *shim_jpeg_get_comment    (const ShimJpeg *self);
gboolean  shim_jpeg_start          (ShimJpeg *self, ShimJpegColors colors, int shrink, GError **error);
gboolean  shim_jpeg_crop           (ShimJpeg *self, int *x, int *width, GError **error);
int       shim_jpeg_get_out_width  (const ShimJpeg *self);
int       shim_jpeg_get_out_height (const ShimJpeg *self);
gboolean  shim_jpeg_skip_rows      (ShimJpeg *self, int n_rows, GError **error);
gboolean  shim_jpeg_read_rows      (ShimJpeg *self, guint8 *rows, gsize stride, int n_rows, GError **error);
gboolean  shim_jpeg_check_complete (ShimJpeg *self, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimJpeg, shim_jpeg_free)

G_END_DECLS
