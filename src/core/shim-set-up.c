/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-set-up.h"

/* The exposure that needs no tripod heroics and little noise; common practice, no source. */
#define EXPOSURE_S (1.0 / 125.0)
#define SENSITIVITY_ISO 400.0

/**
 * shim_set_up_work_out:
 * @input: the set-up
 * @result: (out): its numbers
 *
 * Distances of 25 to 50 times the focal length are common practice (no source). What lies along the ruler is what
 * lies along
 * the axis over cos(angle); what the picture shows of a millimetre of ruler is its share across the axis,
 * sin(angle), times the
 * magnification.
 *
 * Returns: whether the input makes a set-up; numbers that need more than is known are NAN all the same
 */
gboolean
shim_set_up_work_out (const ShimSetUpInput *input, ShimSetUp *result)
{
  double angle, along;

  g_return_val_if_fail (input != NULL && result != NULL, FALSE);

  *result = (ShimSetUp){ 0 };
  if (!(input->focal_mm > 0.0 && input->f_number > 0.0 && input->distance_mm > input->focal_mm &&
        input->coc_mm > 0.0 && input->angle_deg > 0.0 && input->angle_deg < 90.0))
    return FALSE;
  if (!shim_optics_depth_of_field (input->focal_mm, input->f_number, input->distance_mm, input->coc_mm,
                                   &result->field))
    return FALSE;

  angle = input->angle_deg * G_PI / 180.0;
  along = 1.0 / cos (angle);
  result->start_mm = shim_optics_test_distance_mm (input->focal_mm);
  result->least_mm = result->start_mm / 2.0;
  result->magnification = shim_optics_magnification (input->focal_mm, input->distance_mm);
  result->field_width_mm = input->format_width_mm / result->magnification;
  result->field_height_mm = input->format_height_mm / result->magnification;
  result->ruler_field_mm = result->field.total_mm * along;
  result->ruler_wanted_mm = result->ruler_field_mm / 2.0;
  result->step_on_ruler_mm = fabs (input->step_mm) * along;
  result->px_per_mm = result->magnification * sin (angle) * 1000.0 / input->pixel_pitch_um;
  result->light_lx =
      shim_optics_illuminance_lx (shim_optics_exposure_value (input->f_number, EXPOSURE_S, SENSITIVITY_ISO));
  return TRUE;
}
