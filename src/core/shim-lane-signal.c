/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_statistics.h>
#include <math.h>

#include "shim-lattice-fit.h"
#include "shim-phasor.h"

/* The local mean is taken over this many ticks to each side: even over one centimetre's long tick. */
#define MEAN_TICKS 10.0
#define NOISE_ROWS 48
#define MAD_TO_SIGMA 1.4826

/* Sums of one row over the lane: light with coverage as weight, turned by the slant's phase. */
typedef struct
{
  double weight, light, re, im, wave_re, wave_im;
  double half_light[2], half_weight[2];
} RowSums;

static RowSums
sum_row (const ShimStrip *strip, int i, double centre, double half, double phase_per_px)
{
  const float *row = shim_strip_row (strip, i);
  const double left = centre - half - strip->u_first[i], right = centre + half - strip->u_first[i];
  const int lo = MAX ((int) floor (left), 0), hi = MIN ((int) ceil (right), strip->n_u);
  RowSums s = { 0 };

  for (int j = lo; j < hi; j++)
    {
      const double w = MIN (j + 1.0, right) - MAX ((double) j, left);
      const double du = strip->u_first[i] + j + 0.5 - centre;
      double c = 1.0, d = 0.0;

      if (!isfinite (row[j]))
        return (RowSums) { 0 };
      if (phase_per_px != 0.0)
        {
          c = cos (phase_per_px * du);
          d = sin (phase_per_px * du);
        }
      s.weight += w;
      s.light += w * row[j];
      s.re += w * row[j] * c;
      s.im += w * row[j] * d;
      s.wave_re += w * c;
      s.wave_im += w * d;
      s.half_light[du > 0.0] += w * row[j];
      s.half_weight[du > 0.0] += w;
    }
  return s;
}

/* Running mean of light, over a span of rows that follows the tick spacing. */
static void
smooth_means (ShimLaneSignal *self, const RowSums *sums, const ShimLattice *lattice)
{
  g_autofree double *light = g_new0 (double, self->n + 1);
  g_autofree double *weight = g_new0 (double, self->n + 1);

  for (int i = 0; i < self->n; i++)
    {
      light[i + 1] = light[i] + sums[i].light;
      weight[i + 1] = weight[i] + sums[i].weight;
    }
  for (int i = 0; i < self->n; i++)
    {
      const double cycles = shim_lattice_cycles_per_px (lattice, self->v_first + i + 0.5);
      const int reach = (int) CLAMP (MEAN_TICKS / MAX (fabs (cycles), 1.0e-3), 4.0, 400.0);
      const int lo = MAX (i - reach, 0), hi = MIN (i + reach + 1, self->n);
      const double w = weight[hi] - weight[lo];

      self->mean[i] = w > 0.0 && sums[i].weight > 0.0 ? (light[hi] - light[lo]) / w : 0.0;
    }
}

/* Both halves of the lane see the same ticks and the same light but not the same noise. The median over some
 * rows keeps scratches out. */
static void
judge_noise (ShimLaneSignal *self, const RowSums *sums)
{
  g_autofree double *differences = g_new (double, MAX (self->n, 1));
  double work[NOISE_ROWS];

  for (int i = 0; i < self->n; i++)
    differences[i] = self->mean[i] > 0.0 && sums[i].half_weight[0] > 0.0 && sums[i].half_weight[1] > 0.0
      ? 0.5 * (sums[i].half_light[1] / sums[i].half_weight[1] - sums[i].half_light[0] / sums[i].half_weight[0]) /
        self->mean[i]
      : 0.0;
  for (int first = 0; first < self->n; first += NOISE_ROWS)
    {
      const int n = MIN (NOISE_ROWS, self->n - first);
      double middle, sigma;

      for (int i = 0; i < n; i++)
        work[i] = differences[first + i];
      middle = gsl_stats_median (work, 1, n);
      for (int i = 0; i < n; i++)
        work[i] = fabs (differences[first + i] - middle);
      sigma = MAX (MAD_TO_SIGMA * gsl_stats_median (work, 1, n), 2.0e-4);
      for (int i = 0; i < n; i++)
        self->noise[first + i] = sigma;
    }
}

/**
 * shim_lane_signal_new:
 * @strip: the strip that holds the lane
 * @lane: the lane
 * @lattice: the lattice as far as it is known (its frequency is needed for slant and local mean)
 *
 * Returns: (transfer full): the signal along the lane, over all rows of @strip
 */
ShimLaneSignal *
shim_lane_signal_new (const ShimStrip *strip, const ShimLane *lane, const ShimLattice *lattice)
{
  ShimLaneSignal *self = g_new0 (ShimLaneSignal, 1);
  g_autofree RowSums *sums = g_new0 (RowSums, strip->n_v);

  self->v_first = strip->v_first;
  self->n = strip->n_v;
  self->re = g_new0 (double, self->n);
  self->im = g_new0 (double, self->n);
  self->mean = g_new0 (double, self->n);
  self->noise = g_new0 (double, self->n);
  for (int i = 0; i < self->n; i++)
    {
      const double v = self->v_first + i + 0.5;
      const double turn = 2.0 * G_PI * shim_lattice_cycles_per_px (lattice, v) * lane->slant;

      sums[i] = sum_row (strip, i, lane->u0 + lane->u1 * (v - lane->v_ref), lane->half_px,
                         fabs (turn) * lane->half_px > 0.02 ? turn : 0.0);
    }
  smooth_means (self, sums, lattice);
  for (int i = 0; i < self->n; i++)
    if (self->mean[i] > 0.0)
      {
        self->re[i] = (sums[i].re / self->mean[i] - sums[i].wave_re) / sums[i].weight;
        self->im[i] = (sums[i].im / self->mean[i] - sums[i].wave_im) / sums[i].weight;
      }
  judge_noise (self, sums);
  return self;
}

/**
 * shim_lane_signal_free:
 * @self: (nullable): a signal
 */
void
shim_lane_signal_free (ShimLaneSignal *self)
{
  if (self == NULL)
    return;

  g_free (self->re);
  g_free (self->im);
  g_free (self->mean);
  g_free (self->noise);
  g_free (self);
}

/**
 * shim_lane_signal_lock:
 * @self: a signal
 * @lattice: the lattice it is compared with
 * @v: place along, pixels
 * @half_ticks: half the width of the Hann window, in ticks
 * @re: (out): amplitude of the ticks there in phase with the lattice (negative: dark at whole readings)
 * @im: (out): amplitude in quadrature; positive: the true reading is larger than the lattice's, for bright marks
 * @se: (out): standard error of either
 *
 * Lock-in detection: the signal times exp(−2πi reading / tick), averaged about @v.
 *
 * Returns: whether at least half of the window holds pixels
 */
gboolean
shim_lane_signal_lock (const ShimLaneSignal *self, const ShimLattice *lattice, double v, double half_ticks,
                       double *re, double *im, double *se)
{
  const double half = half_ticks / MAX (fabs (shim_lattice_cycles_per_px (lattice, v)), 1.0e-3);
  const int lo = MAX ((int) ceil (v - half - 0.5) - self->v_first, 0);
  const int hi = MIN ((int) floor (v + half - 0.5) - self->v_first, self->n - 1);
  const double turn = 2.0 * G_PI / lattice->tick_mm, first = self->v_first + lo + 0.5;
  /* The ticks' phase moves on by nearly the same from row to row, that of the window by quite the same. */
  const double advance = turn * (shim_lattice_reading (lattice, first + 1.0) - shim_lattice_reading (lattice, first));
  const ShimPhasor wave_step = shim_phasor_at (advance), hann_step = shim_phasor_at (G_PI / half);
  double phase = turn * shim_lattice_reading (lattice, first);
  ShimPhasor wave = shim_phasor_at (phase), hann = shim_phasor_at (G_PI * (first - v) / half);
  double sum_re = 0.0, sum_im = 0.0, weight = 0.0, variance = 0.0;

  for (int i = lo; i <= hi; i++)
    {
      double w;

      if (i > lo)
        {
          const double next = turn * shim_lattice_reading (lattice, self->v_first + i + 0.5);

          wave = shim_phasor_nudge (shim_phasor_turn (wave, wave_step), next - phase - advance);
          hann = shim_phasor_turn (hann, hann_step);
          phase = next;
        }
      if (self->mean[i] <= 0.0)
        continue;
      w = 0.5 + 0.5 * hann.cosine;
      sum_re += w * (self->re[i] * wave.cosine + self->im[i] * wave.sine);
      sum_im += w * (self->im[i] * wave.cosine - self->re[i] * wave.sine);
      weight += w;
      variance += w * w * self->noise[i] * self->noise[i];
    }
  if (weight < 0.5 * half)
    return FALSE;
  /* A cosine of amplitude a leaves a/2 behind. */
  *re = 2.0 * sum_re / weight;
  *im = 2.0 * sum_im / weight;
  *se = sqrt (2.0 * variance) / weight;
  return TRUE;
}
