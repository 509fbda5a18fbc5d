/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-level.h"

static ShimLevel *
level_allocate (int width, int height)
{
  ShimLevel *self = g_new0 (ShimLevel, 1);

  self->width = width;
  self->height = height;
  self->value = g_new (float, (gsize) width * height);
  return self;
}

/**
 * shim_level_free:
 * @self: (transfer full) (nullable): a level
 */
void
shim_level_free (ShimLevel *self)
{
  if (self == NULL)
    return;
  g_free (self->value);
  g_free (self);
}

/* Five binomial weights: sigma 1 sample, nothing left at the highest frequency. */
static inline float
binomial (float a, float b, float c, float d, float e)
{
  return (a + e + 4.0f * (b + d) + 6.0f * c) * 0.0625f;
}

/* One row smoothed along, every @keep-th sample of it. The rim repeats. */
static void
smooth_along (const float *row, int n, int keep, float *out)
{
  for (int x = 0; x < n; x += keep)
    {
      const float *at = row + x;

      if (x >= 2 && x + 2 < n)
        out[x / keep] = binomial (at[-2], at[-1], at[0], at[1], at[2]);
      else
        out[x / keep] = binomial (row[MAX (x - 2, 0)], row[MAX (x - 1, 0)], *at, row[MIN (x + 1, n - 1)],
                                  row[MIN (x + 2, n - 1)]);
    }
}

/* Every @keep-th sample of the smoothed level. */
static ShimLevel *
smooth (const ShimLevel *self, int keep)
{
  ShimLevel *result = level_allocate ((self->width + keep - 1) / keep, (self->height + keep - 1) / keep);
  const int width = result->width, last = self->height - 1;
  g_autofree float *across = g_new (float, (gsize) width * self->height);

  for (int y = 0; y < self->height; y++)
    smooth_along (self->value + (gsize) y * self->width, self->width, keep, across + (gsize) y * width);
  for (int i = 0; i < result->height; i++)
    {
      const int y = i * keep;
      const float *a = across + (gsize) MAX (y - 2, 0) * width, *b = across + (gsize) MAX (y - 1, 0) * width;
      const float *c = across + (gsize) y * width;
      const float *d = across + (gsize) MIN (y + 1, last) * width, *e = across + (gsize) MIN (y + 2, last) * width;
      float *out = result->value + (gsize) i * width;

      for (int x = 0; x < width; x++)
        out[x] = binomial (a[x], b[x], c[x], d[x], e[x]);
    }
  result->step_px = self->step_px * keep;
  result->left_px = self->left_px;
  result->top_px = self->top_px;
  return result;
}

/**
 * shim_level_new:
 * @luma: a piece of a picture
 *
 * Smooths it by a sigma of 1.4 pixels. That takes the finest ticks away, which repeat too often to be told apart and
 * are what changes most with focus; edges, numerals and long ticks stay.
 *
 * Returns: (transfer full): the level, with all pixels
 */
ShimLevel *
shim_level_new (const ShimLuma *luma)
{
  g_autoptr (ShimLevel) raw = NULL;
  g_autoptr (ShimLevel) once = NULL;

  g_return_val_if_fail (luma != NULL && luma->px != NULL, NULL);

  raw = level_allocate (luma->rect.width, luma->rect.height);
  raw->step_px = 1.0;
  raw->left_px = luma->rect.x + 0.5;
  raw->top_px = luma->rect.y + 0.5;
  for (int y = 0; y < raw->height; y++)
    for (int x = 0; x < raw->width; x++)
      raw->value[(gsize) y * raw->width + x] = luma->px[(gsize) y * luma->stride + x];
  once = smooth (raw, 1);
  return smooth (once, 1);
}

/**
 * shim_level_halve:
 * @self: a level
 *
 * Returns: (transfer full): every other sample of it, smoothed before
 */
ShimLevel *
shim_level_halve (const ShimLevel *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return smooth (self, 2);
}

/* Weights of four samples for a place between the middle two: the cubic through the middle two with the slopes of
 * their neighbours (Catmull and Rom 1974). */
static void
cubic_weights (float t, float w[4])
{
  w[0] = t * (-0.5f + t * (1.0f - 0.5f * t));
  w[1] = 1.0f + t * t * (-2.5f + 1.5f * t);
  w[2] = t * (0.5f + t * (2.0f - 1.5f * t));
  w[3] = t * t * (-0.5f + 0.5f * t);
}

/**
 * shim_level_sample:
 * @self: a level
 * @x_px: a place in the picture
 * @y_px: likewise
 * @value: (out): what stands there
 *
 * Returns: whether the place lies inside
 */
gboolean
shim_level_sample (const ShimLevel *self, double x_px, double y_px, float *value)
{
  const double x = (x_px - self->left_px) / self->step_px, y = (y_px - self->top_px) / self->step_px;
  const int ix = (int) floor (x), iy = (int) floor (y);
  float wx[4], wy[4], sum = 0.0f;

  if (ix < 1 || iy < 1 || ix + 2 >= self->width || iy + 2 >= self->height)
    return FALSE;
  cubic_weights ((float) (x - ix), wx);
  cubic_weights ((float) (y - iy), wy);
  for (int k = 0; k < 4; k++)
    {
      const float *row = self->value + (gsize) (iy - 1 + k) * self->width + (ix - 1);

      sum += wy[k] * (wx[0] * row[0] + wx[1] * row[1] + wx[2] * row[2] + wx[3] * row[3]);
    }
  *value = sum;
  return TRUE;
}
