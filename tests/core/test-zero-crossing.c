/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "normal-numbers.h"
#include "shim-zero-crossing.h"

static const double thermometer_x[] = { 96, 98, 100, 102, 104, 106, 108, 110 };
static const double thermometer_y[] = { 95.71, 98.16, 99.52, 102.09, 103.79, 106.18, 108.14, 110.21 };
static const double chamber_x[] = { 0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100 };
static const double chamber_y[] = { 206.36, 225.52, 252.18, 289.33, 318.11, 349.49, 383.03, 410.70, 444.40, 469.14, 501.16 };
static const double crystal_x[] = { 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28 };
static const double crystal_y[] = { .08, 1.12, 4.43, 4.98, 4.92, 7.18, 5.57, 8.40, 8.81, 10.81, 11.16, 10.12, 13.12, 15.04 };

/*
 * Inverse prediction. Data and the answers rounded as printed: F. A. Graybill, H. K. Iyer, Regression
 * Analysis: Concepts and Applications, chapter 6, pp. 431–434, as quoted by an open test-suite for
 * calibration; more digits: an independent formula in numpy.
 */
static const struct
{
  const char *name;
  const double *x, *y;
  gsize n;
  double at_y, level;
  ShimCrossingKind kind;
  double x0, low, high, printed_tolerance;   /* as printed */
  double x0_fine, low_fine, high_fine;
} cases[] = {
  { "thermometer 104", thermometer_x, thermometer_y, 8, 104, 0.95, SHIM_CROSSING_SINGLE, 103.995, 103.4, 104.6, 0.05,
    103.994916, 103.404051, 104.589459 },
  { "thermometer 100", thermometer_x, thermometer_y, 8, 100, 0.90, SHIM_CROSSING_SINGLE, 100.1, 99.63, 100.59, 0.05,
    100.112318, 99.629403, 100.588503 },
  { "chamber 400", chamber_x, chamber_y, 11, 400, 0.99, SHIM_CROSSING_MEAN, 66.5, 65.07, 68.03, 0.05,
    66.520043, 65.070894, 68.025832 },
  { "crystal 5", crystal_x, crystal_y, 14, 5, 0.90, SHIM_CROSSING_MEAN, 9.93, 8.65, 11.05, 0.005,
    9.929058, 8.650259, 11.047897 },
};

static void
test_published (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;
      ShimCrossing crossing;
      ShimLineFit line;

      g_test_message ("%s", cases[i].name);
      shim_line_fit (cases[i].x, cases[i].y, NULL, cases[i].n, SHIM_LINE_ERRORS_FROM_SCATTER, &line, &error);
      g_assert_no_error (error);
      g_assert_true (shim_crossing_find (&line, cases[i].at_y, cases[i].kind, cases[i].level, &crossing));
      check_near (crossing.at, cases[i].x0, cases[i].printed_tolerance);
      check_near (crossing.low, cases[i].low, cases[i].printed_tolerance);
      check_near (crossing.high, cases[i].high, cases[i].printed_tolerance);
      check_near (crossing.at, cases[i].x0_fine, 6e-7);
      check_near (crossing.low, cases[i].low_fine, 6e-7);
      check_near (crossing.high, cases[i].high_fine, 6e-7);
    }
}

/* y0 subtracted from every y and the crossing of 0 looked for: nothing else changes. */
static void
test_zero_is_nothing_special (void)
{
  double shifted[G_N_ELEMENTS (chamber_y)];
  ShimCrossing at_400, at_0;
  ShimLineFit line;

  g_assert_true (shim_line_fit (chamber_x, chamber_y, NULL, 11, SHIM_LINE_ERRORS_FROM_SCATTER, &line, NULL));
  g_assert_true (shim_crossing_find (&line, 400, SHIM_CROSSING_MEAN, 0.99, &at_400));
  for (guint i = 0; i < G_N_ELEMENTS (shifted); i++)
    shifted[i] = chamber_y[i] - 400.0;
  g_assert_true (shim_line_fit (chamber_x, shifted, NULL, 11, SHIM_LINE_ERRORS_FROM_SCATTER, &line, NULL));
  g_assert_true (shim_crossing_find (&line, 0, SHIM_CROSSING_MEAN, 0.99, &at_0));
  check_near (at_0.at, at_400.at, 1e-9);
  check_near (at_0.low, at_400.low, 1e-9);
  check_near (at_0.high, at_400.high, 1e-9);
  check_near (at_0.se, at_400.se, 1e-9);
}

/* First-order (Wald) standard errors for the crystals at 5: quoted in the same place. */
static void
test_wald (void)
{
  ShimCrossing crossing;
  ShimLineFit line;

  g_assert_true (shim_line_fit (crystal_x, crystal_y, NULL, 14, SHIM_LINE_ERRORS_FROM_SCATTER, &line, NULL));
  shim_crossing_find (&line, 5, SHIM_CROSSING_SINGLE, 0.90, &crossing);
  check_near (crossing.se, 2.211698, 6e-7);
  shim_crossing_find (&line, 5, SHIM_CROSSING_MEAN, 0.90, &crossing);
  check_near (crossing.se, 0.6658998, 6e-7);
}

/* Where the slope is not significant at the level asked for, no finite interval exists; the same line may
 * have one at a lower level. */
static void
test_no_interval (void)
{
  static const double x[] = { 0, 1, 2, 3, 4 }, y[] = { 1.0, -1.2, 1.4, 0.9, 1.9 };
  ShimCrossing crossing;
  ShimLineFit line;

  g_assert_true (shim_line_fit (x, y, NULL, 5, SHIM_LINE_ERRORS_FROM_SCATTER, &line, NULL));
  g_assert_false (shim_crossing_find (&line, 0, SHIM_CROSSING_MEAN, 0.95, &crossing));
  g_assert_true (isnan (crossing.low) && isnan (crossing.high));
  g_assert_cmpfloat (crossing.g, >=, 1.0);
  g_assert_true (isfinite (crossing.at));
  g_assert_true (shim_crossing_find (&line, 0, SHIM_CROSSING_MEAN, 0.50, &crossing));
  g_assert_cmpfloat (crossing.low, <, crossing.at);
  g_assert_cmpfloat (crossing.at, <, crossing.high);
  line.slope = 0.0;
  g_assert_false (shim_crossing_find (&line, 0, SHIM_CROSSING_MEAN, 0.50, &crossing));
  g_assert_true (isnan (crossing.at));
}

/* Simulated: the interval holds the true crossing as often as it says, where the slope is well known and
 * where it is not. */
static void
test_coverage (void)
{
  static const double noises[] = { 1.0, 8.0 };
  static const double settings[] = { -10, -5, 0, 5, 10 };
  const guint n_runs = 4000;

  for (guint k = 0; k < G_N_ELEMENTS (noises); k++)
    {
      g_autoptr (GRand) random = g_rand_new_with_seed (1125 + k);
      guint held = 0;

      for (guint run = 0; run < n_runs; run++)
        {
          double y[G_N_ELEMENTS (settings)];
          ShimCrossing crossing;
          ShimLineFit line;

          for (guint i = 0; i < G_N_ELEMENTS (settings); i++)
            y[i] = 3.0 * (settings[i] - 3.7) + noises[k] * normal_number (random);
          g_assert_true (shim_line_fit (settings, y, NULL, G_N_ELEMENTS (y), SHIM_LINE_ERRORS_FROM_SCATTER, &line, NULL));
          /* Without an interval every place is possible, so the truth is held. */
          if (!shim_crossing_find (&line, 0.0, SHIM_CROSSING_MEAN, 0.95, &crossing)
              || (crossing.low <= 3.7 && 3.7 <= crossing.high))
            held++;
        }
      /* standard error of the share: 0.34 % */
      g_test_message ("noise %g: held %.2f %%", noises[k], 100.0 * held / n_runs);
      check_near ((double) held / n_runs, 0.95, 0.011);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/zero-crossing/published", test_published);
  g_test_add_func ("/core/zero-crossing/zero-is-nothing-special", test_zero_is_nothing_special);
  g_test_add_func ("/core/zero-crossing/wald", test_wald);
  g_test_add_func ("/core/zero-crossing/no-interval", test_no_interval);
  g_test_add_func ("/core/zero-crossing/coverage", test_coverage);
  return g_test_run ();
}
