/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-lane.h"
#include "shim-lattice-find.h"
#include "shim-measure.h"
#include "shim-optics.h"
#include "shim-ruler-geometry.h"
#include "shim-sharp-line.h"
#include "shim-tick-ranks.h"
#include "shim-tick-spacing.h"

/* A given strip may lie this far beside the ticks, and its ends this far from the scale's. */
#define STRIP_BESIDE_PX 12.0
#define STRIP_HALF_WIDTH_PX 56.0
#define STRIP_BEYOND_SHARE 0.35
#define STRIP_BEYOND_PX 64.0
/* How well a target line is given, pixels. */
#define TARGET_SE_PX 0.2
/* Fewer ticks than this are not worth a measurement. */
#define MIN_TICKS 25
/* Map residual above which a "lattice" is chance, ticks. */
#define MAX_RESIDUAL_TICKS 0.09
/* ... and above which it does not carry an extrapolation beyond the ruler. */
#define SIDE_RESIDUAL_TICKS 0.04
/* How far from the ruler the target line may be given, mm: across, and along beyond the ticks seen (or as much again as is
 * seen of the scale). */
#define TARGET_ACROSS_MM 200.0
#define TARGET_ALONG_MM 100.0
#define DISTANCE_AGREES 0.03
#define PULL_WARN 3.5
/* A lattice of so many ticks with so small a residual is no chance. */
#define LONG_TICKS 80
#define LONG_RESIDUAL_TICKS 0.02
/* A blur factor outside of these may come of another tick spacing, if the recorded distance allows it (as a log). */
#define BLUR_DOUBT_LOW 0.82
#define BLUR_DOUBT_HIGH 1.22
#define DISTANCE_ALLOWS 0.15
/* Frequencies, cycles per pixel: from where a lattice may be the mirror image of one beyond 0.5 (and from where that is not to
 * be risked), and where ticks may hide that the survey did not see. */
#define MIRROR_FROM 0.30
#define MIRROR_DOUBT 0.44
#define HIDDEN_FROM 0.30
#define HIDDEN_TO 0.72
#define BEYOND_PIXELS 0.46
/* Where ticks of five stand alone, from the strip's edge, and how far that edge may be from what was found, mm. */
#define FIVES_FROM_EDGE_MM 5.0
#define FIVES_REACH_MM 2.0
#define STRIP_REACH_MM 32.0
/* Two lattices are of one ruler when they agree within these: degrees, and the log of the distance. */
#define SAME_ANGLE_DEG 6.0
#define SAME_DISTANCE 0.08
/* Log of implied over recorded distance above which one of the figures must be wrong. */
#define DISTANCE_IMPOSSIBLE 0.3

typedef struct
{
  const ShimLuma *luma;
  const ShimMeasureRequest *request;
  ShimMeasurement *result;
  ShimLattice lattice;
  ShimRulerGeometry geometry;
  double v_target; /* where the target line meets the lane; NAN = not given */
} Measure;

static ShimRect
intersect (ShimRect a, ShimRect b)
{
  const int x = MAX (a.x, b.x), y = MAX (a.y, b.y);
  const int right = MIN (a.x + a.width, b.x + b.width), bottom = MIN (a.y + a.height, b.y + b.height);

  return (ShimRect) { x, y, MAX (right - x, 0), MAX (bottom - y, 0) };
}

/* The piece of the picture about a given strip. */
static ShimRect
strip_rect (const ShimMeasureRequest *request, int width, int height)
{
  const ShimPoint a = request->strip_a_px, b = request->strip_b_px;
  const double length = hypot (b.x - a.x, b.y - a.y);
  const double half = request->strip_width_px > 0.0 ? 0.5 * request->strip_width_px : STRIP_HALF_WIDTH_PX;
  const gboolean transposed = fabs (b.x - a.x) > fabs (b.y - a.y);
  const double along = STRIP_BEYOND_SHARE * length + STRIP_BEYOND_PX, across = half + STRIP_BESIDE_PX;
  const double mx = transposed ? along : across, my = transposed ? across : along;
  const double x_lo = CLAMP (floor (MIN (a.x, b.x) - mx), 0.0, width), x_hi = CLAMP (ceil (MAX (a.x, b.x) + mx), 0.0, width);
  const double y_lo = CLAMP (floor (MIN (a.y, b.y) - my), 0.0, height);
  const double y_hi = CLAMP (ceil (MAX (a.y, b.y) + my), 0.0, height);

  return (ShimRect) { (int) x_lo, (int) y_lo, (int) (x_hi - x_lo), (int) (y_hi - y_lo) };
}

static gboolean
strip_is_usable (const ShimMeasureRequest *request)
{
  return request->has_strip && isfinite (request->strip_a_px.x) && isfinite (request->strip_a_px.y) &&
         isfinite (request->strip_b_px.x) && isfinite (request->strip_b_px.y) &&
         hypot (request->strip_b_px.x - request->strip_a_px.x, request->strip_b_px.y - request->strip_a_px.y) >= 1.0;
}

/**
 * shim_measure_rect:
 * @request: what is known
 * @width: columns of the picture
 * @height: its rows
 * @rect: (out): the pixels that shim_measure_luma() needs when the strip is given
 *
 * Returns: whether the strip is given and touches the picture; when not, the whole picture is to be surveyed
 */
gboolean
shim_measure_rect (const ShimMeasureRequest *request, int width, int height, ShimRect *rect)
{
  g_return_val_if_fail (request != NULL && rect != NULL, FALSE);

  if (!strip_is_usable (request))
    return FALSE;
  *rect = strip_rect (request, width, height);
  return rect->width > 0 && rect->height > 0;
}

/* A guess from a survey of @rect alone, in the frame of the whole picture. */
static void
move_guess (ShimStripGuess *guess, const ShimLuma *luma, ShimRect rect)
{
  const int along = guess->transposed ? rect.x : rect.y, across = guess->transposed ? rect.y : rect.x;
  /* u0 counts at the middle of what was surveyed; it is to count at the middle of the picture. */
  const double t = guess->transposed ? 0.5 * luma->picture_width - (rect.x + 0.5 * rect.width)
                                     : 0.5 * luma->picture_height - (rect.y + 0.5 * rect.height);

  guess->rect.x += rect.x;
  guess->rect.y += rect.y;
  guess->v_lo += along;
  guess->v_hi += along;
  guess->v_best += along;
  guess->u0 += across + guess->u1 * t;
}

/* Surveys the given strip, or all of the luma: where ticks seem to be, best first. */
static GArray *
find_guesses (const ShimLuma *luma, const ShimMeasureRequest *request)
{
  const gboolean by_strip = strip_is_usable (request);
  const ShimRect rect = by_strip
    ? intersect (strip_rect (request, luma->picture_width, luma->picture_height), luma->rect) : luma->rect;
  g_autoptr (ShimSurvey) survey = NULL;
  GArray *found;

  if (rect.width <= 0 || rect.height <= 0)
    return g_array_new (FALSE, FALSE, sizeof (ShimStripGuess));
  survey = shim_survey_new (rect.width, rect.height);
  shim_survey_add_rows (survey, 0, rect.height,
                        luma->px + (gsize) (rect.y - luma->rect.y) * luma->stride + (rect.x - luma->rect.x), luma->stride);
  if (request->has_click && !by_strip)
    {
      const ShimPoint at = { request->click_px.x - rect.x, request->click_px.y - rect.y };

      found = shim_survey_find_near (survey, at, SHIM_MEASURE_CANDIDATES);
    }
  else
    found = shim_survey_find (survey, SHIM_MEASURE_CANDIDATES);
  for (guint i = 0; i < found->len; i++)
    move_guess (&g_array_index (found, ShimStripGuess, i), luma, rect);
  return found;
}

static double
target_on_lane (const ShimLattice *lattice, ShimPoint target)
{
  const double u = lattice->transposed ? target.y : target.x, v = lattice->transposed ? target.x : target.y;

  return shim_lattice_v_at (lattice, shim_lattice_reading_uv (lattice, u, v));
}

/* Everything about the ruler that is worth showing, measured or refused. */
static void
describe_ruler (Measure *self)
{
  ShimMeasurement *result = self->result;
  const ShimLattice *lattice = &self->lattice;
  const ShimRulerGeometry *geometry = &self->geometry;
  const double stretch = sqrt (1.0 + lattice->u1 * lattice->u1), t = lattice->v_first - lattice->v_ref;
  const double d = 1.0 + lattice->map[2] * t;

  result->strip_a_px = shim_lattice_edge_point (lattice, lattice->v_first);
  result->strip_b_px = shim_lattice_edge_point (lattice, lattice->v_last);
  result->strip_width_px = lattice->lane_width_px;
  result->map[0] = (lattice->map[0] + lattice->map[1] * t) / d;
  result->map[1] = lattice->map[1] / (d * stretch);
  result->map[2] = lattice->map[2] / (d * stretch);
  result->map_residual_mm = lattice->residual_mm;
  result->tick_mm = lattice->tick_mm;
  result->first_reading_mm = lattice->first_reading_mm;
  result->last_reading_mm = lattice->last_reading_mm;
  result->angle_deg = geometry->angle_deg.value;
  result->angle_measured = geometry->angle_deg.measured;
  result->far_side = shim_ruler_geometry_far_side (geometry->far_sign, lattice->transposed);
  result->distance_mm = geometry->distance_mm.value;
  result->distance_measured = geometry->distance_mm.measured;
  if (isfinite (self->v_target))
    {
      result->target_px = shim_lattice_edge_point (lattice, self->v_target);
      result->target_reading_mm = shim_lattice_reading (lattice, self->v_target);
      result->mm_per_px = shim_lattice_mm_per_px (lattice, self->v_target) / stretch;
    }
}

static void
describe_optics (Measure *self)
{
  ShimMeasurement *result = self->result;
  const ShimMeasureRequest *request = self->request;
  ShimDepthOfField depth;

  result->focal_mm = request->focal_mm;
  result->f_number = request->f_number;
  result->coc_mm = request->coc_mm;
  if (!(result->coc_mm > 0.0) && request->pixel_pitch_mm > 0.0)
    result->coc_mm = shim_optics_coc_from_format_mm (self->luma->picture_width * request->pixel_pitch_mm,
                                                     self->luma->picture_height * request->pixel_pitch_mm);
  if (shim_optics_depth_of_field (request->focal_mm, request->f_number, result->distance_mm, result->coc_mm, &depth))
    result->depth_of_field_mm = depth.total_mm;
}

static void
warn_about_geometry (Measure *self)
{
  const ShimMeasureRequest *request = self->request;
  const ShimRulerGeometry *geometry = &self->geometry;

  if (!(geometry->pull > PULL_WARN))
    return;
  if (geometry->distance_mm.measured && request->distance_mm > 0.0 &&
      fabs (request->distance_mm / geometry->distance_mm.value - 1.0) > DISTANCE_AGREES)
    shim_measurement_warn (self->result,
                           "By the ruler's ticks the target is %.2f m away, but %.2f m was recorded: check the focal length "
                           "and the distance of the ticks.",
                           geometry->distance_mm.value / 1000.0, request->distance_mm / 1000.0);
  else
    shim_measurement_warn (self->result,
                           "The ruler's angle in the picture is not the one given: check that it leans as stated.");
}

/* The finest ticks that a metric ruler has are a fifth or a tenth of what is seen. */
static void
warn_about_ticks (Measure *self)
{
  if (self->lattice.tick_mm == 5.0 || self->lattice.tick_mm == 10.0)
    shim_measurement_warn (self->result,
                           "The millimetre ticks are too fine for the pixels; the frame was measured on the longer ones. Come "
                           "closer, or use the printed target.");
}

static void
copy_warnings (Measure *self, char **warnings)
{
  for (guint i = 0; warnings != NULL && warnings[i] != NULL; i++)
    shim_measurement_warn (self->result, "%s", warnings[i]);
}

static gboolean
refusal_names_side (ShimRefusal refusal)
{
  return refusal == SHIM_REFUSAL_OFF_RULER_NEAR || refusal == SHIM_REFUSAL_OFF_RULER_FAR;
}

static void
take_sharp_line (Measure *self, ShimSharpLine *line)
{
  ShimMeasurement *result = self->result;
  const ShimLattice *lattice = &self->lattice;
  const ShimKnown *depth = &self->geometry.depth_per_mm;
  double scale_se, target_se, shared;

  result->softness_px = line->softness_px;
  result->blur_factor = line->blur_factor;
  result->curve = g_steal_pointer (&line->curve);
  result->n_curve = line->n_curve;
  for (guint i = 0; i < result->n_curve; i++)
    result->curve[i].along_px *= sqrt (1.0 + lattice->u1 * lattice->u1);
  copy_warnings (self, line->warnings);

  if (refusal_names_side (line->refusal) &&
      (lattice->residual_mm > SIDE_RESIDUAL_TICKS * lattice->tick_mm || lattice->long_every == 0))
    {
      shim_measurement_refuse (result, SHIM_REFUSAL_NOTHING_SHARP,
                               "Nothing on the ruler is sharp: only its longest marks can be seen, and not well. Check that the "
                               "frame was focused near the target.");
      return;
    }
  if (line->refusal != SHIM_REFUSAL_NONE)
    {
      if (isfinite (line->bound_mm) && isfinite (self->v_target))
        result->offset_bound_mm = (line->bound_mm - result->target_reading_mm) * depth->value;
      shim_measurement_refuse (result, line->refusal, "%s", line->reason);
      return;
    }
  result->sharp_px = shim_lattice_edge_point (lattice, line->v);
  result->sharp_reading_mm = line->reading_mm;
  if (!isfinite (self->v_target))
    return;
  result->ruler_mm = (line->reading_mm - result->target_reading_mm) * self->geometry.far_sign;
  result->offset_mm = (line->reading_mm - result->target_reading_mm) * depth->value;
  scale_se = result->ruler_mm * depth->se;
  target_se = TARGET_SE_PX * result->mm_per_px * depth->value;
  shared = hypot (hypot (scale_se, target_se), line->common_se_mm * depth->value);
  result->common_se_mm = shared;
  result->offset_se_mm = hypot (hypot (scale_se, target_se), line->se_mm * depth->value);
}

static void
place_sharp_line (Measure *self)
{
  const ShimLattice *lattice = &self->lattice;
  const double margin = 3.0 * lattice->tick_mm / shim_lattice_mm_per_px (lattice, lattice->v_best);
  g_autoptr (ShimStrip) strip =
    shim_strip_cut (self->luma, lattice->transposed, lattice->u0, lattice->u1, lattice->v_ref,
                    1.7 * lattice->lane_width_px + 8.0, lattice->v_first - margin, lattice->v_last + margin);
  g_autoptr (ShimSharpLine) line = strip != NULL ? shim_sharp_line_find (strip, lattice, &self->geometry) : NULL;

  if (line == NULL)
    shim_measurement_refuse (self->result, SHIM_REFUSAL_NO_RULER, "The ruler lies outside the picture.");
  else
    take_sharp_line (self, line);
}

static gboolean
lattice_is_worth (const ShimLattice *lattice)
{
  return lattice->residual_mm < MAX_RESIDUAL_TICKS * lattice->tick_mm && lattice->n_phase >= 3;
}

/* The target stands beside the ruler. Ticks that are far from it are something else in the picture. */
static gboolean
target_is_beside (const Measure *self)
{
  const ShimLattice *lattice = &self->lattice;
  const ShimPoint target = self->request->target_px;
  const double u = lattice->transposed ? target.y : target.x;
  const double margin = MAX (TARGET_ALONG_MM, lattice->last_reading_mm - lattice->first_reading_mm);
  double reading, mm_per_px;

  if (!self->request->has_target || strip_is_usable (self->request) || self->request->has_click)
    return TRUE;
  reading = shim_lattice_reading (lattice, self->v_target);
  mm_per_px = shim_geometry_depth_mm (&self->geometry, lattice, self->v_target) / self->geometry.image_px;
  return reading > lattice->first_reading_mm - margin && reading < lattice->last_reading_mm + margin &&
         !(fabs (u - shim_lattice_u_at (lattice, self->v_target)) * mm_per_px > TARGET_ACROSS_MM);
}

/* The distance that the ticks imply against the one recorded, as a log; 0 where there is nothing to compare. */
static double
distance_misses (const Measure *self)
{
  if (!(self->request->distance_mm > 0.0) || !self->geometry.distance_mm.measured)
    return 0.0;
  return fabs (log (self->geometry.distance_mm.value / self->request->distance_mm));
}

/* Everything that depends on how far apart the ticks are. */
static void
measure_with_tick (Measure *self, double tick_mm)
{
  const ShimMeasureRequest *request = self->request;

  g_clear_pointer (&self->result, shim_measurement_free);
  self->result = shim_measurement_new ();
  shim_lattice_set_tick (&self->lattice, tick_mm, request->tick_mm > 0.0);
  self->v_target = request->has_target ? target_on_lane (&self->lattice, request->target_px) : NAN;
  shim_ruler_geometry_solve (&self->lattice, request, self->v_target, &self->geometry);
  describe_ruler (self);
  describe_optics (self);
  warn_about_geometry (self);
  warn_about_ticks (self);
  if (!target_is_beside (self))
    shim_measurement_refuse (self->result, SHIM_REFUSAL_NO_RULER,
                             "Ticks were found, but far from the target line. Show where the ruler is by a click or a strip along "
                             "its tick edge.");
  else if (self->lattice.n_ticks < MIN_TICKS)
    shim_measurement_refuse (self->result, SHIM_REFUSAL_TOO_FEW_TICKS,
                             "Only %u ticks of the ruler can be seen. Use a longer ruler, or see that more of it is sharp.",
                             self->lattice.n_ticks);
  else if (distance_misses (self) > DISTANCE_IMPOSSIBLE)
    shim_measurement_refuse (self->result, SHIM_REFUSAL_NOT_CREDIBLE,
                             "By the ruler's ticks the target is %.2f m away, but %.2f m was recorded. Check the focal length, the "
                             "distance and how far apart the ticks are.",
                             self->geometry.distance_mm.value / 1000.0, self->request->distance_mm / 1000.0);
  else if (!self->geometry.ok)
    shim_measurement_refuse (self->result, SHIM_REFUSAL_NEEDS_GEOMETRY,
                             "The picture does not show which way the ruler runs away from the camera. Say to which side of "
                             "the picture its far end lies.");
  else
    place_sharp_line (self);
}

/* The blur grows with the spacing assumed: a factor far from 1 may mean another spacing. */
static gboolean
spacing_is_doubtful (const Measure *self)
{
  const double factor = self->result->blur_factor;

  return isfinite (factor) && (factor < BLUR_DOUBT_LOW || factor > BLUR_DOUBT_HIGH) && !(self->request->tick_mm > 0.0);
}

static gboolean
distance_allows (const Measure *self, double tick_mm)
{
  const double implied = self->geometry.distance_mm.value * tick_mm / self->lattice.tick_mm;

  return !(self->request->distance_mm > 0.0) || !self->geometry.distance_mm.measured ||
         fabs (log (implied / self->request->distance_mm)) < DISTANCE_ALLOWS;
}

/* The ticks as they would be at another frequency: @factor times, or 1 − f when @mirrored. */
static ShimStripGuess
guess_at (const Measure *self, const ShimStripGuess *guess, const ShimLattice *lattice, double factor, gboolean mirrored)
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
find_lattice_at (const Measure *self, const ShimStripGuess *guess, ShimLattice *lattice, ShimTickFamily *family)
{
  *family = SHIM_TICK_FAMILY_UNKNOWN;
  if (!shim_lattice_find (self->luma, guess, lattice) || !lattice_is_worth (lattice))
    return FALSE;
  *family = shim_tick_ranks_read (self->luma, lattice);
  return TRUE;
}

/* Fine ticks near or beyond half a cycle per pixel look like others, mirrored; and where they are beyond it, the survey sees
 * the longer ones only. What is right shows in the longer ticks: they fall on every fifth. */
static gboolean
find_hidden_lattice (const Measure *self, const ShimStripGuess *guess, const ShimLattice *seen, ShimLattice *lattice)
{
  static const double factors[] = { 5.0, 2.5, 10.0 };
  const double f = shim_lattice_cycles_per_px (seen, seen->v_best);
  ShimTickFamily family;
  ShimStripGuess other;

  if (f > MIRROR_FROM)
    {
      other = guess_at (self, guess, seen, 1.0, TRUE);
      return find_lattice_at (self, &other, lattice, &family) && family == SHIM_TICK_FAMILY_FIVES;
    }
  for (guint i = 0; i < G_N_ELEMENTS (factors); i++)
    {
      if (factors[i] * f < HIDDEN_FROM || factors[i] * f > HIDDEN_TO)
        continue;
      other = guess_at (self, guess, seen, factors[i], FALSE);
      if (find_lattice_at (self, &other, lattice, &family) && family == SHIM_TICK_FAMILY_FIVES)
        return TRUE;
    }
  return FALSE;
}

/* Measures on one lattice; if the growth of the blur shows another tick spacing, once more with that. */
static void
measure_on_lattice (Measure *self, ShimTickFamily family)
{
  measure_with_tick (self, shim_tick_spacing_judge (&self->lattice, family, self->request));
  if (spacing_is_doubtful (self))
    {
      const double tick_mm = shim_tick_spacing_by_blur (self->lattice.tick_mm, self->result->blur_factor);

      if (isfinite (tick_mm) && distance_allows (self, tick_mm))
        measure_with_tick (self, tick_mm);
    }
}

static gboolean
is_better (const ShimMeasurement *a, const ShimMeasurement *b)
{
  const gboolean a_measured = a->refusal == SHIM_REFUSAL_NONE, b_measured = b->refusal == SHIM_REFUSAL_NONE;

  if (a_measured && b_measured && isfinite (a->offset_se_mm) && isfinite (b->offset_se_mm))
    return a->offset_se_mm < b->offset_se_mm;
  return a_measured && !b_measured;
}

/* Whether two lattices show the same ruler in space. */
static gboolean
same_ruler (const Measure *a, const Measure *b)
{
  const ShimRulerGeometry *ga = &a->geometry, *gb = &b->geometry;

  return ga->far_sign == gb->far_sign && fabs (ga->angle_deg.value - gb->angle_deg.value) < SAME_ANGLE_DEG &&
         fabs (log (ga->distance_mm.value / gb->distance_mm.value)) < SAME_DISTANCE;
}

/* Puts @other in place of @self when @wanted, and frees what is not kept. */
static void
keep_one (Measure *self, Measure *other, gboolean wanted)
{
  ShimMeasurement *dropped = wanted ? self->result : other->result;

  if (wanted)
    *self = *other;
  other->result = NULL;
  shim_measurement_free (dropped);
}

/* Where millimetres are beyond the pixels, numerals may have been found rather than ticks. The ticks of five stand alone
 * between the ends of the finest and their own, some 5 mm from the strip's edge; looks there, from either edge. */
static void
measure_on_fives (Measure *self, const ShimStripGuess *guess)
{
  const ShimLattice seen = self->lattice;
  const ShimLane lane = { .u0 = seen.u0, .u1 = seen.u1, .v_ref = seen.v_ref, .half_px = 0.5 * seen.lane_width_px };
  const double px_per_mm = 1.0 / shim_lattice_mm_per_px (&seen, seen.v_best);
  const double px_per_mm_across = px_per_mm / sin (self->geometry.angle_deg.value * G_PI / 180.0);
  double edges[2];

  if (px_per_mm > 1.0 / BEYOND_PIXELS || px_per_mm < 0.5)
    return;
  shim_lane_find_edges (self->luma, seen.transposed, guess->v_lo, guess->v_hi, STRIP_REACH_MM * px_per_mm_across, &lane, edges);
  for (int i = 0; i < 2; i++)
    {
      Measure other = { .luma = self->luma, .request = self->request, .v_target = NAN };
      ShimStripGuess fives = guess_at (self, guess, &seen, seen.tick_mm / 5.0, FALSE);
      ShimTickFamily family;

      if (edges[i] == 0.0)
        continue;
      fives.u0 = seen.u0 + edges[i] + (i == 0 ? 1.0 : -1.0) * FIVES_FROM_EDGE_MM * px_per_mm_across;
      fives.reach_px = FIVES_REACH_MM * px_per_mm_across;
      if (!find_lattice_at (self, &fives, &other.lattice, &family))
        continue;
      measure_on_lattice (&other, family);
      keep_one (self, &other, same_ruler (self, &other) && is_better (other.result, self->result));
    }
}

/* Measures on the ticks that were seen, and on finer ones that hide behind them, and keeps what is surer. */
static void
measure_seen_and_hidden (Measure *self, const ShimStripGuess *guess, ShimTickFamily family)
{
  Measure hidden = *self;
  const double cycles = shim_lattice_cycles_per_px (&self->lattice, self->lattice.v_best);
  /* Without the longer ticks nothing tells such a lattice from its mirror image. */
  const gboolean doubtful = family == SHIM_TICK_FAMILY_UNKNOWN && cycles > MIRROR_DOUBT;

  hidden.result = NULL;
  if (find_hidden_lattice (self, guess, &self->lattice, &hidden.lattice))
    measure_on_lattice (&hidden, SHIM_TICK_FAMILY_FIVES);
  if (doubtful && hidden.result == NULL)
    shim_measurement_refuse (self->result, SHIM_REFUSAL_NO_RULER,
                             "Ticks were seen, but they are too close together for the pixels to be read. Come closer to the "
                             "ruler.");
  else if (!doubtful)
    measure_on_lattice (self, family);
  if (hidden.result != NULL)
    {
      const gboolean instead = (doubtful || cycles > MIRROR_FROM) && distance_misses (&hidden) <= distance_misses (self);

      keep_one (self, &hidden, instead || (same_ruler (self, &hidden) && is_better (hidden.result, self->result)));
    }
  if (self->lattice.tick_mm == 5.0 || self->lattice.tick_mm == 10.0)
    measure_on_fives (self, guess);
}

static void
measure_guess (Measure *self, const ShimStripGuess *guess)
{
  ShimTickFamily family;

  if (!find_lattice_at (self, guess, &self->lattice, &family))
    return;
  if (family == SHIM_TICK_FAMILY_UNKNOWN || family == SHIM_TICK_FAMILY_TWOS)
    measure_seen_and_hidden (self, guess, family);
  else
    measure_on_lattice (self, family);
}

/* The result while nothing better is known. */
static ShimMeasurement *
no_ruler (const ShimMeasureRequest *request)
{
  return shim_measurement_refuse (shim_measurement_new (), SHIM_REFUSAL_NO_RULER,
                                  strip_is_usable (request)
                                  ? "No evenly spaced ticks lie under the given strip. Lay it along the ruler's tick edge."
                                  : "No ruler was found. Show where it is by a click or a strip along its tick edge, and see "
                                    "that its ticks are in focus somewhere.");
}

/* The sharp line is worth showing all the same. */
static void
refuse_without_target (ShimMeasurement *result)
{
  const ShimPoint sharp_px = result->sharp_px;
  const double sharp_reading_mm = result->sharp_reading_mm;

  shim_measurement_refuse (result, SHIM_REFUSAL_NO_TARGET,
                           "The sharp line was found, but not where the target is. Show the place on the ruler that is level "
                           "with the target's face.");
  result->sharp_px = sharp_px;
  result->sharp_reading_mm = sharp_reading_mm;
}

static void
measure (Measure *self, const ShimStripGuess *guess)
{
  self->result = no_ruler (self->request);
  if (guess != NULL)
    measure_guess (self, guess);
  else
    {
      g_autoptr (GArray) found = find_guesses (self->luma, self->request);

      for (guint i = 0; i < found->len && !shim_measure_is_settled (self->result); i++)
        {
          Measure next = { .luma = self->luma, .request = self->request, .v_target = NAN };
          ShimMeasurement *dropped;

          next.result = no_ruler (self->request);
          measure_guess (&next, &g_array_index (found, ShimStripGuess, i));
          dropped = next.result;
          if (shim_measure_tells_more (next.result, self->result))
            {
              dropped = self->result;
              *self = next;
            }
          shim_measurement_free (dropped);
        }
    }
  if (self->result->refusal == SHIM_REFUSAL_NONE && !self->request->has_target)
    refuse_without_target (self->result);
}

/* How much a result says about a ruler: refusals that anything regular may bring come last. */
static int
weight_of (ShimRefusal refusal)
{
  switch (refusal)
    {
    case SHIM_REFUSAL_NONE:
    case SHIM_REFUSAL_NO_TARGET:
      return 5;
    case SHIM_REFUSAL_OFF_RULER_NEAR:
    case SHIM_REFUSAL_OFF_RULER_FAR:
      return 4;
    case SHIM_REFUSAL_CLIPPED:
    case SHIM_REFUSAL_TOO_DARK:
    case SHIM_REFUSAL_SHAKEN:
    case SHIM_REFUSAL_MOVED:
    case SHIM_REFUSAL_NOTHING_SHARP:
    case SHIM_REFUSAL_NOT_CREDIBLE:
      return 3;
    case SHIM_REFUSAL_NEEDS_GEOMETRY:
      return 2;
    case SHIM_REFUSAL_TOO_FEW_TICKS:
      return 1;
    case SHIM_REFUSAL_NO_RULER:
    case SHIM_REFUSAL_UNREADABLE:
    default:
      return 0;
    }
}

/* So many ticks in step, in perspective, are a ruler's, whatever became of the sharp line. Looking on would find its numerals. */
static gboolean
is_long_lattice (const ShimMeasurement *measurement)
{
  const double tick = measurement->tick_mm;

  return measurement->last_reading_mm - measurement->first_reading_mm >= LONG_TICKS * tick &&
         measurement->map_residual_mm < LONG_RESIDUAL_TICKS * tick;
}

/**
 * shim_measure_is_settled:
 * @measurement: what came of one candidate
 *
 * Returns: whether the candidate was a ruler beyond doubt, so that no other need be looked at
 */
gboolean
shim_measure_is_settled (const ShimMeasurement *measurement)
{
  g_return_val_if_fail (measurement != NULL, FALSE);

  return weight_of (measurement->refusal) >= 4 || (weight_of (measurement->refusal) == 3 && is_long_lattice (measurement));
}

/**
 * shim_measure_tells_more:
 * @measurement: what came of one candidate
 * @than: what came of another that was likelier
 *
 * Returns: whether @measurement is to be kept instead
 */
gboolean
shim_measure_tells_more (const ShimMeasurement *measurement, const ShimMeasurement *than)
{
  g_return_val_if_fail (measurement != NULL && than != NULL, FALSE);

  return weight_of (measurement->refusal) > weight_of (than->refusal);
}

/**
 * shim_measure_luma:
 * @luma: the pixels of a strip, or of a whole picture
 * @request: what is known, places in the frame of @luma's picture
 * @guess: (nullable): where a survey saw ticks; %NULL = the request's strip or click, else all of @luma is searched
 *
 * Measures one frame: finds the tick lattice, the ruler's place in space and the sharp line.
 *
 * Returns: (transfer full): the measurement, or a refusal with its reason and all that was found out before it
 */
ShimMeasurement *
shim_measure_luma (const ShimLuma *luma, const ShimMeasureRequest *request, const ShimStripGuess *guess)
{
  Measure self = { .luma = luma, .request = request, .v_target = NAN };

  g_return_val_if_fail (luma != NULL && luma->px != NULL && request != NULL, NULL);

  measure (&self, guess);
  return self.result;
}
