/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_multifit.h>
#include <math.h>

#include "shim-jpeg-loss.h"
#include "shim-long-ticks.h"
#include "shim-sharp-finding.h"

#define START_STEP_MM 20.0
#define STARTS_BEYOND 4.0
#define SOFTNESS2 0.45
#define SOFTNESS2_SD 0.5
#define USUAL_CYCLES 0.42
#define KAPPA_FREE_LOG_SD 0.1   /* how far the blur's growth may stray while it is checked */
#define KAPPA_AGREES 2.5        /* standard errors within which it agrees with what was predicted */
#define WHOLE_GROWTH_DOUBT 0.05 /* as the harmonics of longer ticks tell it, compression and what is folded back left aside */
#define JPEG_ROUNDS 2
#define KEEP_DOUBT 0.4          /* of what compression takes from whole ticks, how much is not known: they are no even waves */
#define SLOW_GAIN_SD 0.25       /* what contrast may change from the middle to an end for other reasons than focus … */
#define PROFILE_EVIDENCE 16.0   /* fall of χ² for three terms that is no chance */
#define PROFILE_DOUBT 0.015     /* … and what is left of that when the longer ticks have told it */
#define MIN_KEEP 0.02
#define FINEST_MM 1.0

static void
set_prior (ShimSharpFinding *self)
{
  const ShimLattice *lattice = self->lattice;
  double mid = 0.5 * (lattice->v_first + lattice->v_last);
  double step_px = START_STEP_MM / shim_lattice_mm_per_px (lattice, mid);
  double cycles = shim_lattice_cycles_per_px (lattice, mid);
  /* The finer the pixels, the more of them the lens's own softness covers; where the finest ticks are beyond, they are coarse. */
  double scale = self->contrast->lane.whole ? 1.0 : CLAMP (USUAL_CYCLES / cycles, 1.0, 1.7);
  const ShimKnown *kappa = &self->geometry->kappa;

  self->prior = (ShimSharpPrior) {
    .kappa = kappa->value > 0.0 ? kappa->value : NAN,
    .log_kappa_sd = MAX (KAPPA_FREE_LOG_SD, kappa->se / kappa->value),
    .softness2 = SOFTNESS2,
    .softness2_sd = SOFTNESS2_SD * scale * scale,
    .v_lo = lattice->v_first - STARTS_BEYOND * step_px,
    .v_hi = lattice->v_last + STARTS_BEYOND * step_px,
    .v_step = step_px,
    .either_sign = !lattice->dark_known,
  };
}

/* What the quadrature of one harmonic says of the ticks' phase, as a row of a linear fit; FALSE where it says nothing. */
static gboolean
phase_row (const ShimSharpFinding *self, guint block, guint measured, double strength, double *model, double *sd)
{
  const ShimTickBlock *at = shim_tick_contrast_block (self->contrast, block);
  const guint index = shim_tick_contrast_index (self->contrast, measured);

  *model = shim_sharp_fit_block (self->fit, self->contrast, block, measured);
  *sd = self->fit->noise * sqrt (at->variance[index]);
  return at->usable && *sd < INFINITY && !isnan (at->quadrature[index]) && fabs (*model) >= strength * *sd &&
         self->fit->weight[block] >= 0.5;
}

/* The lattice's map is not perfect (distortion); the quadrature of the strong blocks shows by how much the ticks stand off. It is
 * noise to them unless the phase is followed, so that ticks with several harmonics are not asked to stand far out of it. */
static void
follow_phase (ShimSharpFinding *self)
{
  enum { DEGREE = 2, MIN_BLOCKS = 8 };
  const ShimTickContrast *contrast = self->contrast;
  const double strength = contrast->lane.whole ? 1.0 : 3.0;
  const guint n_measured = shim_tick_contrast_n_measured (contrast), n = contrast->blocks->len * n_measured;
  gsl_matrix *x = gsl_matrix_calloc (n, DEGREE + 1);
  gsl_vector *y = gsl_vector_calloc (n), *w = gsl_vector_calloc (n), *c = gsl_vector_alloc (DEGREE + 1);
  gsl_matrix *cov = gsl_matrix_alloc (DEGREE + 1, DEGREE + 1);
  gsl_multifit_linear_workspace *workspace = gsl_multifit_linear_alloc (n, DEGREE + 1);
  double span = MAX (1.0, self->lattice->v_last - self->lattice->v_first), chisq;
  guint kept = 0;

  for (guint i = 0; i < n; i++)
    {
      const guint k = shim_tick_contrast_index (contrast, i % n_measured);
      const ShimTickBlock *block = shim_tick_contrast_block (contrast, i / n_measured);
      double place = (block->v - self->lattice->v_first) / span - 0.5, model, sd;
      gboolean says = phase_row (self, i / n_measured, i % n_measured, strength, &model, &sd);

      for (guint j = 0; j <= DEGREE; j++)
        gsl_matrix_set (x, i, j, shim_tick_contrast_order (contrast, k) * model * gsl_pow_int (place, (int) j));
      if (!says)
        continue;
      gsl_vector_set (y, i, block->quadrature[k]);
      gsl_vector_set (w, i, 1.0 / (sd * sd));
      kept++;
    }
  if (kept >= MIN_BLOCKS && gsl_multifit_wlinear (x, w, y, c, cov, &chisq, workspace) == GSL_SUCCESS)
    for (guint i = 0; i < contrast->blocks->len; i++)
      {
        double place = (shim_tick_contrast_block (contrast, i)->v - self->lattice->v_first) / span - 0.5;

        shim_tick_contrast_rotate (self->contrast, i, gsl_vector_get (c, 0) + place * (gsl_vector_get (c, 1)
                                                                                      + place * gsl_vector_get (c, 2)));
      }
  gsl_multifit_linear_free (workspace);
  gsl_matrix_free (x);
  gsl_matrix_free (cov);
  gsl_vector_free (y);
  gsl_vector_free (w);
  gsl_vector_free (c);
}

static void
fit_again (ShimSharpFinding *self)
{
  ShimSharpFit *again = shim_sharp_fit_again (self->contrast, &self->prior, self->fit);

  if (again == NULL)
    return;
  shim_sharp_fit_free (self->fit);
  self->fit = again;
}

/* Codes of the sRGB curve (IEC 61966-2-1) for a small relative change of light at a level. */
static double
codes_per_change (double level)
{
  return 255.0 * 1.055 / 2.4 * pow (level, 1.0 / 2.4);
}

/* The ticks that one measured amplitude is of, as the file has them. */
static ShimJpegTicks
ticks_of (const ShimSharpFinding *self, const ShimTickBlock *block, guint index)
{
  const ShimTickContrast *contrast = self->contrast;
  const double period = contrast->lane.every / shim_lattice_cycles_per_px (self->lattice, block->v);
  const double cycles = shim_tick_contrast_order (contrast, index) / period, u = shim_lattice_u_at (self->lattice, block->v);
  const double half = 0.5 * self->lattice->lane_width_px;
  ShimJpegTicks ticks = {
    .cycles_per_px = fabs (cycles - rint (cycles)),
    .from_px = u - half,
    .to_px = u + half,
    .amplitude = codes_per_change (block->level),
  };

  if (contrast->lane.whole)
    {
      const guint kind = shim_tick_contrast_kind (contrast, index);
      const ShimTickReach *reach = &contrast->lane.reach[kind];

      ticks.from_px = u + reach->from_px;
      ticks.to_px = u + reach->to_px;
      ticks.amplitude /= reach->share;
      /* Ticks that are farther apart than blocks are wide are all there in some and not at all in others. */
      if (kind < contrast->lane.every)
        ticks.amplitude *= MAX (1.0, period / (kind + 1) / SHIM_JPEG_SIDE);
    }
  return ticks;
}

static void
set_keep (ShimSharpFinding *self, const ShimSharpFit *fit, const ShimJpegLoss *loss)
{
  for (guint b = 0; b < self->contrast->blocks->len; b++)
    for (guint i = 0; i < shim_tick_contrast_n_measured (self->contrast); i++)
      {
        ShimTickBlock *block = shim_tick_contrast_block (self->contrast, b);
        const guint index = shim_tick_contrast_index (self->contrast, i);
        ShimJpegTicks ticks = ticks_of (self, block, index);
        const double whole = fabs (shim_sharp_fit_block (fit, self->contrast, b, i)) / block->keep[index];

        ticks.amplitude *= whole;
        block->keep[index] = MAX (MIN_KEEP, shim_jpeg_loss_keep (loss, &ticks));
        if (self->contrast->lane.whole)
          block->doubt[index] = KEEP_DOUBT * (1.0 - block->keep[index]) * whole;
      }
}

/* What compression takes from weak ticks depends on how strong they were, and on the noise before it: so fit, reckon, fit
 * again. */
static void
allow_for_noise (ShimSharpFinding *self, double noise)
{
  g_autoptr (ShimJpegLoss) loss = shim_jpeg_loss_new (self->strip->steps, noise);

  for (guint round = 0; round < JPEG_ROUNDS; round++)
    {
      set_keep (self, self->fit, loss);
      fit_again (self);
    }
}

/* Nobody knows that noise; tries several, and keeps the one that explains the frame best. */
static void
allow_for_some_noise (ShimSharpFinding *self)
{
  static const double noises[] = { 0.4, 0.7, 1.2, 2.0, 3.5 };
  double best_cost = self->fit->cost;
  double best = NAN;

  for (guint i = 0; i < G_N_ELEMENTS (noises); i++)
    {
      allow_for_noise (self, noises[i]);
      if (self->fit->cost < best_cost)
        {
          best_cost = self->fit->cost;
          best = noises[i];
        }
    }
  if (!isnan (best))
    allow_for_noise (self, best);
  else
    for (guint b = 0; b < self->contrast->blocks->len; b++)
      shim_tick_block_keep_all (shim_tick_contrast_block (self->contrast, b));
}

static void
allow_for_jpeg (ShimSharpFinding *self)
{
  const ShimTickContrast *contrast = self->contrast;

  if (self->strip->steps[0] == 0)
    return;
  /* Several harmonics show their noise well, and between them that of the pixels hardly changes the cost. */
  if (contrast->lane.whole)
    allow_for_noise (self, codes_per_change (contrast->level) * self->fit->noise / sqrt (contrast->level));
  else if (contrast->n_harmonics == 1)
    allow_for_some_noise (self);
}

/* The longer ticks tell softness, and how contrast changes along the ruler without focus, from the print and the light. */
static void
learn_from_long_ticks (ShimSharpFinding *self)
{
  const ShimBlurModel *model = &self->fit->model;
  g_autoptr (ShimTickContrast) contrast =
    self->contrast->lane.whole ? NULL : shim_long_ticks_contrast (self->strip, self->lattice, model);
  ShimLongTicksSoftness softness;
  double span;

  if (contrast == NULL)
    return;
  if (self->mosaic.seen)
    shim_tick_contrast_allow_for_mosaic (contrast);
  if (shim_long_ticks_softness (contrast, self->lattice, model, &softness))
    {
      self->prior.softness2 = softness.softness2;
      self->prior.softness2_sd = softness.softness2_sd;
      self->sharpening_told = !isnan (softness.sharpening);
      if (softness.sharpening > 0.0)
        {
          shim_tick_contrast_allow_for_sharpening (self->contrast, softness.sharpening);
          shim_tick_contrast_allow_for_sharpening (contrast, softness.sharpening);
        }
    }
  self->has_profile = shim_contrast_profile_read (contrast, model, shim_long_ticks_noise (contrast), &self->profile);
  if (!self->has_profile)
    return;
  for (guint b = 0; b < self->contrast->blocks->len && self->profile.evidence > PROFILE_EVIDENCE; b++)
    {
      ShimTickBlock *block = shim_tick_contrast_block (self->contrast, b);

      block->light = shim_contrast_profile_at (&self->profile, block->v);
    }
  span = 0.5 * (self->lattice->v_last - self->lattice->v_first);
  self->slow_gain_sd = MIN (SLOW_GAIN_SD, hypot (PROFILE_DOUBT, self->profile.slope_sd * span / self->profile.v_half));
}

/* The finest ticks are beyond half a cycle per pixel, but where the longer ones stand is known, and so is where they do. */
static void
join_finest (ShimSharpFinding *self)
{
  ShimLattice finest = *self->lattice;

  if (!self->contrast->lane.whole || !(self->finest_lane.width_px > 0.0))
    return;
  finest.tick_mm = FINEST_MM;
  fit_again (self);
  shim_tick_contrast_join (self->contrast, self->strip, &finest, &self->finest_lane);
  fit_again (self);
  follow_phase (self);
}

/* While the growth of the blur is checked against f-number and geometry, it is left much room, so that a wrong figure shows.
 * Where the two agree, the prediction counts for what it is worth: near an end of the ruler, with one flank to see, place and
 * growth are hard to tell apart. */
static void
trust_growth (ShimSharpFinding *self)
{
  const ShimKnown *kappa = &self->geometry->kappa;
  const double known = kappa->se / kappa->value, free = self->prior.log_kappa_sd;
  double seen, misses;

  if (isnan (self->prior.kappa) || !(known < free))
    return;
  /* what the frame says by itself, the room it was left taken away again */
  seen = 1.0 / self->fit->cov[2][2] - 1.0 / (free * free);
  misses = log (self->fit->model.kappa / self->prior.kappa);
  if (seen > 0.0)
    {
      misses *= 1.0 / self->fit->cov[2][2] / seen;
      seen = shim_sharp_noise_factor (self->fit) * shim_sharp_noise_factor (self->fit) / seen;
    }
  else
    seen = free * free;
  if (self->contrast->lane.whole)
    seen += WHOLE_GROWTH_DOUBT * WHOLE_GROWTH_DOUBT;
  if (fabs (misses) > KAPPA_AGREES * sqrt (known * known + seen))
    return;
  self->prior.log_kappa_sd = known;
  fit_again (self);
}

/**
 * shim_sharp_finding_fit:
 * @self: a finding with strip, lattice, geometry and contrast
 *
 * Fits the blur model with all that the strip tells of softness, light and compression, and once more with a contrast that
 * may change slowly along the ruler. Its fit stays %NULL when there are too few ticks.
 */
void
shim_sharp_finding_fit (ShimSharpFinding *self)
{
  ShimSharpPrior slow_prior;

  set_prior (self);
  self->fit = shim_sharp_fit_new (self->contrast, &self->prior);
  if (self->fit == NULL)
    return;
  follow_phase (self);
  join_finest (self);
  self->slow_gain_sd = SLOW_GAIN_SD;
  learn_from_long_ticks (self);
  fit_again (self);
  allow_for_jpeg (self);
  trust_growth (self);
  slow_prior = self->prior;
  slow_prior.slow_gain = TRUE;
  slow_prior.slow_gain_sd = self->slow_gain_sd;
  self->slow_fit = shim_sharp_fit_again (self->contrast, &slow_prior, self->fit);
}
