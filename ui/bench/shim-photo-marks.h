/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-measurement.h"

G_BEGIN_DECLS

/**
 * ShimPhotoMarks:
 * @has_strip: whether the strip is marked
 * @strip_a_px: one end of the line along the tick edge
 * @strip_b_px: the other end
 * @strip_width_px: width to look in, across the line; NAN = the program's choice
 * @has_target: whether the target line is marked
 * @target_px: a point level with the target's face, on or beside the ruler
 * @has_eye: whether the sharp line is marked by eye
 * @eye_px: where it looks sharpest to the eye
 *
 * What a person has marked on a photograph, in pixels of the upright picture.
 */
typedef struct
{
  gboolean has_strip;
  ShimPoint strip_a_px;
  ShimPoint strip_b_px;
  double strip_width_px;
  gboolean has_target;
  ShimPoint target_px;
  gboolean has_eye;
  ShimPoint eye_px;
} ShimPhotoMarks;

/**
 * ShimMark:
 *
 * One of the things that can be dragged.
 */
typedef enum
{
  SHIM_MARK_TARGET,
  SHIM_MARK_EYE,
  SHIM_MARK_STRIP_A,
  SHIM_MARK_STRIP_B,
  SHIM_N_MARKS,
} ShimMark;

void      shim_photo_marks_init             (ShimPhotoMarks *self);
void      shim_photo_marks_from_measurement (ShimPhotoMarks *self, const ShimMeasurement *measurement);
void      shim_photo_marks_start_in_middle  (ShimPhotoMarks *self, int photo_width, int photo_height);
void      shim_photo_marks_fill_request     (const ShimPhotoMarks *self, ShimMeasureRequest *request);
gboolean  shim_photo_marks_has              (const ShimPhotoMarks *self, ShimMark mark);
ShimPoint shim_photo_marks_get              (const ShimPhotoMarks *self, ShimMark mark);
void      shim_photo_marks_set              (ShimPhotoMarks *self, ShimMark mark, ShimPoint px);
gboolean  shim_photo_marks_equal            (const ShimPhotoMarks *self, const ShimPhotoMarks *other);

G_END_DECLS
