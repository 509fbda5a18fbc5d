/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-jpeg-loss.h"

/* Phases of the ticks in a block; the other half circle only changes every sign. */
#define N_PHASES 10
/* Coefficients below this share of the amplitude matter neither way. */
#define NEGLIGIBLE 0.02
/* Rounding to steps below this many standard deviations of the noise is as good as none. */
#define FINE_STEP 1.5

typedef double Spectrum[SHIM_JPEG_SIDE];

/* Beyond so many standard deviations hardly anything of a normal distribution is left (1e-15). */
#define NORMAL_END 8

/* Rows of the orthonormal cosine transform (ITU-T T.81 section A.3.3) of eight values. */
static const Spectrum *
cosines (void)
{
  static Spectrum rows[SHIM_JPEG_SIDE];
  static gsize ready = 0;

  if (g_once_init_enter (&ready))
    {
      for (int k = 0; k < SHIM_JPEG_SIDE; k++)
        for (int i = 0; i < SHIM_JPEG_SIDE; i++)
          rows[k][i] = (k == 0 ? sqrt (0.125) : 0.5) * cos ((2 * i + 1) * k * G_PI / (2 * SHIM_JPEG_SIDE));
      g_once_init_leave (&ready, 1);
    }
  return rows;
}

static void
transform (const double *values, Spectrum spectrum)
{
  const Spectrum *rows = cosines ();

  for (int k = 0; k < SHIM_JPEG_SIDE; k++)
    {
      double sum = 0.0;

      for (int i = 0; i < SHIM_JPEG_SIDE; i++)
        sum += values[i] * rows[k][i];
      spectrum[k] = sum;
    }
}

/* The share of a normal distribution below z, looked up: straight lines between these places are right to 2e-7. */
#define NORMAL_PER_UNIT 512
#define NORMAL_SIZE (2 * NORMAL_END * NORMAL_PER_UNIT + 2)

static const double *
normal_table (void)
{
  static double table[NORMAL_SIZE];
  static gsize ready = 0;

  if (g_once_init_enter (&ready))
    {
      for (int i = 0; i < NORMAL_SIZE; i++)
        table[i] = 0.5 * erfc ((NORMAL_END - (double) i / NORMAL_PER_UNIT) * M_SQRT1_2);
      g_once_init_leave (&ready, 1);
    }
  return table;
}

static inline double
normal_below (const double *table, double z)
{
  const double place = (z + NORMAL_END) * NORMAL_PER_UNIT;
  gsize i;

  if (!(fabs (z) < NORMAL_END))
    return z > 0.0 ? 1.0 : 0.0;
  i = (gsize) place;
  return table[i] + (place - i) * (table[i + 1] - table[i]);
}

/* Mean of x plus noise, rounded to whole steps. */
static double
mean_rounded (double x, double step, double noise)
{
  const double *table;
  double size = fabs (x), sum = 0.0;

  if (step < FINE_STEP * noise)
    return x;
  table = normal_table ();
  /* Edges far below are passed for sure. */
  if (size > (NORMAL_END + 1) * noise)
    sum = floor ((size - NORMAL_END * noise) / step + 0.5);
  for (double edge = (sum + 0.5) * step; edge < size + 4.0 * noise; edge += step)
    sum += normal_below (table, (size - edge) / noise) - normal_below (table, (-size - edge) / noise);
  return copysign (step * sum, x);
}

static void
add_block (const ShimJpegTicks *ticks, const Spectrum along, const Spectrum across, double *kept, double *whole)
{
  for (int k = 0; k < SHIM_JPEG_SIDE; k++)
    for (int h = 0; h < SHIM_JPEG_SIDE; h++)
      {
        double x = ticks->amplitude * along[k] * across[h];

        if (fabs (x) < NEGLIGIBLE * ticks->amplitude)
          continue;
        *kept += x * mean_rounded (x, ticks->steps[k * SHIM_JPEG_SIDE + h], ticks->noise);
        *whole += x * x;
      }
}

/* How much of each column of the block that begins at @left lies in the lane. */
static void
lane_in_block (const ShimJpegTicks *ticks, double left, Spectrum across)
{
  double share[SHIM_JPEG_SIDE];

  for (int i = 0; i < SHIM_JPEG_SIDE; i++)
    share[i] = CLAMP (MIN (ticks->to_px, left + i + 1.0) - MAX (ticks->from_px, left + i), 0.0, 1.0);
  transform (share, across);
}

/**
 * shim_jpeg_loss_keep:
 * @ticks: a lane of ticks
 *
 * Returns: the share of the ticks' amplitude that compression leaves on average, 1 where nothing is known
 */
double
shim_jpeg_loss_keep (const ShimJpegTicks *ticks)
{
  double kept = 0.0, whole = 0.0;

  g_return_val_if_fail (ticks != NULL && ticks->steps != NULL, 1.0);

  if (ticks->steps[0] == 0 || !(ticks->amplitude > 0.0) || !(ticks->to_px > ticks->from_px))
    return 1.0;
  for (int p = 0; p < N_PHASES; p++)
    {
      Spectrum along, across;
      double wave[SHIM_JPEG_SIDE];

      for (int i = 0; i < SHIM_JPEG_SIDE; i++)
        wave[i] = cos (2.0 * G_PI * ticks->cycles_per_px * i + G_PI * p / N_PHASES);
      transform (wave, along);
      for (double left = SHIM_JPEG_SIDE * floor (ticks->from_px / SHIM_JPEG_SIDE); left < ticks->to_px; left += SHIM_JPEG_SIDE)
        {
          lane_in_block (ticks, left, across);
          add_block (ticks, along, across, &kept, &whole);
        }
    }
  return whole > 0.0 ? kept / whole : 1.0;
}
