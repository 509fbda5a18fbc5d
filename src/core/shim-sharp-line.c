/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_multifit.h>
#include <math.h>
#include <stdarg.h>

#include "shim-contrast-profile.h"
#include "shim-jpeg-loss.h"
#include "shim-long-ticks.h"
#include "shim-sharp-fit.h"
#include "shim-sharp-line.h"
#include "shim-tick-contrast.h"

/* Where the program will not go without a number being wrong sooner or later; each is a share or a factor. */
#define MAX_CLIPPED 0.02
#define MIN_LEVEL 0.005
#define MIN_EVIDENCE 25.0       /* fall of the cost from no ticks to the model */
#define MIN_RIVAL_EVIDENCE 8.0  /* fall of the cost from the next best valley to the best */
#define MAX_REJECTED 0.35
#define MAX_SE_OF_D1 0.14       /* standard error as a share of the length on the ruler with at most one pixel of blur */
#define END_SE 2.0              /* standard errors that the sharp line has to keep from the ends of the scale */
#define KAPPA_WARN_LOW 0.88
#define KAPPA_WARN_HIGH 1.15
#define KAPPA_REFUSE_LOW 0.75
#define KAPPA_REFUSE_HIGH 1.33
#define GLARE_WARN_OF_D1 0.025
#define SOFT_WARN_PX2 0.81

#define START_STEP_MM 20.0
#define STARTS_BEYOND 4.0
#define SOFTNESS2 0.45
#define SOFTNESS2_SD 0.5
#define USUAL_CYCLES 0.42
#define MAX_NOISE_RATIO 4.0
#define KAPPA_FREE_LOG_SD 0.1   /* how far the blur's growth may stray while it is checked */
#define KAPPA_AGREES 2.5        /* standard errors within which it agrees with what was predicted */
#define KAPPA_FREE 0.02         /* disagreement of the blur's growth (logarithm) that means nothing */
#define JPEG_ROUNDS 2
#define COARSE_STEP 11
#define MOSAIC_SHARE 0.25        /* of the shift by interpolation that is taken for a doubt; frames of known truth without it go with 0, with it 1 */
#define SLOW_GAIN_SD 0.25       /* what contrast may change from the middle to an end for other reasons than focus … */
#define PROFILE_EVIDENCE 16.0   /* fall of χ² for three terms that is no chance */
#define PROFILE_DOUBT 0.015     /* … and what is left of that when the longer ticks have told it */
#define MIN_KEEP 0.02

typedef struct
{
  const ShimStrip *strip;
  const ShimLattice *lattice;
  const ShimRulerGeometry *geometry;
  ShimTickContrast *contrast;
  ShimSharpFit *fit;
  ShimSharpFit *slow_fit;
  ShimSharpPrior prior;
  gboolean has_profile;
  ShimContrastProfile profile;
  double slow_gain_sd;
  ShimSharpLine *line;
} Finding;

static ShimSharpLine *
line_new (void)
{
  ShimSharpLine *self = g_new0 (ShimSharpLine, 1);

  self->v = self->reading_mm = self->se_mm = self->common_se_mm = self->bound_mm = NAN;
  self->softness_px = self->blur_factor = self->blur_factor_se = self->contrast = NAN;
  return self;
}

static void G_GNUC_PRINTF (3, 4)
refuse (ShimSharpLine *self, ShimRefusal refusal, const char *format, ...)
{
  va_list args;

  if (self->refusal != SHIM_REFUSAL_NONE)
    return;
  va_start (args, format);
  self->reason = g_strdup_vprintf (format, args);
  va_end (args);
  self->refusal = refusal;
}

static void G_GNUC_PRINTF (2, 3)
warn (GStrvBuilder *warnings, const char *format, ...)
{
  g_autofree char *sentence = NULL;
  va_list args;

  va_start (args, format);
  sentence = g_strdup_vprintf (format, args);
  va_end (args);
  g_strv_builder_add (warnings, sentence);
}

static void
set_prior (Finding *self)
{
  const ShimLattice *lattice = self->lattice;
  double mid = 0.5 * (lattice->v_first + lattice->v_last);
  double step_px = START_STEP_MM / shim_lattice_mm_per_px (lattice, mid);
  double cycles = shim_lattice_cycles_per_px (lattice, mid), scale = CLAMP (USUAL_CYCLES / cycles, 1.0, 1.7);
  const ShimKnown *kappa = &self->geometry->kappa;

  self->prior = (ShimSharpPrior) {
    .kappa = kappa->value > 0.0 ? kappa->value : NAN,
    .log_kappa_sd = MAX (KAPPA_FREE_LOG_SD, kappa->se / kappa->value),
    .softness2 = SOFTNESS2,
    /* The finer the pixels, the more of them the lens's own softness covers. */
    .softness2_sd = SOFTNESS2_SD * scale * scale,
    .v_lo = lattice->v_first - STARTS_BEYOND * step_px,
    .v_hi = lattice->v_last + STARTS_BEYOND * step_px,
    .v_step = step_px,
    .either_sign = !lattice->dark_known,
  };
}

/* The lattice's map is not perfect (distortion); the quadrature of the strong blocks shows by how much the ticks stand off. */
static void
follow_phase (Finding *self)
{
  enum { DEGREE = 2, MIN_BLOCKS = 8 };
  const ShimTickContrast *contrast = self->contrast;
  guint n = contrast->blocks->len;
  gsl_matrix *x = gsl_matrix_calloc (n, DEGREE + 1);
  gsl_vector *y = gsl_vector_calloc (n), *w = gsl_vector_calloc (n), *c = gsl_vector_alloc (DEGREE + 1);
  gsl_matrix *cov = gsl_matrix_alloc (DEGREE + 1, DEGREE + 1);
  gsl_multifit_linear_workspace *workspace = gsl_multifit_linear_alloc (n, DEGREE + 1);
  double span = MAX (1.0, self->lattice->v_last - self->lattice->v_first), chisq;
  guint kept = 0;

  for (guint i = 0; i < n; i++)
    {
      const ShimTickBlock *block = shim_tick_contrast_block (contrast, i);
      double model = shim_sharp_fit_block (self->fit, contrast, i, 0), sd = self->fit->noise * sqrt (block->variance[0]);
      double place = (block->v - self->lattice->v_first) / span - 0.5;

      for (guint j = 0; j <= DEGREE; j++)
        gsl_matrix_set (x, i, j, model * gsl_pow_int (place, (int) j));
      if (!block->usable || isnan (block->quadrature[0]) || fabs (model) < 3.0 * sd || self->fit->weight[i] < 0.5)
        continue;
      gsl_vector_set (y, i, block->quadrature[0]);
      gsl_vector_set (w, i, 1.0 / (sd * sd));
      kept++;
    }
  if (kept >= MIN_BLOCKS && gsl_multifit_wlinear (x, w, y, c, cov, &chisq, workspace) == GSL_SUCCESS)
    for (guint i = 0; i < n; i++)
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

/* Codes of the sRGB curve (IEC 61966-2-1) for a small relative change of light at a level. */
static double
codes_per_change (double level)
{
  return 255.0 * 1.055 / 2.4 * pow (level, 1.0 / 2.4);
}

static void
set_keep (Finding *self, const ShimSharpFit *fit, double noise)
{
  for (guint b = 0; b < self->contrast->blocks->len; b++)
    {
      ShimTickBlock *block = shim_tick_contrast_block (self->contrast, b);
      double u = shim_lattice_u_at (self->lattice, block->v), half = 0.5 * self->lattice->lane_width_px, left;
      ShimJpegTicks ticks = {
        .steps = self->strip->steps,
        .cycles_per_px = shim_lattice_cycles_per_px (self->lattice, block->v),
        .from_px = u - half,
        .to_px = u + half,
        .noise = noise,
      };

      left = shim_sharp_fit_block (fit, self->contrast, b, 0) / block->keep;
      ticks.amplitude = fabs (left) * codes_per_change (block->level);
      block->keep = MAX (MIN_KEEP, shim_jpeg_loss_keep (&ticks));
    }
}

/* What compression takes from weak ticks depends on how strong they were, and on the noise before it, which nobody knows: so
 * fit, reckon, fit again, for several noises, and keep the one that explains the frame best. */
static void
allow_for_jpeg (Finding *self)
{
  static const double noises[] = { 0.4, 0.7, 1.2, 2.0, 3.5 };
  double best_cost = self->fit->cost;
  double best = NAN;

  if (self->strip->steps[0] == 0 || self->contrast->n_harmonics > 1)
    return;
  for (guint i = 0; i <= G_N_ELEMENTS (noises); i++)
    {
      double noise = i < G_N_ELEMENTS (noises) ? noises[i] : best;

      if (isnan (noise))
        break;
      for (guint round = 0; round < JPEG_ROUNDS; round++)
        {
          ShimSharpFit *again;

          set_keep (self, self->fit, noise);
          again = shim_sharp_fit_again (self->contrast, &self->prior, self->fit);
          g_clear_pointer (&self->fit, shim_sharp_fit_free);
          self->fit = again;
        }
      if (self->fit->cost < best_cost)
        {
          best_cost = self->fit->cost;
          best = noise;
        }
    }
  if (isnan (best))
    for (guint b = 0; b < self->contrast->blocks->len; b++)
      shim_tick_contrast_block (self->contrast, b)->keep = 1.0;
}

/* The longer ticks tell softness, and how contrast changes along the ruler without focus, from the print and the light. */
static void
learn_from_long_ticks (Finding *self)
{
  const ShimBlurModel *model = &self->fit->model;
  g_autoptr (ShimTickContrast) contrast = shim_long_ticks_contrast (self->strip, self->lattice, model);
  double softness2, softness2_sd, span;

  if (contrast == NULL)
    return;
  if (shim_long_ticks_softness (contrast, self->lattice, model, &softness2, &softness2_sd))
    {
      self->prior.softness2 = softness2;
      self->prior.softness2_sd = softness2_sd;
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

/* Noise as the quadrature has it and as the model leaves it are two estimates of the same thing as long as they roughly agree
 * (compression adds to the second alone, block by block, without pulling the fit); what is left beyond that is more than
 * noise and counts in full. Either rests on few blocks, fewer still for their overlap, so the spread of Student's t is
 * added: df / (df − 2). */
static double
noise_factor (const ShimSharpFit *fit)
{
  double left = fit->misfit * fit->misfit, per_kind = (fit->n_data - 4.0) / SHIM_TICK_OVERLAP;
  gboolean agree = left < MAX_NOISE_RATIO;
  double df = MAX (3.0, agree ? 2.0 * per_kind : per_kind);
  double ratio = agree ? 0.5 * (1.0 + left) : left - 0.5 * (MAX_NOISE_RATIO - 1.0);

  return sqrt (ratio * df / (df - 2.0));
}

static void
fit_again (Finding *self)
{
  ShimSharpFit *again = shim_sharp_fit_again (self->contrast, &self->prior, self->fit);

  if (again == NULL)
    return;
  shim_sharp_fit_free (self->fit);
  self->fit = again;
}

/* While the growth of the blur is checked against f-number and geometry, it is left much room, so that a wrong figure shows.
 * Where the two agree, the prediction counts for what it is worth: near an end of the ruler, with one flank to see, place and
 * growth are hard to tell apart. */
static void
trust_growth (Finding *self)
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
      seen = noise_factor (self->fit) * noise_factor (self->fit) / seen;
    }
  else
    seen = free * free;
  if (fabs (misses) > KAPPA_AGREES * sqrt (known * known + seen))
    return;
  self->prior.log_kappa_sd = known;
  fit_again (self);
}

static void
fit_model (Finding *self)
{
  ShimSharpPrior slow_prior;

  set_prior (self);
  self->fit = shim_sharp_fit_new (self->contrast, &self->prior);
  if (self->fit == NULL)
    return;
  follow_phase (self);
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

/* Length on the ruler, mm, over which the blur circle is at most one pixel. */
static double
one_pixel_length_mm (const Finding *self)
{
  const ShimLattice *lattice = self->lattice;
  double v = CLAMP (self->fit->model.v_sharp, lattice->v_first, lattice->v_last);

  return 2.0 / self->fit->model.kappa * shim_lattice_mm_per_px (lattice, v);
}

static double
glare_shift_px (const Finding *self)
{
  return self->slow_fit != NULL ? self->slow_fit->model.v_sharp - self->fit->model.v_sharp : 0.0;
}

/* A shift by a slow change of contrast is a doubt only as far as noise does not explain it. */
static double
glare_se_px (const Finding *self)
{
  double shift = glare_shift_px (self), by_noise;

  if (self->slow_fit == NULL)
    return 0.0;
  by_noise = MAX (0.0, self->slow_fit->cov[0][0] - self->fit->cov[0][0]);
  return sqrt (MAX (0.0, shift * shift - by_noise));
}

/* What the strip says by itself may disagree with what was known before: the softness read from the longer ticks, the
 * growth of the blur from f-number and geometry. Then something is not as the model has it (aberration, glare), and the
 * place is in doubt by as much as it moves when either is given its way, beyond what noise explains. */
static double
tension_se_px (const Finding *self)
{
  const ShimSharpFit *fit = self->fit;
  double softness = fit->model.softness2 - self->prior.softness2, growth = 0.0, known;

  known = self->prior.softness2_sd * self->prior.softness2_sd - fit->cov[1][1];
  softness = sqrt (MAX (0.0, softness * softness - MAX (0.0, known)));
  if (!isnan (self->prior.kappa))
    growth = log (fit->model.kappa / self->prior.kappa);
  known = fit->cov[2][2] * noise_factor (fit) * noise_factor (fit) + KAPPA_FREE * KAPPA_FREE;
  growth = sqrt (MAX (0.0, growth * growth - known));
  return hypot (fit->cov[0][1] / fit->cov[1][1] * softness, fit->cov[0][2] / fit->cov[2][2] * growth);
}

/* Share of contrast that is left of ticks across the rows when a picture is interpolated from a colour mosaic by five taps of
 * green (Malvar, He and Cutler 2004; from memory), mean over the two kinds of sites. */
static double
mosaic_gain (double cycles_per_px)
{
  const double turn = 2.0 * G_PI * cycles_per_px;

  return 0.5 * (1.0 + (6.0 + 4.0 * cos (turn) - 2.0 * cos (2.0 * turn)) / 8.0);
}

/* How a camera makes its picture nobody says. Interpolation loses more at the finest ticks than the Gaussian takes, and the
 * nearer ticks are the coarser ones: the place is in doubt by a share of what it would move if it were all there. */
static double
mosaic_se_px (Finding *self)
{
  g_autofree double *light = g_new (double, self->contrast->blocks->len);
  ShimSharpFit *fit;
  double shift = 0.0;

  for (guint b = 0; b < self->contrast->blocks->len; b++)
    {
      ShimTickBlock *block = shim_tick_contrast_block (self->contrast, b);

      light[b] = block->light;
      block->light *= mosaic_gain (shim_lattice_cycles_per_px (self->lattice, block->v));
    }
  fit = shim_sharp_fit_again (self->contrast, &self->prior, self->fit);
  if (fit != NULL)
    shift = fit->model.v_sharp - self->fit->model.v_sharp;
  shim_sharp_fit_free (fit);
  for (guint b = 0; b < self->contrast->blocks->len; b++)
    shim_tick_contrast_block (self->contrast, b)->light = light[b];
  return MOSAIC_SHARE * fabs (shift);
}

static void
set_numbers (Finding *self)
{
  ShimSharpLine *line = self->line;
  const ShimSharpFit *fit = self->fit;
  double place = fit->model.v_sharp;
  double mm_per_px = shim_lattice_mm_per_px (self->lattice, CLAMP (place, self->lattice->v_first, self->lattice->v_last));
  double fit_se = sqrt (fit->cov[0][0]) * noise_factor (fit);

  line->v = place;
  line->reading_mm = shim_lattice_reading (self->lattice, place);
  line->common_se_mm = hypot (hypot (glare_se_px (self), tension_se_px (self)), mosaic_se_px (self)) * mm_per_px;
  line->se_mm = hypot (fit_se * mm_per_px, line->common_se_mm);
  line->softness_px = copysign (sqrt (fabs (fit->model.softness2)), fit->model.softness2);
  line->contrast = fabs (fit->amplitude[0]);
  if (!isnan (self->prior.kappa))
    {
      line->blur_factor = fit->model.kappa / self->prior.kappa;
      line->blur_factor_se = line->blur_factor * sqrt (fit->cov[2][2]) * noise_factor (fit);
    }
}

static double
share_rejected (const Finding *self)
{
  guint n = 0, rejected = 0;

  for (guint i = 0; i < self->contrast->blocks->len; i++)
    if (shim_tick_contrast_block (self->contrast, i)->usable)
      {
        n++;
        rejected += self->fit->weight[i] < 0.1;
      }
  return n > 0 ? (double) rejected / n : 1.0;
}

/* Off the ruler the fit is an extrapolation: it gives the side, and a bound if it is sure to be further out than the end. */
static void
refuse_off_ruler (Finding *self, gboolean low_end)
{
  ShimSharpLine *line = self->line;
  double end_mm = low_end ? self->lattice->first_reading_mm : self->lattice->last_reading_mm;
  double sure_mm = line->reading_mm + (low_end ? 3.0 : -3.0) * line->se_mm;
  gboolean near = low_end == (self->geometry->far_sign >= 0);
  gboolean seen = low_end ? self->lattice->first_is_end : self->lattice->last_is_end;

  /* Where the scale's own end was not seen, ticks may go on beyond the last one that was. */
  line->bound_mm = !seen ? sure_mm : low_end ? MIN (end_mm, sure_mm) : MAX (end_mm, sure_mm);
  refuse (line, near ? SHIM_REFUSAL_OFF_RULER_NEAR : SHIM_REFUSAL_OFF_RULER_FAR,
          near ? "The sharp line lies in front of the near end of the ruler. Move the ruler nearer or change the setting, so "
                 "that the sharp line falls on the scale."
               : "The sharp line lies beyond the far end of the ruler. Move the ruler back or change the setting, so that the "
                 "sharp line falls on the scale.");
}

static void
refuse_by_place (Finding *self)
{
  const ShimLattice *lattice = self->lattice;
  ShimSharpLine *line = self->line;
  double reach = END_SE * line->se_mm;

  gboolean below = line->reading_mm + (lattice->first_is_end ? 0.0 : reach) < lattice->first_reading_mm;
  gboolean above = line->reading_mm - (lattice->last_is_end ? 0.0 : reach) > lattice->last_reading_mm;

  if (below || above)
    refuse_off_ruler (self, below);
  else if (line->reading_mm - reach < lattice->first_reading_mm || line->reading_mm + reach > lattice->last_reading_mm)
    refuse (line, SHIM_REFUSAL_NOT_CREDIBLE,
            "The sharp line is too near an end of the ruler to be sure that it is on it. Move the ruler so that the sharp "
            "line falls well inside the scale.");
}

static void
refuse_by_fit (Finding *self)
{
  const ShimSharpFit *fit = self->fit;
  ShimSharpLine *line = self->line;

  if (fit->cost_blank - fit->cost < MIN_EVIDENCE)
    refuse (line, SHIM_REFUSAL_NOTHING_SHARP,
            "Nothing on the ruler is sharp enough to measure. Check that the frame was focused near the target.");
  else if (fit->rival_cost - fit->cost < MIN_RIVAL_EVIDENCE)
    refuse (line, SHIM_REFUSAL_NOT_CREDIBLE,
            "Two places on the ruler could be the sharp line, and the frame does not tell them apart. Take it again with "
            "a wider aperture or more light.");
  else if (line->blur_factor < KAPPA_REFUSE_LOW || line->blur_factor > KAPPA_REFUSE_HIGH)
    refuse (line, SHIM_REFUSAL_NOT_CREDIBLE,
            "The blur along the ruler grows %.2f times as fast as f-number, distance and angle predict. Check these "
            "figures: one of them does not belong to this frame.", line->blur_factor);
  else if (share_rejected (self) > MAX_REJECTED)
    refuse (line, SHIM_REFUSAL_NOT_CREDIBLE,
            "Too much of the ruler does not look like evenly spaced ticks. Clear what covers it and take the frame again.");
}

static void
refuse_by_doubt (Finding *self)
{
  ShimSharpLine *line = self->line;

  if (!(line->se_mm < MAX_SE_OF_D1 * one_pixel_length_mm (self)))
    refuse (line, SHIM_REFUSAL_NOT_CREDIBLE,
            "The sharp line can only be placed within ± %.0f mm on this ruler, which is not worth a number. More light, a lower "
            "ISO or a wider aperture would help.", 2.0 * line->se_mm);
}

/* Steps of the coefficients of a JPEG file, on average; about 11 at quality 90. */
static gboolean
is_compressed (const ShimStrip *strip)
{
  guint sum = 0;

  for (guint i = 0; i < G_N_ELEMENTS (strip->steps); i++)
    sum += strip->steps[i];
  return sum > COARSE_STEP * G_N_ELEMENTS (strip->steps);
}

static void
add_warnings (Finding *self)
{
  g_autoptr (GStrvBuilder) warnings = g_strv_builder_new ();
  ShimSharpLine *line = self->line;
  double shift_mm = fabs (glare_shift_px (self)) * shim_lattice_mm_per_px (self->lattice, line->v);

  if (line->blur_factor < KAPPA_WARN_LOW || line->blur_factor > KAPPA_WARN_HIGH)
    warn (warnings, "The blur along the ruler grows %.2f times as fast as f-number, distance and angle predict: check the "
                    "ruler's angle and the f-number.", line->blur_factor);
  if (shift_mm > GLARE_WARN_OF_D1 * one_pixel_length_mm (self) && is_compressed (self->strip))
    warn (warnings, "The file is so strongly compressed that weak ticks suffered; the result may be off by %.1f mm. Set the "
                    "camera to its best JPEG quality.", shift_mm);
  else if (shift_mm > GLARE_WARN_OF_D1 * one_pixel_length_mm (self))
    warn (warnings, "The contrast of the ticks changes along the ruler for another reason than focus, as under glare or "
                    "uneven light; the result may be off by %.1f mm.", shift_mm);
  if (self->fit->model.softness2 > SOFT_WARN_PX2)
    warn (warnings, "The whole picture is a little soft, as from camera shake or a poor lens; the result may be less exact.");
  if (share_rejected (self) > 0.1)
    warn (warnings, "Part of the ruler does not look like evenly spaced ticks and was left out.");
  line->warnings = g_strv_builder_end (warnings);
}

static double
greatest_contrast (const Finding *self)
{
  double greatest = 0.0;

  for (guint i = 0; i < self->contrast->rows->len; i++)
    {
      const ShimTickRow *row = shim_tick_contrast_row (self->contrast, i);

      greatest = MAX (greatest, shim_blur_model_gain (&self->fit->model, row->v, row->cycles_per_px));
    }
  return greatest * self->fit->amplitude[0];
}

static void
set_curve (Finding *self)
{
  double greatest = greatest_contrast (self);
  ShimSharpLine *line = self->line;

  if (greatest == 0.0)
    return;
  line->n_curve = self->contrast->blocks->len;
  line->curve = g_new0 (ShimBlurPoint, line->n_curve);
  for (guint i = 0; i < line->n_curve; i++)
    {
      const ShimTickBlock *block = shim_tick_contrast_block (self->contrast, i);

      line->curve[i] = (ShimBlurPoint) {
        .reading_mm = block->reading_mm,
        .along_px = block->v - self->lattice->v_first,
        .contrast = block->in_phase[0] / greatest,
        .contrast_se = self->fit->noise * sqrt (block->variance[0]) / fabs (greatest),
        .model = shim_sharp_fit_block (self->fit, self->contrast, i, 0) / greatest,
        .used = block->usable && self->fit->weight[i] >= 0.1,
      };
    }
}

static void
refuse_by_light (Finding *self)
{
  if (self->contrast->level < MIN_LEVEL)
    refuse (self->line, SHIM_REFUSAL_TOO_DARK, "The ruler is nearly black in this frame. Expose longer or add light.");
  else if (self->contrast->clipped > MAX_CLIPPED)
    refuse (self->line, SHIM_REFUSAL_CLIPPED,
            "The ruler is over-exposed: its paper is pure white in this frame. Expose less.");
}

static void
find (Finding *self)
{
  ShimSharpLine *line = self->line;

  refuse_by_light (self);
  if (line->refusal != SHIM_REFUSAL_NONE)
    return;
  fit_model (self);
  if (self->fit == NULL)
    {
      refuse (line, SHIM_REFUSAL_TOO_FEW_TICKS,
              "Too few ticks of the ruler are in the picture to measure on. Use a longer ruler or come closer.");
      return;
    }
  set_numbers (self);
  set_curve (self);
  refuse_by_fit (self);
  refuse_by_place (self);
  refuse_by_doubt (self);
  add_warnings (self);
}

/**
 * shim_sharp_line_find:
 * @strip: pixels around the ruler's ticks, of luma or of one colour channel
 * @lattice: the lattice of the ticks
 * @geometry: where the ruler stands
 *
 * Places the sharp line: measures the signed contrast of the ticks along the ruler and fits the blur model to all of it
 * (never the top of the hill alone), or refuses with a reason. When refused, v, reading and standard error still say what
 * the fit came to (NAN where it did not come so far); they are never a measurement then.
 *
 * Returns: (transfer full): the sharp line or the refusal
 */
ShimSharpLine *
shim_sharp_line_find (const ShimStrip *strip, const ShimLattice *lattice, const ShimRulerGeometry *geometry)
{
  Finding self = { .strip = strip, .lattice = lattice, .geometry = geometry };
  ShimTickLane lane;

  g_return_val_if_fail (strip != NULL && lattice != NULL && geometry != NULL, NULL);

  self.line = line_new ();
  lane = shim_tick_lane_all (lattice);
  self.contrast = shim_tick_contrast_new (strip, lattice, &lane);
  find (&self);
  g_clear_pointer (&self.fit, shim_sharp_fit_free);
  g_clear_pointer (&self.slow_fit, shim_sharp_fit_free);
  shim_tick_contrast_free (self.contrast);
  return self.line;
}

/**
 * shim_sharp_line_free:
 * @self: (transfer full) (nullable): a sharp line
 */
void
shim_sharp_line_free (ShimSharpLine *self)
{
  if (self == NULL)
    return;
  g_free (self->reason);
  g_strfreev (self->warnings);
  g_free (self->curve);
  g_free (self);
}
