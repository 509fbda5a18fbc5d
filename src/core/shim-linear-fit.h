/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-line-fit.h"

G_BEGIN_DECLS

/**
 * ShimLinearFit:
 * @n: observations
 * @p: parameters
 * @coefficients: (array length=p): the parameters
 * @covariance: (array): @p × @p, row by row
 * @residual_ss: Σ w r²
 * @residual_sd: √(@residual_ss / (@n − @p))
 *
 * Least squares with any number of columns.
 */
typedef struct
{
  gsize n;
  gsize p;
  double *coefficients;
  double *covariance;
  double residual_ss;
  double residual_sd;
} ShimLinearFit;

/**
 * shim_linear_fit_new:
 * @design: (array): @n × @p, row by row; a constant is a column of ones of the caller's
 * @y: (array length=n): observations
 * @se: (array length=n) (nullable): their standard errors; %NULL = all alike
 * @n: observations, more than @p
 * @p: parameters
 * @errors: where the covariance comes from; without @se always from the scatter
 * @error: TOO_FEW, INVALID or NO_SOLUTION (columns that depend on one another)
 *
 * Least squares through GSL's singular value decomposition with balanced columns; the columns are scaled
 * first, so that powers of a large number do not spoil one another.
 *
 * Returns: (transfer full) (nullable): the fit
 */
ShimLinearFit *shim_linear_fit_new  (const double *design, const double *y, const double *se, gsize n, gsize p,
                                     ShimLineErrors errors, GError **error);
void           shim_linear_fit_free (ShimLinearFit *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimLinearFit, shim_linear_fit_free)

G_END_DECLS
