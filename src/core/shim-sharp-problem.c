/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <string.h>

#include "shim-sharp-problem.h"

/* Residuals beyond this many standard errors count less and less (Huber), beyond the second nothing at all (Tukey). */
#define HUBER_LIMIT 2.0
#define TUKEY_LIMIT 6.0

/* The model itself is not better than this share of the greatest contrast; matters for rejecting only. */
#define MODEL_DOUBT 0.02

/* What whole ticks start out with changes from the middle of the scale to its end by about this share, and at most that. */
#define SLOPE_SD 0.04
#define SLOPE_MOST 0.3

/* Ticks of print or engraving seldom have more contrast than this (bars as wide as their gaps have 1.27). */
#define CONTRAST_USUAL 0.8
#define CONTRAST_LOG_SD 0.25

#define KAPPA_UNKNOWN 0.011
#define KAPPA_UNKNOWN_LOG_SD 0.7

/* Place of a datum along the scale, −1 to 1. */
static double
place_of (const ShimSharpProblem *self, guint i)
{
  return (shim_tick_contrast_block (self->contrast, i / self->n_harmonics)->v - self->v_mid) / self->v_half;
}

/* Where a datum stands in the arrays of its block. */
static guint
index_of (const ShimSharpProblem *self, guint i)
{
  return shim_tick_contrast_index (self->contrast, i % self->n_harmonics);
}

static double
median_abs (double *values, guint n)
{
  for (guint i = 0; i < n; i++)
    values[i] = fabs (values[i]);
  return n > 0 ? gsl_stats_median (values, 1, n) : NAN;
}

/* The quadrature holds no ticks, so it shows the noise at their frequency and nothing else. */
static double
noise_of_quadrature (const ShimTickContrast *contrast)
{
  guint n = 0, n_max = contrast->blocks->len * shim_tick_contrast_n_measured (contrast);
  g_autofree double *scaled = g_new (double, MAX (n_max, 1));
  double mad, square = 0.0;
  guint kept = 0;

  for (guint b = 0; b < contrast->blocks->len; b++)
    {
      const ShimTickBlock *block = shim_tick_contrast_block (contrast, b);

      for (guint i = 0; i < shim_tick_contrast_n_measured (contrast); i++)
        {
          const guint k = shim_tick_contrast_index (contrast, i);

          if (block->usable && !isnan (block->quadrature[k]))
            scaled[n++] = block->quadrature[k] / sqrt (block->variance[k]);
        }
    }
  if (n < 3)
    return NAN;
  mad = 1.4826 * median_abs (scaled, n);
  for (guint i = 0; i < n; i++)
    if (fabs (scaled[i]) < 4.0 * mad)
      {
        square += scaled[i] * scaled[i];
        kept++;
      }
  return sqrt (square / kept);
}

static gboolean
enough_data (const ShimTickContrast *contrast)
{
  guint n = 0;

  for (guint b = 0; b < contrast->blocks->len; b++)
    n += shim_tick_contrast_block (contrast, b)->usable;
  return n >= 6;
}

/**
 * shim_sharp_problem_new:
 * @contrast: signed contrast along the ruler; must outlive the problem
 * @prior: what is known before; likewise
 *
 * Returns: (transfer full) (nullable): the problem, all data in use; %NULL when there are fewer than six usable blocks
 */
ShimSharpProblem *
shim_sharp_problem_new (const ShimTickContrast *contrast, const ShimSharpPrior *prior)
{
  const double noise = noise_of_quadrature (contrast);
  const ShimTickBlock *first, *last;
  ShimSharpProblem *self;

  if (!enough_data (contrast) || !(noise > 0.0))
    return NULL;
  self = g_new0 (ShimSharpProblem, 1);
  first = shim_tick_contrast_block (contrast, 0);
  last = shim_tick_contrast_block (contrast, contrast->blocks->len - 1);

  self->contrast = contrast;
  self->prior = prior;
  self->noise = noise;
  self->n_blocks = contrast->blocks->len;
  self->n_harmonics = shim_tick_contrast_n_measured (contrast);
  self->n_data = self->n_blocks * self->n_harmonics;
  self->n_params = prior->slow_gain ? SHIM_SHARP_N_PARAMS : SHIM_SHARP_N_PARAMS - 1;
  self->v_mid = 0.5 * (first->v + last->v);
  self->v_half = MAX (1.0, 0.5 * (last->v - first->v));
  self->kappa = isnan (prior->kappa) ? KAPPA_UNKNOWN : prior->kappa;
  self->log_kappa_sd = isnan (prior->kappa) ? KAPPA_UNKNOWN_LOG_SD : prior->log_kappa_sd;
  self->y = g_new (double, self->n_data);
  self->sd = g_new (double, self->n_data);
  self->weight = g_new (double, self->n_data);
  self->gain = g_new (double, self->n_data);
  for (guint i = 0; i < self->n_data; i++)
    {
      const ShimTickBlock *block = shim_tick_contrast_block (contrast, i / self->n_harmonics);
      const guint index = index_of (self, i);

      self->y[i] = block->in_phase[index];
      self->sd[i] = block->usable ? hypot (noise * sqrt (block->variance[index]), block->doubt[index]) : INFINITY;
      self->weight[i] = self->sd[i] < INFINITY ? 1.0 : 0.0;
    }
  return self;
}

/**
 * shim_sharp_problem_free:
 * @self: (transfer full): a problem
 */
void
shim_sharp_problem_free (ShimSharpProblem *self)
{
  g_free (self->y);
  g_free (self->sd);
  g_free (self->weight);
  g_free (self->gain);
  g_free (self->softened[0].weights);
  g_free (self->softened[1].weights);
  g_free (self);
}

typedef struct
{
  double gg[3];   /* sums of w g² x⁰, x¹, x² */
  double yg[2];   /* sums of w y g x⁰, x¹ */
} KindSums;

static void
sum_kinds (const ShimSharpProblem *self, KindSums *kinds)
{
  for (guint i = 0; i < self->n_data; i++)
    if (self->weight[i] > 0.0)
      {
        KindSums *kind = &kinds[shim_tick_contrast_kind (self->contrast, index_of (self, i))];
        const double w = self->weight[i] / (self->sd[i] * self->sd[i]), x = place_of (self, i);

        kind->yg[0] += w * self->y[i] * self->gain[i];
        kind->yg[1] += w * self->y[i] * self->gain[i] * x;
        for (guint k = 0; k < G_N_ELEMENTS (kind->gg); k++)
          kind->gg[k] += w * self->gain[i] * self->gain[i] * gsl_pow_int (x, (int) k);
      }
}

/* How much of a lane's width is ticks changes along the ruler where the lane is not laid quite straight: what whole ticks start
 * out with may grow or fall a little, and how their harmonics stand to each other says the rest. */
static double
slope_of_kind (const KindSums *kind)
{
  const double level = kind->gg[0] > 0.0 ? kind->yg[0] / kind->gg[0] : 0.0, slope_sd = SLOPE_SD * level;
  const double gg2 = kind->gg[2] + 1.0 / (slope_sd * slope_sd), det = kind->gg[0] * gg2 - kind->gg[1] * kind->gg[1];
  const double best = (kind->yg[0] * gg2 - kind->yg[1] * kind->gg[1]) / det;

  if (!(level > 0.0) || !(best > 0.0))
    return 0.0;
  return CLAMP ((kind->yg[1] * kind->gg[0] - kind->yg[0] * kind->gg[1]) / det / best, -SLOPE_MOST, SLOPE_MOST);
}

static void
take_slopes (ShimSharpProblem *self, KindSums *kinds)
{
  double slopes[SHIM_TICK_HARMONICS];

  for (guint k = 0; k < self->n_harmonics; k++)
    slopes[k] = slope_of_kind (&kinds[shim_tick_contrast_kind (self->contrast, shim_tick_contrast_index (self->contrast, k))]);
  for (guint i = 0; i < self->n_data; i++)
    self->gain[i] *= 1.0 + slopes[i % self->n_harmonics] * place_of (self, i);
  memset (kinds, 0, SHIM_TICK_HARMONICS * sizeof *kinds);
  sum_kinds (self, kinds);
}

/**
 * shim_sharp_problem_solve_amplitudes:
 * @self: a problem with a model in hand
 *
 * The amplitudes are linear: the best ones for the model and the weights in hand follow at once.
 */
void
shim_sharp_problem_solve_amplitudes (ShimSharpProblem *self)
{
  KindSums kinds[SHIM_TICK_HARMONICS] = { 0 };

  sum_kinds (self, kinds);
  if (self->contrast->lane.whole)
    take_slopes (self, kinds);
  for (guint k = 0; k < self->n_harmonics; k++)
    {
      const KindSums *kind = &kinds[shim_tick_contrast_kind (self->contrast, shim_tick_contrast_index (self->contrast, k))];

      self->amplitude[k] = kind->gg[0] > 0.0 ? kind->yg[0] / kind->gg[0] : 0.0;
      if (self->amplitude[k] < 0.0 && !self->prior->either_sign)
        self->amplitude[k] = 0.0;
    }
}

static const double *
soften (ShimSharpProblem *self, double softness2)
{
  for (guint i = 0; i < G_N_ELEMENTS (self->softened); i++)
    if (self->softened[i].weights != NULL && self->softened[i].softness2 == softness2)
      {
        self->newest = i;
        return self->softened[i].weights;
      }
  self->newest = 1 - self->newest;
  if (self->softened[self->newest].weights == NULL)
    self->softened[self->newest].weights = g_new (double, MAX (self->contrast->nodes->len, 1));
  self->softened[self->newest].softness2 = softness2;
  shim_tick_contrast_soften (self->contrast, softness2, self->softened[self->newest].weights);
  return self->softened[self->newest].weights;
}

/**
 * shim_sharp_problem_set_model:
 * @self: a problem
 * @model: the model to take in hand
 * @gain_slope: relative change of the contrast from the middle of the scale to its end that has the greater v
 *
 * Works out what the model leaves of the contrast in each block, and the best amplitudes for it.
 */
void
shim_sharp_problem_set_model (ShimSharpProblem *self, const ShimBlurModel *model, double gain_slope)
{
  const double *softened = soften (self, model->softness2);

  for (guint i = 0; i < self->n_data; i++)
    {
      guint b = i / self->n_harmonics;

      self->gain[i] = self->sd[i] < INFINITY
        ? shim_tick_contrast_gain_softened (self->contrast, b, index_of (self, i), model, softened) : 0.0;
      if (gain_slope != 0.0)
        self->gain[i] *= 1.0 + gain_slope * place_of (self, i);
    }
  shim_sharp_problem_solve_amplitudes (self);
}

static double
model_doubt (const ShimSharpProblem *self)
{
  double greatest = 0.0;

  for (guint i = 0; i < self->n_data; i++)
    greatest = MAX (greatest, fabs (self->amplitude[i % self->n_harmonics] * self->gain[i]));
  return MODEL_DOUBT * greatest;
}

/* Residuals in units that rejecting goes by: noise and the model's own doubt, widened where the bulk of them is wider. */
static void
scaled_residuals (const ShimSharpProblem *self, double *z)
{
  g_autofree double *sorted = g_new (double, self->n_data);
  double doubt = model_doubt (self), spread;
  guint n = 0;

  for (guint i = 0; i < self->n_data; i++)
    {
      z[i] = self->sd[i] < INFINITY ? shim_sharp_problem_residual (self, i) / hypot (self->sd[i], doubt) : NAN;
      if (self->sd[i] < INFINITY)
        sorted[n++] = z[i];
    }
  spread = 1.4826 * median_abs (sorted, n);
  if (spread > 1.0)
    for (guint i = 0; i < self->n_data; i++)
      z[i] /= spread;
}

/**
 * shim_sharp_problem_reweigh:
 * @self: a problem with a model in hand
 * @final: whether wild data are thrown out (Tukey's biweight), not only held back (Huber)
 *
 * Weighs the data by how far they are from the model.
 */
void
shim_sharp_problem_reweigh (ShimSharpProblem *self, gboolean final)
{
  g_autofree double *z = g_new (double, self->n_data);

  scaled_residuals (self, z);
  for (guint i = 0; i < self->n_data; i++)
    {
      double size = fabs (z[i]), share = size / TUKEY_LIMIT;

      if (isnan (z[i]))
        self->weight[i] = 0.0;
      else if (final)
        self->weight[i] = share < 1.0 ? (1.0 - share * share) * (1.0 - share * share) : 0.0;
      else
        self->weight[i] = size > HUBER_LIMIT ? HUBER_LIMIT / size : 1.0;
    }
}

/**
 * shim_sharp_problem_excess_contrast:
 * @self: a problem with a model in hand
 *
 * Without this limit softness and contrast can grow together without end.
 *
 * Returns: how far the contrast is beyond what ticks have, in standard deviations
 */
double
shim_sharp_problem_excess_contrast (const ShimSharpProblem *self)
{
  double contrast = fabs (self->amplitude[0]);

  return contrast > CONTRAST_USUAL ? log (contrast / CONTRAST_USUAL) / CONTRAST_LOG_SD : 0.0;
}

/**
 * shim_sharp_problem_prior_cost:
 * @self: a problem with a model in hand
 * @model: that model
 * @gain_slope: as in shim_sharp_problem_set_model()
 *
 * Returns: half the sum of squares of how far it is from what was known before, in standard deviations
 */
double
shim_sharp_problem_prior_cost (const ShimSharpProblem *self, const ShimBlurModel *model, double gain_slope)
{
  double softness = (model->softness2 - self->prior->softness2) / self->prior->softness2_sd;
  double kappa = log (model->kappa / self->kappa) / self->log_kappa_sd;
  double gain = self->prior->slow_gain ? gain_slope / self->prior->slow_gain_sd : 0.0, contrast = shim_sharp_problem_excess_contrast (self);

  return 0.5 * (softness * softness + kappa * kappa + gain * gain + contrast * contrast);
}

/**
 * shim_sharp_problem_robust_cost:
 * @self: a problem with a model in hand
 *
 * Returns: half the sum of squares with its tails made straight, in standard errors of the noise
 */
double
shim_sharp_problem_robust_cost (const ShimSharpProblem *self)
{
  double doubt = model_doubt (self), cost = 0.0;

  for (guint i = 0; i < self->n_data; i++)
    if (self->sd[i] < INFINITY)
      {
        double z = fabs (shim_sharp_problem_residual (self, i)) / hypot (self->sd[i], doubt);

        cost += z > HUBER_LIMIT ? HUBER_LIMIT * (z - 0.5 * HUBER_LIMIT) : 0.5 * z * z;
      }
  return cost;
}

/**
 * shim_sharp_problem_blank_cost:
 * @self: a problem; has no model in hand afterwards
 *
 * Returns: shim_sharp_problem_robust_cost() with no ticks at all
 */
double
shim_sharp_problem_blank_cost (ShimSharpProblem *self)
{
  memset (self->amplitude, 0, sizeof self->amplitude);
  memset (self->gain, 0, self->n_data * sizeof *self->gain);
  return shim_sharp_problem_robust_cost (self);
}
