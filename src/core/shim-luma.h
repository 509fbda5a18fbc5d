/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * ShimRect:
 * @x: first column
 * @y: first row
 * @width: columns
 * @height: rows
 *
 * A piece of a picture, whole pixels.
 */
typedef struct
{
  int x;
  int y;
  int width;
  int height;
} ShimRect;

/**
 * ShimLuma:
 * @rect: which piece of the picture this is
 * @picture_width: columns of the whole picture
 * @picture_height: rows of the whole picture
 * @stride: bytes from one row to the next
 * @px: (array): 8-bit luma as it stands in the file (sRGB curve not yet undone), row by row
 * @steps: steps of the luma coefficients of the JPEG the picture comes from, [vertical frequency × 8 + horizontal frequency];
 *   all 0 = not known, or no such picture
 *
 * Borrowed pixels of one piece of a picture. Everything in core counts in the pixel frame of the picture it is handed,
 * whatever that is; whoever decoded the file turns results upright.
 */
typedef struct
{
  ShimRect rect;
  int picture_width;
  int picture_height;
  gsize stride;
  const guint8 *px;
  guint16 steps[64];
} ShimLuma;

G_END_DECLS
