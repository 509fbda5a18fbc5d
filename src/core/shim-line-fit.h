/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * ShimLineErrors:
 * @SHIM_LINE_ERRORS_FROM_SCATTER: only the ratios of the standard errors count; their size comes from the residuals
 *   (textbook regression; degrees of freedom n − 2)
 * @SHIM_LINE_ERRORS_GIVEN: the standard errors are taken as they stand
 * @SHIM_LINE_ERRORS_WIDER: as given, but widened by √(χ²/df) where the residuals are larger than the errors say
 *
 * Where the standard errors of a fit come from.
 */
typedef enum
{
  SHIM_LINE_ERRORS_FROM_SCATTER,
  SHIM_LINE_ERRORS_GIVEN,
  SHIM_LINE_ERRORS_WIDER,
} ShimLineErrors;

/**
 * ShimLineFit:
 * @n: points used
 * @df: degrees of freedom of the standard errors: n − 2 (n − 1 through the origin) when they come from the
 *   scatter, INFINITY when given. The caller may lower it when the given errors themselves rest on few frames
 * @intercept: y at x = 0
 * @slope: y per x
 * @intercept_var: variance of @intercept
 * @slope_var: variance of @slope
 * @covariance: of intercept and slope
 * @residual_sd: √(Σ w r² / (n − parameters)), 0 when there are as many parameters as points
 * @r_squared: share of the (weighted) sum of squares explained
 * @f_statistic: mean square of the regression over that of the residuals
 * @regression_ss: (weighted) sum of squares of the regression
 * @residual_ss: Σ w r²: χ² when standard errors were given
 * @x_mean: weighted mean of x
 * @y_mean: weighted mean of y
 *
 * A straight line y = intercept + slope × x.
 */
typedef struct
{
  guint n;
  double df;
  double intercept;
  double slope;
  double intercept_var;
  double slope_var;
  double covariance;
  double residual_sd;
  double r_squared;
  double f_statistic;
  double regression_ss;
  double residual_ss;
  double x_mean;
  double y_mean;
} ShimLineFit;

/**
 * shim_line_fit:
 * @x: (array length=n): abscissae
 * @y: (array length=n): ordinates
 * @se: (array length=n) (nullable): standard errors of @y, all above 0; %NULL = all alike
 * @n: how many, at least 2; at least 3 with #SHIM_LINE_ERRORS_FROM_SCATTER
 * @errors: where standard errors come from; without @se always from the scatter
 * @result: (out): the line
 * @error: TOO_FEW, INVALID (a number that is not finite, an error not above 0) or NO_SOLUTION (all @x alike)
 *
 * Weighted least squares about the weighted means, in long double, which keeps the certified digits of NIST's
 * Norris set.
 *
 * Returns: whether there is a line
 */
gboolean shim_line_fit (const double *x, const double *y, const double *se, gsize n, ShimLineErrors errors,
                        ShimLineFit *result, GError **error);

/**
 * shim_line_fit_through_origin:
 * @x: (array length=n): abscissae
 * @y: (array length=n): ordinates
 * @n: how many, at least 2
 * @result: (out): the line; intercept and its variances are 0. R² and F are about 0, not about the mean, as
 *   NIST states them
 * @error: as for shim_line_fit()
 *
 * Returns: whether there is a line
 */
gboolean shim_line_fit_through_origin (const double *x, const double *y, gsize n, ShimLineFit *result,
                                       GError **error);

/**
 * shim_line_fit_at:
 * @self: a line
 * @x: where
 * @se: (out) (optional): standard error of the line there (without the scatter of single readings)
 *
 * Returns: the line's y at @x
 */
double   shim_line_fit_at (const ShimLineFit *self, double x, double *se);

G_END_DECLS
