/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "shim-reduced-luma.h"

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
  self->sums = g_new0 (guint32, self->width);
  return self;
}

/* Inlined with a factor that is known, the compiler makes much of it. */
static inline void
add_row_by (ShimReducedLuma *self, const guint8 *luma, const int factor)
{
  for (int x = 0; x < self->width; x++)
    {
      const guint8 *px = luma + (gsize) x * factor;
      guint32 sum = 0;

      for (int i = 0; i < factor; i++)
        sum += px[i];
      self->sums[x] += sum;
    }
}

static void
add_row (ShimReducedLuma *self, const guint8 *luma)
{
  switch (self->factor)
    {
    case 2:
      add_row_by (self, luma, 2);
      break;
    case 3:
      add_row_by (self, luma, 3);
      break;
    case 4:
      add_row_by (self, luma, 4);
      break;
    default:
      add_row_by (self, luma, self->factor);
    }
}

static void
end_row (ShimReducedLuma *self, int y)
{
  const guint32 area = (guint32) self->factor * (guint32) self->factor;
  guint8 *px = self->px + (gsize) y * self->width;

  for (int x = 0; x < self->width; x++)
    px[x] = (guint8) ((self->sums[x] + area / 2) / area);
  memset (self->sums, 0, sizeof *self->sums * (gsize) self->width);
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
      add_row (self, luma + (gsize) i * stride);
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
