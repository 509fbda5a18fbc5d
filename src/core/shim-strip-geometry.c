/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-strip-geometry.h"

/**
 * shim_tone_linear_table:
 *
 * Returns: (array fixed-size=256) (transfer none): linear light, 0..1, of each 8-bit value by the sRGB curve
 *   (IEC 61966-2-1)
 */
const float *
shim_tone_linear_table (void)
{
  static float table[256];
  static gsize ready = 0;

  if (g_once_init_enter (&ready))
    {
      for (int i = 0; i < 256; i++)
        {
          const double s = i / 255.0;

          table[i] = (float) (s <= 0.04045 ? s / 12.92 : pow ((s + 0.055) / 1.055, 2.4));
        }
      g_once_init_leave (&ready, 1);
    }
  return table;
}

/* One row, from the columns (when transposed the rows) of @luma that it crosses. */
static void
cut_row (ShimStrip *strip, int i, const ShimLuma *luma)
{
  const float *linear = shim_tone_linear_table ();
  const ShimRect *rect = &luma->rect;
  const gsize step = strip->transposed ? luma->stride : 1;
  const int v = strip->v_first + i - (strip->transposed ? rect->x : rect->y);
  const int first = strip->u_first[i] - (strip->transposed ? rect->y : rect->x);
  const int begin = CLAMP (-first, 0, strip->n_u);
  const int end = CLAMP ((strip->transposed ? rect->height : rect->width) - first, begin, strip->n_u);
  const guint8 *px = luma->px + (gsize) v * (strip->transposed ? 1 : luma->stride) + (gsize) MAX (first, 0) * step;
  float *out = strip->px + (gsize) i * strip->n_u;

  for (int j = 0; j < begin; j++)
    out[j] = NAN;
  for (int j = begin; j < end; j++, px += step)
    out[j] = linear[*px];
  for (int j = end; j < strip->n_u; j++)
    out[j] = NAN;
}

/**
 * shim_strip_cut:
 * @luma: pixels
 * @transposed: whether the strip runs along the picture's rows
 * @u0: place across of the strip's middle line at v = @v_ref …
 * @u1: … and its slope: u = u0 + u1 (v − v_ref)
 * @v_ref: where @u0 counts from
 * @half_width_px: how far the strip reaches to each side of the line, pixels
 * @v_lo: from here along …
 * @v_hi: … to here; both are cut to what @luma holds
 *
 * Returns: (transfer full) (nullable): the strip, or %NULL when nothing of it lies in @luma
 */
ShimStrip *
shim_strip_cut (const ShimLuma *luma, gboolean transposed, double u0, double u1, double v_ref, double half_width_px,
                double v_lo, double v_hi)
{
  ShimStrip *self;
  int lo, hi;

  g_return_val_if_fail (luma != NULL, NULL);
  g_return_val_if_fail (half_width_px >= 1.0 && half_width_px < 1.0e5, NULL);
  g_return_val_if_fail (isfinite (u0) && isfinite (u1) && isfinite (v_lo) && isfinite (v_hi), NULL);

  lo = transposed ? luma->rect.x : luma->rect.y;
  hi = lo + (transposed ? luma->rect.width : luma->rect.height);
  lo = (int) CLAMP (floor (v_lo), lo, hi);
  hi = (int) CLAMP (ceil (v_hi), lo, hi);
  if (hi <= lo)
    return NULL;

  self = g_new0 (ShimStrip, 1);
  self->transposed = transposed;
  self->v_first = lo;
  self->n_v = hi - lo;
  self->n_u = 2 * (int) ceil (half_width_px);
  self->u_first = g_new (int, self->n_v);
  self->px = g_new (float, (gsize) self->n_v * self->n_u);
  for (int i = 0; i < self->n_v; i++)
    {
      self->u_first[i] = (int) lrint (u0 + u1 * (lo + i + 0.5 - v_ref)) - self->n_u / 2;
      cut_row (self, i, luma);
    }
  for (int k = 0; k < 8; k++)
    for (int h = 0; h < 8; h++)
      self->steps[8 * k + h] = luma->steps[transposed ? 8 * h + k : 8 * k + h];
  return self;
}

/**
 * shim_strip_free:
 * @self: (nullable): a strip
 */
void
shim_strip_free (ShimStrip *self)
{
  if (self == NULL)
    return;

  g_free (self->u_first);
  g_free (self->px);
  g_free (self);
}
