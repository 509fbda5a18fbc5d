/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_sf_bessel.h>
#include <math.h>

#include "shim-blur-model.h"

/* 2 J1(x)/x is looked up: a fit asks for it some hundred thousand times. Cubics through values and slopes at these places are
 * right to 1e-8 (h⁴/384 times the fourth derivative, at most 1/4). Beyond the table's end it stays below 1e-3 and is taken
 * as 0. */
#define DISC_PER_UNIT 16.0
#define DISC_END 192.0
#define DISC_SIZE ((gsize) (DISC_END * DISC_PER_UNIT) + 2)

typedef struct
{
  double value;
  double slope;   /* per place of the table */
} DiscPlace;

static const DiscPlace *
disc_table (void)
{
  static gsize table = 0;

  if (g_once_init_enter (&table))
    {
      DiscPlace *places = g_new (DiscPlace, DISC_SIZE);

      places[0] = (DiscPlace) { 1.0, 0.0 };
      for (gsize i = 1; i < DISC_SIZE; i++)
        {
          const double x = i / DISC_PER_UNIT, j1 = gsl_sf_bessel_J1 (x), j2 = 2.0 * j1 / x - gsl_sf_bessel_J0 (x);

          places[i] = (DiscPlace) { 2.0 * j1 / x, -2.0 * j2 / x / DISC_PER_UNIT };
        }
      g_once_init_leave (&table, (gsize) places);
    }
  return (const DiscPlace *) table;
}

static inline double
look_up (const DiscPlace *table, double x)
{
  const double place = fabs (x) * DISC_PER_UNIT;
  const DiscPlace *at;
  double t, rise;
  gsize i;

  if (!(place < DISC_END * DISC_PER_UNIT))
    return 0.0;
  i = (gsize) place;
  at = &table[i];
  t = place - i;
  rise = at[1].value - at[0].value;
  return at[0].value
         + t * (at[0].slope + t * (3.0 * rise - 2.0 * at[0].slope - at[1].slope + t * (at[0].slope + at[1].slope - 2.0 * rise)));
}

/**
 * shim_blur_disc_gain:
 * @x: π times the blur circle's diameter times the frequency; its sign does not matter
 *
 * The Fourier transform of an evenly lit disc, 2 J1(x)/x (the transform of the circ function in J. W. Goodman,
 * Introduction to Fourier Optics; from memory), to 1e-8. Its slope is
 * −2 J2(x)/x (M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 9.1.30; from memory).
 *
 * Returns: 1 at 0, first zero at 3.8317
 */
double
shim_blur_disc_gain (double x)
{
  return look_up (disc_table (), x);
}

/**
 * shim_blur_disc_sum:
 * @x: (array length=n): what shim_blur_disc_gain() takes
 * @weight: (array length=n): of each
 * @n: how many
 *
 * Returns: the weighted sum of their gains
 */
double
shim_blur_disc_sum (const double *x, const double *weight, guint n)
{
  const DiscPlace *table = disc_table ();
  double sum = 0.0;

  for (guint i = 0; i < n; i++)
    sum += weight[i] * look_up (table, x[i]);
  return sum;
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
 * shim_blur_sharpening_gain:
 * @sharpening: how much of what a blurred copy lacks was added, as a share
 * @cycles_per_px: frequency
 *
 * Unsharp masking: the picture plus a share of what it has and its blurred copy has not. The copy is taken to be blurred by a
 * Gaussian of one pixel (common practice, no source).
 *
 * Returns: what becomes of the contrast: 1 at 0, 1 + @sharpening at high frequencies
 */
double
shim_blur_sharpening_gain (double sharpening, double cycles_per_px)
{
  return 1.0 + sharpening * (1.0 - shim_blur_softness_gain (1.0, cycles_per_px));
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
