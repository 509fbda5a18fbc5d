/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-geometry.h"

G_BEGIN_DECLS

/**
 * ShimRefusal:
 *
 * Why a frame was not measured. Each has a name for JSON (shim_refusal_to_name()) and, in the measurement, a sentence
 * a person can act on.
 */
typedef enum
{
  SHIM_REFUSAL_NONE,
  SHIM_REFUSAL_UNREADABLE,      /* the file is no readable picture */
  SHIM_REFUSAL_NO_RULER,        /* no tick lattice found (or none under the given strip) */
  SHIM_REFUSAL_TOO_FEW_TICKS,   /* a lattice, but too short to measure on */
  SHIM_REFUSAL_NO_TARGET,       /* the target line is neither given nor readable from the picture */
  SHIM_REFUSAL_NEEDS_GEOMETRY,  /* focal length, f-number, distance, angle or far side must be given */
  SHIM_REFUSAL_OFF_RULER_NEAR,  /* the sharp line lies nearer than the ruler's near end */
  SHIM_REFUSAL_OFF_RULER_FAR,   /* ... beyond its far end */
  SHIM_REFUSAL_NOTHING_SHARP,   /* no place on the ruler is sharp */
  SHIM_REFUSAL_NOT_CREDIBLE,    /* the fit is not worth its number */
  SHIM_REFUSAL_CLIPPED,         /* the strip is over-exposed */
  SHIM_REFUSAL_TOO_DARK,        /* the strip is black */
  SHIM_REFUSAL_MOVED,           /* the camera moved between this frame and the one that was marked */
  SHIM_REFUSAL_SHAKEN,          /* everything is smeared: camera shake or a soft picture */
} ShimRefusal;

/**
 * ShimMarksOrigin:
 *
 * Where strip and target line of a frame come from.
 */
typedef enum
{
  SHIM_MARKS_OWN,       /* given for this frame, or found on it */
  SHIM_MARKS_CARRIED,   /* carried over from another frame of the test */
  SHIM_MARKS_MOVED,     /* likewise, but the camera or the ruler moved in between */
  SHIM_MARKS_UNMATCHED, /* the marked frame shows something else: nothing could be carried over */
} ShimMarksOrigin;

/**
 * ShimMeasureRequest:
 *
 * What is known before a frame is measured. Numbers that are not known are NAN.
 * @has_target: whether @target_px is given
 * @target_px: a point at the height of the target line, on or beside the ruler
 * @has_strip: whether the strip is given
 * @strip_a_px: one end of the line along the ruler's tick edge
 * @strip_b_px: the other end
 * @strip_width_px: the width to look in, across the line, in pixels; NAN = the program's own choice
 * @has_click: whether @click_px is given
 * @click_px: any point on the ruler, as a hint where it is
 * @tick_mm: distance of the finest ticks, mm; NAN = found
 * @angle_deg: between ruler and optical axis; NAN = from the picture's perspective where it allows it, else 45
 * @angle_se_deg: what @angle_deg is worth; NAN = as set up by hand
 * @far_side: where the ruler runs away from the camera; unknown = found
 * @focal_mm: focal length, mm
 * @f_number: f-number
 * @distance_mm: from the camera (entrance pupil) to the target, mm; NAN = from the picture
 * @pixel_pitch_mm: distance of two pixels on the sensor, mm
 * @coc_mm: circle of confusion for the depth of field; NAN = the format's diagonal / 1500
 */
typedef struct
{
  gboolean has_target;
  ShimPoint target_px;
  gboolean has_strip;
  ShimPoint strip_a_px;
  ShimPoint strip_b_px;
  double strip_width_px;
  gboolean has_click;
  ShimPoint click_px;
  double tick_mm;
  double angle_deg;
  double angle_se_deg;
  ShimFarSide far_side;
  double focal_mm;
  double f_number;
  double distance_mm;
  double pixel_pitch_mm;
  double coc_mm;
} ShimMeasureRequest;

/**
 * ShimBlurPoint:
 * @reading_mm: place along the ruler
 * @along_px: the same place as a distance from the strip's first end, pixels
 * @contrast: measured contrast of the ticks there, relative to the fitted peak (1 = as sharp as it gets)
 * @contrast_se: its standard error
 * @model: the fitted model there
 * @used: whether the fit used it
 */
typedef struct
{
  double reading_mm;
  double along_px;
  double contrast;
  double contrast_se;
  double model;
  gboolean used;
} ShimBlurPoint;

/**
 * ShimMeasurement:
 *
 * What came out of one frame. Lengths in mm, places in pixels of the upright picture; NAN where there is no such number.
 * Readings count along the ruler from a zero of their own when the printed numerals are not known; differences of
 * readings are always true.
 * @refusal: SHIM_REFUSAL_NONE when measured
 * @reason: (nullable): the sentence when refused
 * @warnings: (nullable): %NULL-terminated sentences about doubts that do not forbid the number
 * @own_target: whether the printed target was recognised and the target line is its own: no marks are needed
 * @strip_a_px: the strip as used
 * @strip_b_px: its other end
 * @strip_width_px: its width, pixels
 * @map: reading_mm(v) = (map[0] + map[1] v) / (1 + map[2] v), v = pixels along the strip from @strip_a_px
 * @map_residual_mm: rms residual of the tick lattice about @map
 * @tick_mm: finest ticks found
 * @first_reading_mm: reading of the first tick seen
 * @last_reading_mm: reading of the last tick seen
 * @angle_deg: the ruler's angle used
 * @angle_measured: whether it came from the picture
 * @far_side: where the ruler runs away
 * @distance_mm: distance used
 * @distance_measured: whether it came from the picture
 * @target_px: the target line on the tick edge
 * @sharp_px: the sharp line on the tick edge
 * @target_reading_mm: the reading level with the target's face
 * @sharp_reading_mm: the sharpest reading
 * @ruler_mm: target line to sharp line along the ruler, + = away from the camera
 * @offset_mm: the same along the optical axis, + = past the target
 * @offset_se_mm: its standard error, all known doubts included
 * @common_se_mm: the part of @offset_se_mm that all frames of one set-up share (averaging does not lower it)
 * @offset_bound_mm: when the sharp line is off the ruler: the offset is at least this (far) or at most this (near)
 * @may_be_beyond: when refused: the sharp line lies beyond the ticks that were seen, or may where their end was not seen
 * @depth_of_field_mm: total, at @coc_mm, @f_number and @distance_mm
 * @coc_mm: circle of confusion used
 * @mm_per_px: along the ruler, at the target line
 * @softness_px: fitted common softness (sigma) of lens, sensor and processing, pixels
 * @blur_factor: measured over predicted growth of the blur circle (1 = as the f-number says)
 * @curve: (array length=n_curve): the blur curve for drawing
 * @n_curve: its number of points
 * @marks: where strip and target line come from
 * @shift_x_px: when carried over: what lay at the target line in the marked frame lies so much further right here …
 * @shift_y_px: … and so much further down
 * @shift_se_px: standard error of both
 * @shift_turn_deg: and turned by this, clockwise
 * @shift_growth: and grew by this share
 */
typedef struct
{
  ShimRefusal refusal;
  char *reason;
  char **warnings;
  gboolean own_target;

  ShimPoint strip_a_px;
  ShimPoint strip_b_px;
  double strip_width_px;
  double map[3];
  double map_residual_mm;
  double tick_mm;
  double first_reading_mm;
  double last_reading_mm;
  double angle_deg;
  gboolean angle_measured;
  ShimFarSide far_side;
  double distance_mm;
  gboolean distance_measured;
  double focal_mm;
  double f_number;

  ShimPoint target_px;
  ShimPoint sharp_px;
  double target_reading_mm;
  double sharp_reading_mm;
  double ruler_mm;
  double offset_mm;
  double offset_se_mm;
  double common_se_mm;
  double offset_bound_mm;
  gboolean may_be_beyond;
  double depth_of_field_mm;
  double coc_mm;
  double mm_per_px;
  double softness_px;
  double blur_factor;

  ShimBlurPoint *curve;
  guint n_curve;

  ShimMarksOrigin marks;
  double shift_x_px;
  double shift_y_px;
  double shift_se_px;
  double shift_turn_deg;
  double shift_growth;
} ShimMeasurement;

void             shim_measure_request_init  (ShimMeasureRequest *request);
ShimMeasurement *shim_measurement_new       (void);
ShimMeasurement *shim_measurement_copy      (const ShimMeasurement *self);
void             shim_measurement_free      (ShimMeasurement *self);
ShimMeasurement *shim_measurement_refuse    (ShimMeasurement *self, ShimRefusal refusal, const char *format, ...)
                                             G_GNUC_PRINTF (3, 4);
void             shim_measurement_warn      (ShimMeasurement *self, const char *format, ...) G_GNUC_PRINTF (2, 3);
const char      *shim_refusal_to_name       (ShimRefusal refusal);
gboolean         shim_refusal_from_name     (const char *name, ShimRefusal *refusal);
const char      *shim_marks_origin_to_name   (ShimMarksOrigin marks);
gboolean         shim_marks_origin_from_name (const char *name, ShimMarksOrigin *marks);
const char      *shim_far_side_to_name      (ShimFarSide side);
gboolean         shim_far_side_from_name    (const char *name, ShimFarSide *side);
double           shim_measurement_reading_at (const ShimMeasurement *self, ShimPoint px);
ShimPoint        shim_measurement_point_at  (const ShimMeasurement *self, double reading_mm);
double           shim_measurement_offset_between (const ShimMeasurement *self, double target_reading_mm,
                                                  double sharp_reading_mm);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimMeasurement, shim_measurement_free)

G_END_DECLS
