/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <string.h>

#include "shim-jpeg-loss.h"

/* First column of the luma table of ITU-T T.81, table K.1, scaled to a middling quality; the same for every column. */
static void
fill_steps (guint16 steps[SHIM_JPEG_COEFFICIENTS], double scale)
{
  static const double column[SHIM_JPEG_SIDE] = { 16, 12, 14, 14, 18, 24, 49, 72 };

  for (int k = 0; k < SHIM_JPEG_SIDE; k++)
    for (int h = 0; h < SHIM_JPEG_SIDE; h++)
      steps[k * SHIM_JPEG_SIDE + h] = (guint16) MAX (1.0, round (scale * column[k]));
}

/* Cosine transform of a block as its definition has it (ITU-T T.81, A.3.3), forth or back: rows, then columns. */
static void
transform_block (double block[8][8], gboolean back)
{
  static double base[8][8];
  double half[8][8] = { 0 };

  for (int k = 0; k < 8; k++)
    for (int y = 0; y < 8 && base[7][7] == 0.0; y++)
      base[k][y] = 0.5 * (k == 0 ? M_SQRT1_2 : 1.0) * cos ((2 * y + 1) * k * G_PI / 16.0);
  for (int i = 0; i < 8; i++)
    for (int b = 0; b < 8; b++)
      for (int j = 0; j < 8; j++)
        half[i][b] += block[i][j] * (back ? base[j][b] : base[b][j]);
  memset (block, 0, sizeof half);
  for (int a = 0; a < 8; a++)
    for (int b = 0; b < 8; b++)
      for (int i = 0; i < 8; i++)
        block[a][b] += half[i][b] * (back ? base[i][a] : base[a][i]);
}

/* Ticks over eight columns are compressed block by block for real, with noise, and their amplitude is taken again. */
static double
kept_by_experiment (const guint16 *steps, double noise, const ShimJpegTicks *ticks, gsl_rng *random)
{
  double above = 0.0, below = 0.0;

  for (int n = 0; n < 4000; n++)
    {
      double block[8][8], phase = 2.0 * G_PI * gsl_rng_uniform (random);

      for (int y = 0; y < 8; y++)
        for (int x = 0; x < 8; x++)
          block[y][x] = ticks->amplitude * cos (2.0 * G_PI * ticks->cycles_per_px * y + phase)
                        + gsl_ran_gaussian (random, noise);
      transform_block (block, FALSE);
      for (int k = 0; k < 8; k++)
        for (int h = 0; h < 8; h++)
          block[k][h] = steps[8 * k + h] * round (block[k][h] / steps[8 * k + h]);
      transform_block (block, TRUE);
      for (int y = 0; y < 8; y++)
        for (int x = 0; x < 8; x++)
          {
            double wave = cos (2.0 * G_PI * ticks->cycles_per_px * y + phase);

            above += wave * block[y][x];
            below += wave * wave * ticks->amplitude;
          }
    }
  return above / below;
}

static void
test_against_experiment (void)
{
  static const double scales[] = { 0.06, 0.12, 0.4 };
  static const double amplitudes[] = { 0.5, 1.0, 2.0, 4.0, 8.0 };
  static const double noises[] = { 0.5, 1.5 };
  gsl_rng *random = gsl_rng_alloc (gsl_rng_mt19937);
  guint16 steps[SHIM_JPEG_COEFFICIENTS];

  for (guint s = 0; s < G_N_ELEMENTS (scales); s++)
    for (guint a = 0; a < G_N_ELEMENTS (amplitudes); a++)
      for (guint n = 0; n < G_N_ELEMENTS (noises); n++)
        {
          const ShimJpegTicks ticks = { .cycles_per_px = 0.41, .from_px = 16.0, .to_px = 24.0, .amplitude = amplitudes[a] };
          g_autoptr (ShimJpegLoss) loss = NULL;
          double kept;

          fill_steps (steps, scales[s]);
          loss = shim_jpeg_loss_new (steps, noises[n]);
          kept = kept_by_experiment (steps, noises[n], &ticks, random);
          g_test_message ("scale %.2f, amplitude %.1f, noise %.1f: %.3f, by experiment %.3f", scales[s], amplitudes[a],
                          noises[n], shim_jpeg_loss_keep (loss, &ticks), kept);
          g_assert_cmpfloat_with_epsilon (shim_jpeg_loss_keep (loss, &ticks), kept, 0.06);
        }
  gsl_rng_free (random);
}

/* The mean of what is left of a value plus noise after rounding, by its definition: whole steps times the share of the normal
 * distribution that is rounded to each. */
static double
kept_by_definition (double x, double step, double noise)
{
  double mean = 0.0;

  for (double whole = -40.0; whole <= 40.0; whole += 1.0)
    mean += whole * step * (gsl_cdf_gaussian_P ((whole + 0.5) * step - x, noise)
                            - gsl_cdf_gaussian_P ((whole - 0.5) * step - x, noise));
  return mean;
}

/* Of ticks infinitely far apart a block sees even light, as bright as their phase has it; all of it is in one coefficient. */
static void
test_against_definition (void)
{
  static const double noises[] = { 0.05, 0.3, 0.6, 1.2 };
  guint16 steps[SHIM_JPEG_COEFFICIENTS];

  fill_steps (steps, 0.125);
  g_assert_cmpint (steps[0], ==, 2);
  for (guint n = 0; n < G_N_ELEMENTS (noises); n++)
    for (double amplitude = 0.3; amplitude < 4.0; amplitude += 0.37)
      {
        const ShimJpegTicks ticks = { .cycles_per_px = 0.0, .from_px = 8.0, .to_px = 16.0, .amplitude = amplitude };
        g_autoptr (ShimJpegLoss) loss = shim_jpeg_loss_new (steps, noises[n]);
        double kept = 0.0, whole = 0.0;

        for (int p = 0; p < 14; p++)
          {
            const double x = 8.0 * amplitude * cos (G_PI * (p + 0.5) / 14.0);

            if (fabs (x) < 0.02 * amplitude)
              continue;
            kept += x * kept_by_definition (x, 2.0, noises[n]);
            whole += x * x;
          }
        g_assert_cmpfloat_with_epsilon (shim_jpeg_loss_keep (loss, &ticks), kept / whole, 1e-5);
      }
}

static double
keep (const guint16 *steps, double amplitude)
{
  const ShimJpegTicks ticks = { .cycles_per_px = 0.4, .from_px = 3.0, .to_px = 15.0, .amplitude = amplitude };
  g_autoptr (ShimJpegLoss) loss = shim_jpeg_loss_new (steps, 0.5);

  return shim_jpeg_loss_keep (loss, &ticks);
}

static void
test_limits (void)
{
  guint16 steps[SHIM_JPEG_COEFFICIENTS] = { 0 };

  /* nothing known: nothing lost */
  g_assert_cmpfloat (keep (steps, 2.0), ==, 1.0);
  fill_steps (steps, 2.0);
  g_assert_cmpfloat (keep (steps, 2.0), <, 0.01);
  g_assert_cmpfloat (keep (steps, 60.0), >, 0.6);
  g_assert_cmpfloat (keep (steps, 0.0), ==, 1.0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/jpeg-loss/against-experiment", test_against_experiment);
  g_test_add_func ("/core/jpeg-loss/against-definition", test_against_definition);
  g_test_add_func ("/core/jpeg-loss/limits", test_limits);
  return g_test_run ();
}
