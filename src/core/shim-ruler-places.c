/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-optics.h"
#include "shim-ruler-places.h"

/* Offset per millimetre of reading, signed: ± cos(angle). */
static double
offset_per_reading (const ShimMeasurement *self)
{
  return shim_measurement_offset_between (self, self->target_reading_mm, self->target_reading_mm + 1.0);
}

/* +1 when readings grow away from the camera, −1 when they shrink, NAN when nobody knows. */
static double
away_sign (const ShimMeasurement *self)
{
  double slope = offset_per_reading (self);

  return isnan (slope) ? NAN : copysign (1.0, slope);
}

/**
 * shim_ruler_along_from_target:
 * @self: a measurement with strip, map, angle and far side
 * @reading_mm: a reading
 *
 * Returns: millimetres along the ruler from the target line to @reading_mm, + = away from the camera; NAN when the
 *   measurement does not know its ruler well enough
 */
double
shim_ruler_along_from_target (const ShimMeasurement *self, double reading_mm)
{
  g_return_val_if_fail (self != NULL, NAN);

  return away_sign (self) * (reading_mm - self->target_reading_mm);
}

/**
 * shim_ruler_reading_at_along:
 * @self: a measurement with strip, map, angle and far side
 * @along_mm: millimetres along the ruler from the target line, + = away from the camera
 *
 * The inverse of shim_ruler_along_from_target().
 *
 * Returns: the reading there, mm
 */
double
shim_ruler_reading_at_along (const ShimMeasurement *self, double along_mm)
{
  g_return_val_if_fail (self != NULL, NAN);

  return self->target_reading_mm + away_sign (self) * along_mm;
}

/**
 * shim_ruler_reading_at_offset:
 * @self: a measurement with strip, map, angle and far side
 * @offset_mm: an offset along the optical axis from the target's face, mm, + = past the target
 *
 * The inverse of shim_measurement_offset_between() for the measurement's own target line.
 *
 * Returns: the reading at that depth, mm; NAN at a ruler that stands across the axis
 */
double
shim_ruler_reading_at_offset (const ShimMeasurement *self, double offset_mm)
{
  double slope;

  g_return_val_if_fail (self != NULL, NAN);

  slope = offset_per_reading (self);
  return fabs (slope) > 1e-6 ? self->target_reading_mm + offset_mm / slope : NAN;
}

/**
 * shim_ruler_depth_of_field:
 * @self: a measurement
 * @near_reading_mm: (out): where the depth of field about the target begins on the ruler
 * @far_reading_mm: (out): where it ends; not smaller than @near_reading_mm only when readings grow away from the
 *   camera.
 *   INFINITY when it reaches past the hyperfocal distance
 *
 * Returns: whether there is such a range
 */
gboolean
shim_ruler_depth_of_field (const ShimMeasurement *self, double *near_reading_mm, double *far_reading_mm)
{
  ShimDepthOfField field;

  g_return_val_if_fail (self != NULL, FALSE);
  g_return_val_if_fail (near_reading_mm != NULL && far_reading_mm != NULL, FALSE);

  if (!(self->focal_mm > 0.0 && self->f_number > 0.0 && self->distance_mm > self->focal_mm && self->coc_mm > 0.0) ||
      !shim_optics_depth_of_field (self->focal_mm, self->f_number, self->distance_mm, self->coc_mm, &field))
    return FALSE;
  *near_reading_mm = shim_ruler_reading_at_offset (self, field.near_mm - self->distance_mm);
  *far_reading_mm = shim_ruler_reading_at_offset (self, field.far_mm - self->distance_mm);
  return isfinite (*near_reading_mm) && !isnan (*far_reading_mm);
}

/**
 * shim_ruler_sharp_band:
 * @self: a measurement
 * @near_reading_mm: (out): the sharp line, one standard error nearer
 * @far_reading_mm: (out): the sharp line, one standard error farther
 *
 * Returns: whether there is a sharp line with a standard error
 */
gboolean
shim_ruler_sharp_band (const ShimMeasurement *self, double *near_reading_mm, double *far_reading_mm)
{
  g_return_val_if_fail (self != NULL, FALSE);
  g_return_val_if_fail (near_reading_mm != NULL && far_reading_mm != NULL, FALSE);

  *near_reading_mm = shim_ruler_reading_at_offset (self, self->offset_mm - self->offset_se_mm);
  *far_reading_mm = shim_ruler_reading_at_offset (self, self->offset_mm + self->offset_se_mm);
  return isfinite (*near_reading_mm) && isfinite (*far_reading_mm);
}
