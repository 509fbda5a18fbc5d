/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * ShimBlurModel:
 *
 * What is left of the contrast of ticks at a place v along the ruler, pixels throughout:
 *   gain = 2 J1(x)/x · exp(−2π² σ² f²) · sinc(f),  x = π c f,  c = kappa |v − v_sharp|
 * the Fourier transforms of the blur circle (a disc of even brightness of diameter c), of the common softness of lens,
 * sensor and processing taken as a Gaussian, and of a square pixel. f is the frequency in cycles per pixel. The first factor
 * turns negative beyond x = 3.83: contrast reversal, dark ticks look light.
 * @v_sharp: where the blur circle vanishes
 * @softness2: σ², pixels squared; a camera that sharpens can bring it below zero
 * @kappa: growth of the blur circle's diameter, pixels per pixel along the ruler
 */
typedef struct
{
  double v_sharp;
  double softness2;
  double kappa;
} ShimBlurModel;

double shim_blur_disc_gain       (double x);
double shim_blur_disc_sum        (const double *x, const double *weight, guint n);
double shim_blur_softness_gain   (double softness2, double cycles_per_px);
double shim_blur_pixel_gain      (double cycles_per_px);
double shim_blur_sharpening_gain (double sharpening, double cycles_per_px);
double shim_blur_model_gain      (const ShimBlurModel *self, double v, double cycles_per_px);

G_END_DECLS
