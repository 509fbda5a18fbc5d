/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "shim-core-error.h"
#include "shim-zoom-value.h"

static ShimZoomReading
reading (double focal_mm, double wanted, double tolerance_steps)
{
  return (ShimZoomReading) { focal_mm, 50.0 * focal_mm, wanted, tolerance_steps };
}

static void
test_one (void)
{
  const ShimZoomReading readings[] = { reading (24, 2, 2), reading (50, 5, 2), reading (70, 9, 2) };
  const ShimZoomReading single[] = { reading (41, -3.4, 2) };
  ShimZoomOne one;

  g_assert_true (shim_zoom_one (readings, 3, -20, 20, &one, NULL));
  /* 5 leaves 3, 0 and 4 steps, 6 leaves 4, 1 and 3: the worst is alike, the total less with 5. */
  g_assert_cmpint (one.setting, ==, 5);
  check_near (one.worst, 2.0, 1e-12);
  check_near (one.worst_focal_mm, 70, 0);
  g_assert_true (shim_zoom_one (single, 1, -20, 20, &one, NULL));
  g_assert_cmpint (one.setting, ==, -3);
  g_assert_true (shim_zoom_one (readings, 3, -3, 3, &one, NULL));
  g_assert_cmpint (one.setting, ==, 3);
  /* geometric middle: both ends the same ratio away */
  check_near (shim_zoom_middle_mm (24, 70) / 24, 70 / shim_zoom_middle_mm (24, 70), 1e-12);
  g_assert_true (isnan (shim_zoom_middle_mm (70, 24)));
}

/* Whatever whole setting one tries, the worst error is not less. The unrounded optimum of a minimax of
 * weighted distances is known in closed form: max over pairs of |w_i − w_j| / (t_i + t_j) is a bound from
 * below, reached but for rounding. */
static void
test_one_bound (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (11);

  for (guint run = 0; run < 500; run++)
    {
      const guint n = g_rand_int_range (random, 1, 7);
      ShimZoomReading readings[7];
      double bound = 0.0, finest = INFINITY;
      ShimZoomOne one;

      for (guint i = 0; i < n; i++)
        {
          readings[i] = reading (g_rand_double_range (random, 24, 70), g_rand_double_range (random, -15, 15),
                                 g_rand_double_range (random, 0.5, 4));
          finest = MIN (finest, readings[i].tolerance_steps);
          for (guint j = 0; j < i; j++)
            bound = MAX (bound, fabs (readings[i].wanted - readings[j].wanted)
                                  / (readings[i].tolerance_steps + readings[j].tolerance_steps));
        }
      g_assert_true (shim_zoom_one (readings, n, -20, 20, &one, NULL));
      g_assert_cmpfloat (one.worst, >=, bound - 1e-12);
      g_assert_cmpfloat (one.worst, <=, bound + 0.5 / finest + 1e-12);
      for (int setting = -20; setting <= 20; setting++)
        {
          double worst = 0.0;

          for (guint i = 0; i < n; i++)
            worst = MAX (worst, fabs (setting - readings[i].wanted) / readings[i].tolerance_steps);
          g_assert_cmpfloat (one.worst, <=, worst + 1e-9);
        }
    }
}

static void
test_two (void)
{
  const ShimZoomReading ends[] = { reading (24, 2.2, 2), reading (70, 8.9, 2) };
  const ShimZoomReading with_middle[] = { reading (24, 2, 2), reading (sqrt (24.0 * 70.0), 8, 2), reading (70, 8, 2) };
  g_autoptr (GError) error = NULL;
  ShimZoomTwo two;

  /* Measured at the ends: each end rounds for itself. */
  g_assert_true (shim_zoom_two (ends, 2, 24, 70, -20, 20, &two, NULL));
  g_assert_cmpint (two.wide, ==, 2);
  g_assert_cmpint (two.tele, ==, 9);
  check_near (two.worst, 0.1, 1e-12);

  /* With 2 + a and 8 + b the ends are a and b off, and the middle 3 − (a + b)/2. Whole a and b of at most 1
   * leave 2 or more in the middle, others leave 2 or more at an end: 2 steps, which is one tolerance, is the
   * least. */
  g_assert_true (shim_zoom_two (with_middle, 3, 24, 70, -20, 20, &two, NULL));
  check_near (two.worst, 1.0, 1e-12);

  g_assert_false (shim_zoom_two (ends, 1, 24, 70, -20, 20, &two, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_TOO_FEW);
  g_clear_error (&error);
  g_assert_false (shim_zoom_two (ends, 2, 70, 24, -20, 20, &two, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID);
  g_clear_error (&error);
  g_assert_false (shim_zoom_two (ends, 2, 24, 70, -2000000, 2000000, &two, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID);
}

/* Four focal lengths by four distances, as such tables usually are (common practice, no source). */
static void
test_table (void)
{
  static const double focals[] = { 24, 35, 50, 70 }, distances[] = { 400, 1000, 3000, INFINITY };
  const ShimTableGrid grid = { focals, 4, distances, 4, -20, 20 };
  const ShimZoomReading readings[] = {
    { 24, 420, 2, 1 },  { 24, INFINITY, 6, 1 }, /* the first row: interpolated by 1/distance between */
    { 50, 990, 10, 1 }, { 51, 1010, 13, 2 },    /* one cell twice: weights 1 and 1/4 */
    { 70, 3000, 40, 1 },                        /* beyond the range */
  };
  ShimTableCell cells[16];
  const double middle = (log (35.0) - log (24.0)) / (log (50.0) - log (24.0));
  g_autoptr (GError) error = NULL;

  g_assert_true (shim_own_table_fill (&grid, readings, 5, cells, &error));
  g_assert_no_error (error);
  g_assert_cmpint (cells[0].source, ==, SHIM_CELL_MEASURED);
  g_assert_cmpint (cells[0].setting, ==, 2);
  g_assert_cmpint (cells[1].source, ==, SHIM_CELL_INTERPOLATED);
  check_near (cells[1].wanted, 2 + 4 * (1.0 / 400 - 1.0 / 1000) * 400, 1e-12);
  check_near (cells[2].wanted, 2 + 4 * (1.0 / 400 - 1.0 / 3000) * 400, 1e-12);
  g_assert_cmpint (cells[3].setting, ==, 6);
  check_near (cells[9].wanted, (10 + 13 / 4.0) / 1.25, 1e-12);
  g_assert_cmpuint (cells[9].n_readings, ==, 2);
  g_assert_cmpint (cells[8].source, ==, SHIM_CELL_COPIED);
  g_assert_cmpint (cells[11].source, ==, SHIM_CELL_COPIED);
  /* 35 mm has no reading: between 24 and 50 by ratio */
  g_assert_cmpint (cells[4].source, ==, SHIM_CELL_INTERPOLATED);
  check_near (cells[4].wanted, cells[0].wanted + middle * (cells[8].wanted - cells[0].wanted), 1e-12);
  g_assert_cmpint (cells[14].setting, ==, 20);
  check_near (cells[14].wanted, 40, 1e-12);

  g_assert_false (shim_own_table_fill (&grid, NULL, 0, cells, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_TOO_FEW);
  g_assert_cmpint (cells[5].source, ==, SHIM_CELL_EMPTY);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/zoom-value/one", test_one);
  g_test_add_func ("/core/zoom-value/one-bound", test_one_bound);
  g_test_add_func ("/core/zoom-value/two", test_two);
  g_test_add_func ("/core/zoom-value/table", test_table);
  return g_test_run ();
}
