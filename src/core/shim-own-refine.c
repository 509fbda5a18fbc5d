/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-linear-fit.h"
#include "shim-own-target-measures.h"
#include "shim-own-target.h"
#include "shim-strip-geometry.h"

/* The middle of a bar is the middle of its darkness, in linear light, whatever the blur: looked for as far as the paper beside it
 * is its own, in steps along the strip, over the middle of its width. All in mm of the strip. */
#define BESIDE_MM 2.4
#define ACROSS_MM 2.2
#define STEP_MM 0.1
#define LINES 9
#define ROUNDS 3
#define TRACK_X_MM (SHIM_OWN_TRACK_X_MM + 0.5 * SHIM_OWN_TRACK_WIDTH_MM)
/* A bar is darker than the paper beside it by this share at least, or it is covered. */
#define DARKER 0.3
#define LEAST_BARS 6
/* A bar that lies farther off than this many times the usual is left out. */
#define OUTLIER 3.0
#define OUTLIER_FLOOR_MM 0.05

static const double bars[][2] = SHIM_OWN_TRACK_BARS;

typedef struct
{
  double r;       /* as measured from @strip: where the bar's middle is … */
  double middle;  /* … and should be */
  gboolean used;
} Bar;

/* Linear light at a place, between four pixels; NAN outside. */
static double
light_at (const ShimLuma *luma, ShimPoint at)
{
  const float *linear = shim_tone_linear_table ();
  const double x = at.x - luma->rect.x - 0.5, y = at.y - luma->rect.y - 0.5;
  const int i = (int) floor (x), j = (int) floor (y);
  const guint8 *px;

  if (i < 0 || j < 0 || i + 1 >= luma->rect.width || j + 1 >= luma->rect.height)
    return NAN;
  px = luma->px + (gsize) j * luma->stride + i;
  return (1.0 - y + j) * ((1.0 - x + i) * linear[px[0]] + (x - i) * linear[px[1]]) +
         (y - j) * ((1.0 - x + i) * linear[px[luma->stride]] + (x - i) * linear[px[luma->stride + 1]]);
}

static double
light_across (const ShimLuma *luma, const ShimOwnTarget *target, double r)
{
  double sum = 0.0;

  for (int i = 0; i < LINES; i++)
    sum += light_at (luma, shim_own_target_point (target, r, TRACK_X_MM + ACROSS_MM * (2.0 * i / (LINES - 1) - 1.0)));
  return sum / LINES;
}

/* The middle of the darkness about @at, over @half to each side, below a line from the light at one end to that at the other. */
static gboolean
middle_of_dark (const ShimLuma *luma, const ShimOwnTarget *target, double at, double half, double *middle)
{
  const int n = (int) lrint (half / STEP_MM);
  const double low = light_across (luma, target, at - half), high = light_across (luma, target, at + half);
  double sum = 0.0, moment = 0.0;

  for (int i = -n; i <= n; i++)
    {
      const double share = (double) i / n;
      const double dark = 0.5 * (low + high) + 0.5 * share * (high - low) - light_across (luma, target, at + half * share);

      sum += dark;
      moment += dark * half * share;
    }
  *middle = at + moment / sum;
  return sum / (2 * n + 1) > DARKER * 0.5 * (low + high) && fabs (*middle - at) < BESIDE_MM;
}

static guint
look_at_bars (const ShimLuma *luma, const ShimOwnTarget *target, Bar *seen)
{
  guint n = 0;

  for (guint i = 0; i < G_N_ELEMENTS (bars); i++)
    {
      const double half = 0.5 * (bars[i][1] - bars[i][0]) + BESIDE_MM;
      double at = 0.5 * (bars[i][0] + bars[i][1]);

      seen[i].middle = at;
      seen[i].used = middle_of_dark (luma, target, at, half, &at) && middle_of_dark (luma, target, at, half, &at);
      seen[i].r = at;
      n += seen[i].used;
    }
  return n;
}

/* Where a bar's middle was seen the plane is to have its place: x (1 + g r) = a + b r, and the same g for y. Returns the rms of
 * what is left, mm; NAN when there is no such plane. */
static double
fit_plane (Bar *seen, guint n, ShimOwnTarget *target)
{
  double design[10 * G_N_ELEMENTS (bars)] = { 0.0 }, y[2 * G_N_ELEMENTS (bars)], squares = 0.0;
  const double scale = hypot (target->strip[1] - target->strip[6] * target->strip[0], target->strip[4] - target->strip[6] * target->strip[3]);
  g_autoptr (ShimLinearFit) fit = NULL;
  double *h = target->strip;
  guint row = 0;

  for (guint i = 0; i < G_N_ELEMENTS (bars); i++)
    if (seen[i].used)
      {
        const ShimPoint at = shim_own_target_point (target, seen[i].r, TRACK_X_MM);
        const double r = seen[i].middle, x[2][5] = { { 1.0, r, 0.0, 0.0, -r * at.x }, { 0.0, 0.0, 1.0, r, -r * at.y } };

        for (int k = 0; k < 5; k++)
          {
            design[5 * row + k] = x[0][k];
            design[5 * (row + 1) + k] = x[1][k];
          }
        y[row++] = at.x;
        y[row++] = at.y;
      }
  fit = shim_linear_fit_new (design, y, NULL, 2 * n, 5, SHIM_LINE_ERRORS_FROM_SCATTER, NULL);
  if (fit == NULL)
    return NAN;
  for (guint i = 0; i < G_N_ELEMENTS (bars); i++)
    if (seen[i].used)
      {
        const ShimPoint at = shim_own_target_point (target, seen[i].r, TRACK_X_MM);
        const double d = 1.0 + fit->coefficients[4] * seen[i].middle;
        const double dx = (fit->coefficients[0] + fit->coefficients[1] * seen[i].middle) / d - at.x;
        const double dy = (fit->coefficients[2] + fit->coefficients[3] * seen[i].middle) / d - at.y;

        seen[i].r = hypot (dx, dy) / scale;
        squares += seen[i].r * seen[i].r;
      }
  h[0] = fit->coefficients[0] - TRACK_X_MM * h[2];
  h[1] = fit->coefficients[1];
  h[3] = fit->coefficients[2] - TRACK_X_MM * h[5];
  h[4] = fit->coefficients[3];
  h[6] = fit->coefficients[4];
  return sqrt (squares / n);
}

/* Leaves out bars that were found far from where the others have them. Returns how many are left. */
static guint
drop_outliers (Bar *seen, double rms)
{
  guint n = 0;

  for (guint i = 0; i < G_N_ELEMENTS (bars); i++)
    {
      seen[i].used = seen[i].used && seen[i].r < MAX (OUTLIER * rms, OUTLIER_FLOOR_MM);
      n += seen[i].used;
    }
  return n;
}

/**
 * shim_own_target_refine:
 * @luma: pixels about the strip
 * @target: (inout): a target as found in the reduced picture
 *
 * Measures the bars' middles on the pixels themselves and lays the strip's plane through them.
 *
 * Returns: whether enough bars were seen; when not, @target is as it was
 */
gboolean
shim_own_target_refine (const ShimLuma *luma, ShimOwnTarget *target)
{
  g_return_val_if_fail (luma != NULL && target != NULL, FALSE);

  for (int round = 0; round < ROUNDS; round++)
    {
      Bar seen[G_N_ELEMENTS (bars)];
      ShimOwnTarget next = *target;
      guint n = look_at_bars (luma, target, seen);
      double rms;

      if (n < LEAST_BARS || isnan (rms = fit_plane (seen, n, &next)))
        return round > 0;
      next.residual_mm = rms;
      if (drop_outliers (seen, rms) < LEAST_BARS)
        return round > 0;
      *target = next;
    }
  return TRUE;
}
