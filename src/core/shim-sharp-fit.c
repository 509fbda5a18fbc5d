/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_multifit_nlinear.h>
#include <math.h>
#include <string.h>

#include "shim-gsl.h"
#include "shim-sharp-fit.h"
#include "shim-sharp-problem.h"

enum
{
  PARAM_PLACE,
  PARAM_SOFTNESS,
  PARAM_KAPPA,
  PARAM_GAIN,
  N_PARAMS = SHIM_SHARP_N_PARAMS
};

#define N_POLISHED 5

static ShimBlurModel
model_of_params (const ShimSharpProblem *self, const gsl_vector *params)
{
  return (ShimBlurModel) {
    .v_sharp = self->v_mid + self->v_half * gsl_vector_get (params, PARAM_PLACE),
    .softness2 = gsl_vector_get (params, PARAM_SOFTNESS),
    .kappa = self->kappa * exp (gsl_vector_get (params, PARAM_KAPPA)),
  };
}

static double
gain_slope_of_params (const ShimSharpProblem *self, const gsl_vector *params)
{
  return self->n_params > PARAM_GAIN ? gsl_vector_get (params, PARAM_GAIN) : 0.0;
}

static int
residuals_cb (const gsl_vector *params, void *data, gsl_vector *f)
{
  ShimSharpProblem *self = data;
  ShimBlurModel model = model_of_params (self, params);
  guint at = self->n_data;

  shim_sharp_problem_set_model (self, &model, gain_slope_of_params (self, params));
  for (guint i = 0; i < self->n_data; i++)
    gsl_vector_set (f, i, self->weight[i] > 0.0 ? sqrt (self->weight[i]) * shim_sharp_problem_residual (self, i) / self->sd[i] : 0.0);
  gsl_vector_set (f, at++, (model.softness2 - self->prior->softness2) / self->prior->softness2_sd);
  gsl_vector_set (f, at++, gsl_vector_get (params, PARAM_KAPPA) / self->log_kappa_sd);
  gsl_vector_set (f, at++, shim_sharp_problem_excess_contrast (self));
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
descend (ShimSharpProblem *self, Trial *trial, guint rounds)
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
  shim_sharp_problem_set_model (self, &trial->model, trial->gain_slope);
}

static void
polish (ShimSharpProblem *self, Trial *trial, guint n_reweighings, gboolean final)
{
  shim_sharp_problem_set_model (self, &trial->model, trial->gain_slope);
  for (guint i = 0; i < n_reweighings; i++)
    {
      shim_sharp_problem_reweigh (self, final && i > 0);
      descend (self, trial, final ? 30 : 12);
    }
  trial->cost = shim_sharp_problem_robust_cost (self) + shim_sharp_problem_prior_cost (self, &trial->model, trial->gain_slope);
}

static void
rate_start (ShimSharpProblem *self, Trial *trial)
{
  for (guint i = 0; i < self->n_data; i++)
    self->weight[i] = self->sd[i] < INFINITY ? 1.0 : 0.0;
  shim_sharp_problem_set_model (self, &trial->model, 0.0);
  shim_sharp_problem_reweigh (self, FALSE);
  shim_sharp_problem_solve_amplitudes (self);
  trial->cost = shim_sharp_problem_robust_cost (self) + shim_sharp_problem_prior_cost (self, &trial->model, 0.0);
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
rate_starts (ShimSharpProblem *self)
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

/* What noise leaves of its own is taken away from the number of data: one for each unknown. */
static void
judge_misfit (const ShimSharpProblem *self, ShimSharpFit *fit)
{
  double square = 0.0, n = 0.0;

  for (guint i = 0; i < self->n_data; i++)
    if (self->weight[i] > 0.0)
      {
        double z = shim_sharp_problem_residual (self, i) / self->sd[i];

        square += self->weight[i] * z * z;
        n += self->weight[i];
        fit->n_data++;
      }
  fit->misfit = sqrt (square / MAX (1.0, n - self->n_params - self->n_harmonics));
}

static ShimSharpFit *
fit_of_trial (ShimSharpProblem *self, const Trial *trial)
{
  ShimSharpFit *fit = g_new0 (ShimSharpFit, 1);

  fit->model = trial->model;
  fit->gain_slope = trial->gain_slope;
  fit->cost = trial->cost;
  fit->noise = self->noise;
  memcpy (fit->amplitude, self->amplitude, sizeof fit->amplitude);
  for (guint i = 0; i < 3; i++)
    for (guint j = 0; j < 3; j++)
      fit->cov[i][j] = trial->cov[i][j];
  fit->weight = g_new0 (double, self->n_blocks);
  for (guint b = 0; b < self->n_blocks; b++)
    fit->weight[b] = self->weight[b * self->n_harmonics];
  fit->rival_v = fit->rival_cost = NAN;
  judge_misfit (self, fit);
  fit->cost_blank = shim_sharp_problem_blank_cost (self);
  return fit;
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
  g_autoptr (ShimSharpProblem) self = NULL;
  g_autoptr (GArray) trials = NULL;
  g_autoptr (GArray) chosen = NULL;
  ShimSharpFit *fit;

  g_return_val_if_fail (contrast != NULL && prior != NULL, NULL);

  shim_gsl_init ();
  self = shim_sharp_problem_new (contrast, prior);
  if (self == NULL)
    return NULL;
  trials = rate_starts (self);
  chosen = choose_starts (trials, 1.5 * prior->v_step);
  for (guint i = 0; i < chosen->len; i++)
    polish (self, &g_array_index (chosen, Trial, i), 2, FALSE);
  g_array_sort (chosen, compare_trials);
  polish (self, &g_array_index (chosen, Trial, 0), 4, TRUE);
  fit = fit_of_trial (self, &g_array_index (chosen, Trial, 0));
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
  g_autoptr (ShimSharpProblem) self = NULL;
  ShimSharpFit *fit;
  Trial trial = { .model = from->model, .gain_slope = from->gain_slope };

  g_return_val_if_fail (contrast != NULL && prior != NULL && from != NULL, NULL);

  shim_gsl_init ();
  self = shim_sharp_problem_new (contrast, prior);
  if (self == NULL)
    return NULL;
  polish (self, &trial, 4, TRUE);
  fit = fit_of_trial (self, &trial);
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

  return self->amplitude[harmonic]
         * shim_tick_contrast_gain (contrast, block, shim_tick_contrast_index (contrast, harmonic), &self->model);
}
