/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_sf_bessel.h>
#include <math.h>

#include "shim-blur-model.h"

#define DISC_SIZE ((gsize) (SHIM_BLUR_DISC_END * SHIM_BLUR_DISC_PER_UNIT) + 2)

/**
 * shim_blur_disc_table:
 *
 * Returns: (transfer none): the table for shim_blur_disc_at()
 */
const float *
shim_blur_disc_table (void)
{
  static gsize table = 0;

  if (g_once_init_enter (&table))
    {
      float *values = g_new (float, DISC_SIZE);

      values[0] = 1.0f;
      for (gsize i = 1; i < DISC_SIZE; i++)
        {
          const double x = i / SHIM_BLUR_DISC_PER_UNIT;

          values[i] = (float) (2.0 * gsl_sf_bessel_J1 (x) / x);
        }
      g_once_init_leave (&table, (gsize) values);
    }
  return (const float *) table;
}

/**
 * shim_blur_disc_gain:
 * @x: π times the blur circle's diameter times the frequency; its sign does not matter
 *
 * The Fourier transform of an evenly lit disc, 2 J1(x)/x (the transform of the circ function in J. W. Goodman,
 * Introduction to Fourier Optics; from memory), to 2e-6.
 *
 * Returns: 1 at 0, first zero at 3.8317
 */
double
shim_blur_disc_gain (double x)
{
  return shim_blur_disc_at (shim_blur_disc_table (), x);
}

/**
 * shim_blur_softness_gain:
 * @softness2: variance of the Gaussian, pixels squared
 * @cycles_per_px: frequency
 *
 * Returns: its Fourier transform, exp(−2π² σ² f²)
 */
double
shim_blur_softness_gain (double softness2, double cycles_per_px)
{
  return exp (-2.0 * G_PI * G_PI * softness2 * cycles_per_px * cycles_per_px);
}

/**
 * shim_blur_pixel_gain:
 * @cycles_per_px: frequency
 *
 * Returns: the Fourier transform of a pixel one unit wide, sin(πf)/(πf)
 */
double
shim_blur_pixel_gain (double cycles_per_px)
{
  double x = G_PI * cycles_per_px;

  return fabs (x) < 1e-4 ? 1.0 - x * x / 6.0 : sin (x) / x;
}

/**
 * shim_blur_model_gain:
 * @self: a model
 * @v: a place along the ruler, pixels
 * @cycles_per_px: frequency of what is looked at there
 *
 * Returns: the share of the contrast that is left, negative where it is reversed
 */
double
shim_blur_model_gain (const ShimBlurModel *self, double v, double cycles_per_px)
{
  g_return_val_if_fail (self != NULL, NAN);

  return shim_blur_disc_gain (G_PI * self->kappa * (v - self->v_sharp) * cycles_per_px)
         * shim_blur_softness_gain (self->softness2, cycles_per_px) * shim_blur_pixel_gain (cycles_per_px);
}
