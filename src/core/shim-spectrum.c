/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-spectrum.h"

/* Sixteen windows are transformed at once, two to a complex number and eight complex numbers to a vector: the
 * survey of 45 megapixels takes 177,000 windows, and must not cost more than a fraction of decoding them. All of it
 * is built twice: for any processor, and for those that hold such a vector in one register. */

#define N SHIM_SPECTRUM_LENGTH
#define LANES (SHIM_SPECTRUM_BATCH / 2)

/* Vectors are handed over by address only: how they are passed by value depends on the processor. */
#define INLINE static inline __attribute__ ((always_inline))

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
  float cosine[N];
  float sine[N];
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
      for (int i = 0; i < N; i++)
        {
          tables.cosine[i] = (float) cos (2.0 * G_PI * i / N);
          tables.sine[i] = (float) -sin (2.0 * G_PI * i / N);
        }
      g_once_init_leave (&ready, 1);
    }
  return &tables;
}

/* One number times a root of one. */
INLINE void
turn (const Tables *tables, int root, const Lanes *re, const Lanes *im, Lanes *out_re, Lanes *out_im)
{
  const float c = tables->cosine[root], s = tables->sine[root];
  const Lanes r = *re, i = *im;

  *out_re = r * c - i * s;
  *out_im = r * s + i * c;
}

/* Two steps of halving in one: four numbers that lie @quarter apart. */
INLINE void
quarter_step (const Tables *tables, Lanes *re, Lanes *im, int quarter, int root)
{
  const Lanes sr = re[0] + re[2 * quarter], dr = re[0] - re[2 * quarter];
  const Lanes si = im[0] + im[2 * quarter], di = im[0] - im[2 * quarter];
  const Lanes tr = re[quarter] + re[3 * quarter], er = re[quarter] - re[3 * quarter];
  const Lanes ti = im[quarter] + im[3 * quarter], ei = im[quarter] - im[3 * quarter];
  const Lanes r1 = sr - tr, i1 = si - ti, r2 = dr + ei, i2 = di - er, r3 = dr - ei, i3 = di + er;

  re[0] = sr + tr;
  im[0] = si + ti;
  turn (tables, 2 * root, &r1, &i1, &re[quarter], &im[quarter]);
  turn (tables, root, &r2, &i2, &re[2 * quarter], &im[2 * quarter]);
  turn (tables, 3 * root, &r3, &i3, &re[3 * quarter], &im[3 * quarter]);
}

/* In place, decimation in frequency: the result comes out in bit-reversed order. 128 = 4 × 4 × 4 × 2. */
INLINE void
transform (const Tables *tables, Lanes *re, Lanes *im)
{
  for (int quarter = N / 4; quarter >= 2; quarter /= 4)
    for (int k = 0; k < quarter; k++)
      for (int i = k; i < N; i += 4 * quarter)
        quarter_step (tables, re + i, im + i, quarter, k * (N / 4 / quarter));
  for (int i = 0; i < N; i += 2)
    {
      const Lanes r = re[i + 1], m = im[i + 1];

      re[i + 1] = re[i] - r;
      im[i + 1] = im[i] - m;
      re[i] += r;
      im[i] += m;
    }
}

/* Windows that lie beside each other, sample by sample. */
INLINE void
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

/* A window whose samples lie side by side. */
INLINE void
load_one (const Tables *tables, const guint16 *first, float *out)
{
  Sums sums = { 0 };
  gint32 sum = 0;
  float scale;

  for (int i = 0; i < N; i += LANES)
    {
      Samples samples;

      memcpy (&samples, first + i, sizeof samples);
      sums += __builtin_convertvector (samples, Sums);
    }
  for (int lane = 0; lane < LANES; lane++)
    sum += sums[lane];
  scale = (float) N / MAX (sum, 1);
  for (int i = 0; i < N; i += LANES)
    {
      Samples samples;
      Lanes hann, light;

      memcpy (&samples, first + i, sizeof samples);
      memcpy (&hann, tables->hann + i, sizeof hann);
      light = (__builtin_convertvector (__builtin_convertvector (samples, Sums), Lanes) * scale - 1.0f) * hann;
      for (int lane = 0; lane < LANES; lane++)
        out[(i + lane) * LANES] = light[lane];
    }
}

/* Any other. */
INLINE void
load_apart (const Tables *tables, const guint16 *first, gsize step, float *out)
{
  guint16 samples[N];

  for (int i = 0; i < N; i++)
    samples[i] = first[i * step];
  load_one (tables, samples, out);
}

INLINE void
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
          if (step == 1)
            load_one (tables, from[lane], (float *) out[which] + lane);
          else
            load_apart (tables, from[lane], step, (float *) out[which] + lane);
    }
}

/* Power of both real windows of each complex number, times 4. */
INLINE void
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

INLINE void
find_peaks (const Tables *tables, const guint16 *const first[SHIM_SPECTRUM_BATCH], gsize step,
            ShimSpectrumPeak peaks[SHIM_SPECTRUM_BATCH][SHIM_SPECTRUM_BANDS])
{
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

static void
find_peaks_anywhere (const Tables *tables, const guint16 *const first[SHIM_SPECTRUM_BATCH], gsize step,
                     ShimSpectrumPeak peaks[SHIM_SPECTRUM_BATCH][SHIM_SPECTRUM_BANDS])
{
  find_peaks (tables, first, step, peaks);
}

#ifdef __x86_64__
__attribute__ ((target ("avx2"))) static void
find_peaks_avx2 (const Tables *tables, const guint16 *const first[SHIM_SPECTRUM_BATCH], gsize step,
                 ShimSpectrumPeak peaks[SHIM_SPECTRUM_BATCH][SHIM_SPECTRUM_BANDS])
{
  find_peaks (tables, first, step, peaks);
}
#endif

/**
 * shim_spectrum_peaks:
 * @first: first sample of each of 16 windows of 128 samples
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

#ifdef __x86_64__
  if (__builtin_cpu_supports ("avx2"))
    {
      find_peaks_avx2 (tables, first, step, peaks);
      return;
    }
#endif
  find_peaks_anywhere (tables, first, step, peaks);
}
