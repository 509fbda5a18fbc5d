/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-blur-model.h"
#include "shim-tick-contrast.h"

G_BEGIN_DECLS

/**
 * ShimSharpPrior:
 *
 * What is known before the blur model is fitted.
 * @kappa: expected growth of the blur circle, px per px; NAN = nothing is known
 * @log_kappa_sd: standard deviation of its logarithm
 * @softness2: expected σ², pixels squared
 * @softness2_sd: its standard deviation
 * @v_lo: the sharp line is looked for from here …
 * @v_hi: … to here
 * @v_step: distance of the starts
 * @slow_gain: let the contrast change evenly along the ruler, as under glare
 * @slow_gain_sd: by how much, from the middle of the scale to its end
 * @either_sign: whether the ticks may turn out inverted, because light and dark ticks were not told apart
 */
typedef struct
{
  double kappa;
  double log_kappa_sd;
  double softness2;
  double softness2_sd;
  double v_lo;
  double v_hi;
  double v_step;
  gboolean slow_gain;
  double slow_gain_sd;
  gboolean either_sign;
} ShimSharpPrior;

/**
 * ShimSharpFit:
 *
 * A blur model fitted to the contrast of ticks.
 * @model: the model
 * @amplitude: contrast of each harmonic without any blur
 * @gain_slope: relative change of the contrast from the middle of the scale to its end that has the greater v
 * @cov: covariance of v_sharp (pixels), σ² (pixels squared) and the logarithm of kappa, for the noise as found
 * @cost: robust cost, half the sum of squares for good data
 * @cost_blank: the same with no ticks at all
 * @noise: standard deviation of one pixel's light, relative to the level and for a level of 1, within the ticks' band
 * @misfit: rms of what the model leaves, in standard errors of the noise (1 = as noise alone would)
 * @n_data: amplitudes used
 * @weight: (array): weight of each block, 0 = rejected
 * @rival_v: sharp line of the best other valley, NAN if there is none
 * @rival_cost: its cost
 */
typedef struct
{
  ShimBlurModel model;
  double amplitude[SHIM_TICK_HARMONICS];
  double gain_slope;
  double cov[3][3];
  double cost;
  double cost_blank;
  double noise;
  double misfit;
  guint n_data;
  double *weight;
  double rival_v;
  double rival_cost;
} ShimSharpFit;

ShimSharpFit *shim_sharp_fit_new   (const ShimTickContrast *contrast, const ShimSharpPrior *prior);
ShimSharpFit *shim_sharp_fit_again (const ShimTickContrast *contrast, const ShimSharpPrior *prior, const ShimSharpFit *from);
void          shim_sharp_fit_free  (ShimSharpFit *self);
double        shim_sharp_fit_block (const ShimSharpFit *self, const ShimTickContrast *contrast, guint block, guint harmonic);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimSharpFit, shim_sharp_fit_free)

G_END_DECLS
