/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-shift-patches.h"

#define PATCH_PX 48
/* Relative slope for each pixel, root of the mean square, below which there is only noise. */
#define LEAST_SLOPE 0.006
/* Black has no relative slopes. */
#define LEAST_GREY 6.0

#define MAX_SIDE (PATCH_PX + 2)

/**
 * shim_shift_patches_new:
 * @rect: a piece of the marked frame
 *
 * Returns: (transfer full) (element-type ShimShiftPatch): patches side by side that fill it
 */
GArray *
shim_shift_patches_new (const ShimRect *rect)
{
  GArray *patches = g_array_new (FALSE, TRUE, sizeof (ShimShiftPatch));
  const int columns = MAX (rect->width / PATCH_PX, 1), rows = MAX (rect->height / PATCH_PX, 1);

  for (int row = 0; row < rows; row++)
    for (int column = 0; column < columns; column++)
      {
        ShimShiftPatch patch = { 0 };

        patch.at_px.x = rect->x + (column + 0.5) * rect->width / columns;
        patch.at_px.y = rect->y + (row + 0.5) * rect->height / rows;
        g_array_append_val (patches, patch);
      }
  return patches;
}

/* One patch, with a rim of one sample for the slopes, as both frames show it. */
typedef struct
{
  int side;
  float before[MAX_SIDE * MAX_SIDE];
  float after[MAX_SIDE * MAX_SIDE];
} Pair;

static gboolean
sample_pair (Pair *pair, const ShimShiftPatch *patch, const ShimLevel *before, const ShimLevel *after,
             const ShimFrameShift *shift)
{
  const double step = before->step_px;
  const int x0 = (int) round ((patch->at_px.x - before->left_px) / step) - pair->side / 2;
  const int y0 = (int) round ((patch->at_px.y - before->top_px) / step) - pair->side / 2;

  for (int y = 0; y < pair->side; y++)
    for (int x = 0; x < pair->side; x++)
      {
        const int column = CLAMP (x0 + x, 0, before->width - 1), row = CLAMP (y0 + y, 0, before->height - 1);
        const ShimPoint there = shim_frame_shift_apply (
          shift, (ShimPoint) { before->left_px + column * step, before->top_px + row * step });

        pair->before[y * pair->side + x] = before->value[(gsize) row * before->width + column];
        if (!shim_level_sample (after, there.x, there.y, &pair->after[y * pair->side + x]))
          return FALSE;
      }
  return TRUE;
}

/* Divides by the mean, so that the light does not matter. */
static gboolean
make_relative (float *value, int n)
{
  double sum = 0.0;

  for (int i = 0; i < n; i++)
    sum += value[i];
  if (sum < LEAST_GREY * n)
    return FALSE;
  for (int i = 0; i < n; i++)
    value[i] = (float) (value[i] * n / sum - 1.0);
  return TRUE;
}

/* The slopes are the means of both frames': then a difference in blur, which is the same on all sides of a detail,
 * cancels in the right-hand side and cannot be taken for a shift (Malis 2004 on second-order minimization). */
static void
compare (ShimShiftPatch *patch, const Pair *pair, double step_px)
{
  const int side = pair->side;
  const float per_px = (float) (1.0 / step_px);
  double xx = 0.0, xy = 0.0, yy = 0.0, bx = 0.0, by = 0.0, own = 0.0, tt = 0.0, ss = 0.0, ts = 0.0;

  for (int y = 1; y < side - 1; y++)
    for (int x = 1; x < side - 1; x++)
      {
        const float *t = pair->before + y * side + x, *s = pair->after + y * side + x;
        const float tx = 0.5f * (t[1] - t[-1]) * per_px, ty = 0.5f * (t[side] - t[-side]) * per_px;
        const float sx = 0.5f * (s[1] - s[-1]) * per_px, sy = 0.5f * (s[side] - s[-side]) * per_px;
        const float gx = 0.5f * (tx + sx), gy = 0.5f * (ty + sy), rest = *t - *s;

        xx += gx * gx;
        xy += gx * gy;
        yy += gy * gy;
        bx += gx * rest;
        by += gy * rest;
        own += tx * tx + ty * ty;
        tt += *t * *t;
        ss += *s * *s;
        ts += *t * *s;
      }
  patch->normal[0] = xx;
  patch->normal[1] = xy;
  patch->normal[2] = yy;
  patch->side[0] = bx;
  patch->side[1] = by;
  patch->likeness = tt > 0.0 && ss > 0.0 ? ts / sqrt (tt * ss) : -1.0;
  patch->has_texture = own >= LEAST_SLOPE * LEAST_SLOPE * (side - 2) * (side - 2);
}

/**
 * shim_shift_patches_compare:
 * @patches: (element-type ShimShiftPatch): patches; all but their places is set
 * @before: a level of the marked frame
 * @after: the same level of the other
 * @shift: how far the picture moved, as far as is known
 *
 * Finds for each patch what its own shift is beyond @shift. One that the other frame does not hold, or that is
 * black there, is unlike.
 */
void
shim_shift_patches_compare (GArray *patches, const ShimLevel *before, const ShimLevel *after,
                            const ShimFrameShift *shift)
{
  g_autofree Pair *pair = g_new (Pair, 1);

  pair->side = (int) (PATCH_PX / before->step_px) + 2;
  for (guint i = 0; i < patches->len; i++)
    {
      ShimShiftPatch *patch = &g_array_index (patches, ShimShiftPatch, i);
      const int n = pair->side * pair->side;

      if (sample_pair (pair, patch, before, after, shift) && make_relative (pair->before, n)
          && make_relative (pair->after, n))
        compare (patch, pair, before->step_px);
      else
        {
          memset (patch->normal, 0, sizeof patch->normal);
          memset (patch->side, 0, sizeof patch->side);
          patch->likeness = -1.0;
        }
    }
}
