/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-core-error.h"
#include "shim-line-fit.h"
#include "shim-stats.h"

/* The sums of a weighted line. Long double: NIST's certified values were computed with 500 digits, and the
 * sums of their sets lose about five of a double's sixteen. */
typedef struct
{
  long double w;
  long double x_mean;
  long double y_mean;
  long double sxx;
  long double sxy;
  long double syy;
} Sums;

static gboolean
check_values (const double *x, const double *y, const double *se, gsize n, gsize n_needed, GError **error)
{
  if (n < n_needed)
    {
      g_set_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_TOO_FEW,
                   "A line needs at least %" G_GSIZE_FORMAT " points; there are only %" G_GSIZE_FORMAT ".",
                   n_needed, n);
      return FALSE;
    }
  for (gsize i = 0; i < n; i++)
    if (!isfinite (x[i]) || !isfinite (y[i]) || (se != NULL && !(isfinite (se[i]) && se[i] > 0.0)))
      {
        g_set_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID,
                     "Point %" G_GSIZE_FORMAT " of the line is not a number with a standard error above zero.",
                     i + 1);
        return FALSE;
      }
  return TRUE;
}

static long double
weight_of (const double *se, gsize i)
{
  return se != NULL ? 1.0L / ((long double) se[i] * se[i]) : 1.0L;
}

static void
sum_up (const double *x, const double *y, const double *se, gsize n, Sums *sums)
{
  *sums = (Sums) { 0 };
  for (gsize i = 0; i < n; i++)
    {
      const long double w = weight_of (se, i);

      sums->w += w;
      sums->x_mean += w * x[i];
      sums->y_mean += w * y[i];
    }
  sums->x_mean /= sums->w;
  sums->y_mean /= sums->w;
  for (gsize i = 0; i < n; i++)
    {
      const long double w = weight_of (se, i), dx = x[i] - sums->x_mean, dy = y[i] - sums->y_mean;

      sums->sxx += w * dx * dx;
      sums->sxy += w * dx * dy;
      sums->syy += w * dy * dy;
    }
}

static gboolean
all_alike (const double *x, gsize n)
{
  for (gsize i = 1; i < n; i++)
    if (x[i] != x[0])
      return FALSE;
  return TRUE;
}

/* Variances for weights that are 1/se², times @factor. */
static void
set_variances (ShimLineFit *fit, const Sums *sums, double factor)
{
  fit->slope_var = (double) (factor / sums->sxx);
  fit->covariance = (double) (-sums->x_mean * factor / sums->sxx);
  fit->intercept_var = (double) (factor * (1.0L / sums->w + sums->x_mean * sums->x_mean / sums->sxx));
}

/* Everything but the variances. */
static void
set_line (ShimLineFit *fit, const double *x, const double *y, const double *se, gsize n, const Sums *sums)
{
  const long double slope = sums->sxy / sums->sxx;
  long double residual_ss = 0.0L;

  for (gsize i = 0; i < n; i++)
    {
      const long double r = y[i] - sums->y_mean - slope * (x[i] - sums->x_mean);

      residual_ss += weight_of (se, i) * r * r;
    }
  *fit = (ShimLineFit) {
    .n = n,
    .df = INFINITY,
    .intercept = (double) (sums->y_mean - slope * sums->x_mean),
    .slope = (double) slope,
    .residual_sd = n > 2 ? (double) sqrtl (residual_ss / (n - 2)) : 0.0,
    .r_squared = sums->syy > 0.0L ? (double) (1.0L - residual_ss / sums->syy) : 1.0,
    .f_statistic = n > 2 ? (double) (sums->sxy * slope / (residual_ss / (n - 2))) : INFINITY,
    .regression_ss = (double) (sums->sxy * slope),
    .residual_ss = (double) residual_ss,
    .x_mean = (double) sums->x_mean,
    .y_mean = (double) sums->y_mean,
  };
}

gboolean
shim_line_fit (const double *x, const double *y, const double *se, gsize n, ShimLineErrors errors,
               ShimLineFit *result, GError **error)
{
  const gboolean from_scatter = se == NULL || errors == SHIM_LINE_ERRORS_FROM_SCATTER;
  double factor;
  Sums sums;

  g_return_val_if_fail (n == 0 || (x != NULL && y != NULL), FALSE);
  g_return_val_if_fail (result != NULL, FALSE);

  if (!check_values (x, y, se, n, from_scatter ? 3 : 2, error))
    return FALSE;
  if (all_alike (x, n))
    {
      g_set_error_literal (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_NO_SOLUTION,
                           "All points lie at the same place, so no line goes through them.");
      return FALSE;
    }

  sum_up (x, y, se, n, &sums);
  set_line (result, x, y, se, n, &sums);
  factor = result->residual_sd * result->residual_sd;
  if (from_scatter)
    result->df = n - 2.0;
  else
    factor = errors == SHIM_LINE_ERRORS_GIVEN ? 1.0 : MAX (factor, 1.0);
  set_variances (result, &sums, factor);
  return TRUE;
}

gboolean
shim_line_fit_through_origin (const double *x, const double *y, gsize n, ShimLineFit *result, GError **error)
{
  long double sxx = 0.0L, sxy = 0.0L, syy = 0.0L, residual_ss = 0.0L, slope;
  double variance;

  g_return_val_if_fail (n == 0 || (x != NULL && y != NULL), FALSE);
  g_return_val_if_fail (result != NULL, FALSE);

  if (!check_values (x, y, NULL, n, 2, error))
    return FALSE;
  for (gsize i = 0; i < n; i++)
    {
      sxx += (long double) x[i] * x[i];
      sxy += (long double) x[i] * y[i];
      syy += (long double) y[i] * y[i];
    }
  if (!(sxx > 0.0L))
    {
      g_set_error_literal (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_NO_SOLUTION,
                           "All points lie at zero, so no line through zero is determined.");
      return FALSE;
    }
  slope = sxy / sxx;
  for (gsize i = 0; i < n; i++)
    residual_ss += ((long double) y[i] - slope * x[i]) * ((long double) y[i] - slope * x[i]);
  variance = (double) (residual_ss / (n - 1));

  *result = (ShimLineFit) {
    .n = n,
    .df = n - 1.0,
    .slope = (double) slope,
    .slope_var = (double) (variance / sxx),
    .residual_sd = sqrt (variance),
    .r_squared = syy > 0.0L ? (double) (1.0L - residual_ss / syy) : 1.0,
    .f_statistic = (double) (slope * sxy) / variance,
    .regression_ss = (double) (slope * sxy),
    .residual_ss = (double) residual_ss,
    .x_mean = shim_stats_mean (x, n),
    .y_mean = shim_stats_mean (y, n),
  };
  return TRUE;
}

double
shim_line_fit_at (const ShimLineFit *self, double x, double *se)
{
  g_return_val_if_fail (self != NULL, NAN);

  if (se != NULL)
    {
      const double variance = self->intercept_var + 2.0 * x * self->covariance + x * x * self->slope_var;

      /* an infinite variance stands for "nobody knows", and 0 × ∞ is none of it */
      *se = isinf (self->slope_var) ? INFINITY : sqrt (MAX (variance, 0.0));
    }
  return self->intercept + self->slope * x;
}
