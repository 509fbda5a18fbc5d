/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-blur-model.h"

/* J1 as tabulated in M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, tables 9.1 and 9.5 (from memory). */
static void
test_disc (void)
{
  static const struct
  {
    double x, j1;
  } table[] = {
    { 0.5, 0.2422684577 }, { 1.0, 0.4400505857 }, { 2.0, 0.5767248078 }, { 3.8317059702, 0.0 },
    { 5.0, -0.3275791376 }, { 7.0155866698, 0.0 }, { 10.0, 0.0434727462 },
  };

  g_assert_cmpfloat_with_epsilon (shim_blur_disc_gain (0.0), 1.0, 1e-7);
  for (guint i = 0; i < G_N_ELEMENTS (table); i++)
    {
      g_assert_cmpfloat_with_epsilon (shim_blur_disc_gain (table[i].x), 2.0 * table[i].j1 / table[i].x, 2e-6);
      g_assert_cmpfloat (shim_blur_disc_gain (-table[i].x), ==, shim_blur_disc_gain (table[i].x));
    }
  g_assert_cmpfloat (shim_blur_disc_gain (1e9), ==, 0.0);
  g_assert_cmpfloat (shim_blur_disc_gain (NAN), ==, 0.0);
}

/* The transform of a disc, found again by adding up its chords: a disc of diameter c seen across has the density
 * (8 / π c²) √(c²/4 − x²). */
static void
test_disc_by_chords (void)
{
  enum { N = 4000 };

  for (double c = 0.5; c < 9.0; c += 1.7)
    for (double f = 0.05; f < 0.5; f += 0.1)
      {
        double sum = 0.0;

        for (int i = 0; i < N; i++)
          {
            double x = c * ((i + 0.5) / N - 0.5);

            sum += 8.0 / (G_PI * c * c) * sqrt (c * c / 4.0 - x * x) * cos (2.0 * G_PI * f * x) * c / N;
          }
        g_assert_cmpfloat_with_epsilon (shim_blur_disc_gain (G_PI * c * f), sum, 1e-5);
      }
}

/* Closed forms: a pixel at half a cycle passes 2/π; a Gaussian at f = 1/(2πσ) passes exp(−1/2). */
static void
test_softness_and_pixel (void)
{
  g_assert_cmpfloat_with_epsilon (shim_blur_pixel_gain (0.5), 2.0 / G_PI, 1e-12);
  g_assert_cmpfloat_with_epsilon (shim_blur_pixel_gain (0.0), 1.0, 1e-12);
  g_assert_cmpfloat_with_epsilon (shim_blur_pixel_gain (1.0), 0.0, 1e-12);
  g_assert_cmpfloat_with_epsilon (shim_blur_softness_gain (0.49, 1.0 / (2.0 * G_PI * 0.7)), exp (-0.5), 1e-12);
  g_assert_cmpfloat (shim_blur_softness_gain (-0.2, 0.4), >, 1.0);
}

static void
test_model (void)
{
  const ShimBlurModel model = { .v_sharp = 1000.0, .softness2 = 0.36, .kappa = 0.011 };
  const double best = shim_blur_model_gain (&model, 1000.0, 0.4);
  const double first_zero = 3.8317059702 / (G_PI * 0.011 * 0.4);

  g_assert_cmpfloat_with_epsilon (best, exp (-2.0 * G_PI * G_PI * 0.36 * 0.16) * sin (0.4 * G_PI) / (0.4 * G_PI), 1e-9);
  g_assert_cmpfloat_with_epsilon (shim_blur_model_gain (&model, 1000.0 + first_zero, 0.4), 0.0, 1e-6);
  g_assert_cmpfloat (shim_blur_model_gain (&model, 1000.0 - 1.2 * first_zero, 0.4), <, 0.0);
  g_assert_cmpfloat_with_epsilon (shim_blur_model_gain (&model, 900.0, 0.4), shim_blur_model_gain (&model, 1100.0, 0.4), 1e-9);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/blur-model/disc", test_disc);
  g_test_add_func ("/core/blur-model/disc-by-chords", test_disc_by_chords);
  g_test_add_func ("/core/blur-model/softness-and-pixel", test_softness_and_pixel);
  g_test_add_func ("/core/blur-model/model", test_model);
  return g_test_run ();
}
