/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>

#include "shim-core-error.h"
#include "shim-gsl.h"
#include "shim-kit-group.h"
#include "shim-stats.h"

#define HUBER_K 1.5
#define ROBUST_STEPS 50
/* The scale is renewed in the first steps only: after that the weights settle on one answer for certain. */
#define SCALE_STEPS 10
/* A reading with less freedom than this is checked by no other one. */
#define CHECKED 1e-8

ShimKitGroup *
shim_kit_group_new (gboolean few_is_body, guint n_few, guint n_many, gsize n)
{
  ShimKitGroup *self = g_new0 (ShimKitGroup, 1);

  self->few_is_body = few_is_body;
  self->n_few = n_few;
  self->n_many = n_many;
  self->n = n;
  self->reading = g_new0 (gsize, n);
  self->few = g_new0 (guint, n);
  self->start = g_new0 (gsize, n_many + 1);
  self->y = g_new0 (double, n);
  self->sigma = g_new0 (double, n);
  self->robust = g_new0 (double, n);
  self->few_term = g_new0 (double, n_few);
  self->many_term = g_new0 (double, n_many);
  self->many_weight = g_new0 (double, n_many);
  self->weighted_few = g_new0 (double, n_few);
  self->mean_column = g_new0 (double, n_few);
  return self;
}

void
shim_kit_group_free (ShimKitGroup *self)
{
  if (self == NULL)
    return;
  g_free (self->reading);
  g_free (self->few);
  g_free (self->start);
  g_free (self->y);
  g_free (self->sigma);
  g_free (self->robust);
  g_free (self->few_term);
  g_free (self->many_term);
  g_free (self->many_weight);
  g_free (self->weighted_few);
  g_free (self->mean_column);
  g_clear_pointer (&self->inverse, gsl_matrix_free);
  g_free (self);
}

static double
weight_of (const ShimKitGroup *self, gsize i)
{
  return self->robust[i] / (self->sigma[i] * self->sigma[i]);
}

static double
residual_of (const ShimKitGroup *self, gsize i, guint many)
{
  return self->y[i] - self->few_term[self->few[i]] - self->many_term[many];
}

/* What has to be added to the reduced matrix in every place to make it regular, without changing anything
 * that can be known. */
static double
shift_of (const ShimKitGroup *self)
{
  double weights = 0.0;

  for (gsize i = 0; i < self->n; i++)
    weights += weight_of (self, i);
  return weights / ((double) self->n_few * self->n_few);
}

/* The reduced matrix and, for the residuals of the terms as they stand, its right-hand side. */
static void
reduce (ShimKitGroup *self, gsl_matrix *matrix, gsl_vector *side)
{
  gsl_matrix_set_all (matrix, shift_of (self));
  gsl_vector_set_zero (side);
  for (guint many = 0; many < self->n_many; many++)
    {
      double weight = 0.0, pull = 0.0;

      for (gsize i = self->start[many]; i < self->start[many + 1]; i++)
        {
          weight += weight_of (self, i);
          pull += weight_of (self, i) * residual_of (self, i, many);
        }
      self->many_weight[many] = weight;
      for (gsize i = self->start[many]; i < self->start[many + 1]; i++)
        {
          const double w = weight_of (self, i);
          const guint row = self->few[i];

          *gsl_matrix_ptr (matrix, row, row) += w;
          *gsl_vector_ptr (side, row) += w * (residual_of (self, i, many) - pull / weight);
          for (gsize j = self->start[many]; j < self->start[many + 1]; j++)
            *gsl_matrix_ptr (matrix, row, self->few[j]) -= w * weight_of (self, j) / weight;
        }
    }
}

/* One weighted least-squares step from the terms as they stand; a second one with the same weights only polishes. */
static gboolean
step (ShimKitGroup *self, gsl_matrix *matrix, gsl_vector *side)
{
  reduce (self, matrix, side);
  if (gsl_linalg_cholesky_decomp1 (matrix) != GSL_SUCCESS || gsl_linalg_cholesky_svx (matrix, side) != GSL_SUCCESS)
    return FALSE;

  for (guint many = 0; many < self->n_many; many++)
    {
      double pull = 0.0;

      for (gsize i = self->start[many]; i < self->start[many + 1]; i++)
        pull += weight_of (self, i) * (residual_of (self, i, many) - gsl_vector_get (side, self->few[i]));
      self->many_term[many] += pull / self->many_weight[many];
    }
  for (guint few = 0; few < self->n_few; few++)
    self->few_term[few] += gsl_vector_get (side, few);
  return TRUE;
}

/* Turns the Cholesky factor left by step() into the pseudo-inverse: the part along (1, 1, …) that the shift
 * put in is taken out again. */
static gboolean
invert (ShimKitGroup *self, gsl_matrix *matrix)
{
  const double share = 1.0 / self->n_many;
  const double constant = 1.0 / (shift_of (self) * self->n_few * self->n_few);

  if (gsl_linalg_cholesky_invert (matrix) != GSL_SUCCESS)
    return FALSE;
  gsl_matrix_add_constant (matrix, -constant);

  self->mean_inverse_weight = 0.0;
  for (guint few = 0; few < self->n_few; few++)
    self->weighted_few[few] = 0.0;
  for (guint many = 0; many < self->n_many; many++)
    {
      self->mean_inverse_weight += share / self->many_weight[many];
      for (gsize i = self->start[many]; i < self->start[many + 1]; i++)
        self->weighted_few[self->few[i]] += share * weight_of (self, i) / self->many_weight[many];
    }
  for (guint few = 0; few < self->n_few; few++)
    {
      self->mean_column[few] = 0.0;
      for (guint i = 0; i < self->n_few; i++)
        self->mean_column[few] += gsl_matrix_get (matrix, few, i) * self->weighted_few[i];
    }
  return TRUE;
}

/* Renews the robust factors from the residuals. @freedom is 1 − leverage of each reading with full weights.
 * Returns the largest change. */
static double
renew_factors (ShimKitGroup *self, const double *freedom, double floor, double *scale, gboolean renew_scale)
{
  g_autofree double *standardized = g_new (double, self->n);
  g_autofree double *checked = g_new (double, self->n);
  double change = 0.0;
  gsize n_checked = 0;

  for (guint many = 0; many < self->n_many; many++)
    for (gsize i = self->start[many]; i < self->start[many + 1]; i++)
      {
        standardized[i] = 0.0;
        if (!(freedom[i] > CHECKED))
          continue;
        standardized[i] = fabs (residual_of (self, i, many)) / (self->sigma[i] * sqrt (freedom[i]));
        checked[n_checked++] = standardized[i];
      }
  if (n_checked == 0)
    return 0.0;
  if (renew_scale)
    *scale = MAX (floor, 1.4826 * shim_stats_median (checked, n_checked));
  if (!(*scale > 0.0))
    return 0.0;
  for (gsize i = 0; i < self->n; i++)
    {
      const double u = standardized[i] / *scale;
      const double factor = u <= HUBER_K ? 1.0 : HUBER_K / u;

      change = MAX (change, fabs (factor - self->robust[i]));
      self->robust[i] = factor;
    }
  return change;
}

/* Iteratively reweighted least squares: Huber's k = 1.5 on residuals that are scaled for their leverage. */
static gboolean
make_robust (ShimKitGroup *self, gboolean use_scatter, gsl_matrix *matrix, gsl_vector *side)
{
  g_autofree double *freedom = g_new (double, self->n);
  double scale = 0.0;

  if (!invert (self, matrix))
    return FALSE;
  self->inverse = matrix;
  for (guint many = 0; many < self->n_many; many++)
    {
      shim_kit_group_sum_vars (self, many, freedom + self->start[many]);
      for (gsize i = self->start[many]; i < self->start[many + 1]; i++)
        freedom[i] = 1.0 - weight_of (self, i) * freedom[i];
    }
  self->inverse = NULL;
  for (int i = 0; i < ROBUST_STEPS; i++)
    {
      if (renew_factors (self, freedom, use_scatter ? 0.0 : 1.0, &scale, i < SCALE_STEPS) < 1e-7)
        break;
      if (!step (self, matrix, side))
        return FALSE;
    }
  return TRUE;
}

static void
sum_residuals (ShimKitGroup *self)
{
  double inverse_vars = 0.0;

  self->df = (double) self->n - self->n_few - self->n_many + 1.0;
  self->chi_squared = self->residual_ss = 0.0;
  for (guint many = 0; many < self->n_many; many++)
    for (gsize i = self->start[many]; i < self->start[many + 1]; i++)
      {
        const double r = residual_of (self, i, many);

        self->residual_ss += r * r;
        self->chi_squared += weight_of (self, i) * r * r;
        inverse_vars += 1.0 / (self->sigma[i] * self->sigma[i]);
      }
  self->typical_var = self->n / inverse_vars;
}

gboolean
shim_kit_group_solve (ShimKitGroup *self, gboolean robust, gboolean use_scatter, GError **error)
{
  gsl_matrix *matrix;
  gsl_vector *side;
  gboolean good;

  shim_gsl_init ();
  matrix = gsl_matrix_alloc (self->n_few, self->n_few);
  side = gsl_vector_alloc (self->n_few);
  for (gsize i = 0; i < self->n; i++)
    self->robust[i] = 1.0;

  good = step (self, matrix, side);
  sum_residuals (self);
  /* With one degree of freedom every residual is as large as every other: nothing tells which reading is the
   * odd one. */
  if (good && robust && self->df > 1.5)
    good = make_robust (self, use_scatter, matrix, side);
  good = good && step (self, matrix, side) && invert (self, matrix);
  gsl_vector_free (side);
  self->inverse = matrix;
  sum_residuals (self);
  if (!good)
    g_set_error_literal (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_NO_SOLUTION,
                         "The measured pairs differ too much in their standard errors to be explained together.");
  return good;
}

/* The term of one of the many is the mean of its readings minus its partners' terms, each with its share of
 * the weight. x′ G y for that share vector of one of the many (x) and one of the few (y). */
static double
share_with_few (const ShimKitGroup *self, guint many, guint few)
{
  double sum = 0.0;

  for (gsize i = self->start[many]; i < self->start[many + 1]; i++)
    sum += weight_of (self, i) * gsl_matrix_get (self->inverse, self->few[i], few);
  return sum / self->many_weight[many];
}

static double
share_with_share (const ShimKitGroup *self, guint many)
{
  double sum = 0.0;

  for (gsize i = self->start[many]; i < self->start[many + 1]; i++)
    sum += weight_of (self, i) * share_with_few (self, many, self->few[i]);
  return sum / self->many_weight[many];
}

/* x′ G z for z = the mean share vector of the many. */
static double
share_with_mean (const ShimKitGroup *self, guint many)
{
  double sum = 0.0;

  for (gsize i = self->start[many]; i < self->start[many + 1]; i++)
    sum += weight_of (self, i) * self->mean_column[self->few[i]];
  return sum / self->many_weight[many];
}

static double
mean_with_mean (const ShimKitGroup *self)
{
  double sum = 0.0;

  for (guint i = 0; i < self->n_few; i++)
    sum += self->weighted_few[i] * self->mean_column[i];
  return sum;
}

/* Variance of few_term + many_term. */
double
shim_kit_group_sum_var (const ShimKitGroup *self, guint few, guint many)
{
  return gsl_matrix_get (self->inverse, few, few) - 2.0 * share_with_few (self, many, few) +
         share_with_share (self, many) + 1.0 / self->many_weight[many];
}

/* The same for all readings of one of the many, at the cost of one. */
void
shim_kit_group_sum_vars (const ShimKitGroup *self, guint many, double *vars)
{
  const gsize first = self->start[many], n = self->start[many + 1] - first;
  double both = 0.0;

  for (gsize i = 0; i < n; i++)
    {
      vars[i] = share_with_few (self, many, self->few[first + i]);
      both += weight_of (self, first + i) * vars[i] / self->many_weight[many];
    }
  for (gsize i = 0; i < n; i++)
    vars[i] = gsl_matrix_get (self->inverse, self->few[first + i], self->few[first + i]) - 2.0 * vars[i] + both
              + 1.0 / self->many_weight[many];
}

/* Variance of a term whose mean over the group is 0. */
double
shim_kit_group_term_var (const ShimKitGroup *self, gboolean is_few, guint item)
{
  const double m = self->n_many;

  if (is_few)
    return gsl_matrix_get (self->inverse, item, item);
  return share_with_share (self, item) - 2.0 * share_with_mean (self, item) + mean_with_mean (self)
         + (1.0 - 2.0 / m) / self->many_weight[item] + self->mean_inverse_weight / m;
}

/* Variance of the error that an item shows with an average partner. */
double
shim_kit_group_level_var (const ShimKitGroup *self, gboolean is_few, guint item)
{
  if (is_few)
    return gsl_matrix_get (self->inverse, item, item) - 2.0 * self->mean_column[item] + mean_with_mean (self)
           + self->mean_inverse_weight / self->n_many;
  return share_with_share (self, item) + 1.0 / self->many_weight[item];
}

/* What all variances are to be multiplied by: the scatter alone, or the given errors widened by it. */
double
shim_kit_group_factor (const ShimKitGroup *self, gboolean use_scatter)
{
  const double ratio = self->df > 0.5 ? self->chi_squared / self->df : NAN;

  if (use_scatter)
    return ratio;
  return ratio > 1.0 ? ratio : 1.0;
}
