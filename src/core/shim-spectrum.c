/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-spectrum.h"

/* Eight windows are transformed at once, two to a complex number and four complex numbers to a vector: the
 * survey of 45 megapixels takes 177,000 windows, and must not cost more than a fraction of decoding them. */

#define N SHIM_SPECTRUM_LENGTH
#define LANES 4

typedef float Lanes __attribute__ ((vector_size (LANES * sizeof (float))));
typedef gint32 Mask __attribute__ ((vector_size (LANES * sizeof (gint32))));
typedef gint32 Sums __attribute__ ((vector_size (LANES * sizeof (gint32))));
typedef guint16 Samples __attribute__ ((vector_size (LANES * sizeof (guint16))));

/* Lowest and highest bin in which ticks are looked for, and where the two bands overlap. */
#define BIN_MIN 6
#define BIN_MAX 62
#define BIN_FINE_MIN 24
/* Power from this bin on is compared with; lower ones hold the slow change of the light. */
#define BIN_BELOW 3
#define BIN_COARSE_MAX 27
/* The noise is judged above this bin, where pictures have little of their own. */
#define BIN_NOISE 22
/* A peak must stand this far (ln 14) above the noise, and more than SCORE_MAX above that counts no more. */
#define SCORE_FLOOR 2.639f
#define SCORE_MAX 2.5f
/* Below this relative amplitude a peak is a matter of rounding (8-bit luma, JPEG), whatever its surroundings. */
#define POWER_FLOOR 2.0e-3f

typedef struct
{
  float hann[N];
  float cosine[N / 2];
  float sine[N / 2];
  guint8 reversed[N];
} Tables;

static const Tables *
tables_get (void)
{
  static Tables tables;
  static gsize ready = 0;

  if (g_once_init_enter (&ready))
    {
      for (int i = 0; i < N; i++)
        {
          int reversed = 0;

          for (int bit = 0; bit < 7; bit++)
            reversed |= ((i >> bit) & 1) << (6 - bit);
          tables.reversed[i] = (guint8) reversed;
          tables.hann[i] = (float) (0.5 - 0.5 * cos (2.0 * G_PI * (i + 0.5) / N));
        }
      for (int i = 0; i < N / 2; i++)
        {
          tables.cosine[i] = (float) cos (2.0 * G_PI * i / N);
          tables.sine[i] = (float) -sin (2.0 * G_PI * i / N);
        }
      g_once_init_leave (&ready, 1);
    }
  return &tables;
}

/* In place, decimation in frequency: the result comes out in bit-reversed order. */
static void
transform (const Tables *tables, Lanes *re, Lanes *im)
{
  for (int half = N / 2; half >= 1; half /= 2)
    for (int k = 0; k < half; k++)
      {
        const float c = tables->cosine[k * (N / 2 / half)];
        const float s = tables->sine[k * (N / 2 / half)];

        for (int i = k; i < N; i += 2 * half)
          {
            const Lanes dr = re[i] - re[i + half];
            const Lanes di = im[i] - im[i + half];

            re[i] += re[i + half];
            im[i] += im[i + half];
            re[i + half] = dr * c - di * s;
            im[i + half] = dr * s + di * c;
          }
      }
}

/* Four windows that lie beside each other, sample by sample. */
static void
load_adjacent (const Tables *tables, const guint16 *first, gsize step, Lanes *out)
{
  Sums sum = { 0 };
  Lanes scale;

  for (int i = 0; i < N; i++)
    {
      Samples samples;

      memcpy (&samples, first + i * step, sizeof samples);
      sum += __builtin_convertvector (samples, Sums);
    }
  for (int lane = 0; lane < LANES; lane++)
    scale[lane] = (float) N / MAX (sum[lane], 1);
  for (int i = 0; i < N; i++)
    {
      Samples samples;

      memcpy (&samples, first + i * step, sizeof samples);
      out[i] = __builtin_convertvector (__builtin_convertvector (samples, Sums), Lanes) * scale - 1.0f;
      out[i] *= tables->hann[i];
    }
}

static void
load_one (const Tables *tables, const guint16 *first, gsize step, float *out)
{
  guint sum = 0;
  float scale;

  for (int i = 0; i < N; i++)
    sum += first[i * step];
  scale = (float) N / MAX (sum, 1u);
  for (int i = 0; i < N; i++)
    out[i * LANES] = ((float) first[i * step] * scale - 1.0f) * tables->hann[i];
}

static void
load (const Tables *tables, const guint16 *const first[SHIM_SPECTRUM_BATCH], gsize step, Lanes *re, Lanes *im)
{
  Lanes *const out[2] = { re, im };

  for (int which = 0; which < 2; which++)
    {
      const guint16 *const *from = first + which * LANES;
      gboolean adjacent = TRUE;

      for (int lane = 1; lane < LANES; lane++)
        adjacent = adjacent && from[lane] == from[0] + lane;
      if (adjacent)
        load_adjacent (tables, from[0], step, out[which]);
      else
        for (int lane = 0; lane < LANES; lane++)
          load_one (tables, from[lane], step, (float *) out[which] + lane);
    }
}

/* Power of both real windows of each complex number, times 4. */
static void
powers (const Tables *tables, const Lanes *re, const Lanes *im, Lanes power[2][SHIM_SPECTRUM_BINS])
{
  for (int k = 1; k < SHIM_SPECTRUM_BINS; k++)
    {
      const int a = tables->reversed[k];
      const int b = tables->reversed[N - k];
      const Lanes sr = re[a] + re[b], dr = re[a] - re[b];
      const Lanes si = im[a] + im[b], di = im[a] - im[b];

      power[0][k] = sr * sr + di * di;
      power[1][k] = si * si + dr * dr;
    }
}

static float
median (float *values, int n)
{
  const int half = n / 2;
  int lo = 0, hi = n - 1;

  while (lo < hi)
    {
      const float pivot = values[half];
      int i = lo, j = hi;

      while (i <= j)
        {
          while (values[i] < pivot)
            i++;
          while (pivot < values[j])
            j--;
          if (i <= j)
            {
              const float swap = values[i];

              values[i++] = values[j];
              values[j--] = swap;
            }
        }
      if (j < half)
        lo = i;
      if (half < i)
        hi = j;
    }
  return values[half];
}

static ShimSpectrumPeak
peak_at (const float *power, int k, float score)
{
  const float l = sqrtf (power[k - 1]), m = sqrtf (power[k]), r = sqrtf (power[k + 1]);

  return (ShimSpectrumPeak) { score, k + 0.5f * (r - l) / MAX (2.0f * m - l - r, 1.0e-12f) };
}

/* The best peaks of one power spectrum: each must stand out of the noise, and dominate what lies below it (else it
 * is a harmonic of a coarser pattern, as of a checkerboard). */
static void
judge (const float power[SHIM_SPECTRUM_BINS], ShimSpectrumPeak peaks[SHIM_SPECTRUM_BANDS])
{
  float sorted[SHIM_SPECTRUM_BINS];
  float below[SHIM_SPECTRUM_BINS];
  float noise;

  memcpy (sorted, power + BIN_NOISE, (SHIM_SPECTRUM_BINS - BIN_NOISE) * sizeof (float));
  noise = MAX (median (sorted, SHIM_SPECTRUM_BINS - BIN_NOISE), POWER_FLOOR);
  below[BIN_BELOW - 1] = 0.0f;
  for (int k = BIN_BELOW; k < SHIM_SPECTRUM_BINS; k++)
    below[k] = MAX (below[k - 1], power[k]);

  for (int k = BIN_MIN; k <= BIN_MAX; k++)
    {
      const float low = below[MAX (BIN_BELOW, k * 3 / 4)];
      const float share = low > 0.0f ? MIN (1.0f, power[k] / (0.35f * low)) : 1.0f;
      float score;

      if (power[k] < power[k - 1] || power[k] < power[k + 1] || power[k] < 14.0f * noise)
        continue;
      /* However far it stands out, a line that does not dominate what lies below it is no evidence. */
      score = MIN (logf (power[k] / noise) - SCORE_FLOOR, SCORE_MAX) + 2.0f * logf (share);
      if (k >= BIN_FINE_MIN && score > peaks[SHIM_SPECTRUM_FINE].score)
        peaks[SHIM_SPECTRUM_FINE] = peak_at (power, k, score);
      if (k <= BIN_COARSE_MAX && score > peaks[SHIM_SPECTRUM_COARSE].score)
        peaks[SHIM_SPECTRUM_COARSE] = peak_at (power, k, score);
    }
}

/**
 * shim_spectrum_peaks:
 * @first: first sample of each of 8 windows of 128 samples
 * @step: distance between two samples of one window, in elements
 * @peaks: (out): what was found in each, by #ShimSpectrumBand
 *
 * Looks for the line of a tick lattice in the power spectrum of (sample / mean − 1), Hann-weighted.
 */
void
shim_spectrum_peaks (const guint16 *const first[SHIM_SPECTRUM_BATCH], gsize step,
                     ShimSpectrumPeak peaks[SHIM_SPECTRUM_BATCH][SHIM_SPECTRUM_BANDS])
{
  const Tables *tables = tables_get ();
  Lanes re[N], im[N];
  Lanes power[2][SHIM_SPECTRUM_BINS];
  Lanes peak[2] = { { 0 }, { 0 } }, sum[2] = { { 0 }, { 0 } };

  load (tables, first, step, re, im);
  transform (tables, re, im);
  powers (tables, re, im, power);
  for (int which = 0; which < 2; which++)
    for (int k = BIN_MIN; k < SHIM_SPECTRUM_BINS; k++)
      {
        const Mask larger = power[which][k] > peak[which];

        sum[which] += power[which][k];
        peak[which] = (Lanes) (((Mask) power[which][k] & larger) | ((Mask) peak[which] & ~larger));
      }

  for (int lane = 0; lane < SHIM_SPECTRUM_BATCH; lane++)
    {
      const int which = lane / LANES, at = lane % LANES;
      float one[SHIM_SPECTRUM_BINS];

      memset (peaks[lane], 0, sizeof peaks[lane]);
      /* Most windows hold nothing: a line strong enough to count holds a good share of all power. */
      if (peak[which][at] < 14.0f * POWER_FLOOR ||
          peak[which][at] < 0.06f * sum[which][at])
        continue;
      one[0] = 0.0f;
      for (int k = 1; k < SHIM_SPECTRUM_BINS; k++)
        one[k] = power[which][k][at];
      judge (one, peaks[lane]);
    }
}
