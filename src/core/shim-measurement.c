/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <stdarg.h>

#include "shim-measurement.h"
#include "shim-names.h"

static const char *const refusal_names[] = {
  [SHIM_REFUSAL_NONE] = "none",
  [SHIM_REFUSAL_UNREADABLE] = "unreadable",
  [SHIM_REFUSAL_NO_RULER] = "no-ruler",
  [SHIM_REFUSAL_TOO_FEW_TICKS] = "too-few-ticks",
  [SHIM_REFUSAL_NO_TARGET] = "no-target",
  [SHIM_REFUSAL_NEEDS_GEOMETRY] = "needs-geometry",
  [SHIM_REFUSAL_OFF_RULER_NEAR] = "off-ruler-near",
  [SHIM_REFUSAL_OFF_RULER_FAR] = "off-ruler-far",
  [SHIM_REFUSAL_NOTHING_SHARP] = "nothing-sharp",
  [SHIM_REFUSAL_NOT_CREDIBLE] = "not-credible",
  [SHIM_REFUSAL_CLIPPED] = "clipped",
  [SHIM_REFUSAL_TOO_DARK] = "too-dark",
  [SHIM_REFUSAL_MOVED] = "moved",
  [SHIM_REFUSAL_SHAKEN] = "shaken",
};

static const char *const marks_names[] = {
  [SHIM_MARKS_OWN] = "own",
  [SHIM_MARKS_CARRIED] = "carried",
  [SHIM_MARKS_MOVED] = "moved",
  [SHIM_MARKS_UNMATCHED] = "unmatched",
};

static const char *const far_side_names[] = {
  [SHIM_FAR_UNKNOWN] = "unknown",
  [SHIM_FAR_UP] = "up",
  [SHIM_FAR_DOWN] = "down",
  [SHIM_FAR_LEFT] = "left",
  [SHIM_FAR_RIGHT] = "right",
};

/**
 * shim_refusal_to_name:
 * @refusal: a reason
 *
 * Returns: (transfer none): its name in JSON and in the register, as "off-ruler-near"
 */
const char *
shim_refusal_to_name (ShimRefusal refusal)
{
  g_return_val_if_fail ((guint) refusal < G_N_ELEMENTS (refusal_names), "none");

  return refusal_names[refusal];
}

/**
 * shim_refusal_from_name:
 * @name: (nullable): a name as from shim_refusal_to_name()
 * @refusal: (out): the reason
 *
 * Returns: whether @name is one
 */
gboolean
shim_refusal_from_name (const char *name, ShimRefusal *refusal)
{
  guint index = 0;

  g_return_val_if_fail (refusal != NULL, FALSE);

  if (!shim_names_find (refusal_names, G_N_ELEMENTS (refusal_names), name, &index))
    return FALSE;
  *refusal = (ShimRefusal) index;
  return TRUE;
}

/**
 * shim_marks_origin_to_name:
 * @marks: where marks come from
 *
 * Returns: (transfer none): "own", "carried", "moved" or "unmatched"
 */
const char *
shim_marks_origin_to_name (ShimMarksOrigin marks)
{
  g_return_val_if_fail ((guint) marks < G_N_ELEMENTS (marks_names), "own");

  return marks_names[marks];
}

/**
 * shim_marks_origin_from_name:
 * @name: (nullable): a name as from shim_marks_origin_to_name()
 * @marks: (out): where marks come from
 *
 * Returns: whether @name is one
 */
gboolean
shim_marks_origin_from_name (const char *name, ShimMarksOrigin *marks)
{
  guint index = 0;

  g_return_val_if_fail (marks != NULL, FALSE);

  if (!shim_names_find (marks_names, G_N_ELEMENTS (marks_names), name, &index))
    return FALSE;
  *marks = (ShimMarksOrigin) index;
  return TRUE;
}

/**
 * shim_far_side_to_name:
 * @side: a side
 *
 * Returns: (transfer none): "up", "down", "left", "right" or "unknown"
 */
const char *
shim_far_side_to_name (ShimFarSide side)
{
  g_return_val_if_fail ((guint) side < G_N_ELEMENTS (far_side_names), "unknown");

  return far_side_names[side];
}

/**
 * shim_far_side_from_name:
 * @name: (nullable): a name as from shim_far_side_to_name()
 * @side: (out): the side
 *
 * Returns: whether @name is one
 */
gboolean
shim_far_side_from_name (const char *name, ShimFarSide *side)
{
  guint index = 0;

  g_return_val_if_fail (side != NULL, FALSE);

  if (!shim_names_find (far_side_names, G_N_ELEMENTS (far_side_names), name, &index))
    return FALSE;
  *side = (ShimFarSide) index;
  return TRUE;
}

/**
 * shim_measure_request_init:
 * @request: (out): set to "nothing is known"
 */
void
shim_measure_request_init (ShimMeasureRequest *request)
{
  g_return_if_fail (request != NULL);

  *request = (ShimMeasureRequest) {
    .strip_width_px = NAN,
    .tick_mm = NAN,
    .angle_deg = NAN,
    .angle_se_deg = NAN,
    .focal_mm = NAN,
    .f_number = NAN,
    .distance_mm = NAN,
    .pixel_pitch_mm = NAN,
    .coc_mm = NAN,
  };
}

/**
 * shim_measurement_new:
 *
 * Returns: (transfer full): a measurement in which every number is NAN
 */
ShimMeasurement *
shim_measurement_new (void)
{
  const ShimPoint nowhere = { NAN, NAN };
  ShimMeasurement *self = g_new0 (ShimMeasurement, 1);

  self->strip_a_px = self->strip_b_px = self->target_px = self->sharp_px = nowhere;
  self->strip_width_px = self->map_residual_mm = self->tick_mm = NAN;
  self->map[0] = self->map[1] = self->map[2] = NAN;
  self->first_reading_mm = self->last_reading_mm = NAN;
  self->angle_deg = self->distance_mm = self->focal_mm = self->f_number = NAN;
  self->target_reading_mm = self->sharp_reading_mm = self->ruler_mm = NAN;
  self->offset_mm = self->offset_se_mm = self->common_se_mm = self->offset_bound_mm = NAN;
  self->depth_of_field_mm = self->coc_mm = self->mm_per_px = NAN;
  self->softness_px = self->blur_factor = NAN;
  self->shift_x_px = self->shift_y_px = self->shift_se_px = self->shift_turn_deg = self->shift_growth = NAN;
  return self;
}

/**
 * shim_measurement_copy:
 * @self: a measurement
 *
 * Returns: (transfer full): a copy
 */
ShimMeasurement *
shim_measurement_copy (const ShimMeasurement *self)
{
  ShimMeasurement *copy;

  g_return_val_if_fail (self != NULL, NULL);

  copy = g_memdup2 (self, sizeof *self);
  copy->reason = g_strdup (self->reason);
  copy->warnings = g_strdupv (self->warnings);
  copy->curve = g_memdup2 (self->curve, self->n_curve * sizeof *self->curve);
  return copy;
}

/**
 * shim_measurement_free:
 * @self: (transfer full) (nullable): a measurement
 */
void
shim_measurement_free (ShimMeasurement *self)
{
  if (self == NULL)
    return;
  g_free (self->reason);
  g_strfreev (self->warnings);
  g_free (self->curve);
  g_free (self);
}

/**
 * shim_measurement_refuse:
 * @self: a measurement
 * @refusal: why there is no number
 * @format: the sentence, printf-like
 * @...: its values
 *
 * Marks @self as refused. A number offered as measured must not survive, so offset and sharp line become NAN.
 *
 * Returns: (transfer none): @self
 */
ShimMeasurement *
shim_measurement_refuse (ShimMeasurement *self, ShimRefusal refusal, const char *format, ...)
{
  va_list args;

  g_return_val_if_fail (self != NULL, NULL);
  g_return_val_if_fail (refusal != SHIM_REFUSAL_NONE, self);

  va_start (args, format);
  g_free (self->reason);
  self->reason = g_strdup_vprintf (format, args);
  va_end (args);
  self->refusal = refusal;
  self->ruler_mm = self->offset_mm = self->offset_se_mm = self->sharp_reading_mm = NAN;
  self->sharp_px = (ShimPoint) { NAN, NAN };
  return self;
}

/**
 * shim_measurement_warn:
 * @self: a measurement
 * @format: a sentence, printf-like
 * @...: its values
 */
void
shim_measurement_warn (ShimMeasurement *self, const char *format, ...)
{
  g_autoptr (GStrvBuilder) builder = g_strv_builder_new ();
  g_autofree char *sentence = NULL;
  va_list args;

  g_return_if_fail (self != NULL);

  va_start (args, format);
  sentence = g_strdup_vprintf (format, args);
  va_end (args);
  if (self->warnings != NULL)
    g_strv_builder_addv (builder, (const char **) self->warnings);
  g_strv_builder_add (builder, sentence);
  g_strfreev (self->warnings);
  self->warnings = g_strv_builder_end (builder);
}

/**
 * shim_measurement_reading_at:
 * @self: a measurement with a strip and a map
 * @px: a place in the upright picture
 *
 * Returns: the reading, mm, level with @px: at its foot on the strip's line
 */
double
shim_measurement_reading_at (const ShimMeasurement *self, ShimPoint px)
{
  double dx, dy, along_px;

  g_return_val_if_fail (self != NULL, NAN);

  dx = self->strip_b_px.x - self->strip_a_px.x;
  dy = self->strip_b_px.y - self->strip_a_px.y;
  along_px = ((px.x - self->strip_a_px.x) * dx + (px.y - self->strip_a_px.y) * dy) / hypot (dx, dy);
  return (self->map[0] + self->map[1] * along_px) / (1.0 + self->map[2] * along_px);
}

/**
 * shim_measurement_point_at:
 * @self: a measurement with a strip and a map
 * @reading_mm: a reading
 *
 * Returns: its place on the strip's line in the upright picture
 */
ShimPoint
shim_measurement_point_at (const ShimMeasurement *self, double reading_mm)
{
  double dx, dy, length_px, along_px;

  g_return_val_if_fail (self != NULL, ((ShimPoint) { NAN, NAN }));

  dx = self->strip_b_px.x - self->strip_a_px.x;
  dy = self->strip_b_px.y - self->strip_a_px.y;
  length_px = hypot (dx, dy);
  along_px = (reading_mm - self->map[0]) / (self->map[1] - self->map[2] * reading_mm);
  return (ShimPoint) { self->strip_a_px.x + along_px * dx / length_px, self->strip_a_px.y + along_px * dy / length_px };
}

/**
 * shim_measurement_offset_between:
 * @self: a measurement with strip, map, angle and far side
 * @target_reading_mm: the reading level with the target
 * @sharp_reading_mm: the reading that is sharp, as by eye
 *
 * Returns: the offset along the optical axis, mm, + = past the target
 */
double
shim_measurement_offset_between (const ShimMeasurement *self, double target_reading_mm, double sharp_reading_mm)
{
  ShimPoint from, to;
  double away;

  g_return_val_if_fail (self != NULL, NAN);

  from = shim_measurement_point_at (self, target_reading_mm);
  to = shim_measurement_point_at (self, target_reading_mm + 1.0);
  switch (self->far_side)
    {
    case SHIM_FAR_UP:
      away = from.y - to.y;
      break;
    case SHIM_FAR_DOWN:
      away = to.y - from.y;
      break;
    case SHIM_FAR_LEFT:
      away = from.x - to.x;
      break;
    case SHIM_FAR_RIGHT:
      away = to.x - from.x;
      break;
    case SHIM_FAR_UNKNOWN:
    default:
      return NAN;
    }
  return copysign (1.0, away) * (sharp_reading_mm - target_reading_mm) * cos (self->angle_deg * G_PI / 180.0);
}
