/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-candidate.h"
#include "shim-coarse-lane.h"
#include "shim-lattice-find.h"

/* Map residual above which a "lattice" is chance, ticks. */
#define MAX_RESIDUAL_TICKS 0.09
/* Frequencies, cycles per pixel: from where a lattice may be the mirror image of one beyond 0.5 (and from where
 * that is not to be risked), and where ticks may hide that the survey did not see. */
#define MIRROR_FROM 0.30
#define MIRROR_DOUBT 0.44
#define HIDDEN_FROM 0.30
#define HIDDEN_TO 0.72
#define SECOND_FROM 0.15
#define BEYOND_PIXELS 0.46
/* Ticks of five stand alone within this distance from what was found, mm; ticks half as far apart, in ticks. */
#define FIVES_REACH_MM 16.0
#define HALVES_REACH_TICKS 2.3
#define HALVES_BELOW 0.13
/* Two lattices are of one ruler when they agree within these: degrees, and the log of the distance. */
#define SAME_ANGLE_DEG 6.0
#define SAME_DISTANCE 0.08

static gboolean
lattice_is_worth (const ShimLattice *lattice)
{
  return lattice->residual_mm < MAX_RESIDUAL_TICKS * lattice->tick_mm && lattice->n_phase >= 3;
}

/* The ticks as they would be at another frequency: @factor times, or 1 − f when @mirrored. */
static ShimStripGuess
guess_at (const ShimAttempt *self, const ShimStripGuess *guess, const ShimLattice *lattice, double factor,
          gboolean mirrored)
{
  const double v = lattice->v_best, f = shim_lattice_cycles_per_px (lattice, v);
  const double slope = -2.0 * lattice->map[2] / (1.0 + lattice->map[2] * (v - lattice->v_ref)) * f;
  ShimStripGuess other = *guess;

  other.u0 = lattice->u0 + 0.5 * lattice->edge_side * lattice->edge_px;
  other.u1 = lattice->u1;
  other.v_best = v;
  other.cycles_per_px = mirrored ? 1.0 - f : factor * f;
  other.cycles_slope = mirrored ? -slope : factor * slope;
  return other;
}

static gboolean
find_lattice_at (const ShimAttempt *self, const ShimStripGuess *guess, ShimLattice *lattice, ShimTickFamily *family)
{
  *family = SHIM_TICK_FAMILY_UNKNOWN;
  if (!shim_lattice_find (self->luma, guess, lattice) || !lattice_is_worth (lattice))
    return FALSE;
  *family = shim_tick_ranks_read (self->luma, lattice);
  return TRUE;
}

/* Narrow ticks that are far apart have a second harmonic nearly as strong as the first, and the survey may have seen that. */
static gboolean
find_lattice_of (const ShimAttempt *self, const ShimStripGuess *guess, ShimLattice *lattice, ShimTickFamily *family)
{
  ShimStripGuess half = *guess;

  if (find_lattice_at (self, guess, lattice, family))
    return TRUE;
  half.cycles_per_px *= 0.5;
  half.cycles_slope *= 0.5;
  return guess->cycles_per_px > SECOND_FROM && find_lattice_at (self, &half, lattice, family);
}

/* Fine ticks near or beyond half a cycle per pixel look like others, mirrored; and where they are beyond it,
 * the survey sees the longer ones only. What is right shows in the longer ticks: they fall on every fifth, or on every second and
 * fourth. */
static gboolean
find_hidden_lattice (const ShimAttempt *self, const ShimStripGuess *guess, const ShimLattice *seen,
                     ShimLattice *lattice, ShimTickFamily *family)
{
  static const struct
  {
    double factor;
    ShimTickFamily family;
  } finer[] = { { 5.0, SHIM_TICK_FAMILY_FIVES }, { 2.5, SHIM_TICK_FAMILY_FIVES }, { 10.0, SHIM_TICK_FAMILY_FIVES },
                { 4.0, SHIM_TICK_FAMILY_BINARY }, { 2.0, SHIM_TICK_FAMILY_BINARY } };
  const double f = shim_lattice_cycles_per_px (seen, seen->v_best);
  ShimStripGuess other;

  if (f > MIRROR_FROM)
    {
      other = guess_at (self, guess, seen, 1.0, TRUE);
      return find_lattice_at (self, &other, lattice, family) && *family == SHIM_TICK_FAMILY_FIVES;
    }
  for (guint i = 0; i < G_N_ELEMENTS (finer); i++)
    {
      if (finer[i].factor * f < HIDDEN_FROM || finer[i].factor * f > HIDDEN_TO)
        continue;
      other = guess_at (self, guess, seen, finer[i].factor, FALSE);
      if (find_lattice_at (self, &other, lattice, family) && *family == finer[i].family)
        return TRUE;
    }
  return FALSE;
}

static gboolean
is_better (const ShimMeasurement *a, const ShimMeasurement *b)
{
  const gboolean a_measured = a->refusal == SHIM_REFUSAL_NONE, b_measured = b->refusal == SHIM_REFUSAL_NONE;

  if (a_measured && b_measured && isfinite (a->offset_se_mm) && isfinite (b->offset_se_mm))
    return a->offset_se_mm < b->offset_se_mm;
  return a_measured && !b_measured;
}

/* Whether ticks of five tell more than the numerals, or the ticks of ten, beside which they were found. */
static gboolean
fives_tell_more (const ShimMeasurement *fives, const ShimMeasurement *seen)
{
  return is_better (fives, seen) || (seen->refusal != SHIM_REFUSAL_NONE && (fives->refusal == SHIM_REFUSAL_OFF_RULER_NEAR
                                                                           || fives->refusal == SHIM_REFUSAL_OFF_RULER_FAR));
}

/* Whether two lattices show the same ruler in space. */
static gboolean
same_ruler (const ShimAttempt *a, const ShimAttempt *b)
{
  const ShimRulerGeometry *ga = &a->geometry, *gb = &b->geometry;

  return ga->far_sign == gb->far_sign && fabs (ga->angle_deg.value - gb->angle_deg.value) < SAME_ANGLE_DEG &&
         fabs (log (ga->distance_mm.value / gb->distance_mm.value)) < SAME_DISTANCE;
}

/* Numerals make a poor map, and what it says of the ruler in space is no objection to ticks that were found beside them. */
static gboolean
maps_better (const ShimAttempt *a, const ShimAttempt *b)
{
  return b->result->refusal != SHIM_REFUSAL_NONE &&
         2.0 * a->lattice.residual_mm / a->lattice.tick_mm < b->lattice.residual_mm / b->lattice.tick_mm;
}

/* Puts @other in place of @self when @wanted, and frees what is not kept. */
static void
keep_one (ShimAttempt *self, ShimAttempt *other, gboolean wanted)
{
  ShimMeasurement *dropped = wanted ? self->result : other->result;

  if (wanted)
    *self = *other;
  other->result = NULL;
  shim_measurement_free (dropped);
}

/* Ticks @tick_mm apart that stand alone within @reach_mm beside the lane of longer ones, or of numerals. */
static gboolean
find_alone (const ShimAttempt *self, double tick_mm, double reach_mm, ShimLattice *lattice)
{
  const ShimLattice *seen = &self->lattice;
  const double reach_px = reach_mm / shim_lattice_mm_per_px (seen, seen->v_best);
  g_autoptr (ShimStrip) strip =
    shim_strip_cut (self->luma, seen->transposed, seen->u0, seen->u1, seen->v_ref, reach_px, seen->v_first, seen->v_last);
  double beside_px;

  return strip != NULL && shim_coarse_lane_alone (strip, seen, tick_mm, &beside_px) && fabs (beside_px) >= 0.5 * seen->lane_width_px &&
         shim_lattice_find_beside (self->luma, seen, seen->tick_mm / tick_mm, beside_px, lattice) && lattice_is_worth (lattice);
}

/* Where millimetres are beyond the pixels, numerals or the ticks of ten may have been found. Those of five stand alone between
 * the ends of the finest and their own; looks there. */
static void
measure_on_fives (ShimAttempt *self)
{
  ShimTickFamily family;
  ShimAttempt other;

  shim_attempt_init (&other, self->luma, self->request);
  if (!find_alone (self, 5.0, FIVES_REACH_MM / sin (self->geometry.angle_deg.value * G_PI / 180.0), &other.lattice))
    return;
  family = shim_tick_ranks_read (self->luma, &other.lattice);
  shim_attempt_on_lattice (&other, family);
  keep_one (self, &other, (same_ruler (self, &other) || maps_better (&other, self)) && fives_tell_more (other.result, self->result));
}

/* Where nothing but the ticks tells how far apart they are, it must not be overlooked that there are shorter ones between. */
static void
take_halves (ShimAttempt *self, ShimTickFamily *family)
{
  const ShimMeasureRequest *request = self->request;
  ShimLattice halves;

  if (*family != SHIM_TICK_FAMILY_UNKNOWN || request->tick_mm > 0.0 || (request->focal_mm > 0.0 && request->pixel_pitch_mm > 0.0) ||
      shim_lattice_cycles_per_px (&self->lattice, self->lattice.v_best) > HALVES_BELOW ||
      !find_alone (self, 0.5 * self->lattice.tick_mm, HALVES_REACH_TICKS * self->lattice.tick_mm, &halves))
    return;
  *family = shim_tick_ranks_read (self->luma, &halves);
  if (*family == SHIM_TICK_FAMILY_UNKNOWN)
    *family = SHIM_TICK_FAMILY_TWOS;
  self->lattice = halves;
}

/* Measures on the ticks that were seen, and on finer ones that hide behind them, and keeps what is surer. */
static void
measure_seen_and_hidden (ShimAttempt *self, const ShimStripGuess *guess, ShimTickFamily family)
{
  ShimAttempt hidden = *self;
  ShimTickFamily hidden_family;
  const double cycles = shim_lattice_cycles_per_px (&self->lattice, self->lattice.v_best);
  /* Without the longer ticks nothing tells such a lattice from its mirror image. */
  const gboolean doubtful = family == SHIM_TICK_FAMILY_UNKNOWN && cycles > MIRROR_DOUBT;

  hidden.result = NULL;
  if (find_hidden_lattice (self, guess, &self->lattice, &hidden.lattice, &hidden_family))
    shim_attempt_on_lattice (&hidden, hidden_family);
  if (doubtful && hidden.result == NULL)
    shim_measurement_refuse (self->result, SHIM_REFUSAL_NO_RULER,
                             "Ticks were seen, but they are too close together for the pixels to be read. Come closer "
                             "to the ruler.");
  else if (!doubtful)
    shim_attempt_on_lattice (self, family);
  if (hidden.result != NULL)
    {
      const gboolean nearer = shim_attempt_distance_misses (&hidden) <= shim_attempt_distance_misses (self);
      const gboolean instead = (doubtful || cycles > MIRROR_FROM) && nearer;

      keep_one (self, &hidden, instead || (same_ruler (self, &hidden) && is_better (hidden.result, self->result)));
    }
}

/**
 * shim_candidate_measure:
 * @self: (inout): an attempt with a result for when there is no ruler
 * @guess: where ticks seem to be
 *
 * Measures on the lattice of one candidate, or on one that hides behind it. @self keeps its result when there
 * is none.
 */
void
shim_candidate_measure (ShimAttempt *self, const ShimStripGuess *guess)
{
  ShimTickFamily family;

  if (!find_lattice_of (self, guess, &self->lattice, &family))
    return;
  take_halves (self, &family);
  /* Of ticks of five and ten beyond which finer ones hide every second is longer too. */
  if (family != SHIM_TICK_FAMILY_FIVES)
    measure_seen_and_hidden (self, guess, family);
  else
    shim_attempt_on_lattice (self, family);
  if (self->lattice.tick_mm == 5.0 || self->lattice.tick_mm == 10.0)
    measure_on_fives (self);
}
