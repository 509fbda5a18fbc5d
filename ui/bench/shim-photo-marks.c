/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-photo-marks.h"

/**
 * shim_photo_marks_init:
 * @self: (out): set to "nothing is marked"
 */
void
shim_photo_marks_init (ShimPhotoMarks *self)
{
  g_return_if_fail (self != NULL);

  *self = (ShimPhotoMarks){ .strip_width_px = NAN };
}

/**
 * shim_photo_marks_from_measurement:
 * @self: marks
 * @measurement: what the program found
 *
 * Takes over strip and target line as the program used them, so that a person can correct them. The mark by eye
 * stays.
 */
void
shim_photo_marks_from_measurement (ShimPhotoMarks *self, const ShimMeasurement *measurement)
{
  g_return_if_fail (self != NULL);
  g_return_if_fail (measurement != NULL);

  if (isfinite (measurement->strip_a_px.x) && isfinite (measurement->strip_b_px.x))
    {
      self->has_strip = TRUE;
      self->strip_a_px = measurement->strip_a_px;
      self->strip_b_px = measurement->strip_b_px;
      self->strip_width_px = measurement->strip_width_px;
    }
  if (isfinite (measurement->target_px.x) && isfinite (measurement->target_px.y))
    {
      self->has_target = TRUE;
      self->target_px = measurement->target_px;
    }
}

/**
 * shim_photo_marks_start_in_middle:
 * @self: marks
 * @photo_width: columns of the upright photograph
 * @photo_height: its rows
 *
 * Puts a strip and a target line in the middle, for a person to drag to their places, where nothing was found.
 */
void
shim_photo_marks_start_in_middle (ShimPhotoMarks *self, int photo_width, int photo_height)
{
  g_return_if_fail (self != NULL);

  if (!self->has_strip)
    {
      self->has_strip = TRUE;
      self->strip_a_px = (ShimPoint){ photo_width / 2.0, photo_height * 0.8 };
      self->strip_b_px = (ShimPoint){ photo_width / 2.0, photo_height * 0.2 };
      self->strip_width_px = NAN;
    }
  if (!self->has_target)
    {
      self->has_target = TRUE;
      self->target_px = (ShimPoint){ (self->strip_a_px.x + self->strip_b_px.x) / 2.0,
                                     (self->strip_a_px.y + self->strip_b_px.y) / 2.0 };
    }
}

/**
 * shim_photo_marks_fill_request:
 * @self: marks
 * @request: gets strip and target line where they are marked; nothing else of it changes
 */
void
shim_photo_marks_fill_request (const ShimPhotoMarks *self, ShimMeasureRequest *request)
{
  g_return_if_fail (self != NULL);
  g_return_if_fail (request != NULL);

  if (self->has_strip)
    {
      request->has_strip = TRUE;
      request->strip_a_px = self->strip_a_px;
      request->strip_b_px = self->strip_b_px;
      request->strip_width_px = self->strip_width_px;
    }
  if (self->has_target)
    {
      request->has_target = TRUE;
      request->target_px = self->target_px;
    }
}

/**
 * shim_photo_marks_has:
 * @self: marks
 * @mark: which
 *
 * Returns: whether it is there
 */
gboolean
shim_photo_marks_has (const ShimPhotoMarks *self, ShimMark mark)
{
  switch (mark)
    {
    case SHIM_MARK_TARGET:
      return self->has_target;
    case SHIM_MARK_EYE:
      return self->has_eye;
    case SHIM_MARK_STRIP_A:
    case SHIM_MARK_STRIP_B:
      return self->has_strip;
    case SHIM_N_MARKS:
    default:
      return FALSE;
    }
}

/**
 * shim_photo_marks_get:
 * @self: marks
 * @mark: one that is there
 *
 * Returns: its place in the upright photograph
 */
ShimPoint
shim_photo_marks_get (const ShimPhotoMarks *self, ShimMark mark)
{
  switch (mark)
    {
    case SHIM_MARK_TARGET:
      return self->target_px;
    case SHIM_MARK_EYE:
      return self->eye_px;
    case SHIM_MARK_STRIP_A:
      return self->strip_a_px;
    case SHIM_MARK_STRIP_B:
    case SHIM_N_MARKS:
    default:
      return self->strip_b_px;
    }
}

/**
 * shim_photo_marks_set:
 * @self: marks
 * @mark: which; one end of the strip only when there is a strip
 * @px: its new place
 */
void
shim_photo_marks_set (ShimPhotoMarks *self, ShimMark mark, ShimPoint px)
{
  switch (mark)
    {
    case SHIM_MARK_TARGET:
      self->has_target = TRUE;
      self->target_px = px;
      break;
    case SHIM_MARK_EYE:
      self->has_eye = TRUE;
      self->eye_px = px;
      break;
    case SHIM_MARK_STRIP_A:
      self->strip_a_px = px;
      break;
    case SHIM_MARK_STRIP_B:
      self->strip_b_px = px;
      break;
    case SHIM_N_MARKS:
    default:
      break;
    }
}

static gboolean
same_point (ShimPoint a, ShimPoint b)
{
  return fabs (a.x - b.x) < 1e-6 && fabs (a.y - b.y) < 1e-6;
}

/**
 * shim_photo_marks_equal:
 * @self: marks
 * @other: marks
 *
 * Returns: whether both mark the same places
 */
gboolean
shim_photo_marks_equal (const ShimPhotoMarks *self, const ShimPhotoMarks *other)
{
  if (self->has_strip != other->has_strip || self->has_target != other->has_target || self->has_eye != other->has_eye)
    return FALSE;
  if (self->has_strip &&
      !(same_point (self->strip_a_px, other->strip_a_px) && same_point (self->strip_b_px, other->strip_b_px)))
    return FALSE;
  if (self->has_target && !same_point (self->target_px, other->target_px))
    return FALSE;
  return !self->has_eye || same_point (self->eye_px, other->eye_px);
}
