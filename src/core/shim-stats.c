/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

#include "shim-gsl.h"
#include "shim-stats.h"

#define HUBER_K 1.5
#define HUBER_STEPS 200
#define MAD_TO_SD 1.482602218505602 /* 1 / the upper quartile of the standard normal */

double
shim_stats_mean (const double *values, gsize n)
{
  long double sum = 0.0L, rest = 0.0L;
  double first;

  g_return_val_if_fail (values != NULL && n > 0, NAN);

  for (gsize i = 0; i < n; i++)
    sum += values[i];
  first = (double) (sum / n);
  for (gsize i = 0; i < n; i++)
    rest += (long double) values[i] - first;
  return (double) (first + rest / n);
}

double
shim_stats_sd (const double *values, gsize n)
{
  long double squares = 0.0L, rest = 0.0L;
  double mean;

  g_return_val_if_fail (values != NULL || n == 0, NAN);

  if (n < 2)
    return NAN;
  mean = shim_stats_mean (values, n);
  for (gsize i = 0; i < n; i++)
    {
      const long double d = (long double) values[i] - mean;

      squares += d * d;
      rest += d;
    }
  /* The mean is rounded to double; Σd corrects for that (the corrected two-pass algorithm). */
  return (double) sqrtl ((squares - rest * rest / n) / (n - 1));
}

double
shim_stats_median (const double *values, gsize n)
{
  g_autofree double *sorted = NULL;

  g_return_val_if_fail (values != NULL && n > 0, NAN);

  sorted = g_memdup2 (values, n * sizeof *values);
  gsl_sort (sorted, 1, n);
  return gsl_stats_median_from_sorted_data (sorted, 1, n);
}

double
shim_stats_mad (const double *values, gsize n)
{
  g_autofree double *away = NULL;
  double middle;

  g_return_val_if_fail (values != NULL && n > 0, NAN);

  middle = shim_stats_median (values, n);
  away = g_new (double, n);
  for (gsize i = 0; i < n; i++)
    away[i] = fabs (values[i] - middle);
  return MAD_TO_SD * shim_stats_median (away, n);
}

/* The classical variance of an M-estimate: scale² Σψ² / (n − 1) / n / (mean ψ′)². */
static double
huber_se (const double *values, gsize n, const ShimHuber *huber)
{
  double psi_squares = 0.0;
  guint n_inside = 0;

  if (n < 2)
    return NAN;
  for (gsize i = 0; i < n; i++)
    {
      const double u = (values[i] - huber->location) / huber->scale;

      if (fabs (u) <= HUBER_K)
        n_inside++;
      psi_squares += MIN (u * u, HUBER_K * HUBER_K);
    }
  if (n_inside == 0)
    return NAN;
  return huber->scale * sqrt (psi_squares / (n - 1.0) / n) * n / n_inside;
}

gboolean
shim_stats_huber (const double *values, gsize n, double expected_sd, ShimHuber *result)
{
  double scale, location;

  g_return_val_if_fail (result != NULL, FALSE);

  *result = (ShimHuber) { NAN, NAN, NAN, 0 };
  if (n == 0)
    return FALSE;

  location = shim_stats_median (values, n);
  scale = MAX (shim_stats_mad (values, n), 0.5 * MAX (expected_sd, 0.0));
  if (!(scale > 0.0))
    {
      /* More than half of the values are exactly alike and nothing is known of the scatter: there is no
       * yardstick to call one of the others a stray, so the plain mean and deviation it is. */
      const double sd = shim_stats_sd (values, n);

      *result = (ShimHuber) { shim_stats_mean (values, n), n < 2 ? 0.0 : sd, n < 2 ? NAN : sd / sqrt (n), 0 };
      return TRUE;
    }

  for (int step = 0; step < HUBER_STEPS; step++)
    {
      double sum = 0.0, weights = 0.0, next;

      for (gsize i = 0; i < n; i++)
        {
          const double away = fabs (values[i] - location) / scale;
          const double weight = away <= HUBER_K ? 1.0 : HUBER_K / away;

          sum += weight * (values[i] - location);
          weights += weight;
        }
      next = location + sum / weights;
      if (fabs (next - location) <= 1e-12 * scale)
        break;
      location = next;
    }
  result->location = location;
  result->scale = scale;
  for (gsize i = 0; i < n; i++)
    result->n_pulled += fabs (values[i] - location) > HUBER_K * scale;
  result->se = huber_se (values, n, result);
  return TRUE;
}

double
shim_stats_pooled_sd (const double *sds, const guint *counts, gsize n, double *df)
{
  double squares = 0.0, freedom = 0.0;

  g_return_val_if_fail ((sds != NULL && counts != NULL) || n == 0, NAN);

  for (gsize i = 0; i < n; i++)
    {
      if (counts[i] < 2)
        continue;
      squares += (counts[i] - 1.0) * sds[i] * sds[i];
      freedom += counts[i] - 1.0;
    }
  if (df != NULL)
    *df = freedom;
  return freedom > 0.0 ? sqrt (squares / freedom) : NAN;
}

double
shim_stats_t_quantile (double p, double df)
{
  g_return_val_if_fail (p > 0.0 && p < 1.0, NAN);
  g_return_val_if_fail (df > 0.0, NAN);

  shim_gsl_init ();
  return isinf (df) ? gsl_cdf_ugaussian_Pinv (p) : gsl_cdf_tdist_Pinv (p, df);
}

double
shim_stats_t_probability (double t, double df)
{
  g_return_val_if_fail (df > 0.0, NAN);

  if (isnan (t))
    return NAN;
  if (isinf (t))
    return t > 0.0 ? 1.0 : 0.0;
  shim_gsl_init ();
  return isinf (df) ? gsl_cdf_ugaussian_P (t) : gsl_cdf_tdist_P (t, df);
}

double
shim_stats_normal_quantile (double p)
{
  return shim_stats_t_quantile (p, INFINITY);
}

double
shim_stats_f_tail (double ratio, double df_above, double df_below)
{
  g_return_val_if_fail (df_above > 0.0 && df_below > 0.0, NAN);

  shim_gsl_init ();
  return gsl_cdf_fdist_Q (ratio, df_above, df_below);
}

double
shim_stats_combined_df (const double *variances, const double *dfs, gsize n)
{
  double sum = 0.0, spread = 0.0;

  g_return_val_if_fail ((variances != NULL && dfs != NULL) || n == 0, NAN);

  for (gsize i = 0; i < n; i++)
    {
      sum += variances[i];
      spread += variances[i] * variances[i] / dfs[i];
    }
  return spread > 0.0 ? sum * sum / spread : INFINITY;
}
