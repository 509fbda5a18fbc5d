/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_multifit.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>

#include "shim-contrast-profile.h"
#include "shim-gsl.h"

/* The longer ticks are so far apart that little blur hardly touches their first harmonic: as long as focus leaves this share
 * of it, what else changes is print and light. */
#define MIN_GAIN_SHARE 0.85
#define MIN_BLOCKS 8
/* What the terms are expected to be at most; a term that the ticks do not show stays near 0. */
#define TERM_SD 0.2

static guint
choose_blocks (const ShimTickContrast *contrast, const ShimBlurModel *model, guint *first)
{
  double greatest = 0.0;
  guint n = 0;

  for (guint b = 0; b < contrast->blocks->len; b++)
    greatest = MAX (greatest, shim_tick_contrast_gain (contrast, b, 0, model));
  for (guint b = 0; b < contrast->blocks->len; b++)
    if (shim_tick_contrast_gain (contrast, b, 0, model) > MIN_GAIN_SHARE * greatest)
      {
        if (n == 0)
          *first = b;
        n++;
      }
  return n;
}

static double
chisq_of_level (const gsl_vector *y, const gsl_vector *w, guint n)
{
  double mean = gsl_stats_wmean (w->data, w->stride, y->data, y->stride, n);

  return gsl_stats_wtss_m (w->data, w->stride, y->data, y->stride, n, mean);
}

static gboolean
fit_terms (ShimContrastProfile *self, gsl_matrix *x, gsl_vector *y, gsl_vector *w)
{
  gsl_multifit_linear_workspace *workspace = gsl_multifit_linear_alloc (x->size1, x->size2);
  gsl_matrix *cov = gsl_matrix_alloc (x->size2, x->size2);
  gsl_vector *c = gsl_vector_alloc (x->size2);
  double chisq;
  gboolean ok = gsl_multifit_wlinear (x, w, y, c, cov, &chisq, workspace) == GSL_SUCCESS;
  double scatter = MAX (1.0, chisq / (double) (x->size1 - x->size2));

  for (guint i = 0; ok && i < SHIM_PROFILE_TERMS; i++)
    self->term[i] = gsl_vector_get (c, i);
  if (ok)
    self->slope_sd = sqrt (SHIM_TICK_OVERLAP * gsl_matrix_get (cov, 1, 1)) / fabs (self->term[0])
                     * sqrt (scatter);
  self->evidence = (chisq_of_level (y, w, x->size1 - SHIM_PROFILE_TERMS + 1) - chisq) / scatter / SHIM_TICK_OVERLAP;
  gsl_multifit_linear_free (workspace);
  gsl_matrix_free (cov);
  gsl_vector_free (c);
  return ok && self->term[0] > 0.0;
}

static void
measure_range (ShimContrastProfile *self)
{
  double least = INFINITY, greatest = 0.0;

  for (double x = -1.0; x <= 1.0; x += 0.1)
    {
      double at = shim_contrast_profile_at (self, self->v_mid + x * self->v_half);

      least = MIN (least, at);
      greatest = MAX (greatest, at);
    }
  self->range = least > 0.0 ? greatest / least - 1.0 : INFINITY;
}

/**
 * shim_contrast_profile_read:
 * @long_ticks: contrast of the longer ticks
 * @model: a fit of the finest ones
 * @noise: its noise per pixel
 * @profile: (out): the profile
 *
 * Returns: whether the longer ticks say enough
 */
gboolean
shim_contrast_profile_read (const ShimTickContrast *long_ticks, const ShimBlurModel *model, double noise,
                            ShimContrastProfile *profile)
{
  guint first = 0, n = choose_blocks (long_ticks, model, &first);
  gsl_matrix *x;
  gsl_vector *y, *w;
  double mean = 0.0;
  gboolean ok;

  if (n < MIN_BLOCKS || first + n > long_ticks->blocks->len)
    return FALSE;
  shim_gsl_init ();
  profile->v_mid = 0.5 * (shim_tick_contrast_block (long_ticks, first)->v + shim_tick_contrast_block (long_ticks, first + n - 1)->v);
  profile->v_half = MAX (1.0, shim_tick_contrast_block (long_ticks, first + n - 1)->v - profile->v_mid);
  x = gsl_matrix_calloc (n + SHIM_PROFILE_TERMS - 1, SHIM_PROFILE_TERMS);
  y = gsl_vector_calloc (x->size1);
  w = gsl_vector_calloc (x->size1);
  for (guint i = 0; i < n; i++)
    {
      const ShimTickBlock *block = shim_tick_contrast_block (long_ticks, first + i);
      double gain = shim_tick_contrast_gain (long_ticks, first + i, 0, model);

      for (guint j = 0; j < SHIM_PROFILE_TERMS; j++)
        gsl_matrix_set (x, i, j, pow ((block->v - profile->v_mid) / profile->v_half, j));
      gsl_vector_set (y, i, block->in_phase[0] / gain);
      gsl_vector_set (w, i, gain * gain / (noise * noise * block->variance[0]));
      mean += block->in_phase[0] / gain / n;
    }
  for (guint j = 1; j < SHIM_PROFILE_TERMS; j++)
    {
      gsl_matrix_set (x, n + j - 1, j, 1.0);
      gsl_vector_set (w, n + j - 1, 1.0 / (TERM_SD * TERM_SD * mean * mean));
    }
  ok = fit_terms (profile, x, y, w);
  gsl_matrix_free (x);
  gsl_vector_free (y);
  gsl_vector_free (w);
  if (ok)
    measure_range (profile);
  return ok && profile->range < 1.0;
}

/**
 * shim_contrast_profile_at:
 * @self: a profile
 * @v: a place along the ruler; beyond what the profile was read from it goes on level
 *
 * Returns: contrast there relative to the middle
 */
double
shim_contrast_profile_at (const ShimContrastProfile *self, double v)
{
  double x = CLAMP ((v - self->v_mid) / self->v_half, -1.0, 1.0);

  return (self->term[0] + x * (self->term[1] + x * (self->term[2] + x * self->term[3]))) / self->term[0];
}
