/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "shim-reduced-luma.h"
#include "shim-row-sums.h"

/* The longer side is not made smaller than this. */
#define LONG_SIDE 2600

/**
 * shim_reduced_luma_new:
 * @width: columns of the picture
 * @height: its rows
 *
 * Returns: (transfer full): an empty reduced picture
 */
ShimReducedLuma *
shim_reduced_luma_new (int width, int height)
{
  ShimReducedLuma *self = g_new0 (ShimReducedLuma, 1);

  g_return_val_if_fail (width > 0 && height > 0, self);

  self->factor = MAX (MAX (width, height) / LONG_SIDE, 1);
  self->width = width / self->factor;
  self->height = height / self->factor;
  self->px = g_malloc0 ((gsize) self->width * self->height);
  self->sums = g_new0 (guint16, width);
  return self;
}

/* Inlined with a factor that is known, the compiler makes much of it. */
static inline void
end_row_by (ShimReducedLuma *self, guint8 *px, const guint32 factor)
{
  const guint32 area = factor * factor;

  for (int x = 0; x < self->width; x++)
    {
      const guint16 *sums = self->sums + (gsize) x * factor;
      guint32 sum = area / 2;

      for (guint32 i = 0; i < factor; i++)
        sum += sums[i];
      px[x] = (guint8) (sum / area);
    }
  memset (self->sums, 0, sizeof *self->sums * (gsize) self->width * factor);
}

static void
end_row (ShimReducedLuma *self, int y)
{
  guint8 *px = self->px + (gsize) y * self->width;

  switch (self->factor)
    {
    case 2:
      end_row_by (self, px, 2);
      break;
    case 3:
      end_row_by (self, px, 3);
      break;
    case 4:
      end_row_by (self, px, 4);
      break;
    default:
      end_row_by (self, px, (guint32) self->factor);
    }
}

/**
 * shim_reduced_luma_add_rows:
 * @self: a reduced picture
 * @n_rows: rows handed over: those that follow the ones before
 * @luma: their luma, of the picture's whole width
 * @stride: bytes from one row to the next
 */
void
shim_reduced_luma_add_rows (ShimReducedLuma *self, int n_rows, const guint8 *luma, gsize stride)
{
  g_return_if_fail (self != NULL && luma != NULL);

  for (int i = 0; i < n_rows; i++)
    {
      const int y = self->next_y++ / self->factor;

      if (y >= self->height)
        return;
      if (self->factor == 1)
        {
          memcpy (self->px + (gsize) y * self->width, luma + (gsize) i * stride, (gsize) self->width);
          continue;
        }
      shim_row_sums_add (self->sums, luma + (gsize) i * stride, self->width * self->factor);
      if (self->next_y % self->factor == 0)
        end_row (self, y);
    }
}

/**
 * shim_reduced_luma_of:
 * @luma: a whole picture
 *
 * Returns: (transfer full): the same, reduced
 */
ShimReducedLuma *
shim_reduced_luma_of (const ShimLuma *luma)
{
  ShimReducedLuma *self = shim_reduced_luma_new (luma->rect.width, luma->rect.height);

  shim_reduced_luma_add_rows (self, luma->rect.height, luma->px, luma->stride);
  return self;
}

/**
 * shim_reduced_luma_free:
 * @self: (nullable): a reduced picture
 */
void
shim_reduced_luma_free (ShimReducedLuma *self)
{
  if (self == NULL)
    return;
  g_free (self->px);
  g_free (self->sums);
  g_free (self);
}
