/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-stats.h"
#include "shim-zero-crossing.h"

gboolean
shim_crossing_find (const ShimLineFit *line, double y, ShimCrossingKind kind, double level, ShimCrossing *result)
{
  double t, single_var, shifted, half_a, half_b, half_c, discriminant;

  g_return_val_if_fail (line != NULL && result != NULL, FALSE);
  g_return_val_if_fail (level > 0.0 && level < 1.0, FALSE);

  *result = (ShimCrossing) { .at = NAN, .se = NAN, .low = NAN, .high = NAN, .level = level, .g = INFINITY };
  if (line->slope == 0.0)
    return FALSE;

  t = shim_stats_t_quantile (0.5 + 0.5 * level, line->df);
  single_var = kind == SHIM_CROSSING_SINGLE ? line->residual_sd * line->residual_sd : 0.0;
  shifted = line->intercept - y;
  result->at = -shifted / line->slope;
  if (isinf (line->slope_var))
    {
      result->se = INFINITY;
      return FALSE;
    }
  result->g = t * t * line->slope_var / (line->slope * line->slope);

  /* Everything is done with the zero of x moved to the crossing itself: there the quadratic of Fieller's inequality
   *   half_a u² + 2 half_b u + half_c ≤ 0,  u = x − at,
   * keeps its digits even when the crossing is far from x = 0. */
  half_a = line->slope * line->slope * (1.0 - result->g);
  half_b = -t * t * (line->covariance + result->at * line->slope_var);
  half_c = line->intercept_var + 2.0 * result->at * line->covariance + result->at * result->at * line->slope_var;
  half_c = MAX (half_c, 0.0) + single_var;
  result->se = sqrt (half_c) / fabs (line->slope);
  half_c *= -t * t;
  if (result->g >= 1.0)
    return FALSE;

  discriminant = sqrt (MAX (half_b * half_b - half_a * half_c, 0.0));
  result->low = result->at + (-half_b - discriminant) / half_a;
  result->high = result->at + (-half_b + discriminant) / half_a;
  result->has_interval = TRUE;
  return TRUE;
}
