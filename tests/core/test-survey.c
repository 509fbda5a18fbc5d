/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_fft_real.h>
#include <math.h>

#include "check-values.h"
#include "shim-spectrum.h"
#include "shim-survey.h"
#include "tick-picture.h"

#define N SHIM_SPECTRUM_LENGTH

/* The peak of a window by the reference library's transform: bin of the greatest power from bin @from on,
 * refined as in the program by the amplitudes beside it. */
static double
reference_bin (const guint16 *samples, int from)
{
  double x[N], power[N / 2], mean = 0.0;
  int best = from;

  for (int i = 0; i < N; i++)
    mean += samples[i] / (double) N;
  for (int i = 0; i < N; i++)
    x[i] = (samples[i] / mean - 1.0) * (0.5 - 0.5 * cos (2.0 * G_PI * (i + 0.5) / N));
  gsl_fft_real_radix2_transform (x, 1, N);
  for (int k = 1; k < N / 2; k++)
    {
      power[k] = hypot (x[k], x[N - k]);
      if (k >= from && power[k] > power[best])
        best = k;
    }
  return best + 0.5 * (power[best + 1] - power[best - 1]) / (2.0 * power[best] - power[best - 1] - power[best + 1]);
}

static void
test_spectrum (void)
{
  static const double bins[SHIM_SPECTRUM_BATCH] = { 7.3, 12.0, 19.6, 26.2, 33.3, 41.7, 52.9, 60.4,
                                                    8.8, 15.5, 22.1, 29.0, 37.5, 45.2, 49.7, 57.3 };
  guint16 samples[SHIM_SPECTRUM_BATCH][N];
  const guint16 *first[SHIM_SPECTRUM_BATCH];
  ShimSpectrumPeak peaks[SHIM_SPECTRUM_BATCH][SHIM_SPECTRUM_BANDS];

  for (int w = 0; w < SHIM_SPECTRUM_BATCH; w++)
    {
      first[w] = samples[w];
      for (int i = 0; i < N; i++)
        samples[w][i] = (guint16) lrint (1000.0 + 50.0 * cos (2.0 * G_PI * bins[w] * i / N + w));
    }
  shim_spectrum_peaks (first, 1, peaks);
  for (int w = 0; w < SHIM_SPECTRUM_BATCH; w++)
    {
      const ShimSpectrumPeak *peak = &peaks[w][bins[w] < 24.0 ? SHIM_SPECTRUM_COARSE : SHIM_SPECTRUM_FINE];

      check_near (peak->bin, reference_bin (samples[w], 5), 2e-3);
      check_near (peak->bin, bins[w], 0.15);
      g_assert_cmpfloat (peak->score, >, 2.0);
    }
}

/* Flat ground, a single edge and the harmonics of coarse squares are no ticks. */
static void
test_no_ticks (void)
{
  guint16 samples[SHIM_SPECTRUM_BATCH][N] = { 0 };
  const guint16 *first[SHIM_SPECTRUM_BATCH];
  ShimSpectrumPeak peaks[SHIM_SPECTRUM_BATCH][SHIM_SPECTRUM_BANDS];

  for (int w = 0; w < SHIM_SPECTRUM_BATCH; w++)
    {
      first[w] = samples[w];
      for (int i = 0; i < N; i++)
        samples[w][i] = w == 0 ? 1000 : w == 1 ? (i < 50 ? 400 : 1500) : (i / 9) % 2 ? 300 : 1700;
    }
  shim_spectrum_peaks (first, 1, peaks);
  for (int w = 0; w < SHIM_SPECTRUM_BATCH; w++)
    check_near (peaks[w][SHIM_SPECTRUM_FINE].score, 0.0, 0.0);
}

static GArray *
survey (const ShimLuma *luma, const ShimPoint *click)
{
  const int width = luma->picture_width, height = luma->picture_height;
  g_autoptr (ShimSurvey) self = shim_survey_new (width, height);

  /* In blocks of uneven height, as a decoder hands them over. */
  for (int y = 0, n = 1; y < height; y += n, n = n % 17 + 3)
    {
      n = MIN (n, height - y);
      shim_survey_add_rows (self, y, n, luma->px + (gsize) y * luma->stride, luma->stride);
    }
  return click != NULL ? shim_survey_find_near (self, *click, 3) : shim_survey_find (self, 3);
}

static void
check_found (const TickPicture *picture)
{
  ShimLuma luma;
  g_autofree guint8 *px = tick_picture_draw (picture, &luma);
  g_autoptr (GArray) found = survey (&luma, NULL);
  const ShimStripGuess *guess;
  double t, u, v, reading, beside, cycles;

  g_assert_cmpuint (found->len, >, 0);
  guess = &g_array_index (found, ShimStripGuess, 0);
  g_assert_cmpint (guess->transposed, ==, picture->turned);
  v = guess->v_best;
  t = v - 0.5 * (guess->transposed ? luma.picture_width : luma.picture_height);
  u = guess->u0 + guess->u1 * t;
  reading = picture->turned ? tick_picture_reading (picture, v, u) : tick_picture_reading (picture, u, v);
  beside = picture->turned ? tick_picture_reading (picture, v + 1.0, u) : tick_picture_reading (picture, u, v + 1.0);
  cycles = fabs (beside - reading) / picture->tick_mm;
  check_near (guess->cycles_per_px, cycles, 0.012);
  g_assert_cmpfloat (reading, >, picture->first * picture->tick_mm);
  g_assert_cmpfloat (reading, <, picture->last * picture->tick_mm);
  g_assert_cmpint (guess->rect.x, <=, (int) (guess->transposed ? guess->v_lo : u));
  g_assert_cmpint (guess->rect.y, <=, (int) (guess->transposed ? u : guess->v_lo));
}

static void
test_find (void)
{
  TickPicture picture = TICK_PICTURE_PLAIN;

  check_found (&picture);
  picture.turned = TRUE;
  check_found (&picture);
  picture.roll_deg = 4.5;
  check_found (&picture);
  picture.turned = FALSE;
  picture.roll_deg = -4.5;
  check_found (&picture);
  picture.ink = 0.5;
  picture.paper = 0.05;
  check_found (&picture);
  picture.image_px = 14000.0;
  picture.width = 1200;
  picture.height = 1800;
  check_found (&picture);
}

static void
test_click (void)
{
  const TickPicture picture = TICK_PICTURE_PLAIN;
  ShimLuma luma;
  g_autofree guint8 *px = tick_picture_draw (&picture, &luma);
  const ShimPoint on = { 500.0, 640.0 }, off = { 100.0, 640.0 };
  g_autoptr (GArray) found = survey (&luma, &on);
  g_autoptr (GArray) nothing = survey (&luma, &off);

  g_assert_cmpuint (found->len, >, 0);
  g_assert_cmpuint (nothing->len, ==, 0);
}

static void
test_empty (void)
{
  TickPicture picture = TICK_PICTURE_PLAIN;
  ShimLuma luma;
  g_autofree guint8 *px = NULL;
  g_autoptr (GArray) found = NULL;

  /* Ground alone, with its noise. */
  picture.ink = picture.paper = 0.2;
  px = tick_picture_draw (&picture, &luma);
  found = survey (&luma, NULL);
  g_assert_cmpuint (found->len, ==, 0);
}

/* Pictures smaller than a window, or than a cell, are surveyed without finding anything. */
static void
test_small (void)
{
  static const int sizes[][2] = { { 1, 1 }, { 7, 300 }, { 300, 7 }, { 127, 127 }, { 129, 128 } };

  for (guint i = 0; i < G_N_ELEMENTS (sizes); i++)
    {
      g_autofree guint8 *px = g_malloc0 ((gsize) sizes[i][0] * sizes[i][1]);
      const ShimLuma luma = { { 0, 0, sizes[i][0], sizes[i][1] }, sizes[i][0], sizes[i][1], (gsize) sizes[i][0], px };
      g_autoptr (GArray) found = survey (&luma, NULL);

      g_assert_cmpuint (found->len, ==, 0);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/spectrum/reference-library", test_spectrum);
  g_test_add_func ("/core/spectrum/no-ticks", test_no_ticks);
  g_test_add_func ("/core/survey/find", test_find);
  g_test_add_func ("/core/survey/click", test_click);
  g_test_add_func ("/core/survey/empty", test_empty);
  g_test_add_func ("/core/survey/small", test_small);
  return g_test_run ();
}
