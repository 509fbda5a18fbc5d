/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-sharp-finding.h"

#define MAX_NOISE_RATIO 4.0
#define KAPPA_FREE 0.02         /* disagreement of the blur's growth (logarithm) that means nothing */
/* Of the shift by interpolation, what is taken for a doubt: where it was not seen, and where it was and is allowed for. */
#define MOSAIC_SHARE 0.25
#define MOSAIC_SEEN_SHARE 0.5
/* Less softness than this, pixels squared, is not a lens's: the picture was sharpened, which bends the fall of contrast alike.
 * Nobody need guess where the longer ticks tell. */
#define SHARPENED_PX2 0.25
/* Share of the length on the ruler with at most one pixel of blur. */
#define WHOLE_OF_D1 0.02

/**
 * shim_sharp_noise_factor:
 * @fit: a fit
 *
 * Noise as the quadrature has it and as the model leaves it are two estimates of the same thing as long as they roughly agree
 * (compression adds to the second alone, block by block, without pulling the fit); what is left beyond that is more than
 * noise and counts in full. Either rests on few blocks, fewer still for their overlap, so the spread of Student's t is
 * added: df / (df − 2).
 *
 * Returns: by what standard errors that go by the quadrature are to be multiplied, above 0
 */
double
shim_sharp_noise_factor (const ShimSharpFit *fit)
{
  double left = fit->misfit * fit->misfit, per_kind = (fit->n_data - 4.0) / SHIM_TICK_OVERLAP;
  gboolean agree = left < MAX_NOISE_RATIO;
  double df = MAX (3.0, agree ? 2.0 * per_kind : per_kind);
  double ratio = agree ? 0.5 * (1.0 + left) : left - 0.5 * (MAX_NOISE_RATIO - 1.0);

  return sqrt (ratio * df / (df - 2.0));
}

/**
 * shim_sharp_one_pixel_mm:
 * @self: a finding with a fit
 *
 * Returns: length on the ruler, mm, over which the blur circle is at most one pixel
 */
double
shim_sharp_one_pixel_mm (const ShimSharpFinding *self)
{
  const ShimLattice *lattice = self->lattice;
  double v = CLAMP (self->fit->model.v_sharp, lattice->v_first, lattice->v_last);

  return 2.0 / self->fit->model.kappa * shim_lattice_mm_per_px (lattice, v);
}

/**
 * shim_sharp_glare_shift_px:
 * @self: a finding with a fit
 *
 * Returns: by how much the sharp line moves, pixels along the ruler, when the contrast may change slowly for another reason
 *   than focus; 0 where that was not tried
 */
double
shim_sharp_glare_shift_px (const ShimSharpFinding *self)
{
  return self->slow_fit != NULL ? self->slow_fit->model.v_sharp - self->fit->model.v_sharp : 0.0;
}

/* A shift by a slow change of contrast is a doubt only as far as noise does not explain it. */
static double
glare_se_px (const ShimSharpFinding *self)
{
  double shift = shim_sharp_glare_shift_px (self), by_noise;

  if (self->slow_fit == NULL)
    return 0.0;
  by_noise = MAX (0.0, self->slow_fit->cov[0][0] - self->fit->cov[0][0]);
  return sqrt (MAX (0.0, shift * shift - by_noise));
}

/* What the strip says by itself may disagree with what was known before: the softness read from the longer ticks, the
 * growth of the blur from f-number and geometry. Then something is not as the model has it (aberration, glare), and the
 * place is in doubt by as much as it moves when either is given its way, beyond what noise explains. */
static double
tension_se_px (const ShimSharpFinding *self)
{
  const ShimSharpFit *fit = self->fit;
  double softness = fit->model.softness2 - self->prior.softness2, growth = 0.0, known;

  known = self->prior.softness2_sd * self->prior.softness2_sd - fit->cov[1][1];
  softness = sqrt (MAX (0.0, softness * softness - MAX (0.0, known)));
  if (!isnan (self->prior.kappa))
    growth = log (fit->model.kappa / self->prior.kappa);
  known = fit->cov[2][2] * shim_sharp_noise_factor (fit) * shim_sharp_noise_factor (fit) + KAPPA_FREE * KAPPA_FREE;
  growth = sqrt (MAX (0.0, growth * growth - known));
  return hypot (fit->cov[0][1] / fit->cov[1][1] * softness, fit->cov[0][2] / fit->cov[2][2] * growth);
}

static double
mosaic_share (const ShimSharpFinding *self)
{
  const double sharpened = self->sharpening_told ? 0.0 : CLAMP (1.0 - self->fit->model.softness2 / SHARPENED_PX2, 0.0, 1.0);
  const double share = self->mosaic.seen ? MOSAIC_SEEN_SHARE : MOSAIC_SHARE * self->mosaic.most;

  return share + (1.0 - share) * sharpened;
}

/* Where the ticks show that the camera interpolated, the fit allows for it, for one way of doing so; else as much of it may be there
 * as the ticks would not show. Interpolation loses more at the finest ticks than the Gaussian takes, and the nearer ticks are the
 * coarser ones: the place is in doubt by a share of what it moves (for frames of known truth made either way). */
static double
mosaic_se_px (ShimSharpFinding *self)
{
  g_autofree double *light = g_new (double, self->contrast->blocks->len);
  ShimSharpFit *fit;
  double shift = 0.0;

  for (guint b = 0; b < self->contrast->blocks->len; b++)
    {
      ShimTickBlock *block = shim_tick_contrast_block (self->contrast, b);
      double gain;

      light[b] = block->light;
      gain = shim_mosaic_gain (shim_lattice_cycles_per_px (self->lattice, block->v));
      block->light *= self->mosaic.seen ? 1.0 / gain : gain;
    }
  fit = shim_sharp_fit_again (self->contrast, &self->prior, self->fit);
  if (fit != NULL)
    shift = fit->model.v_sharp - self->fit->model.v_sharp;
  shim_sharp_fit_free (fit);
  for (guint b = 0; b < self->contrast->blocks->len; b++)
    shim_tick_contrast_block (self->contrast, b)->light = light[b];
  return mosaic_share (self) * fabs (shift);
}

/* Where whole longer ticks carry the measurement: lanes not laid exactly, and what sampling folds back (for frames of known
 * truth, without noise). */
static double
whole_se_px (const ShimSharpFinding *self)
{
  return self->contrast->lane.whole ? WHOLE_OF_D1 * 2.0 / self->fit->model.kappa : 0.0;
}

/**
 * shim_sharp_common_se_px:
 * @self: a finding with a fit
 *
 * What glare, disagreement with what was known before, and interpolation in the camera leave in doubt: alike in all frames
 * of a set-up, so that averaging does not lower it.
 *
 * Returns: standard error, pixels along the ruler
 */
double
shim_sharp_common_se_px (ShimSharpFinding *self)
{
  return hypot (hypot (glare_se_px (self), tension_se_px (self)), hypot (mosaic_se_px (self), whole_se_px (self)));
}
