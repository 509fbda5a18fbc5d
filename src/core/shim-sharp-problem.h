/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-sharp-fit.h"

G_BEGIN_DECLS

/* What a fit changes: place of the sharp line, softness, logarithm of the growth, and the slope of the contrast where that is wanted. */
#define SHIM_SHARP_N_PARAMS 4

/**
 * ShimSharpSoftened:
 * @softness2: a softness σ², pixels squared
 * @weights: (nullable): what it makes of the contrast's nodes, shim_tick_contrast_soften(); %NULL = nothing yet
 */
typedef struct
{
  double softness2;
  double *weights;
} ShimSharpSoftened;

/**
 * ShimSharpProblem:
 *
 * Measured contrasts against a blur model: what a fit is to make small.
 * @contrast: the contrast
 * @prior: what is known before
 * @n_blocks: blocks of the contrast
 * @n_harmonics: harmonics of each
 * @n_data: both together
 * @n_params: 3, or #SHIM_SHARP_N_PARAMS with a slope of the contrast
 * @v_mid: middle of the scale, pixels along
 * @v_half: from there to its end
 * @kappa: expected growth of the blur circle, px per px
 * @log_kappa_sd: standard deviation of its logarithm
 * @noise: standard deviation of one pixel's light, as in #ShimSharpFit
 * @y: (array length=n_data): measured amplitudes, block after block, harmonics inside
 * @sd: (array length=n_data): their noise; INFINITY where not usable
 * @weight: (array length=n_data): robust weights
 * @gain: (array length=n_data): of the model in hand
 * @softened: of the last two softnesses: the starts have two, a descent steps aside and back again
 * @newest: which of them was used last
 * @amplitude: of each harmonic, for the model in hand
 */
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
  double noise;
  double *y;
  double *sd;
  double *weight;
  double *gain;
  ShimSharpSoftened softened[2];
  guint newest;
  double amplitude[SHIM_TICK_HARMONICS];
} ShimSharpProblem;

ShimSharpProblem *shim_sharp_problem_new              (const ShimTickContrast *contrast, const ShimSharpPrior *prior);
void              shim_sharp_problem_free             (ShimSharpProblem *self);
void              shim_sharp_problem_set_model        (ShimSharpProblem *self, const ShimBlurModel *model, double gain_slope);
void              shim_sharp_problem_solve_amplitudes (ShimSharpProblem *self);
void              shim_sharp_problem_reweigh          (ShimSharpProblem *self, gboolean final);
double            shim_sharp_problem_excess_contrast  (const ShimSharpProblem *self);
double            shim_sharp_problem_prior_cost       (const ShimSharpProblem *self, const ShimBlurModel *model, double gain_slope);
double            shim_sharp_problem_robust_cost      (const ShimSharpProblem *self);
double            shim_sharp_problem_blank_cost       (ShimSharpProblem *self);

/* What the model in hand leaves of one of the data, relative contrast. */
static inline double
shim_sharp_problem_residual (const ShimSharpProblem *self, guint i)
{
  return self->y[i] - self->amplitude[i % self->n_harmonics] * self->gain[i];
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimSharpProblem, shim_sharp_problem_free)

G_END_DECLS
