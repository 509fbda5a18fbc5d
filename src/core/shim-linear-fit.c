/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit.h>

#include "shim-core-error.h"
#include "shim-gsl.h"
#include "shim-linear-fit.h"

static gboolean
check (const double *design, const double *y, const double *se, gsize n, gsize p, GError **error)
{
  if (n <= p)
    {
      g_set_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_TOO_FEW,
                   "%" G_GSIZE_FORMAT " unknowns need more than %" G_GSIZE_FORMAT " observations.", p, n);
      return FALSE;
    }
  for (gsize i = 0; i < n; i++)
    {
      gboolean good = isfinite (y[i]) && (se == NULL || (isfinite (se[i]) && se[i] > 0.0));

      for (gsize j = 0; j < p; j++)
        good = good && isfinite (design[i * p + j]);
      if (!good)
        {
          g_set_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID,
                       "Observation %" G_GSIZE_FORMAT " is not a number with a standard error above zero.", i + 1);
          return FALSE;
        }
    }
  return TRUE;
}

/* GSL's weights are 1/se². */
static gsl_vector *
weights_from (const double *se, gsize n)
{
  gsl_vector *weights = gsl_vector_alloc (n);

  for (gsize i = 0; i < n; i++)
    gsl_vector_set (weights, i, se != NULL ? 1.0 / (se[i] * se[i]) : 1.0);
  return weights;
}

/* Solves into @self; returns whether all unknowns are determined. */
static gboolean
solve (ShimLinearFit *self, const double *design, const double *y, const double *se)
{
  const gsize n = self->n, p = self->p;
  gsl_matrix_const_view design_view = gsl_matrix_const_view_array (design, n, p);
  gsl_vector_const_view y_view = gsl_vector_const_view_array (y, n);
  gsl_vector_view coefficients_view = gsl_vector_view_array (self->coefficients, p);
  gsl_matrix_view covariance_view = gsl_matrix_view_array (self->covariance, p, p);
  gsl_multifit_linear_workspace *work;
  gsl_vector *weights;
  size_t rank = 0;
  int status;

  shim_gsl_init ();
  weights = weights_from (se, n);
  work = gsl_multifit_linear_alloc (n, p);
  status = gsl_multifit_wlinear_tsvd (&design_view.matrix, weights, &y_view.vector, (double) n * GSL_DBL_EPSILON,
                                      &coefficients_view.vector, &covariance_view.matrix, &self->residual_ss, &rank,
                                      work);
  gsl_multifit_linear_free (work);
  gsl_vector_free (weights);
  return status == GSL_SUCCESS && rank == p;
}

ShimLinearFit *
shim_linear_fit_new (const double *design, const double *y, const double *se, gsize n, gsize p, ShimLineErrors errors,
                     GError **error)
{
  g_autoptr (ShimLinearFit) self = NULL;
  double factor;

  g_return_val_if_fail (design != NULL && y != NULL && p > 0, NULL);

  if (!check (design, y, se, n, p, error))
    return NULL;
  self = g_new0 (ShimLinearFit, 1);
  self->n = n;
  self->p = p;
  self->coefficients = g_new0 (double, p);
  self->covariance = g_new0 (double, p * p);
  if (!solve (self, design, y, se))
    {
      g_set_error_literal (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_NO_SOLUTION,
                           "The observations do not determine all unknowns.");
      return NULL;
    }

  self->residual_sd = sqrt (self->residual_ss / (double) (n - p));
  /* GSL gives the covariance for errors taken as they stand. */
  factor = self->residual_sd * self->residual_sd;
  if (se != NULL && errors == SHIM_LINE_ERRORS_GIVEN)
    factor = 1.0;
  else if (se != NULL && errors == SHIM_LINE_ERRORS_WIDER)
    factor = MAX (factor, 1.0);
  for (gsize i = 0; i < p * p; i++)
    self->covariance[i] *= factor;
  return g_steal_pointer (&self);
}

void
shim_linear_fit_free (ShimLinearFit *self)
{
  if (self == NULL)
    return;
  g_free (self->coefficients);
  g_free (self->covariance);
  g_free (self);
}
