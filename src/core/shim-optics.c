/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-optics.h"

/*
 * The thin lens. Distances count from the (front principal plane of the) lens, which for the distances of a
 * focus test cannot be told from the entrance pupil or the front of the barrel. The formulas are those of any
 * optics textbook; tests/core/test-optics.c holds them against published rows. An argument that makes no
 * sense (a distance inside the focal length, a negative f-number) gives NAN: it comes from metadata or from a
 * person, and is no programmer's error.
 */

static gboolean
is_positive (double value)
{
  return isfinite (value) && value > 0.0;
}

static gboolean
can_focus (double focal_mm, double distance_mm)
{
  return is_positive (focal_mm) && isfinite (distance_mm) && distance_mm > focal_mm;
}

/**
 * shim_optics_magnification:
 * @focal_mm: focal length, above 0
 * @distance_mm: distance of the target, above @focal_mm
 *
 * Returns: m = f / (s − f), image size over target size; NAN out of range
 */
double
shim_optics_magnification (double focal_mm, double distance_mm)
{
  if (!can_focus (focal_mm, distance_mm))
    return NAN;
  return focal_mm / (distance_mm - focal_mm);
}

/**
 * shim_optics_image_distance_mm:
 * @focal_mm: focal length, above 0
 * @distance_mm: distance of the target, above @focal_mm
 *
 * Returns: v = f s / (s − f), from 1/f = 1/s + 1/v, mm; NAN out of range
 */
double
shim_optics_image_distance_mm (double focal_mm, double distance_mm)
{
  if (!can_focus (focal_mm, distance_mm))
    return NAN;
  return focal_mm * distance_mm / (distance_mm - focal_mm);
}

/**
 * shim_optics_depth_of_field:
 * @focal_mm: focal length, above 0
 * @f_number: f-number, above 0
 * @distance_mm: distance in focus, above @focal_mm
 * @coc_mm: circle of confusion, above 0
 * @result: (out): the limits; all NAN when an argument is out of range
 *
 * Exact for a thin lens: near, far = s f² / (f² ± N c (s − f)), and the long form of the hyperfocal distance.
 *
 * Returns: whether the arguments make sense
 */
gboolean
shim_optics_depth_of_field (double focal_mm, double f_number, double distance_mm, double coc_mm,
                            ShimDepthOfField *result)
{
  double spread, square;

  g_return_val_if_fail (result != NULL, FALSE);

  *result = (ShimDepthOfField) { NAN, NAN, NAN, NAN };
  if (!can_focus (focal_mm, distance_mm) || !is_positive (f_number) || !is_positive (coc_mm))
    return FALSE;

  square = focal_mm * focal_mm;
  spread = f_number * coc_mm * (distance_mm - focal_mm);
  result->near_mm = distance_mm * square / (square + spread);
  result->far_mm = spread < square ? distance_mm * square / (square - spread) : INFINITY;
  result->total_mm = result->far_mm - result->near_mm;
  result->hyperfocal_mm = square / (f_number * coc_mm) + focal_mm;
  return TRUE;
}

/**
 * shim_optics_depth_of_focus_mm:
 * @focal_mm: focal length, above 0
 * @f_number: f-number, above 0
 * @distance_mm: distance in focus, above @focal_mm
 * @coc_mm: circle of confusion, above 0
 *
 * Returns: both sides of the sensor together, 2 N c (1 + m), mm; NAN out of range
 */
double
shim_optics_depth_of_focus_mm (double focal_mm, double f_number, double distance_mm, double coc_mm)
{
  if (!is_positive (f_number) || !is_positive (coc_mm))
    return NAN;
  return 2.0 * f_number * coc_mm * (1.0 + shim_optics_magnification (focal_mm, distance_mm));
}

/**
 * shim_optics_defocus_um:
 * @focal_mm: focal length, above 0
 * @distance_mm: distance of the target, above @focal_mm
 * @offset_mm: offset, + = past the target
 *
 * The sensor stands where a plane at s + d is sharp; the target's own image lies v(s) − v(s + d) behind it. Exactly
 * f² d / ((s − f)(s + d − f)) = m m′ d. It has the offset's sign: + = past the target.
 *
 * Returns: defocus at the sensor, µm; NAN out of range, or when the plane in focus would lie inside the focal length
 */
double
shim_optics_defocus_um (double focal_mm, double distance_mm, double offset_mm)
{
  if (!can_focus (focal_mm, distance_mm) || !can_focus (focal_mm, distance_mm + offset_mm))
    return NAN;
  return 1000.0 * shim_optics_magnification (focal_mm, distance_mm)
         * shim_optics_magnification (focal_mm, distance_mm + offset_mm) * offset_mm;
}

/**
 * shim_optics_defocus_small_um:
 * @focal_mm: focal length, above 0
 * @distance_mm: distance of the target, above @focal_mm
 * @offset_mm: offset, + = past the target
 *
 * Returns: m² d, µm: the defocus for a small offset; it is wrong by the share d / (s − f). NAN out of range
 */
double
shim_optics_defocus_small_um (double focal_mm, double distance_mm, double offset_mm)
{
  double m = shim_optics_magnification (focal_mm, distance_mm);

  return 1000.0 * m * m * offset_mm;
}

/**
 * shim_optics_offset_mm:
 * @focal_mm: focal length, above 0
 * @distance_mm: distance of the target, above @focal_mm
 * @defocus_um: defocus at the sensor, + = past the target
 *
 * The inverse of shim_optics_defocus_um().
 *
 * Returns: offset at the target, mm; INFINITY when the defocus carries the plane in focus to infinity or
 * beyond; NAN out of range
 */
double
shim_optics_offset_mm (double focal_mm, double distance_mm, double defocus_um)
{
  double to_infinity_mm, defocus_mm = defocus_um / 1000.0;

  if (!can_focus (focal_mm, distance_mm) || !isfinite (defocus_um))
    return NAN;
  /* v(s) − f: so much nearer the lens the sensor would stand if it saw infinity sharp. */
  to_infinity_mm = shim_optics_magnification (focal_mm, distance_mm) * focal_mm;
  if (defocus_mm >= to_infinity_mm)
    return INFINITY;
  return defocus_mm * (distance_mm - focal_mm) / (to_infinity_mm - defocus_mm);
}

/**
 * shim_optics_blur_circle_mm:
 * @focal_mm: focal length, above 0
 * @f_number: f-number, above 0
 * @focused_mm: distance in focus, above @focal_mm
 * @distance_mm: distance of the point, above 0
 *
 * Returns: diameter at the sensor of the blur circle of a point, (f / N) m |z − s| / z, mm; NAN out of range
 */
double
shim_optics_blur_circle_mm (double focal_mm, double f_number, double focused_mm, double distance_mm)
{
  if (!is_positive (f_number) || !is_positive (distance_mm))
    return NAN;
  return focal_mm / f_number * shim_optics_magnification (focal_mm, focused_mm) * fabs (distance_mm - focused_mm)
         / distance_mm;
}

/**
 * shim_optics_coc_from_format_mm:
 * @width_mm: width of the sensor, above 0
 * @height_mm: height, above 0
 *
 * Returns: diagonal / 1500, mm; NAN out of range. A convention: 0.0288 mm for 36 × 24 mm, where 0.030 mm is as usual
 */
double
shim_optics_coc_from_format_mm (double width_mm, double height_mm)
{
  if (!is_positive (width_mm) || !is_positive (height_mm))
    return NAN;
  return hypot (width_mm, height_mm) / 1500.0;
}

/**
 * shim_optics_coc_from_pitch_mm:
 * @pixel_pitch_um: distance of two pixels, µm, above 0
 *
 * Returns: two pixels, mm; NAN out of range. A convention (common practice, no source): the blur that a
 * picture looked at pixel by pixel begins to show, much stricter than the one from the format
 */
double
shim_optics_coc_from_pitch_mm (double pixel_pitch_um)
{
  if (!is_positive (pixel_pitch_um))
    return NAN;
  return 2.0 * pixel_pitch_um / 1000.0;
}

/**
 * shim_optics_test_distance_mm:
 * @focal_mm: focal length, above 0
 *
 * Returns: 50 × focal length, mm (common practice, no source: 25 to 50 times); NAN out of range
 */
double
shim_optics_test_distance_mm (double focal_mm)
{
  if (!is_positive (focal_mm))
    return NAN;
  return 50.0 * focal_mm;
}

/**
 * shim_optics_exposure_value:
 * @f_number: f-number, above 0
 * @exposure_s: time, s, above 0
 * @iso: sensitivity, above 0
 *
 * Returns: EV at ISO 100, log2 (N² / t) − log2 (ISO / 100); NAN out of range
 */
double
shim_optics_exposure_value (double f_number, double exposure_s, double iso)
{
  if (!is_positive (f_number) || !is_positive (exposure_s) || !is_positive (iso))
    return NAN;
  return log2 (f_number * f_number / exposure_s) - log2 (iso / 100.0);
}

/**
 * shim_optics_illuminance_lx:
 * @exposure_value: EV at ISO 100
 *
 * Returns: light on the target that this exposure is right for, C 2^EV / 100 with the incident-light constant
 * C = 250 lx s (ISO 2720, from memory): 2.5 × 2^EV lux
 */
double
shim_optics_illuminance_lx (double exposure_value)
{
  return 2.5 * exp2 (exposure_value);
}
