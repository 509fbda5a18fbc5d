/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <complex.h>
#include <math.h>

#include "shim-lattice-row.h"
#include "shim-line-fit.h"
#include "shim-long-ticks.h"
#include "shim-phasor.h"

/* Beside the lane of all ticks only the longer ones are left. They are narrow and far apart, so their harmonics start out alike
 * and only blur tells them apart: how the higher ones fall behind shows the common softness, which the finest ticks,
 * with one harmonic within the pixels, cannot tell from the print's own contrast. */

/* The lane is looked for where the finest ticks keep this share of their greatest contrast. */
#define SHARP_SHARE 0.4
/* Columns belong to it that have this share of the greatest contrast of the longer ticks … */
#define LANE_SHARE 0.6
/* … and less than this share of what the finest ticks have in their own lane. */
#define FINE_SHARE 0.5
#define MIN_LANE_PX 2.0
/* They reach beyond the finest ticks by less than this share of those; numerals come later. */
#define REACH_SHARE 0.65
#define MIN_HARMONICS 3
/* A harmonic is used that stands this many standard errors out of the noise. */
#define MIN_STRENGTH 8.0
/* Width of ticks over the distance of the finest ones: what rulers have, and its spread (common practice, no source). */
#define TICK_WIDTH 0.22
#define TICK_WIDTH_SD 0.08
/* A harmonic is not known better than by this share: what stands beside the lane leaks in, and compression takes a little. */
#define HARMONIC_DOUBT 0.01
/* Sharpening is looked for with so many harmonics, up to this much, and allowed for where χ² falls by so much. */
#define SHARPENING_HARMONICS 4
#define SHARPENING_MAX 4.0
#define SHARPENING_STEP 0.05
#define SHARPENING_EVIDENCE 6.0
/* The blurred copy is not always of one pixel: so much of σ², pixels squared, is in doubt for strong sharpening. */
#define SHARPENING_DOUBT 0.06
/* Lens and processing are not quite a Gaussian: so far σ² of one frequency may differ from another's, pixels squared. */
#define GAUSSIAN_DOUBT 0.03

typedef struct
{
  double light;
  double complex long_ticks;
  double complex fine_ticks;
} Column;

typedef struct
{
  guint every;
  int first;
  guint n;
  Column *columns;
  Column *smooth;     /* each with its neighbours: one column of a noisy frame tells little */
} Profile;

static void
profile_clear (Profile *self)
{
  g_free (self->columns);
  g_free (self->smooth);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Profile, profile_clear)

static double
long_contrast (const Profile *self, guint i)
{
  return self->smooth[i].light > 0.0 ? 2.0 * cabs (self->smooth[i].long_ticks) / self->smooth[i].light : 0.0;
}

static double
fine_contrast (const Profile *self, guint i)
{
  return self->smooth[i].light > 0.0 ? 2.0 * cabs (self->smooth[i].fine_ticks) / self->smooth[i].light : 0.0;
}

/* Stretch of the ruler where the finest ticks are sharpest, whole periods of the longer ones. */
static void
sharp_stretch (const ShimLattice *lattice, const ShimBlurModel *model, guint every, double *from_mm, double *to_mm)
{
  double v = CLAMP (model->v_sharp, lattice->v_first, lattice->v_last), lo = v, hi = v;
  double least = SHARP_SHARE * shim_blur_model_gain (model, v, shim_lattice_cycles_per_px (lattice, v));
  double period_mm = every * lattice->tick_mm;

  while (lo > lattice->v_first && shim_blur_model_gain (model, lo, shim_lattice_cycles_per_px (lattice, lo)) > least)
    lo -= 1.0;
  while (hi < lattice->v_last && shim_blur_model_gain (model, hi, shim_lattice_cycles_per_px (lattice, hi)) > least)
    hi += 1.0;
  *from_mm = period_mm * ceil (shim_lattice_reading (lattice, lo) / period_mm);
  *to_mm = period_mm * floor (shim_lattice_reading (lattice, hi) / period_mm);
}

static void
add_to_profile (Profile *self, const ShimStrip *strip, const ShimLattice *lattice, guint row, double from_mm, double to_mm)
{
  const float *px = shim_strip_row (strip, row);
  const ShimLatticeRow at_row = shim_lattice_row (lattice, strip->v_first + row + 0.5);
  const double fine_turn = -2.0 * G_PI / lattice->tick_mm, long_turn = fine_turn / self->every;
  const double hann_turn = 2.0 * G_PI / (to_mm - from_mm);
  const double end = shim_lattice_row_reading (&at_row, strip->u_first[row] + strip->n_u - 0.5);
  double last = shim_lattice_row_reading (&at_row, strip->u_first[row] + 0.5);
  ShimPhasor fine, longer, hann;

  if (MAX (last, end) <= from_mm || MIN (last, end) >= to_mm)
    return;
  fine = shim_phasor_at (fine_turn * last);
  longer = shim_phasor_at (long_turn * last);
  hann = shim_phasor_at (hann_turn * (last - from_mm));
  for (int j = 0; j < strip->n_u; j++)
    {
      const double u = strip->u_first[row] + j + 0.5, reading = shim_lattice_row_reading (&at_row, u);
      const int at = (int) floor (shim_lattice_row_place (&at_row, u)) - self->first;
      double weight;

      fine = shim_phasor_nudge (fine, fine_turn * (reading - last));
      longer = shim_phasor_nudge (longer, long_turn * (reading - last));
      hann = shim_phasor_nudge (hann, hann_turn * (reading - last));
      last = reading;
      if (isnan (px[j]) || at < 0 || at >= (int) self->n || reading <= from_mm || reading >= to_mm)
        continue;
      weight = px[j] * (0.5 - 0.5 * hann.cosine);
      self->columns[at].light += weight;
      self->columns[at].long_ticks += weight * (longer.cosine + I * longer.sine);
      self->columns[at].fine_ticks += weight * (fine.cosine + I * fine.sine);
    }
}

static void
smooth_profile (Profile *self)
{
  for (guint i = 0; i < self->n; i++)
    for (guint j = MAX (i, 1) - 1; j <= MIN (i + 1, self->n - 1); j++)
      {
        self->smooth[i].light += self->columns[j].light;
        self->smooth[i].long_ticks += self->columns[j].long_ticks;
        self->smooth[i].fine_ticks += self->columns[j].fine_ticks;
      }
}

static gboolean
profile_init (Profile *self, const ShimStrip *strip, const ShimLattice *lattice, const ShimBlurModel *model, guint every)
{
  double from_mm, to_mm;

  self->every = every;
  self->first = -strip->n_u;
  self->n = 2 * strip->n_u;
  self->columns = g_new0 (Column, self->n);
  self->smooth = g_new0 (Column, self->n);
  sharp_stretch (lattice, model, every, &from_mm, &to_mm);
  if (to_mm - from_mm < 4.0 * every * lattice->tick_mm)
    return FALSE;
  for (int i = 0; i < strip->n_v; i++)
    add_to_profile (self, strip, lattice, (guint) i, from_mm, to_mm);
  smooth_profile (self);
  return TRUE;
}

/* In their own lane, whose columns differ where there is noise: their mean. */
static double
fine_contrast_in_lane (const Profile *self, double inner)
{
  double sum = 0.0;
  guint n = 0;

  for (guint i = 0; i < self->n; i++)
    if (fabs (self->first + (int) i + 0.5) < inner)
      {
        sum += fine_contrast (self, i);
        n++;
      }
  return n > 0 ? sum / n : 0.0;
}

/* The run of columns about the strongest one beside the lane of all ticks. */
static gboolean
strongest_run (const Profile *self, const ShimLattice *lattice, guint *from, guint *to)
{
  double inner = 0.5 * lattice->lane_width_px, outer = inner + REACH_SHARE * lattice->lane_width_px;
  double fine = fine_contrast_in_lane (self, inner), greatest = 0.0;
  guint best = 0;

  for (guint i = 0; i < self->n; i++)
    {
      double place = self->first + (int) i + 0.5;

      if (fabs (place) < inner || fabs (place) > outer || place * lattice->edge_side > 0.0
          || fine_contrast (self, i) > FINE_SHARE * fine || long_contrast (self, i) < greatest)
        continue;
      greatest = long_contrast (self, i);
      best = i;
    }
  if (greatest == 0.0)
    return FALSE;
  for (*from = best; *from > 0 && long_contrast (self, *from - 1) > LANE_SHARE * greatest
                     && fine_contrast (self, *from - 1) < FINE_SHARE * fine; (*from)--)
    ;
  for (*to = best; *to + 1 < self->n && long_contrast (self, *to + 1) > LANE_SHARE * greatest
                   && fine_contrast (self, *to + 1) < FINE_SHARE * fine; (*to)++)
    ;
  return TRUE;
}

static int
first_long_tick (const Profile *self, guint from, guint to, gboolean dark)
{
  double complex sum = 0.0;

  for (guint i = from; i <= to; i++)
    sum += self->columns[i].long_ticks;
  return (int) lrint (-carg (dark ? -sum : sum) / (2.0 * G_PI) * self->every);
}

/**
 * shim_long_ticks_find_lane:
 * @strip: pixels, with room beside the lane of all ticks
 * @lattice: the lattice
 * @model: a first fit
 * @lane: (out): where only every n-th tick reaches
 *
 * Returns: whether there is such a lane
 */
gboolean
shim_long_ticks_find_lane (const ShimStrip *strip, const ShimLattice *lattice, const ShimBlurModel *model, ShimTickLane *lane)
{
  /* With halves, quarters and so on the next but one is the first that leaves more than one harmonic. */
  guint every = lattice->long_every == 2 ? 4 : (guint) MAX (0, lattice->long_every), from, to;
  g_auto (Profile) profile = { 0 };

  if (every < MIN_HARMONICS + 1 || !profile_init (&profile, strip, lattice, model, every)
      || !strongest_run (&profile, lattice, &from, &to) || to + 1 - from < MIN_LANE_PX)
    return FALSE;
  *lane = (ShimTickLane) {
    .offset_px = profile.first + 0.5 * (from + to + 1.0),
    .width_px = to + 1.0 - from,
    .every = every,
    .first_tick = first_long_tick (&profile, from, to, lattice->dark_ticks),
  };
  return TRUE;
}

typedef struct
{
  double amplitude;   /* over what the model with its own softness expects of narrow ticks */
  double se;
  double cycles2;     /* mean square of the frequency */
} Harmonic;

static Harmonic
gather_harmonic (const ShimTickContrast *contrast, const ShimBlurModel *model, guint k, double noise)
{
  double above = 0.0, below = 0.0, cycles2 = 0.0;

  for (guint b = 0; b < contrast->blocks->len; b++)
    {
      const ShimTickBlock *block = shim_tick_contrast_block (contrast, b);
      double gain = shim_tick_contrast_gain (contrast, b, k, model), weight = 1.0 / (noise * noise * block->variance[k]);
      double cycles = (k + 1) * shim_tick_contrast_row (contrast, block->first_row + block->n_rows / 2)->cycles_per_px;

      above += weight * gain * block->in_phase[k];
      below += weight * gain * gain;
      cycles2 += weight * gain * gain * cycles * cycles;
    }
  return (Harmonic) { above / below, sqrt (SHIM_TICK_OVERLAP / below), cycles2 / below };
}

/* The harmonics that stand out. */
typedef struct
{
  guint n;
  double cycles2[SHIM_TICK_HARMONICS];
  double log_amplitude[SHIM_TICK_HARMONICS];
  double se[SHIM_TICK_HARMONICS];
} Ladder;

static Ladder
ladder_of (const Harmonic *harmonics, guint n)
{
  Ladder self = { 0 };

  for (guint k = 0; k < n; k++)
    if (harmonics[k].amplitude > MIN_STRENGTH * harmonics[k].se)
      {
        self.cycles2[self.n] = harmonics[k].cycles2;
        self.log_amplitude[self.n] = log (harmonics[k].amplitude);
        self.se[self.n++] = harmonics[k].se / harmonics[k].amplitude;
      }
  return self;
}

/* Without sharpening ln amplitude falls along a straight line over the square of the frequency; its slope is −2π² times the
 * variance. */
static gboolean
fit_ladder (const Ladder *self, double sharpening, double doubt, ShimLineErrors errors, ShimLineFit *line)
{
  double y[SHIM_TICK_HARMONICS], se[SHIM_TICK_HARMONICS];

  for (guint i = 0; i < self->n; i++)
    {
      y[i] = self->log_amplitude[i] - log (shim_blur_sharpening_gain (sharpening, sqrt (self->cycles2[i])));
      se[i] = hypot (self->se[i], doubt);
    }
  return shim_line_fit (self->cycles2, y, se, self->n, errors, line, NULL);
}

static double
softness_of_line (const ShimLineFit *line)
{
  return -line->slope / (2.0 * G_PI * G_PI);
}

/* Sharpening lifts the higher of the low harmonics and not the highest any more: the line is bent. Returns how strong it was, and
 * its standard error; 0 where a straight line does as well. */
static double
sharpening_of (const Ladder *self, double *sd)
{
  double best = 0.0, least = INFINITY, straight = INFINITY, beyond = 0.0;
  ShimLineFit line;

  *sd = 0.0;
  if (self->n < SHARPENING_HARMONICS)
    return NAN;
  for (double a = 0.0; a <= SHARPENING_MAX; a += SHARPENING_STEP)
    {
      if (!fit_ladder (self, a, HARMONIC_DOUBT, SHIM_LINE_ERRORS_GIVEN, &line))
        return 0.0;
      if (a == 0.0)
        straight = line.residual_ss;
      if (line.residual_ss < least)
        {
          least = line.residual_ss;
          best = a;
        }
      else if (beyond <= best && line.residual_ss > least + 1.0)
        beyond = a;
    }
  if (straight - least < SHARPENING_EVIDENCE)
    return 0.0;
  *sd = beyond > best ? beyond - best : SHARPENING_MAX;
  return best;
}

/**
 * shim_long_ticks_contrast:
 * @strip: pixels, with room beside the lane of all ticks
 * @lattice: the lattice
 * @model: a first fit
 *
 * Returns: (transfer full) (nullable): contrast of the longer ticks alone; %NULL when they have no lane of their own
 */
ShimTickContrast *
shim_long_ticks_contrast (const ShimStrip *strip, const ShimLattice *lattice, const ShimBlurModel *model)
{
  ShimTickLane lane;

  return shim_long_ticks_find_lane (strip, lattice, model, &lane) ? shim_tick_contrast_new (strip, lattice, &lane) : NULL;
}

/**
 * shim_long_ticks_noise:
 * @contrast: contrast of the longer ticks
 *
 * Returns: standard deviation of one pixel's light for a level of 1; NAN when not told
 */
double
shim_long_ticks_noise (const ShimTickContrast *contrast)
{
  double sum = 0.0;
  guint n = 0;

  for (guint b = 0; b < contrast->blocks->len; b++)
    for (guint k = 0; k < contrast->n_harmonics; k++)
      {
        const ShimTickBlock *block = shim_tick_contrast_block (contrast, b);

        if (isnan (block->quadrature[k]))
          continue;
        sum += block->quadrature[k] * block->quadrature[k] / block->variance[k];
        n++;
      }
  return n > 0 ? sqrt (sum / n) : NAN;
}

/**
 * shim_long_ticks_softness:
 * @contrast: contrast of the longer ticks
 * @lattice: the lattice
 * @model: a first fit
 * @softness: (out): what they tell
 *
 * Reads the common softness from the harmonics of the longer ticks, and whether the picture was sharpened.
 *
 * Returns: whether it could
 */
gboolean
shim_long_ticks_softness (const ShimTickContrast *contrast, const ShimLattice *lattice, const ShimBlurModel *model,
                          ShimLongTicksSoftness *softness)
{
  Harmonic harmonics[SHIM_TICK_HARMONICS];
  double noise = shim_long_ticks_noise (contrast), sharpening, sharpening_sd, by_sharpening, unit2;
  ShimLineFit line, other;
  Ladder ladder;

  if (contrast->n_harmonics < MIN_HARMONICS || !(noise > 0.0))
    return FALSE;
  for (guint k = 0; k < contrast->n_harmonics; k++)
    harmonics[k] = gather_harmonic (contrast, model, k, noise);
  ladder = ladder_of (harmonics, contrast->n_harmonics);
  softness->sharpening = sharpening_of (&ladder, &sharpening_sd);
  sharpening = isnan (softness->sharpening) ? 0.0 : softness->sharpening;
  if (ladder.n < MIN_HARMONICS || !fit_ladder (&ladder, sharpening, 0.0, SHIM_LINE_ERRORS_WIDER, &line)
      || !fit_ladder (&ladder, sharpening + sharpening_sd, 0.0, SHIM_LINE_ERRORS_WIDER, &other))
    return FALSE;
  by_sharpening = hypot (softness_of_line (&other) - softness_of_line (&line),
                         SHARPENING_DOUBT * sharpening / (1.0 + sharpening));
  /* A tick is a box; its variance, (its width in pixels)² / 12, is part of the slope. */
  unit2 = pow (shim_lattice_mm_per_px (lattice, lattice->v_best) / lattice->tick_mm, -2.0);
  softness->softness2 = model->softness2 + softness_of_line (&line) - TICK_WIDTH * TICK_WIDTH * unit2 / 12.0;
  softness->softness2_sd = hypot (hypot (sqrt (line.slope_var) / (2.0 * G_PI * G_PI), by_sharpening),
                                  hypot (TICK_WIDTH * TICK_WIDTH_SD * unit2 / 6.0, GAUSSIAN_DOUBT));
  return TRUE;
}
