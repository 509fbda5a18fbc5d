/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-bench-reading.h"
#include "shim-measurement-json.h"

/**
 * shim_bench_reading_measurement:
 * @reading: (nullable): a reading
 *
 * Returns: (transfer full) (nullable): the whole measurement it keeps; %NULL when it keeps none
 */
ShimMeasurement *
shim_bench_reading_measurement (ShimReading *reading)
{
  if (reading == NULL || reading->details == NULL)
    return NULL;
  return shim_measurement_from_details (reading->details, NULL);
}

/**
 * shim_bench_reading_marks:
 * @program: (nullable): the newest reading by the program
 * @eye: (nullable): the newest reading by eye
 * @marks: (out): what they mark on the photograph
 */
void
shim_bench_reading_marks (ShimReading *program, ShimReading *eye, ShimPhotoMarks *marks)
{
  g_autoptr (ShimMeasurement) by_program = shim_bench_reading_measurement (program);
  g_autoptr (ShimMeasurement) by_eye = shim_bench_reading_measurement (eye);

  shim_photo_marks_init (marks);
  if (by_program != NULL)
    shim_photo_marks_from_measurement (marks, by_program);
  if (by_eye == NULL)
    return;
  if (!marks->has_strip || !marks->has_target)
    shim_photo_marks_from_measurement (marks, by_eye);
  if (isfinite (by_eye->sharp_px.x) && isfinite (by_eye->sharp_px.y))
    shim_photo_marks_set (marks, SHIM_MARK_EYE, by_eye->sharp_px);
}
