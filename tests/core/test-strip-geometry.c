/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "shim-robust-line.h"
#include "shim-strip-geometry.h"

/* IEC 61966-2-1 (sRGB), from memory: V = 12.92 L up to L = 0.0031308, else V = 1.055 L^(1/2.4) − 0.055. The
 * table must be its inverse; 18 % grey is 117.6 of 255 and half of the light 187.5. */
static void
test_tone (void)
{
  const float *linear = shim_tone_linear_table ();

  check_near (linear[0], 0.0, 0.0);
  check_near (linear[255], 1.0, 1e-6);
  for (int i = 0; i < 256; i++)
    {
      const double light = linear[i];
      const double value = light <= 0.0031308 ? 12.92 * light : 1.055 * pow (light, 1.0 / 2.4) - 0.055;

      check_near (255.0 * value, i, 1e-3);
    }
  check_near (linear[117] + 0.6 * (linear[118] - linear[117]), 0.18, 5e-4);
  check_near (0.5 * (linear[187] + linear[188]), 0.5, 1e-3);
}

/* A picture in which each pixel says where it is. */
static guint8 *
numbered (ShimLuma *luma, ShimRect rect)
{
  guint8 *px = g_malloc ((gsize) rect.width * rect.height);

  for (int y = 0; y < rect.height; y++)
    for (int x = 0; x < rect.width; x++)
      px[y * rect.width + x] = (guint8) (20 + (rect.x + x) + 10 * (rect.y + y));
  *luma = (ShimLuma) { rect, 40, 30, (gsize) rect.width, px };
  return px;
}

static void
test_cut (void)
{
  const float *linear = shim_tone_linear_table ();
  ShimLuma luma;
  g_autofree guint8 *px = numbered (&luma, (ShimRect) { 4, 6, 12, 9 });
  g_autoptr (ShimStrip) upright = shim_strip_cut (&luma, FALSE, 9.0, 0.0, 15.0, 2.0, 0.0, 30.0);
  g_autoptr (ShimStrip) turned = shim_strip_cut (&luma, TRUE, 9.0, 0.5, 10.0, 2.0, 0.0, 40.0);

  g_assert_cmpint (upright->v_first, ==, 6);
  g_assert_cmpint (upright->n_v, ==, 9);
  g_assert_cmpint (upright->n_u, ==, 4);
  for (int i = 0; i < upright->n_v; i++)
    {
      g_assert_cmpint (upright->u_first[i], ==, 7);
      for (int j = 0; j < 4; j++)
        check_near (shim_strip_row (upright, i)[j], linear[20 + 7 + j + 10 * (6 + i)], 1e-7);
    }

  g_assert_cmpint (turned->v_first, ==, 4);
  g_assert_cmpint (turned->n_v, ==, 12);
  for (int i = 0; i < turned->n_v; i++)
    for (int j = 0; j < turned->n_u; j++)
      {
        const int x = turned->v_first + i, y = turned->u_first[i] + j;
        const double value = shim_strip_row (turned, i)[j];

        g_assert_cmpint (abs (turned->u_first[i] + 2 - (int) lrint (9.0 + 0.5 * (x + 0.5 - 10.0))), <=, 1);
        if (y < 6 || y >= 15)
          g_assert_true (isnan (value));
        else
          check_near (value, linear[20 + x + 10 * y], 1e-7);
      }
  g_assert_null (shim_strip_cut (&luma, FALSE, 9.0, 0.0, 15.0, 2.0, 20.0, 30.0));
}

/* Without a wrong point the robust line is the certified one; with a third of them wrong it hardly moves.
 * Certified by NIST, Statistical Reference Datasets, linear regression, Norris. */
static void
test_robust_line (void)
{
  gsize n = 0;
  g_autofree double *table = read_table ("Norris.dat", 61, 2, &n);
  g_autoptr (ShimRobustLine) clean = shim_robust_line_new ();
  g_autoptr (ShimRobustLine) spoilt = shim_robust_line_new ();
  double intercept, slope;

  for (gsize i = 0; i < n; i++)
    {
      shim_robust_line_add (clean, table[2 * i + 1], table[2 * i], 1.0);
      shim_robust_line_add (spoilt, table[2 * i + 1], table[2 * i] + (i % 3 == 0 ? 400.0 : 0.0), 1.0);
    }
  /* A scale this large calls no point wrong. */
  g_assert_true (shim_robust_line_solve (clean, 1e6, &intercept, &slope));
  check_digits (slope, 1.00211681802045, 9);
  check_digits (intercept, -0.262323073774029, 7);
  g_assert_true (shim_robust_line_solve (spoilt, 1.0, &intercept, &slope));
  check_near (slope, 1.0021168, 0.002);
  check_near (intercept, -0.2623, 0.6);
  check_near (shim_robust_line_share (spoilt, intercept, slope, 5.0), 2.0 / 3.0, 1e-9);
}

static void
test_no_line (void)
{
  g_autoptr (ShimRobustLine) line = shim_robust_line_new ();
  double intercept, slope;

  shim_robust_line_add (line, 1.0, 2.0, 1.0);
  shim_robust_line_add (line, 2.0, 3.0, 1.0);
  g_assert_false (shim_robust_line_solve (line, 1.0, &intercept, &slope));
  g_assert_cmpuint (shim_robust_line_count (line), ==, 2);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/strip/tone", test_tone);
  g_test_add_func ("/core/strip/cut", test_cut);
  g_test_add_func ("/core/robust-line/norris", test_robust_line);
  g_test_add_func ("/core/robust-line/too-few", test_no_line);
  return g_test_run ();
}
