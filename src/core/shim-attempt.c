/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-attempt.h"
#include "shim-lattice-find.h"
#include "shim-measure-strip.h"
#include "shim-optics.h"
#include "shim-ruler-geometry.h"
#include "shim-sharp-line.h"
#include "shim-tick-spacing.h"

/* How well a target line is given, pixels. */
#define TARGET_SE_PX 0.2
/* Fewer ticks than this are not worth a measurement. */
#define MIN_TICKS 25
/* Map residual, ticks, above which a lattice does not carry an extrapolation beyond the ruler. */
#define SIDE_RESIDUAL_TICKS 0.025
/* How far from the ruler the target line may be given, mm: across, and along beyond the ticks seen (or as much
 * again as is seen of the scale). */
#define TARGET_ACROSS_MM 200.0
#define TARGET_ALONG_MM 200.0
#define DISTANCE_AGREES 0.03
#define PULL_WARN 3.5
/* A blur factor outside of these may come of another tick spacing, if the recorded distance allows it (as a
 * log). */
#define BLUR_DOUBT_LOW 0.82
#define BLUR_DOUBT_HIGH 1.22
#define DISTANCE_ALLOWS 0.15
/* Log of implied over recorded distance above which one of the figures must be wrong. */
#define DISTANCE_IMPOSSIBLE 0.3

static double
target_on_lane (const ShimLattice *lattice, ShimPoint target)
{
  const double u = lattice->transposed ? target.y : target.x, v = lattice->transposed ? target.x : target.y;

  return shim_lattice_v_at (lattice, shim_lattice_reading_uv (lattice, u, v));
}

/* Everything about the ruler that is worth showing, measured or refused. */
static void
describe_ruler (ShimAttempt *self)
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
describe_optics (ShimAttempt *self)
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
warn_about_geometry (ShimAttempt *self)
{
  const ShimMeasureRequest *request = self->request;
  const ShimRulerGeometry *geometry = &self->geometry;

  if (!(geometry->pull > PULL_WARN))
    return;
  if (geometry->distance_mm.measured && request->distance_mm > 0.0 &&
      fabs (request->distance_mm / geometry->distance_mm.value - 1.0) > DISTANCE_AGREES)
    shim_measurement_warn (self->result,
                           "By the ruler's ticks the target is %.2f m away, but %.2f m was recorded: check the focal "
                           "length and the distance of the ticks.",
                           geometry->distance_mm.value / 1000.0, request->distance_mm / 1000.0);
  else
    shim_measurement_warn (self->result,
                           "The ruler's angle in the picture is not the one given: check that it leans as stated.");
}

/* The finest ticks that a metric ruler has are a fifth or a tenth of what is seen. */
static gboolean
is_long_ticks_only (const ShimLattice *lattice)
{
  return lattice->tick_mm == 5.0 || lattice->tick_mm == 10.0;
}

static void
warn_about_ticks (ShimAttempt *self)
{
  if (is_long_ticks_only (&self->lattice))
    shim_measurement_warn (self->result,
                           "The millimetre ticks are too fine for the pixels; the frame was measured on the longer "
                           "ones. Come closer, or use the printed target.");
  /* With focal length and pixel pitch the ticks tell a distance, which shows a wrong spacing; without them nothing does. */
  if (!(self->request->tick_mm > 0.0) && !(self->request->focal_mm > 0.0 && self->request->pixel_pitch_mm > 0.0))
    shim_measurement_warn (self->result,
                           "Nothing in this frame tells how far apart the ticks are; %.4g mm was assumed, and the offset "
                           "grows with it. Say how far apart they are.",
                           self->lattice.tick_mm);
}

static void
copy_warnings (ShimAttempt *self, char **warnings)
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
take_sharp_line (ShimAttempt *self, ShimSharpLine *line)
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
  result->may_be_beyond = line->beyond;

  if ((refusal_names_side (line->refusal) &&
       (lattice->residual_mm > SIDE_RESIDUAL_TICKS * lattice->tick_mm ||
        (lattice->long_every == 0 && !line->ranks_seen && !self->own_target))) ||
      (line->refusal == SHIM_REFUSAL_TOO_FEW_TICKS && is_long_ticks_only (lattice)))
    {
      shim_measurement_refuse (result, SHIM_REFUSAL_NOTHING_SHARP,
                               "Nothing on the ruler is sharp: only its longest marks can be seen, and not well. Check "
                               "that the frame was focused near the target.");
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
place_sharp_line (ShimAttempt *self)
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

/* The target stands beside the ruler. Ticks that are far from it are something else in the picture. */
static gboolean
target_is_beside (const ShimAttempt *self)
{
  const ShimLattice *lattice = &self->lattice;
  const ShimPoint target = self->request->target_px;
  const double u = lattice->transposed ? target.y : target.x;
  const double margin = MAX (TARGET_ALONG_MM, lattice->last_reading_mm - lattice->first_reading_mm);
  double reading, mm_per_px;

  if (!self->request->has_target || shim_measure_strip_is_given (self->request) || self->request->has_click)
    return TRUE;
  reading = shim_lattice_reading (lattice, self->v_target);
  mm_per_px = shim_geometry_depth_mm (&self->geometry, lattice, self->v_target) / self->geometry.image_px;
  return reading > lattice->first_reading_mm - margin && reading < lattice->last_reading_mm + margin &&
         !(fabs (u - shim_lattice_u_at (lattice, self->v_target)) * mm_per_px > TARGET_ACROSS_MM);
}

/**
 * shim_attempt_distance_misses:
 * @self: an attempt that has its geometry
 *
 * Returns: the distance that the ticks imply against the one recorded, as the absolute of a log; 0 where there
 *   is nothing to compare
 */
double
shim_attempt_distance_misses (const ShimAttempt *self)
{
  if (!(self->request->distance_mm > 0.0) || !self->geometry.distance_mm.measured)
    return 0.0;
  return fabs (log (self->geometry.distance_mm.value / self->request->distance_mm));
}

/**
 * shim_attempt_with_tick:
 * @self: (inout): an attempt with its lattice; geometry and result are set
 * @tick_mm: distance of the lattice's ticks
 *
 * Measures on one lattice; does everything that depends on how far apart the ticks are.
 */
void
shim_attempt_with_tick (ShimAttempt *self, double tick_mm)
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
                             "Ticks were found, but far from the target line. Show where the ruler is by a click or a "
                             "strip along its tick edge.");
  else if (self->lattice.n_ticks < MIN_TICKS)
    shim_measurement_refuse (self->result, SHIM_REFUSAL_TOO_FEW_TICKS,
                             "Only %u ticks of the ruler can be seen. Use a longer ruler, or see that more of it is "
                             "sharp.",
                             self->lattice.n_ticks);
  else if (shim_attempt_distance_misses (self) > DISTANCE_IMPOSSIBLE)
    shim_measurement_refuse (self->result, SHIM_REFUSAL_NOT_CREDIBLE,
                             "By the ruler's ticks the target is %.2f m away, but %.2f m was recorded. Check the focal "
                             "length, the distance and how far apart the ticks are.",
                             self->geometry.distance_mm.value / 1000.0, self->request->distance_mm / 1000.0);
  else if (!self->geometry.ok)
    shim_measurement_refuse (self->result, SHIM_REFUSAL_NEEDS_GEOMETRY,
                             "The picture does not show which way the ruler runs away from the camera. Say to which "
                             "side of the picture its far end lies.");
  else
    place_sharp_line (self);
}

/* The blur grows with the spacing assumed: a factor far from 1 may mean another spacing. */
static gboolean
spacing_is_doubtful (const ShimAttempt *self)
{
  const double factor = self->result->blur_factor;

  return isfinite (factor) && (factor < BLUR_DOUBT_LOW || factor > BLUR_DOUBT_HIGH) &&
         !(self->request->tick_mm > 0.0);
}

static gboolean
distance_allows (const ShimAttempt *self, double tick_mm)
{
  const double implied = self->geometry.distance_mm.value * tick_mm / self->lattice.tick_mm;

  return !(self->request->distance_mm > 0.0) || !self->geometry.distance_mm.measured ||
         fabs (log (implied / self->request->distance_mm)) < DISTANCE_ALLOWS;
}

/**
 * shim_attempt_init:
 * @self: (out): an attempt that has come to nothing yet
 * @luma: pixels
 * @request: what is known
 */
void
shim_attempt_init (ShimAttempt *self, const ShimLuma *luma, const ShimMeasureRequest *request)
{
  *self = (ShimAttempt) { .luma = luma, .request = request, .v_target = NAN };
}

/* A number that may be wrong by a factor is none; on which side of the ruler the sharp line lies, it says all the same. */
static void
refuse_guessed_spacing (ShimAttempt *self)
{
  self->result->offset_bound_mm = NAN;
  if (self->result->refusal == SHIM_REFUSAL_NONE)
    shim_measurement_refuse (self->result, SHIM_REFUSAL_NEEDS_GEOMETRY,
                             "Nothing in this frame tells how far apart the ticks are, and they look like those of several "
                             "rulers. Say how far apart they are, or give the focal length.");
}

/**
 * shim_attempt_on_lattice:
 * @self: (inout): an attempt with its lattice; geometry and result are set
 * @family: which of the lattice's ticks are longer
 *
 * Measures on one lattice; if the growth of the blur shows another tick spacing, once more with that.
 */
void
shim_attempt_on_lattice (ShimAttempt *self, ShimTickFamily family)
{
  gboolean sure;

  shim_attempt_with_tick (self, shim_tick_spacing_judge (&self->lattice, family, self->request, &sure));
  if (!sure)
    refuse_guessed_spacing (self);
  if (spacing_is_doubtful (self))
    {
      const double tick_mm = shim_tick_spacing_by_blur (self->lattice.tick_mm, self->result->blur_factor);

      if (isfinite (tick_mm) && distance_allows (self, tick_mm))
        shim_attempt_with_tick (self, tick_mm);
    }
}
