/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_sf_bessel.h>
#include <math.h>

#include "shim-blur-model.h"

/* 2 J1(x)/x is looked up: a fit asks for it some hundred thousand times. Its second derivative is at most 1/4, so straight
 * lines between these places are right to 2e-6. Beyond the table's end it stays below 1e-3 and is taken as 0. */
#define DISC_STEP (1.0 / 128.0)
#define DISC_END 192.0
#define DISC_SIZE ((gsize) (DISC_END / DISC_STEP) + 2)

static const float *
disc_table (void)
{
  static gsize table = 0;

  if (g_once_init_enter (&table))
    {
      float *values = g_new (float, DISC_SIZE);

      values[0] = 1.0f;
      for (gsize i = 1; i < DISC_SIZE; i++)
        values[i] = (float) (2.0 * gsl_sf_bessel_J1 (i * DISC_STEP) / (i * DISC_STEP));
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
  const float *table = disc_table ();
  double place = fabs (x) / DISC_STEP;
  gsize i;

  if (!(place < DISC_END / DISC_STEP))
    return 0.0;
  i = (gsize) place;
  return table[i] + (place - i) * (table[i + 1] - table[i]);
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
