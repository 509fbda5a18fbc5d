/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_fit.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>

#include "shim-robust-line.h"

#define ROUNDS 12
/* Tukey's biweight, in units of the robust scale. */
#define BIWEIGHT 4.685
#define MAD_TO_SIGMA 1.4826

struct _ShimRobustLine
{
  GArray *x;
  GArray *y;
  GArray *weight;
};

/**
 * shim_robust_line_new:
 *
 * Returns: (transfer full): a fit without points
 */
ShimRobustLine *
shim_robust_line_new (void)
{
  ShimRobustLine *self = g_new0 (ShimRobustLine, 1);

  self->x = g_array_new (FALSE, FALSE, sizeof (double));
  self->y = g_array_new (FALSE, FALSE, sizeof (double));
  self->weight = g_array_new (FALSE, FALSE, sizeof (double));
  return self;
}

/**
 * shim_robust_line_free:
 * @self: (nullable): a fit
 */
void
shim_robust_line_free (ShimRobustLine *self)
{
  if (self == NULL)
    return;

  g_array_unref (self->x);
  g_array_unref (self->y);
  g_array_unref (self->weight);
  g_free (self);
}

/**
 * shim_robust_line_add:
 * @self: a fit
 * @x: place
 * @y: value there
 * @weight: its weight, > 0
 */
void
shim_robust_line_add (ShimRobustLine *self, double x, double y, double weight)
{
  g_return_if_fail (self != NULL);

  g_array_append_val (self->x, x);
  g_array_append_val (self->y, y);
  g_array_append_val (self->weight, weight);
}

/**
 * shim_robust_line_count:
 * @self: a fit
 *
 * Returns: number of points
 */
guint
shim_robust_line_count (const ShimRobustLine *self)
{
  return self->x->len;
}

static double
robust_scale (const double *residual, double *work, guint n)
{
  for (guint i = 0; i < n; i++)
    work[i] = fabs (residual[i]);
  return MAD_TO_SIGMA * gsl_stats_median (work, 1, n);
}

static double
median (double *values, gsize n)
{
  gsl_sort (values, 1, n);
  return gsl_stats_median_from_sorted_data (values, 1, n);
}

/* Where to start: the median of the slopes between all pairs, and of the intercepts with it (Theil and Sen). */
static void
start_line (const double *x, const double *y, guint n, double *c0, double *c1)
{
  g_autofree double *work = g_new (double, (gsize) n * (n - 1) / 2);
  gsize n_slopes = 0;

  for (guint i = 0; i < n; i++)
    for (guint j = 0; j < i; j++)
      if (x[i] != x[j])
        work[n_slopes++] = (y[i] - y[j]) / (x[i] - x[j]);
  *c1 = median (work, n_slopes);
  for (guint i = 0; i < n; i++)
    work[i] = y[i] - *c1 * x[i];
  *c0 = median (work, n);
}

/**
 * shim_robust_line_solve:
 * @self: a fit
 * @scale_floor: scatter below which no point is called wrong, in units of y
 * @intercept: (out): y at x = 0
 * @slope: (out): dy/dx
 *
 * Weighted least squares, reweighted by Tukey's biweight with a MAD scale, from the median of all slopes on.
 *
 * Returns: whether a line could be laid (three points that are apart in x)
 */
gboolean
shim_robust_line_solve (const ShimRobustLine *self, double scale_floor, double *intercept, double *slope)
{
  const guint n = self->x->len;
  const double *x = (const double *) self->x->data, *y = (const double *) self->y->data;
  const double *base = (const double *) self->weight->data;
  g_autofree double *weight = g_new (double, MAX (n, 1));
  g_autofree double *residual = g_new (double, MAX (n, 1));
  g_autofree double *work = g_new (double, MAX (n, 1));
  double c0 = 0.0, c1 = 0.0, cov[3], chisq;

  if (n < 3 || gsl_stats_max (x, 1, n) - gsl_stats_min (x, 1, n) <= 0.0)
    return FALSE;
  start_line (x, y, n, &c0, &c1);
  for (int round = 0; round < ROUNDS; round++)
    {
      double scale;

      for (guint i = 0; i < n; i++)
        residual[i] = y[i] - c0 - c1 * x[i];
      scale = BIWEIGHT * MAX (robust_scale (residual, work, n), scale_floor);
      for (guint i = 0; i < n; i++)
        {
          const double z = residual[i] / scale;

          weight[i] = base[i] * (fabs (z) < 1.0 ? (1.0 - z * z) * (1.0 - z * z) : 1.0e-9);
        }
      gsl_fit_wlinear (x, 1, weight, 1, y, 1, n, &c0, &c1, &cov[0], &cov[1], &cov[2], &chisq);
      if (!isfinite (c0) || !isfinite (c1))
        return FALSE;
    }
  *intercept = c0;
  *slope = c1;
  return TRUE;
}

/**
 * shim_robust_line_share:
 * @self: a fit
 * @intercept: a line …
 * @slope: … and its slope
 * @within: how near counts, in units of y
 *
 * Returns: share of the points that lie within @within of the line, 0..1
 */
double
shim_robust_line_share (const ShimRobustLine *self, double intercept, double slope, double within)
{
  guint near_line = 0;

  for (guint i = 0; i < self->x->len; i++)
    near_line += fabs (g_array_index (self->y, double, i) - intercept -
                       slope * g_array_index (self->x, double, i)) <= within;
  return self->x->len > 0 ? (double) near_line / self->x->len : 0.0;
}
