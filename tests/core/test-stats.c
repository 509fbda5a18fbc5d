/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "shim-stats.h"

/* Certified by NIST, Statistical Reference Datasets, univariate summary statistics. */
static void
test_nist_univariate (void)
{
  static const struct
  {
    const char *file;
    gsize n;
    double mean, sd;
  } sets[] = {
    { "Michelso.dat", 100, 299.852400000000, 0.0790105478190518 },
    { "Lew.dat", 200, -177.435000000000, 277.332168044316 },
    { "Mavro.dat", 50, 2.00185600000000, 0.000429123454003053 },
    { "Lottery.dat", 218, 518.958715596330, 291.699727470969 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (sets); i++)
    {
      gsize n = 0;
      g_autofree double *values = read_table (sets[i].file, 61, 1, &n);

      g_test_message ("%s", sets[i].file);
      g_assert_cmpuint (n, ==, sets[i].n);
      check_digits (shim_stats_mean (values, n), sets[i].mean, 14);
      /* Mavro's data are 2.0018 …: four digits are spent before the deviation begins. */
      check_digits (shim_stats_sd (values, n), sets[i].sd, 12);
    }
}

/* NIST StRD NumAcc1 to 4, made by their rule: a middle value, then 500 times one step below and one above.
 * All exact. */
static void
test_nist_numerical_accuracy (void)
{
  static const struct
  {
    const char *name;
    double middle, step, sd, digits;
    guint n_pairs;
  } sets[] = {
    { "NumAcc1", 10000002, 1, 1, 14, 1 },
    { "NumAcc2", 1.2, 0.1, 0.1, 13, 500 },
    /* The decimal data themselves are rounded to double here: 1e6 ± 1e-10, 1e7 ± 1e-9. */
    { "NumAcc3", 1000000.2, 0.1, 0.1, 9, 500 },
    { "NumAcc4", 10000000.2, 0.1, 0.1, 8, 500 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (sets); i++)
    {
      const gsize n = 2 * sets[i].n_pairs + 1;
      g_autofree double *values = g_new (double, n);

      g_test_message ("%s", sets[i].name);
      values[0] = sets[i].middle;
      for (gsize j = 1; j < n; j++)
        values[j] = j % 2 == 1 ? sets[i].middle - sets[i].step : sets[i].middle + sets[i].step;
      check_digits (shim_stats_mean (values, n), sets[i].middle, 14);
      check_digits (shim_stats_sd (values, n), sets[i].sd, sets[i].digits);
    }
}

/*
 * 24 determinations of copper in wholemeal flour, Analytical Methods Committee, Robust statistics – how not
 * to reject outliers, Analyst 114 (1989). Data and Huber's estimate (k = 1.5, MAD scale) 3.2067, scale 0.5263
 * from memory of their use in a textbook of statistics.
 */
static void
test_huber_published (void)
{
  static const double copper[] = {
    2.20, 2.20, 2.40, 2.40, 2.50, 2.70, 2.80, 2.90, 3.03, 3.03, 3.10, 3.37,
    3.40, 3.40, 3.40, 3.50, 3.60, 3.70, 3.70, 3.70, 3.70, 3.77, 5.28, 28.95,
  };
  ShimHuber huber;

  check_near (shim_stats_median (copper, G_N_ELEMENTS (copper)), 3.385, 1e-12);
  check_near (shim_stats_mean (copper, G_N_ELEMENTS (copper)), 4.2804, 5e-5);
  g_assert_true (shim_stats_huber (copper, G_N_ELEMENTS (copper), 0.0, &huber));
  check_near (huber.location, 3.2067, 5e-5);
  check_near (huber.scale, 0.5263, 5e-5);
  g_assert_cmpuint (huber.n_pulled, >=, 2);
}

static void
test_huber_floor (void)
{
  static const double values[] = { 1.00, 1.01, 0.99, 1.00, 1.30 };
  static const double alike[] = { 2.0, 2.0, 2.0, 2.0, 7.0 };
  ShimHuber free_scale, with_floor;

  /* Four frames that agree by luck would make a stray of the fifth; what scatter is normal says that it is none. */
  g_assert_true (shim_stats_huber (values, G_N_ELEMENTS (values), 0.0, &free_scale));
  g_assert_cmpuint (free_scale.n_pulled, ==, 1);
  g_assert_true (shim_stats_huber (values, G_N_ELEMENTS (values), 0.5, &with_floor));
  g_assert_cmpuint (with_floor.n_pulled, ==, 0);
  check_near (with_floor.scale, 0.25, 1e-12);
  check_near (with_floor.location, shim_stats_mean (values, G_N_ELEMENTS (values)), 1e-12);
  check_near (with_floor.se, shim_stats_sd (values, 5) / sqrt (5.0), 1e-12);

  /* No yardstick at all: the plain mean. */
  g_assert_true (shim_stats_huber (alike, G_N_ELEMENTS (alike), 0.0, &free_scale));
  check_near (free_scale.location, 3.0, 1e-12);
  g_assert_false (shim_stats_huber (alike, 0, 0.0, &free_scale));
  g_assert_true (shim_stats_huber (alike, 1, 0.0, &free_scale));
  check_near (free_scale.location, 2.0, 0.0);
  g_assert_true (isnan (free_scale.se));
}

/* Upper quantiles of Student's t from the table of the NIST/SEMATECH e-Handbook, section 1.3.6.7.2. */
static void
test_t_handbook (void)
{
  static const double levels[] = { 0.90, 0.95, 0.975, 0.99, 0.995 };
  static const struct
  {
    double df, t[5];
  } rows[] = {
    { 1, { 3.078, 6.314, 12.706, 31.821, 63.657 } }, { 2, { 1.886, 2.920, 4.303, 6.965, 9.925 } },
    { 3, { 1.638, 2.353, 3.182, 4.541, 5.841 } },    { 4, { 1.533, 2.132, 2.776, 3.747, 4.604 } },
    { 5, { 1.476, 2.015, 2.571, 3.365, 4.032 } },    { 7, { 1.415, 1.895, 2.365, 2.998, 3.499 } },
    { 10, { 1.372, 1.812, 2.228, 2.764, 3.169 } },   { 16, { 1.337, 1.746, 2.120, 2.583, 2.921 } },
    { 29, { 1.311, 1.699, 2.045, 2.462, 2.756 } },   { 60, { 1.296, 1.671, 2.000, 2.390, 2.660 } },
    { 100, { 1.290, 1.660, 1.984, 2.364, 2.626 } },  { INFINITY, { 1.282, 1.645, 1.960, 2.326, 2.576 } },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    for (guint j = 0; j < G_N_ELEMENTS (levels); j++)
      {
        check_near (shim_stats_t_quantile (levels[j], rows[i].df), rows[i].t[j], 0.0006);
        check_near (shim_stats_t_quantile (1.0 - levels[j], rows[i].df), -rows[i].t[j], 0.0006);
        check_near (shim_stats_t_probability (shim_stats_t_quantile (levels[j], rows[i].df), rows[i].df), levels[j], 1e-9);
      }
}

/* Coverage factors, NIST Technical Note 1297 (1994), table B.1; it prints 2.36 for 7 degrees of freedom,
 * where 2.3646 is exact. */
static void
test_t_tn1297 (void)
{
  static const double coverage[] = { 0.6827, 0.90, 0.95, 0.9545, 0.99, 0.9973 };
  static const struct
  {
    double df, k[6];
  } rows[] = {
    { 1, { 1.84, 6.31, 12.71, 13.97, 63.66, 235.80 } }, { 2, { 1.32, 2.92, 4.30, 4.53, 9.92, 19.21 } },
    { 3, { 1.20, 2.35, 3.18, 3.31, 5.84, 9.22 } },      { 4, { 1.14, 2.13, 2.78, 2.87, 4.60, 6.62 } },
    { 7, { 1.08, 1.89, 2.36, 2.43, 3.50, 4.53 } },      { 19, { 1.03, 1.73, 2.09, 2.14, 2.86, 3.45 } },
    { 50, { 1.01, 1.68, 2.01, 2.05, 2.68, 3.16 } },     { INFINITY, { 1.000, 1.645, 1.960, 2.000, 2.576, 3.000 } },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    for (guint j = 0; j < G_N_ELEMENTS (coverage); j++)
      check_near (shim_stats_t_quantile (0.5 + 0.5 * coverage[j], rows[i].df), rows[i].k[j],
                  rows[i].df == 1 && j == 5 ? 0.03 : 0.0055);
}

static void
test_pooled (void)
{
  static const double sds[] = { 2.0, 4.0, NAN };
  static const guint counts[] = { 3, 5, 1 };
  static const double variances[] = { 4.0, 9.0 };
  static const double dfs[] = { 4.0, INFINITY };
  double df = 0.0;

  /* by hand: (2·4 + 4·16) / 6 */
  check_near (shim_stats_pooled_sd (sds, counts, 3, &df), sqrt (72.0 / 6.0), 1e-12);
  check_near (df, 6.0, 0.0);
  g_assert_true (isnan (shim_stats_pooled_sd (sds + 2, counts + 2, 1, &df)));
  check_near (df, 0.0, 0.0);
  /* by hand: 13² / (16/4) */
  check_near (shim_stats_combined_df (variances, dfs, 2), 169.0 / 4.0, 1e-12);
  g_assert_true (isinf (shim_stats_combined_df (variances + 1, dfs + 1, 1)));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/stats/nist-univariate", test_nist_univariate);
  g_test_add_func ("/core/stats/nist-numerical-accuracy", test_nist_numerical_accuracy);
  g_test_add_func ("/core/stats/huber-published", test_huber_published);
  g_test_add_func ("/core/stats/huber-floor", test_huber_floor);
  g_test_add_func ("/core/stats/t-handbook", test_t_handbook);
  g_test_add_func ("/core/stats/t-tn1297", test_t_tn1297);
  g_test_add_func ("/core/stats/pooled", test_pooled);
  return g_test_run ();
}
