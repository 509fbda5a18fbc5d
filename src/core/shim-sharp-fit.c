/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_multifit_nlinear.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <string.h>

#include "shim-gsl.h"
#include "shim-sharp-fit.h"

enum
{
  PARAM_PLACE,
  PARAM_SOFTNESS,
  PARAM_KAPPA,
  PARAM_GAIN,
  N_PARAMS
};

/* Residuals beyond this many standard errors count less and less (Huber), beyond the second nothing at all (Tukey). */
#define HUBER_LIMIT 2.0
#define TUKEY_LIMIT 6.0

/* The model itself is not better than this share of the greatest contrast; matters for rejecting only. */
#define MODEL_DOUBT 0.02

/* Ticks of print or engraving seldom have more contrast than this (bars as wide as their gaps have 1.27). */
#define CONTRAST_USUAL 0.8
#define CONTRAST_LOG_SD 0.25

#define N_POLISHED 5
#define KAPPA_UNKNOWN 0.011
#define KAPPA_UNKNOWN_LOG_SD 0.7

/* What one softness makes of the contrast's nodes. */
typedef struct
{
  double softness2;
  double *weights;    /* NULL = nothing yet */
} Softened;

typedef struct
{
  const ShimTickContrast *contrast;
  const ShimSharpPrior *prior;
  guint n_blocks;
  guint n_harmonics;
  guint n_data;
  guint n_params;
  double v_mid;
  double v_half;
  double kappa;
  double log_kappa_sd;
  double *y;          /* measured amplitudes, block after block, harmonics inside */
  double *sd;         /* their noise; INFINITY where not usable */
  double *weight;     /* robust weights */
  double *gain;       /* of the model in hand */
  Softened softened[2]; /* of the last two softnesses: the starts have two, a descent steps aside and back again */
  guint newest;
  double amplitude[SHIM_TICK_HARMONICS];
} Problem;

static void
problem_free (Problem *self)
{
  g_free (self->y);
  g_free (self->sd);
  g_free (self->weight);
  g_free (self->gain);
  g_free (self->softened[0].weights);
  g_free (self->softened[1].weights);
  g_free (self);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Problem, problem_free)

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
  guint n = 0, n_max = contrast->blocks->len * contrast->n_harmonics;
  g_autofree double *scaled = g_new (double, MAX (n_max, 1));
  double mad, square = 0.0;
  guint kept = 0;

  for (guint b = 0; b < contrast->blocks->len; b++)
    {
      const ShimTickBlock *block = shim_tick_contrast_block (contrast, b);

      for (guint k = 0; k < contrast->n_harmonics; k++)
        if (block->usable && !isnan (block->quadrature[k]))
          scaled[n++] = block->quadrature[k] / sqrt (block->variance[k]);
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

static Problem *
problem_new (const ShimTickContrast *contrast, const ShimSharpPrior *prior, double noise)
{
  Problem *self = g_new0 (Problem, 1);
  const ShimTickBlock *first = shim_tick_contrast_block (contrast, 0);
  const ShimTickBlock *last = shim_tick_contrast_block (contrast, contrast->blocks->len - 1);

  self->contrast = contrast;
  self->prior = prior;
  self->n_blocks = contrast->blocks->len;
  self->n_harmonics = contrast->n_harmonics;
  self->n_data = self->n_blocks * self->n_harmonics;
  self->n_params = prior->slow_gain ? N_PARAMS : N_PARAMS - 1;
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

      self->y[i] = block->in_phase[i % self->n_harmonics];
      self->sd[i] = block->usable ? noise * sqrt (block->variance[i % self->n_harmonics]) : INFINITY;
      self->weight[i] = block->usable ? 1.0 : 0.0;
    }
  return self;
}

/* The amplitudes are linear: the best ones for a model follow at once. */
static void
solve_amplitudes (Problem *self)
{
  for (guint k = 0; k < self->n_harmonics; k++)
    {
      double above = 0.0, below = 0.0;

      for (guint i = k; i < self->n_data; i += self->n_harmonics)
        if (self->weight[i] > 0.0)
          {
            double w = self->weight[i] / (self->sd[i] * self->sd[i]);

            above += w * self->y[i] * self->gain[i];
            below += w * self->gain[i] * self->gain[i];
          }
      self->amplitude[k] = below > 0.0 ? above / below : 0.0;
      if (self->amplitude[k] < 0.0 && !self->prior->either_sign)
        self->amplitude[k] = 0.0;
    }
}

static const double *
soften (Problem *self, double softness2)
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

static void
set_model (Problem *self, const ShimBlurModel *model, double gain_slope)
{
  const double *softened = soften (self, model->softness2);

  for (guint i = 0; i < self->n_data; i++)
    {
      guint b = i / self->n_harmonics;

      self->gain[i] = self->sd[i] < INFINITY
        ? shim_tick_contrast_gain_softened (self->contrast, b, i % self->n_harmonics, model, softened) : 0.0;
      if (gain_slope != 0.0)
        self->gain[i] *= 1.0 + gain_slope * (shim_tick_contrast_block (self->contrast, b)->v - self->v_mid) / self->v_half;
    }
  solve_amplitudes (self);
}

static double
residual (const Problem *self, guint i)
{
  return self->y[i] - self->amplitude[i % self->n_harmonics] * self->gain[i];
}

static double
model_doubt (const Problem *self)
{
  double greatest = 0.0;

  for (guint i = 0; i < self->n_data; i++)
    greatest = MAX (greatest, fabs (self->amplitude[i % self->n_harmonics] * self->gain[i]));
  return MODEL_DOUBT * greatest;
}

/* Residuals in units that rejecting goes by: noise and the model's own doubt, widened where the bulk of them is wider. */
static guint
scaled_residuals (const Problem *self, double *z)
{
  g_autofree double *sorted = g_new (double, self->n_data);
  double doubt = model_doubt (self), spread;
  guint n = 0;

  for (guint i = 0; i < self->n_data; i++)
    {
      z[i] = self->sd[i] < INFINITY ? residual (self, i) / hypot (self->sd[i], doubt) : NAN;
      if (self->sd[i] < INFINITY)
        sorted[n++] = z[i];
    }
  spread = 1.4826 * median_abs (sorted, n);
  if (spread > 1.0)
    for (guint i = 0; i < self->n_data; i++)
      z[i] /= spread;
  return n;
}

static void
reweigh (Problem *self, gboolean final)
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

/* How far the contrast is beyond what ticks have, in standard deviations. Without this limit softness and contrast can grow
 * together without end. */
static double
excess_contrast (const Problem *self)
{
  double contrast = fabs (self->amplitude[0]);

  return contrast > CONTRAST_USUAL ? log (contrast / CONTRAST_USUAL) / CONTRAST_LOG_SD : 0.0;
}

static double
prior_cost (const Problem *self, const ShimBlurModel *model, double gain_slope)
{
  double softness = (model->softness2 - self->prior->softness2) / self->prior->softness2_sd;
  double kappa = log (model->kappa / self->kappa) / self->log_kappa_sd;
  double gain = self->prior->slow_gain ? gain_slope / self->prior->slow_gain_sd : 0.0, contrast = excess_contrast (self);

  return 0.5 * (softness * softness + kappa * kappa + gain * gain + contrast * contrast);
}

/* Half the sum of squares with its tails made straight, in standard errors of the noise. */
static double
robust_cost (const Problem *self)
{
  double doubt = model_doubt (self), cost = 0.0;

  for (guint i = 0; i < self->n_data; i++)
    if (self->sd[i] < INFINITY)
      {
        double z = fabs (residual (self, i)) / hypot (self->sd[i], doubt);

        cost += z > HUBER_LIMIT ? HUBER_LIMIT * (z - 0.5 * HUBER_LIMIT) : 0.5 * z * z;
      }
  return cost;
}

static ShimBlurModel
model_of_params (const Problem *self, const gsl_vector *params)
{
  return (ShimBlurModel) {
    .v_sharp = self->v_mid + self->v_half * gsl_vector_get (params, PARAM_PLACE),
    .softness2 = gsl_vector_get (params, PARAM_SOFTNESS),
    .kappa = self->kappa * exp (gsl_vector_get (params, PARAM_KAPPA)),
  };
}

static double
gain_slope_of_params (const Problem *self, const gsl_vector *params)
{
  return self->n_params > PARAM_GAIN ? gsl_vector_get (params, PARAM_GAIN) : 0.0;
}

static int
residuals_cb (const gsl_vector *params, void *data, gsl_vector *f)
{
  Problem *self = data;
  ShimBlurModel model = model_of_params (self, params);
  guint at = self->n_data;

  set_model (self, &model, gain_slope_of_params (self, params));
  for (guint i = 0; i < self->n_data; i++)
    gsl_vector_set (f, i, self->weight[i] > 0.0 ? sqrt (self->weight[i]) * residual (self, i) / self->sd[i] : 0.0);
  gsl_vector_set (f, at++, (model.softness2 - self->prior->softness2) / self->prior->softness2_sd);
  gsl_vector_set (f, at++, gsl_vector_get (params, PARAM_KAPPA) / self->log_kappa_sd);
  gsl_vector_set (f, at++, excess_contrast (self));
  if (self->n_params > PARAM_GAIN)
    gsl_vector_set (f, at++, gsl_vector_get (params, PARAM_GAIN) / self->prior->slow_gain_sd);
  return GSL_SUCCESS;
}

typedef struct
{
  ShimBlurModel model;
  double gain_slope;
  double cov[N_PARAMS][N_PARAMS];
  double cost;
  gboolean good;
} Trial;

/* Least squares with the weights in hand; leaves the problem at the model found. */
static void
descend (Problem *self, Trial *trial, guint rounds)
{
  gsl_multifit_nlinear_parameters settings = gsl_multifit_nlinear_default_parameters ();
  gsl_multifit_nlinear_fdf fdf = { .f = residuals_cb, .n = self->n_data + self->n_params, .p = self->n_params, .params = self };
  gsl_multifit_nlinear_workspace *workspace;
  gsl_matrix *cov = gsl_matrix_alloc (self->n_params, self->n_params);
  double start[N_PARAMS];
  gsl_vector_view view = gsl_vector_view_array (start, self->n_params);
  int info = 0;

  settings.scale = gsl_multifit_nlinear_scale_marquardt;
  settings.h_df = 1e-5;
  start[PARAM_PLACE] = (trial->model.v_sharp - self->v_mid) / self->v_half;
  start[PARAM_SOFTNESS] = trial->model.softness2;
  start[PARAM_KAPPA] = log (trial->model.kappa / self->kappa);
  start[PARAM_GAIN] = trial->gain_slope;
  workspace = gsl_multifit_nlinear_alloc (gsl_multifit_nlinear_trust, &settings, fdf.n, fdf.p);
  gsl_multifit_nlinear_init (&view.vector, &fdf, workspace);
  gsl_multifit_nlinear_driver (rounds, 1e-6, 1e-8, 0.0, NULL, NULL, &info, workspace);
  trial->good = gsl_multifit_nlinear_covar (gsl_multifit_nlinear_jac (workspace), 0.0, cov) == GSL_SUCCESS;
  trial->model = model_of_params (self, gsl_multifit_nlinear_position (workspace));
  trial->gain_slope = gain_slope_of_params (self, gsl_multifit_nlinear_position (workspace));
  for (guint i = 0; i < self->n_params; i++)
    for (guint j = 0; j < self->n_params; j++)
      trial->cov[i][j] = SHIM_TICK_OVERLAP * gsl_matrix_get (cov, i, j) * (i == PARAM_PLACE ? self->v_half : 1.0)
                         * (j == PARAM_PLACE ? self->v_half : 1.0);
  gsl_multifit_nlinear_free (workspace);
  gsl_matrix_free (cov);
  set_model (self, &trial->model, trial->gain_slope);
}

static void
polish (Problem *self, Trial *trial, guint n_reweighings, gboolean final)
{
  set_model (self, &trial->model, trial->gain_slope);
  for (guint i = 0; i < n_reweighings; i++)
    {
      reweigh (self, final && i > 0);
      descend (self, trial, final ? 30 : 12);
    }
  trial->cost = robust_cost (self) + prior_cost (self, &trial->model, trial->gain_slope);
}

static void
rate_start (Problem *self, Trial *trial)
{
  for (guint i = 0; i < self->n_data; i++)
    self->weight[i] = self->sd[i] < INFINITY ? 1.0 : 0.0;
  set_model (self, &trial->model, 0.0);
  reweigh (self, FALSE);
  solve_amplitudes (self);
  trial->cost = robust_cost (self) + prior_cost (self, &trial->model, 0.0);
  trial->good = TRUE;
}

static int
compare_trials (gconstpointer a, gconstpointer b)
{
  const Trial *one = a, *two = b;

  return one->cost < two->cost ? -1 : one->cost > two->cost;
}

/* All starts, best first: places along and beyond the ruler, two softnesses, and several growths where nothing is known. */
static GArray *
rate_starts (Problem *self)
{
  static const double softness[] = { -0.6, 0.8 };
  static const double log_growth[] = { 0.0, -0.8, -0.4, 0.4, 0.8 };
  GArray *trials = g_array_new (FALSE, TRUE, sizeof (Trial));
  guint n_growth = isnan (self->prior->kappa) ? G_N_ELEMENTS (log_growth) : 1;

  for (double v = self->prior->v_lo; v <= self->prior->v_hi; v += self->prior->v_step)
    for (guint s = 0; s < G_N_ELEMENTS (softness); s++)
      for (guint g = 0; g < n_growth; g++)
        {
          Trial trial = { .model = {
            .v_sharp = v,
            .softness2 = self->prior->softness2 + softness[s] * self->prior->softness2_sd,
            .kappa = self->kappa * exp (log_growth[g]),
          } };

          rate_start (self, &trial);
          g_array_append_val (trials, trial);
        }
  g_array_sort (trials, compare_trials);
  return trials;
}

/* The best few starts that are not next to a better one. */
static GArray *
choose_starts (GArray *trials, double v_apart)
{
  GArray *chosen = g_array_new (FALSE, TRUE, sizeof (Trial));

  for (guint i = 0; i < trials->len && chosen->len < N_POLISHED; i++)
    {
      const Trial *trial = &g_array_index (trials, Trial, i);
      gboolean near = FALSE;

      for (guint j = 0; j < chosen->len; j++)
        near = near || fabs (g_array_index (chosen, Trial, j).model.v_sharp - trial->model.v_sharp) < v_apart;
      if (!near)
        g_array_append_vals (chosen, trial, 1);
    }
  return chosen;
}

static double
cost_of_blank (Problem *self)
{
  memset (self->amplitude, 0, sizeof self->amplitude);
  memset (self->gain, 0, self->n_data * sizeof *self->gain);
  return robust_cost (self);
}

/* What noise leaves of its own is taken away from the number of data: one for each unknown. */
static void
judge_misfit (const Problem *self, ShimSharpFit *fit)
{
  double square = 0.0, n = 0.0;

  for (guint i = 0; i < self->n_data; i++)
    if (self->weight[i] > 0.0)
      {
        double z = residual (self, i) / self->sd[i];

        square += self->weight[i] * z * z;
        n += self->weight[i];
        fit->n_data++;
      }
  fit->misfit = sqrt (square / MAX (1.0, n - self->n_params - self->n_harmonics));
}

static ShimSharpFit *
fit_of_trial (Problem *self, const Trial *trial, double noise)
{
  ShimSharpFit *fit = g_new0 (ShimSharpFit, 1);

  fit->model = trial->model;
  fit->gain_slope = trial->gain_slope;
  fit->cost = trial->cost;
  fit->noise = noise;
  memcpy (fit->amplitude, self->amplitude, sizeof fit->amplitude);
  for (guint i = 0; i < 3; i++)
    for (guint j = 0; j < 3; j++)
      fit->cov[i][j] = trial->cov[i][j];
  fit->weight = g_new0 (double, self->n_blocks);
  for (guint b = 0; b < self->n_blocks; b++)
    fit->weight[b] = self->weight[b * self->n_harmonics];
  fit->rival_v = fit->rival_cost = NAN;
  judge_misfit (self, fit);
  fit->cost_blank = cost_of_blank (self);
  return fit;
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
 * shim_sharp_fit_new:
 * @contrast: signed contrast along the ruler
 * @prior: what is known before
 *
 * Fits the blur model from many starts, because its cost has side valleys, and keeps the best.
 *
 * Returns: (transfer full) (nullable): the fit; %NULL when there are fewer than six usable blocks
 */
ShimSharpFit *
shim_sharp_fit_new (const ShimTickContrast *contrast, const ShimSharpPrior *prior)
{
  g_autoptr (Problem) self = NULL;
  g_autoptr (GArray) trials = NULL;
  g_autoptr (GArray) chosen = NULL;
  ShimSharpFit *fit;
  double noise;

  g_return_val_if_fail (contrast != NULL && prior != NULL, NULL);

  shim_gsl_init ();
  noise = noise_of_quadrature (contrast);
  if (!enough_data (contrast) || !(noise > 0.0))
    return NULL;
  self = problem_new (contrast, prior, noise);
  trials = rate_starts (self);
  chosen = choose_starts (trials, 1.5 * prior->v_step);
  for (guint i = 0; i < chosen->len; i++)
    polish (self, &g_array_index (chosen, Trial, i), 2, FALSE);
  g_array_sort (chosen, compare_trials);
  polish (self, &g_array_index (chosen, Trial, 0), 4, TRUE);
  fit = fit_of_trial (self, &g_array_index (chosen, Trial, 0), noise);
  for (guint i = 1; i < chosen->len && isnan (fit->rival_v); i++)
    if (fabs (g_array_index (chosen, Trial, i).model.v_sharp - fit->model.v_sharp) > prior->v_step)
      {
        fit->rival_v = g_array_index (chosen, Trial, i).model.v_sharp;
        fit->rival_cost = g_array_index (chosen, Trial, i).cost;
      }
  return fit;
}

/**
 * shim_sharp_fit_again:
 * @contrast: signed contrast along the ruler
 * @prior: what is known before
 * @from: a fit to start from
 *
 * Fits once more from one start, after contrast or prior have changed a little.
 *
 * Returns: (transfer full) (nullable): the fit
 */
ShimSharpFit *
shim_sharp_fit_again (const ShimTickContrast *contrast, const ShimSharpPrior *prior, const ShimSharpFit *from)
{
  g_autoptr (Problem) self = NULL;
  ShimSharpFit *fit;
  Trial trial = { .model = from->model, .gain_slope = from->gain_slope };
  double noise;

  g_return_val_if_fail (contrast != NULL && prior != NULL && from != NULL, NULL);

  shim_gsl_init ();
  noise = noise_of_quadrature (contrast);
  if (!enough_data (contrast) || !(noise > 0.0))
    return NULL;
  self = problem_new (contrast, prior, noise);
  polish (self, &trial, 4, TRUE);
  fit = fit_of_trial (self, &trial, noise);
  fit->rival_v = from->rival_v;
  fit->rival_cost = from->rival_cost;
  return fit;
}

/**
 * shim_sharp_fit_free:
 * @self: (transfer full) (nullable): a fit
 */
void
shim_sharp_fit_free (ShimSharpFit *self)
{
  if (self == NULL)
    return;
  g_free (self->weight);
  g_free (self);
}

/**
 * shim_sharp_fit_block:
 * @self: a fit
 * @contrast: what it was fitted to
 * @block: one of its blocks
 * @harmonic: counted from 0
 *
 * Returns: the amplitude the model expects there
 */
double
shim_sharp_fit_block (const ShimSharpFit *self, const ShimTickContrast *contrast, guint block, guint harmonic)
{
  g_return_val_if_fail (self != NULL && contrast != NULL, NAN);

  return self->amplitude[harmonic] * shim_tick_contrast_gain (contrast, block, harmonic, &self->model);
}
