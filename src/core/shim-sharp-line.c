/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <stdarg.h>

#include "shim-coarse-lane.h"
#include "shim-sharp-finding.h"
#include "shim-sharp-line.h"

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
#define COARSE_STEP 11

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
set_numbers (ShimSharpFinding *self)
{
  ShimSharpLine *line = self->line;
  const ShimSharpFit *fit = self->fit;
  double place = fit->model.v_sharp;
  double mm_per_px = shim_lattice_mm_per_px (self->lattice, CLAMP (place, self->lattice->v_first, self->lattice->v_last));
  double fit_se = sqrt (fit->cov[0][0]) * shim_sharp_noise_factor (fit);

  line->v = place;
  line->reading_mm = shim_lattice_reading (self->lattice, place);
  line->common_se_mm = shim_sharp_common_se_px (self) * mm_per_px;
  line->se_mm = hypot (fit_se * mm_per_px, line->common_se_mm);
  line->softness_px = copysign (sqrt (fabs (fit->model.softness2)), fit->model.softness2);
  line->contrast = fabs (fit->amplitude[0]);
  if (!isnan (self->prior.kappa))
    {
      line->blur_factor = fit->model.kappa / self->prior.kappa;
      line->blur_factor_se = line->blur_factor * sqrt (fit->cov[2][2]) * shim_sharp_noise_factor (fit);
    }
}

static double
share_rejected (const ShimSharpFinding *self)
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

static const char *
sentence_of_side (gboolean near, gboolean sure)
{
  if (!sure)
    return near ? "The sharp line lies in front of the near end of the ruler, or right at it. Move the ruler nearer or change the "
                  "setting, so that the sharp line falls well inside the scale."
                : "The sharp line lies beyond the far end of the ruler, or right at it. Move the ruler back or change the setting, "
                  "so that the sharp line falls well inside the scale.";
  return near ? "The sharp line lies in front of the near end of the ruler. Move the ruler nearer or change the setting, so that "
                "the sharp line falls on the scale."
              : "The sharp line lies beyond the far end of the ruler. Move the ruler back or change the setting, so that the sharp "
                "line falls on the scale.";
}

/* Off the ruler the fit is an extrapolation: it gives the side, and a bound, which is the end where the line is @sure to be further
 * out. Where the scale's own end was not seen, ticks may go on beyond the last one that was. */
static void
refuse_off_ruler (ShimSharpFinding *self, gboolean low_end, gboolean sure)
{
  ShimSharpLine *line = self->line;
  double end_mm = low_end ? self->lattice->first_reading_mm : self->lattice->last_reading_mm;
  double sure_mm = line->reading_mm + (low_end ? 3.0 : -3.0) * line->se_mm;
  gboolean near = low_end == (self->geometry->far_sign >= 0);
  gboolean seen = low_end ? self->lattice->first_is_end : self->lattice->last_is_end;

  if (line->refusal != SHIM_REFUSAL_NONE)
    return;
  if (!seen)
    {
      refuse (line, SHIM_REFUSAL_NOT_CREDIBLE,
              "The sharp line lies beyond the last tick that can be seen, and the ruler may go on there. Clear what covers it, or "
              "move the ruler so that the sharp line falls well inside the scale.");
      return;
    }
  if (sure)
    sure_mm = low_end ? MIN (end_mm, sure_mm) : MAX (end_mm, sure_mm);
  line->bound_mm = sure_mm;
  refuse (line, near ? SHIM_REFUSAL_OFF_RULER_NEAR : SHIM_REFUSAL_OFF_RULER_FAR, "%s", sentence_of_side (near, sure));
}

static void
refuse_by_doubt (ShimSharpFinding *self)
{
  ShimSharpLine *line = self->line;

  if (!(line->se_mm < MAX_SE_OF_D1 * shim_sharp_one_pixel_mm (self)))
    refuse (line, SHIM_REFUSAL_NOT_CREDIBLE,
            "The sharp line can only be placed within ± %.0f mm on this ruler, which is not worth a number. More light, a lower "
            "ISO or a wider aperture would help.", 2.0 * line->se_mm);
}

static void
refuse_by_place (ShimSharpFinding *self)
{
  const ShimLattice *lattice = self->lattice;
  ShimSharpLine *line = self->line;
  double reach = END_SE * line->se_mm;
  gboolean below = line->reading_mm < lattice->first_reading_mm, above = line->reading_mm > lattice->last_reading_mm;
  gboolean near_low = line->reading_mm - reach < lattice->first_reading_mm;
  gboolean near_high = line->reading_mm + reach > lattice->last_reading_mm;

  line->beyond = (near_low && !lattice->first_is_end) || below || (near_high && !lattice->last_is_end) || above;
  if (line->reading_mm + reach < lattice->first_reading_mm || line->reading_mm - reach > lattice->last_reading_mm)
    refuse_off_ruler (self, below, TRUE);
  refuse_by_doubt (self);
  if (below || above)
    refuse_off_ruler (self, below, FALSE);
  else if (near_low || near_high)
    refuse (line, SHIM_REFUSAL_NOT_CREDIBLE,
            "The sharp line is too near the %s end of the ruler to be sure that it is on it. Move the ruler so that the sharp "
            "line falls well inside the scale.", near_low == (self->geometry->far_sign >= 0) ? "near" : "far");
}

static void
refuse_by_fit (ShimSharpFinding *self)
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
add_warnings (ShimSharpFinding *self)
{
  g_autoptr (GStrvBuilder) warnings = g_strv_builder_new ();
  ShimSharpLine *line = self->line;
  double shift_mm = fabs (shim_sharp_glare_shift_px (self)) * shim_lattice_mm_per_px (self->lattice, line->v);

  if (line->blur_factor < KAPPA_WARN_LOW || line->blur_factor > KAPPA_WARN_HIGH)
    warn (warnings, "The blur along the ruler grows %.2f times as fast as f-number, distance and angle predict: check the "
                    "ruler's angle and the f-number.", line->blur_factor);
  if (shift_mm > GLARE_WARN_OF_D1 * shim_sharp_one_pixel_mm (self) && is_compressed (self->strip))
    warn (warnings, "The file is so strongly compressed that weak ticks suffered; the result may be off by %.1f mm. Set the "
                    "camera to its best JPEG quality.", shift_mm);
  else if (shift_mm > GLARE_WARN_OF_D1 * shim_sharp_one_pixel_mm (self))
    warn (warnings, "The contrast of the ticks changes along the ruler for another reason than focus, as under glare or "
                    "uneven light; the result may be off by %.1f mm.", shift_mm);
  if (self->fit->model.softness2 > SOFT_WARN_PX2)
    warn (warnings, "The whole picture is a little soft, as from camera shake or a poor lens; the result may be less exact.");
  if (share_rejected (self) > 0.1)
    warn (warnings, "Part of the ruler does not look like evenly spaced ticks and was left out.");
  line->warnings = g_strv_builder_end (warnings);
}

static double
greatest_contrast (const ShimSharpFinding *self)
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
set_curve (ShimSharpFinding *self)
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
refuse_by_light (ShimSharpFinding *self)
{
  if (self->contrast->level < MIN_LEVEL)
    refuse (self->line, SHIM_REFUSAL_TOO_DARK, "The ruler is nearly black in this frame. Expose longer or add light.");
  else if (self->contrast->clipped > MAX_CLIPPED)
    refuse (self->line, SHIM_REFUSAL_CLIPPED,
            "The ruler is over-exposed: its paper is pure white in this frame. Expose less.");
}

static void
find (ShimSharpFinding *self)
{
  ShimSharpLine *line = self->line;

  refuse_by_light (self);
  if (line->refusal != SHIM_REFUSAL_NONE)
    return;
  shim_sharp_finding_fit (self);
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
  ShimSharpFinding self = { .strip = strip, .lattice = lattice, .geometry = geometry };
  ShimTickLane lane;

  g_return_val_if_fail (strip != NULL && lattice != NULL && geometry != NULL, NULL);

  self.line = line_new ();
  if (!shim_coarse_lane_find (strip, lattice, &lane, &self.finest_lane))
    lane = shim_tick_lane_all (lattice);
  self.line->ranks_seen = lane.whole;
  self.contrast = shim_tick_contrast_new (strip, lattice, &lane);
  self.mosaic.most = 1.0;
  if (self.contrast->n_harmonics == 1)
    self.mosaic = shim_mosaic_judge (strip, lattice);
  /* the pattern is the finest that a file can hold, and the first that compression drops */
  if (is_compressed (strip))
    self.mosaic.most = 1.0;
  if (self.mosaic.seen)
    shim_tick_contrast_allow_for_mosaic (self.contrast);
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
