/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>
#include <string.h>

G_BEGIN_DECLS

/* Adds a row of 8-bit luma to sums of its columns, eight at a time; up to 257 rows fit into 16 bits. */
static inline void
shim_row_sums_add (guint16 *sums, const guint8 *px, int width)
{
  typedef guint8 Pixels __attribute__ ((vector_size (8)));
  typedef guint16 Sums __attribute__ ((vector_size (16)));
  int x = 0;

  for (; x + 8 <= width; x += 8)
    {
      Pixels pixels;
      Sums eight;

      memcpy (&pixels, px + x, sizeof pixels);
      memcpy (&eight, sums + x, sizeof eight);
      eight += __builtin_convertvector (pixels, Sums);
      memcpy (sums + x, &eight, sizeof eight);
    }
  for (; x < width; x++)
    sums[x] = (guint16) (sums[x] + px[x]);
}

G_END_DECLS
