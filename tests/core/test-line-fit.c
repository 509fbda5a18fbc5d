/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "shim-core-error.h"
#include "shim-line-fit.h"
#include "shim-linear-fit.h"

/* Certified by NIST, Statistical Reference Datasets, linear regression. */
static void
test_norris (void)
{
  gsize n = 0;
  g_autofree double *table = read_table ("Norris.dat", 61, 2, &n);
  g_autofree double *y = take_column (table, n, 2, 0);
  g_autofree double *x = take_column (table, n, 2, 1);
  g_autoptr (GError) error = NULL;
  ShimLineFit fit;

  g_assert_cmpuint (n, ==, 36);
  shim_line_fit (x, y, NULL, n, SHIM_LINE_ERRORS_FROM_SCATTER, &fit, &error);
  g_assert_no_error (error);
  check_digits (fit.intercept, -0.262323073774029, 12);
  check_digits (sqrt (fit.intercept_var), 0.232818234301152, 12);
  check_digits (fit.slope, 1.00211681802045, 13);
  check_digits (sqrt (fit.slope_var), 0.429796848199937E-03, 12);
  check_digits (fit.residual_sd, 0.884796396144373, 12);
  check_digits (fit.r_squared, 0.999993745883712, 13);
  check_digits (fit.f_statistic, 5436385.54079785, 12);
  check_digits (fit.regression_ss, 4255954.13232369, 13);
  check_digits (fit.residual_ss, 26.6173985294224, 12);
  check_near (fit.df, 34, 0);
}

/* Certified by NIST StRD: lines without a constant. */
static void
test_no_intercept (void)
{
  static const struct
  {
    const char *file;
    double slope, slope_se, s, r_squared;
  } sets[] = {
    { "NoInt1.dat", 2.07438016528926, 0.165289256198347E-01, 3.56753034006338, 0.999365492298663 },
    { "NoInt2.dat", 0.727272727272727, 0.420827318078432E-01, 0.369274472937998, 0.993348115299335 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (sets); i++)
    {
      gsize n = 0;
      g_autofree double *table = read_table (sets[i].file, 61, 2, &n);
      g_autofree double *y = take_column (table, n, 2, 0);
      g_autofree double *x = take_column (table, n, 2, 1);
      g_autoptr (GError) error = NULL;
      ShimLineFit fit;

      shim_line_fit_through_origin (x, y, n, &fit, &error);
      g_assert_no_error (error);
      check_digits (fit.slope, sets[i].slope, 13);
      check_digits (sqrt (fit.slope_var), sets[i].slope_se, 12);
      check_digits (fit.residual_sd, sets[i].s, 12);
      check_digits (fit.r_squared, sets[i].r_squared, 12);
    }
}

/*
 * 40 linewidths, NIST/SEMATECH e-Handbook section 2.3.6.7.1 (its line 0.2358, 0.9870; from memory); digits:
 * independent fit with numpy.
 */
static void
test_handbook_calibration (void)
{
  gsize n = 0;
  g_autofree double *table = read_table ("CALIBRATIONLINE.DAT", 26, 2, &n);
  g_autofree double *x = take_column (table, n, 2, 0);
  g_autofree double *y = take_column (table, n, 2, 1);
  g_autoptr (GError) error = NULL;
  ShimLineFit fit;
  double se = 0.0;

  g_assert_cmpuint (n, ==, 40);
  shim_line_fit (x, y, NULL, n, SHIM_LINE_ERRORS_FROM_SCATTER, &fit, &error);
  g_assert_no_error (error);
  check_near (fit.intercept, 0.2357623, 5e-8);
  check_near (sqrt (fit.intercept_var), 0.0243003, 5e-8);
  check_near (fit.slope, 0.9870377, 5e-8);
  check_near (sqrt (fit.slope_var), 0.0034406, 5e-8);
  check_near (fit.residual_sd, 0.0620320, 5e-8);
  /* At the mean the line is as sure as a mean of 40. */
  check_near (shim_line_fit_at (&fit, fit.x_mean, &se), fit.y_mean, 1e-12);
  check_near (se, fit.residual_sd / sqrt (40.0), 1e-9);
}

/* Repeating a point and giving it its weight are the same thing; so are weights and the general fit. */
static void
test_weights (void)
{
  static const double x[] = { -5, 0, 5, 10 }, y[] = { 40, 12, -9, -35 }, se[] = { 2, 1, 2, 4 };
  const double repeated_x[] = { -5, 0, 0, 0, 0, 5, 10 }, repeated_y[] = { 40, 12, 12, 12, 12, -9, -35 };
  const double repeated_se[] = { 2, 2, 2, 2, 2, 2, 4 };
  double design[8];
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimLinearFit) general = NULL;
  ShimLineFit fit, repeated, scatter;

  g_assert_true (shim_line_fit (x, y, se, 4, SHIM_LINE_ERRORS_GIVEN, &fit, &error));
  g_assert_true (shim_line_fit (repeated_x, repeated_y, repeated_se, 7, SHIM_LINE_ERRORS_GIVEN, &repeated, &error));
  check_near (fit.slope, repeated.slope, 1e-12);
  check_near (fit.intercept, repeated.intercept, 1e-12);
  check_near (fit.slope_var, repeated.slope_var, 1e-12);
  check_near (fit.covariance, repeated.covariance, 1e-12);
  g_assert_true (isinf (fit.df));

  for (guint i = 0; i < 4; i++)
    {
      design[2 * i] = 1.0;
      design[2 * i + 1] = x[i];
    }
  general = shim_linear_fit_new (design, y, se, 4, 2, SHIM_LINE_ERRORS_FROM_SCATTER, &error);
  g_assert_no_error (error);
  g_assert_true (shim_line_fit (x, y, se, 4, SHIM_LINE_ERRORS_FROM_SCATTER, &scatter, &error));
  check_near (general->coefficients[0], scatter.intercept, 1e-12);
  check_near (general->coefficients[1], scatter.slope, 1e-12);
  check_near (general->covariance[0], scatter.intercept_var, 1e-12);
  check_near (general->covariance[1], scatter.covariance, 1e-12);
  check_near (general->covariance[3], scatter.slope_var, 1e-12);
  check_near (general->residual_sd, scatter.residual_sd, 1e-12);
}

static void
test_wider (void)
{
  static const double x[] = { 0, 1, 2, 3 }, y[] = { 0, 3, 1, 4 }, small[] = { 0.1, 0.1, 0.1, 0.1 }, large[] = { 9, 9, 9, 9 };
  ShimLineFit fit, given;

  g_assert_true (shim_line_fit (x, y, small, 4, SHIM_LINE_ERRORS_WIDER, &fit, NULL));
  g_assert_true (shim_line_fit (x, y, small, 4, SHIM_LINE_ERRORS_GIVEN, &given, NULL));
  check_near (fit.slope_var, given.slope_var * given.residual_ss / 2.0, 1e-12);
  g_assert_true (shim_line_fit (x, y, large, 4, SHIM_LINE_ERRORS_WIDER, &fit, NULL));
  g_assert_true (shim_line_fit (x, y, large, 4, SHIM_LINE_ERRORS_GIVEN, &given, NULL));
  check_near (fit.slope_var, given.slope_var, 0.0);
}

static void
test_no_line (void)
{
  static const double x[] = { 3, 3, 3 }, y[] = { 1, 2, 3 }, bad[] = { 1, NAN, 2 }, zero[] = { 1, 0, 1 };
  g_autoptr (GError) error = NULL;
  ShimLineFit fit;

  g_assert_false (shim_line_fit (x, y, NULL, 3, SHIM_LINE_ERRORS_FROM_SCATTER, &fit, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_NO_SOLUTION);
  g_clear_error (&error);
  g_assert_false (shim_line_fit (bad, y, NULL, 3, SHIM_LINE_ERRORS_FROM_SCATTER, &fit, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID);
  g_clear_error (&error);
  g_assert_false (shim_line_fit (y, y, zero, 3, SHIM_LINE_ERRORS_GIVEN, &fit, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID);
  g_clear_error (&error);
  g_assert_false (shim_line_fit (y, y, NULL, 2, SHIM_LINE_ERRORS_FROM_SCATTER, &fit, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_TOO_FEW);
}

/* Certified by NIST StRD: the notorious ones, columns that nearly depend on one another. */
static void
test_longley (void)
{
  static const double coefficients[] = { -3482258.63459582, 15.0618722713733, -0.358191792925910E-01, -2.02022980381683,
                                         -1.03322686717359, -0.511041056535807E-01, 1829.15146461355 };
  static const double ses[] = { 890420.383607373, 84.9149257747669, 0.334910077722432E-01, 0.488399681651699,
                                0.214274163161675, 0.226073200069370, 455.478499142212 };
  gsize n = 0;
  g_autofree double *table = read_table ("Longley.dat", 61, 7, &n);
  g_autofree double *y = take_column (table, n, 7, 0);
  g_autoptr (ShimLinearFit) fit = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_cmpuint (n, ==, 16);
  for (gsize i = 0; i < n; i++)
    table[7 * i] = 1.0; /* y stands where the constant belongs */
  fit = shim_linear_fit_new (table, y, NULL, n, 7, SHIM_LINE_ERRORS_FROM_SCATTER, &error);
  g_assert_no_error (error);
  for (guint j = 0; j < 7; j++)
    {
      check_digits (fit->coefficients[j], coefficients[j], 8);
      check_digits (sqrt (fit->covariance[8 * j]), ses[j], 8);
    }
  check_digits (fit->residual_sd, 304.854073561965, 9);
}

static void
test_pontius (void)
{
  static const double coefficients[] = { 0.673565789473684E-03, 0.732059160401003E-06, -0.316081871345029E-14 };
  static const double ses[] = { 0.107938612033077E-03, 0.157817399981659E-09, 0.486652849992036E-16 };
  gsize n = 0;
  g_autofree double *table = read_table ("Pontius.dat", 61, 2, &n);
  g_autofree double *y = take_column (table, n, 2, 0);
  g_autofree double *design = g_new (double, 3 * n);
  g_autoptr (ShimLinearFit) fit = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_cmpuint (n, ==, 40);
  for (gsize i = 0; i < n; i++)
    {
      const double x = table[2 * i + 1];

      design[3 * i] = 1.0;
      design[3 * i + 1] = x;
      design[3 * i + 2] = x * x;
    }
  fit = shim_linear_fit_new (design, y, NULL, n, 3, SHIM_LINE_ERRORS_FROM_SCATTER, &error);
  g_assert_no_error (error);
  for (guint j = 0; j < 3; j++)
    {
      check_digits (fit->coefficients[j], coefficients[j], 9);
      check_digits (sqrt (fit->covariance[4 * j]), ses[j], 9);
    }
  check_digits (fit->residual_sd, 0.205177424076185E-03, 9);
}

static void
test_dependent_columns (void)
{
  static const double design[] = { 1, 2, 1, 2, 1, 2, 1, 2 }, y[] = { 1, 2, 3, 4 };
  g_autoptr (GError) error = NULL;

  g_assert_null (shim_linear_fit_new (design, y, NULL, 4, 2, SHIM_LINE_ERRORS_FROM_SCATTER, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_NO_SOLUTION);
  g_clear_error (&error);
  g_assert_null (shim_linear_fit_new (design, y, NULL, 2, 2, SHIM_LINE_ERRORS_FROM_SCATTER, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_TOO_FEW);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/line-fit/norris", test_norris);
  g_test_add_func ("/core/line-fit/no-intercept", test_no_intercept);
  g_test_add_func ("/core/line-fit/handbook-calibration", test_handbook_calibration);
  g_test_add_func ("/core/line-fit/weights", test_weights);
  g_test_add_func ("/core/line-fit/wider", test_wider);
  g_test_add_func ("/core/line-fit/no-line", test_no_line);
  g_test_add_func ("/core/linear-fit/longley", test_longley);
  g_test_add_func ("/core/linear-fit/pontius", test_pontius);
  g_test_add_func ("/core/linear-fit/dependent-columns", test_dependent_columns);
  return g_test_run ();
}
