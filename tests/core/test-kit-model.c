/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "normal-numbers.h"
#include "shim-core-error.h"
#include "shim-kit-model.h"
#include "shim-linear-fit.h"

static const ShimKitModelOptions textbook = { .robust = FALSE, .use_scatter = TRUE };

/*
 * Full two-way tables, one value a cell, additive model.
 * detergent: lecture on randomized blocks with its analysis of variance (rounded there to whole numbers).
 * wave1: manual of a data-analysis program, two-way analysis without replication. penicillin: Box, Hunter,
 * Hunter, Statistics for Experimenters (from memory). cache: R. Jain, The Art of Computer Systems Performance
 * Analysis, chapter 21 (from memory). Unrounded digits: independently computed (numpy).
 */
typedef struct
{
  const char *name;
  guint n_rows, n_columns;
  double cells[6][4];
  double grand, grand_tolerance;
  double rows[6], columns[4], tolerance;
  double rows_ss, columns_ss, residual_ss, ss_tolerance;
} Table;

static const Table tables[] = {
  { "detergent, as printed", 4, 3, { { 45, 43, 51 }, { 47, 46, 52 }, { 48, 50, 55 }, { 42, 37, 49 } }, 47.083333, 1e-6,
    { -0.75, 1.25, 3.916667, -4.416667 }, { -1.583333, -3.083333, 4.666667 }, 1e-6, 111, 135, 19, 0.5 },
  { "detergent", 4, 3, { { 45, 43, 51 }, { 47, 46, 52 }, { 48, 50, 55 }, { 42, 37, 49 } }, 47.083333, 1e-6,
    { -0.75, 1.25, 3.916667, -4.416667 }, { -1.583333, -3.083333, 4.666667 }, 1e-6, 110.916667, 135.166667, 18.833333, 1e-6 },
  { "wave1", 6, 4,
    { { 4.04, 5.08, 2.83, 3.06 }, { 4.91, 4.68, 3.17, 2.71 }, { 2.94, 1.9, 1.61, 2.02 }, { 5.95, 5.26, 4.85, 4.45 },
      { 3.9, 4.85, 2.69, 2.93 }, { 5.72, 5.14, 4.39, 3.29 } }, 3.84875, 1e-9,
    { -0.09625, 0.01875, -1.73125, 1.27875, -0.25625, 0.78625 }, { 0.727917, 0.636250, -0.592083, -0.772083 }, 1e-6,
    21.3036, 11.2881, 3.91216, 5e-5 },
  { "penicillin", 5, 4, { { 89, 88, 97, 94 }, { 84, 77, 92, 79 }, { 81, 87, 87, 85 }, { 87, 92, 89, 84 }, { 79, 81, 80, 88 } }, 86, 1e-9,
    { 6, -3, -1, 2, -4 }, { -2, -1, 3, 0 }, 1e-9, 264, 70, 226, 1e-8 },
  { "cache", 5, 3, { { 54, 55, 106 }, { 60, 60, 123 }, { 43, 43, 120 }, { 49, 52, 111 }, { 49, 50, 108 } }, 72.2, 1e-9,
    { -0.5, 8.8, -3.5, -1.5, -3.2 }, { -21.2, -20.2, 41.4 }, 0.05, NAN, NAN, NAN, 0 },
};

static void
check_table (const Table *table, gboolean rows_are_bodies)
{
  const guint n = table->n_rows * table->n_columns;
  g_autofree ShimKitReading *readings = g_new (ShimKitReading, n);
  g_autoptr (ShimKitModel) model = NULL;
  g_autoptr (GError) error = NULL;
  double rows_ss = 0.0, columns_ss = 0.0, df = 0.0;

  for (guint i = 0; i < n; i++)
    {
      const guint row = i / table->n_columns, column = i % table->n_columns;

      readings[i] = (ShimKitReading) { rows_are_bodies ? row : column, rows_are_bodies ? column : row, table->cells[row][column], 1.0 };
    }
  model = rows_are_bodies ? shim_kit_model_new (readings, n, table->n_rows, table->n_columns, &textbook, &error)
                          : shim_kit_model_new (readings, n, table->n_columns, table->n_rows, &textbook, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (shim_kit_model_n_components (model), ==, 1);
  check_near (shim_kit_model_mean_um (model, 0), table->grand, table->grand_tolerance);
  for (guint row = 0; row < table->n_rows; row++)
    {
      const ShimKitTerm *term = rows_are_bodies ? shim_kit_model_get_body (model, row) : shim_kit_model_get_lens (model, row);

      check_near (term->term_um, table->rows[row], table->tolerance);
      check_near (term->level_um, table->rows[row] + table->grand, table->tolerance + table->grand_tolerance);
      rows_ss += table->n_columns * term->term_um * term->term_um;
      /* in a full table: s² (1 − 1/rows) / columns */
      check_near (term->se_um, shim_kit_model_scatter_um (model, 0, NULL) * sqrt ((1.0 - 1.0 / table->n_rows) / table->n_columns), 1e-9);
    }
  for (guint column = 0; column < table->n_columns; column++)
    {
      const ShimKitTerm *term = rows_are_bodies ? shim_kit_model_get_lens (model, column) : shim_kit_model_get_body (model, column);

      check_near (term->term_um, table->columns[column], table->tolerance);
      columns_ss += table->n_rows * term->term_um * term->term_um;
      check_near (term->se_um, shim_kit_model_scatter_um (model, 0, NULL) * sqrt ((1.0 - 1.0 / table->n_columns) / table->n_rows), 1e-9);
    }
  shim_kit_model_scatter_um (model, 0, &df);
  check_near (df, (table->n_rows - 1.0) * (table->n_columns - 1.0), 0);
  if (isnan (table->rows_ss))
    return;
  check_near (rows_ss, table->rows_ss, table->ss_tolerance);
  check_near (columns_ss, table->columns_ss, table->ss_tolerance);
  check_near (shim_kit_model_residual_ss (model, 0), table->residual_ss, table->ss_tolerance);
  check_near (shim_kit_model_scatter_um (model, 0, NULL), sqrt (shim_kit_model_residual_ss (model, 0) / df), 1e-9);
}

static void
test_two_way (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (tables); i++)
    {
      g_test_message ("%s", tables[i].name);
      check_table (&tables[i], TRUE);
      check_table (&tables[i], FALSE);
    }
}

/* A net with gaps, weights and repeated pairs, against a dense solver that knows nothing of bodies and
 * lenses: one column a body and one a lens but the first. */
static void
check_against_dense (GRand *random, guint n_bodies, guint n_lenses)
{
  const gsize p = n_bodies + n_lenses - 1, n = p + 12;
  g_autofree ShimKitReading *readings = g_new (ShimKitReading, n);
  g_autofree double *design = g_new0 (double, n * p), *y = g_new (double, n), *se = g_new (double, n);
  const ShimKitModelOptions plain = { .robust = FALSE, .use_scatter = FALSE };
  g_autoptr (ShimKitModel) model = NULL;
  g_autoptr (ShimLinearFit) dense = NULL;
  g_autoptr (GError) error = NULL;

  for (gsize i = 0; i < n; i++)
    {
      /* a chain first, so that all is linked; then at random */
      guint body = g_rand_int_range (random, 0, n_bodies), lens = g_rand_int_range (random, 0, n_lenses);

      if (i < n_bodies)
        {
          body = i;
          lens = 0;
        }
      else if (i < p)
        lens = i - n_bodies + 1;
      readings[i] = (ShimKitReading) { body, lens, g_rand_double_range (random, -50, 50), g_rand_double_range (random, 1, 5) };
      design[i * p + body] = 1.0;
      if (lens > 0)
        design[i * p + n_bodies + lens - 1] = 1.0;
      y[i] = readings[i].defocus_um;
      se[i] = readings[i].se_um;
    }
  model = shim_kit_model_new (readings, n, n_bodies, n_lenses, &plain, &error);
  g_assert_no_error (error);
  dense = shim_linear_fit_new (design, y, se, n, p, SHIM_LINE_ERRORS_WIDER, &error);
  g_assert_no_error (error);
  for (guint body = 0; body < n_bodies; body++)
    for (guint lens = 0; lens < n_lenses; lens++)
      {
        double expected = dense->coefficients[body], variance = dense->covariance[body * p + body];
        ShimKitPrediction prediction;

        if (lens > 0)
          {
            const gsize column = n_bodies + lens - 1;

            expected += dense->coefficients[column];
            variance += dense->covariance[column * p + column] + 2.0 * dense->covariance[body * p + column];
          }
        g_assert_true (shim_kit_model_predict (model, body, lens, &prediction));
        g_assert_cmpint (prediction.basis, ==, SHIM_PREDICTION_BOTH);
        check_near (prediction.defocus_um, expected, 1e-8);
        check_near (prediction.se_um, sqrt (variance), 1e-8);
        g_assert_cmpfloat (prediction.single_se_um, >, prediction.se_um);
      }
}

static void
test_against_dense (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (3);

  for (guint run = 0; run < 30; run++)
    check_against_dense (random, g_rand_int_range (random, 1, 8), g_rand_int_range (random, 1, 8));
}

/* Standard errors of terms and levels, the long way: terms are sums of predictions, so their scatter over
 * simulated kits must be what is promised. */
static void
test_simulated_errors (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (4);
  static const ShimKitReading net[] = { { 0, 0, 0, 1 }, { 0, 1, 0, 2 }, { 1, 1, 0, 1 }, { 1, 2, 0, 3 }, { 2, 2, 0, 1 },
                                        { 2, 3, 0, 2 }, { 0, 3, 0, 1 }, { 1, 0, 0, 2 }, { 2, 4, 0, 1 } };
  const ShimKitModelOptions plain = { .robust = FALSE, .use_scatter = FALSE };
  const guint n_kits = 4000;
  double squares[8] = { 0.0 }, promised[8] = { 0.0 };

  for (guint kit = 0; kit < n_kits; kit++)
    {
      ShimKitReading readings[G_N_ELEMENTS (net)];
      g_autoptr (ShimKitModel) model = NULL;

      for (guint i = 0; i < G_N_ELEMENTS (net); i++)
        {
          readings[i] = net[i];
          readings[i].defocus_um = net[i].se_um * normal_number (random);
        }
      model = shim_kit_model_new (readings, G_N_ELEMENTS (net), 3, 5, &plain, NULL);
      for (guint i = 0; i < 8; i++)
        {
          const ShimKitTerm *term = i < 3 ? shim_kit_model_get_body (model, i) : shim_kit_model_get_lens (model, i - 3);

          squares[i] += term->term_um * term->term_um;
          promised[i] += term->se_um * term->se_um;
        }
    }
  /* Two degrees of freedom are left, and errors are widened where χ²/2, which is exponential, is above 1: on
   * average by 1 + 1/e. */
  for (guint i = 0; i < 8; i++)
    {
      g_test_message ("item %u: true variance %.3f, promised %.3f", i, squares[i] / n_kits, promised[i] / n_kits);
      check_near (promised[i] / squares[i], 1.0 + exp (-1.0), 0.09); /* standard error 0.035 */
    }
}

static void
test_contradiction (void)
{
  const double bodies[] = { 5, -8, 3, 0 }, lenses[] = { 20, -15, 0, 8, -30, 12 };
  g_autoptr (GRand) random = g_rand_new_with_seed (8);
  ShimKitReading readings[24];
  g_autoptr (ShimKitModel) model = NULL, plain = NULL;
  const ShimKitModelOptions not_robust = { .robust = FALSE };

  for (guint i = 0; i < 24; i++)
    readings[i] = (ShimKitReading) { i / 6, i % 6, bodies[i / 6] + lenses[i % 6] + 2.0 * normal_number (random), 2.0 };
  readings[9].defocus_um += 60.0; /* body 1, lens 3: a slip */
  model = shim_kit_model_new (readings, 24, 4, 6, NULL, NULL);
  for (guint i = 0; i < 24; i++)
    g_assert_cmpint (shim_kit_model_get_fit (model, i)->contradicts, ==, i == 9);
  g_assert_cmpfloat (shim_kit_model_get_fit (model, 9)->weight, <, 0.2);
  check_near (shim_kit_model_get_fit (model, 9)->residual_um, 60.0, 12.0);
  /* The slip pulls plain least squares off by 60 (4 + 6 − 1)/24 at its own place, the robust fit by much less. */
  plain = shim_kit_model_new (readings, 24, 4, 6, &not_robust, NULL);
  g_assert_cmpfloat (fabs (shim_kit_model_get_fit (plain, 9)->fitted_um), >, 15.0);
  g_assert_cmpfloat (fabs (shim_kit_model_get_fit (model, 9)->fitted_um - 0.0), <, 7.0);
}

/* Kits without any slip: how often is a pair named nevertheless? */
static void
test_false_alarms (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (9);
  const guint n_kits = 1000;
  guint n_alarms = 0, n_off = 0;

  for (guint kit = 0; kit < n_kits; kit++)
    {
      g_autoptr (ShimKitModel) model = NULL;
      ShimKitReading readings[27];
      double bodies[3], lenses[9];
      gboolean alarm = FALSE, off = FALSE;

      for (guint i = 0; i < 3; i++)
        bodies[i] = 4.0 * normal_number (random);
      for (guint i = 0; i < 9; i++)
        lenses[i] = 5.0 * normal_number (random);
      for (guint i = 0; i < 27; i++)
        readings[i] = (ShimKitReading) { i % 3, i / 3, bodies[i % 3] + lenses[i / 3] + 2.0 * normal_number (random), 2.0 };
      model = shim_kit_model_new (readings, 27, 3, 9, NULL, NULL);
      for (guint i = 0; i < 27; i++)
        alarm = alarm || shim_kit_model_get_fit (model, i)->contradicts;
      for (guint i = 0; i < 12; i++)
        off = off || (i < 3 ? shim_kit_model_get_body (model, i)->is_off : shim_kit_model_get_lens (model, i - 3)->is_off);
      n_alarms += alarm;
      n_off += off;
    }
  g_test_message ("%u of %u kits had a pair named, %u an item", n_alarms, n_kits, n_off);
  g_assert_cmpuint (n_alarms, <=, 20); /* 1 % promised, standard error 0.3 % */
  /* Nothing is off by itself here: the limit of 20 µm lies four standard deviations out. */
  g_assert_cmpuint (n_off, <=, 10);
}

static void
test_off_by_itself (void)
{
  const double bodies[] = { 4, 45, -3 }, lenses[] = { 5, -8, 3, 0, 60, -4 };
  g_autoptr (ShimKitModel) model = NULL, alone = NULL, one_lens = NULL;
  ShimKitReading readings[18];

  for (guint i = 0; i < 18; i++)
    readings[i] = (ShimKitReading) { i / 6, i % 6, bodies[i / 6] + lenses[i % 6], 2.0 };
  model = shim_kit_model_new (readings, 18, 3, 6, NULL, NULL);
  for (guint i = 0; i < 3; i++)
    g_assert_cmpint (shim_kit_model_get_body (model, i)->is_off, ==, i == 1);
  for (guint i = 0; i < 6; i++)
    g_assert_cmpint (shim_kit_model_get_lens (model, i)->is_off, ==, i == 4);
  check_near (shim_kit_model_get_body (model, 1)->off_by_um, 45 - 0.5, 1e-9);
  check_near (shim_kit_model_get_lens (model, 4)->off_by_um, 60 - 0, 1e-9);

  /* One body: when its lenses are all off alike, it is the body. */
  for (guint i = 0; i < 6; i++)
    readings[i] = (ShimKitReading) { 0, i, 40 + lenses[i % 4], 2.0 };
  alone = shim_kit_model_new (readings, 6, 1, 6, NULL, NULL);
  g_assert_true (shim_kit_model_get_body (alone, 0)->is_off);
  check_near (shim_kit_model_get_body (alone, 0)->off_by_um, 40 - 0.5, 1e-9);
  for (guint i = 0; i < 6; i++)
    g_assert_false (shim_kit_model_get_lens (alone, i)->is_off);

  /* One body and one lens: nobody can say which. */
  one_lens = shim_kit_model_new (readings, 1, 1, 1, NULL, NULL);
  g_assert_false (shim_kit_model_get_body (one_lens, 0)->is_off);
  g_assert_true (isnan (shim_kit_model_get_body (one_lens, 0)->off_by_um));
}

static void
test_groups_and_predictions (void)
{
  /* bodies 0, 1 with lenses 0–3; body 2 with lens 4 apart; body 3 and lens 5 without any reading */
  const ShimKitReading readings[] = { { 0, 0, 10, 1 }, { 0, 1, 20, 1 }, { 0, 2, 30, 1 }, { 1, 2, 25, 1 }, { 1, 3, 5, 1 }, { 2, 4, -7, 2 } };
  g_autoptr (ShimKitModel) model = shim_kit_model_new (readings, G_N_ELEMENTS (readings), 4, 6, NULL, NULL);
  ShimKitPrediction prediction;

  g_assert_cmpuint (shim_kit_model_n_components (model), ==, 2);
  g_assert_false (shim_kit_model_get_body (model, 3)->known);
  g_assert_cmpuint (shim_kit_model_get_body (model, 2)->component, ==, 1);

  /* never measured: 10 + (25 − 30), with three errors of 1 */
  g_assert_true (shim_kit_model_predict (model, 1, 0, &prediction));
  check_near (prediction.defocus_um, 5.0, 1e-9);
  check_near (prediction.se_um, sqrt (3.0), 1e-9);
  check_near (prediction.single_se_um, 2.0, 1e-9);
  /* not linked, or not known at all */
  g_assert_false (shim_kit_model_predict (model, 2, 0, &prediction));
  g_assert_cmpint (prediction.basis, ==, SHIM_PREDICTION_NONE);
  g_assert_false (shim_kit_model_predict (model, 3, 5, &prediction));
  /* a new lens on a known body: what the body shows, as uncertain as lenses differ */
  g_assert_true (shim_kit_model_predict (model, 0, 5, &prediction));
  g_assert_cmpint (prediction.basis, ==, SHIM_PREDICTION_BODY_ONLY);
  check_near (prediction.defocus_um, (10 + 20 + 30 + 10) / 4.0, 1e-9);
  g_assert_cmpfloat (prediction.se_um, >, 9.0);
  /* a new body: two known ones are too few to say how bodies differ */
  g_assert_false (shim_kit_model_predict (model, 3, 0, &prediction));
  /* nothing checks a reading that stands alone */
  g_assert_true (isnan (shim_kit_model_get_fit (model, 5)->studentized));
  check_near (shim_kit_model_get_fit (model, 5)->fitted_um, -7, 1e-9);
}

static void
test_invalid (void)
{
  const ShimKitReading bad[] = { { 0, 0, NAN, 1 } }, no_error[] = { { 0, 0, 1, 0 } }, outside[] = { { 0, 9, 1, 1 } };
  const ShimKitReading *const cases[] = { bad, no_error, outside };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_null (shim_kit_model_new (cases[i], 1, 1, 1, NULL, &error));
      g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID);
    }
  {
    g_autoptr (GError) error = NULL;

    g_assert_null (shim_kit_model_new (NULL, 0, 1, 1, NULL, &error));
    g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_TOO_FEW);
  }
}

/* 300 bodies and 3000 lenses, each lens tried on three bodies. */
static void
test_size (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (10);
  const guint n = 9000;
  g_autofree ShimKitReading *readings = g_new (ShimKitReading, n);
  g_autofree double *bodies = g_new (double, 300), *lenses = g_new (double, 3000);
  g_autoptr (ShimKitModel) model = NULL;
  ShimKitPrediction prediction;
  guint n_within = 0;

  for (guint i = 0; i < 300; i++)
    bodies[i] = 5.0 * normal_number (random);
  for (guint i = 0; i < 3000; i++)
    lenses[i] = 10.0 * normal_number (random);
  for (guint i = 0; i < n; i++)
    {
      const guint body = g_rand_int_range (random, 0, 300), lens = i % 3000;

      readings[i] = (ShimKitReading) { body, lens, bodies[body] + lenses[lens] + 2.0 * normal_number (random), 2.0 };
    }
  model = shim_kit_model_new (readings, n, 300, 3000, NULL, NULL);
  for (guint i = 0; i < 1000; i++)
    {
      const guint body = g_rand_int_range (random, 0, 300), lens = g_rand_int_range (random, 0, 3000);

      g_assert_true (shim_kit_model_predict (model, body, lens, &prediction));
      n_within += fabs (prediction.defocus_um - bodies[body] - lenses[lens]) <= 2.0 * prediction.se_um;
    }
  g_test_message ("%u of 1000 predictions within 2 standard errors", n_within);
  /* 95.4 % promised; predictions that share bodies are not independent, so ± 1.5 % occurs */
  g_assert_cmpuint (n_within, >=, 930);
  g_assert_cmpuint (n_within, <=, 980);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/kit-model/two-way", test_two_way);
  g_test_add_func ("/core/kit-model/against-dense", test_against_dense);
  g_test_add_func ("/core/kit-model/simulated-errors", test_simulated_errors);
  g_test_add_func ("/core/kit-model/contradiction", test_contradiction);
  g_test_add_func ("/core/kit-model/false-alarms", test_false_alarms);
  g_test_add_func ("/core/kit-model/off-by-itself", test_off_by_itself);
  g_test_add_func ("/core/kit-model/groups-and-predictions", test_groups_and_predictions);
  g_test_add_func ("/core/kit-model/invalid", test_invalid);
  g_test_add_func ("/core/kit-model/size", test_size);
  return g_test_run ();
}
