/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <math.h>

#include "accuracy-frame.h"
#include "frame-sets.h"
#include "shim-optics.h"

#define COC_MM 0.030

/* Ruler and card, as far from the middle as the sets move them, are within this share of a 36 mm sensor at 50 focal lengths. */
#define CROP_MM 8.6
/* Where the scene may lie elsewhere in the picture, or the picture's own size matters, all of it is made. */
#define CROP_MAX_SHIFT_MM 45.0

/* The middle of the picture only: the pixels are the same, and there are 17 times fewer. */
static void
crop (FrameScene *scene)
{
  const double image_mm = CROP_MM * 50.0 * scene->focal_mm / MIN (scene->distance_mm, 50.0 * scene->focal_mm);
  const double pitch_mm = scene->sensor_width_mm / scene->width_px;
  const int size_px = (int) ceil (image_mm / pitch_mm / 16.0) * 16;

  if (fabs (scene->shift_x_mm) > CROP_MAX_SHIFT_MM || fabs (scene->shift_y_mm) > CROP_MAX_SHIFT_MM || scene->k1 != 0.0 ||
      size_px > scene->height_px || scene->own_target)
    return;
  scene->width_px = scene->height_px = size_px;
  scene->sensor_width_mm = size_px * pitch_mm;
}

/**
 * accuracy_frame_new:
 * @set: name of a set of frames
 * @seed: for other frames of the same kind
 * @index: of the frame
 * @whole: make the whole picture, not just the middle
 *
 * Returns: (transfer full): the frame, not made yet
 */
AccuracyFrame *
accuracy_frame_new (const char *set, guint32 seed, int index, gboolean whole)
{
  AccuracyFrame *self = g_new0 (AccuracyFrame, 1);

  if (!frame_set_draw (set, seed, index, &self->scene, NULL))
    g_error ("There is no set “%s”.", set);
  if (!whole)
    crop (&self->scene);
  return self;
}

/**
 * accuracy_frame_free:
 * @self: (transfer full) (nullable): a frame
 */
void
accuracy_frame_free (AccuracyFrame *self)
{
  if (self == NULL)
    return;
  g_clear_pointer (&self->measurement, shim_measurement_free);
  g_free (self->path);
  g_free (self);
}

/**
 * accuracy_frame_run:
 * @self: a frame with its path
 *
 * Makes the frame, unless it is there already, and measures it.
 */
void
accuracy_frame_run (AccuracyFrame *self)
{
  ShimMeasureRequest request;
  g_autoptr (GError) error = NULL;
  gboolean ok = TRUE;

  if (self->keep && g_file_test (self->path, G_FILE_TEST_EXISTS))
    frame_truth_compute (&self->scene, &self->truth);
  else
    ok = frame_render_file (&self->scene, self->path, &self->truth, &error);
  if (ok)
    {
      shim_measure_request_init (&request);
      /* The printed target says itself where its line is. */
      request.has_target = !self->scene.own_target;
      request.target_px = (ShimPoint) { self->truth.aligned.upright.x, self->truth.aligned.upright.y };
      self->measurement = shim_frame_measure (self->path, &request, NULL, NULL, &error);
    }
  if (error != NULL)
    g_printerr ("%s: %s\n", self->path, error->message);
  if (!self->keep)
    g_unlink (self->path);
}

/**
 * accuracy_frame_judge:
 * @self: a frame that has run
 *
 * Returns: what the measurement is worth
 */
AccuracyVerdict
accuracy_frame_judge (const AccuracyFrame *self)
{
  const ShimMeasurement *measurement = self->measurement;
  /* The target is on the ruler, so the sharp line's side of the target is its side of the ruler. */
  const double sign = measurement != NULL && measurement->refusal == SHIM_REFUSAL_OFF_RULER_NEAR ? -1.0 : 1.0;

  if (measurement == NULL)
    return ACCURACY_REFUSED;
  if (measurement->refusal == SHIM_REFUSAL_NONE)
    return ACCURACY_MEASURED;
  if (measurement->refusal != SHIM_REFUSAL_OFF_RULER_NEAR && measurement->refusal != SHIM_REFUSAL_OFF_RULER_FAR)
    return ACCURACY_REFUSED;
  if (self->truth.on_ruler || sign * self->truth.delta_mm < 0.0)
    return ACCURACY_SIDE_WRONG;
  return isfinite (measurement->offset_bound_mm) && sign * (measurement->offset_bound_mm - self->truth.delta_mm) > 0.0
    ? ACCURACY_BOUND_WRONG : ACCURACY_SIDE_RIGHT;
}

/**
 * accuracy_frame_error_mm:
 * @self: a frame that was measured
 *
 * Returns: what the offset is wrong by
 */
double
accuracy_frame_error_mm (const AccuracyFrame *self)
{
  return self->measurement->offset_mm - self->truth.delta_mm;
}

/**
 * accuracy_frame_depth_of_field_mm:
 * @self: a frame
 *
 * Returns: its depth of field, for the circle of confusion that all figures are given for
 */
double
accuracy_frame_depth_of_field_mm (const AccuracyFrame *self)
{
  const FrameScene *scene = &self->scene;
  ShimDepthOfField depth;

  return shim_optics_depth_of_field (scene->focal_mm, scene->f_number, scene->distance_mm, COC_MM, &depth) ? depth.total_mm : NAN;
}

/**
 * accuracy_frame_print:
 * @self: a frame that has run
 *
 * Prints one line about it.
 */
void
accuracy_frame_print (const AccuracyFrame *self)
{
  static const char *const verdicts[] = { "measured", "refused", "side-right", "SIDE-WRONG", "BOUND-WRONG" };
  const ShimMeasurement *measurement = self->measurement;
  g_autofree char *name = g_path_get_basename (self->path);

  g_print ("%-16s %-12s f%3.0f/%.1f true %7.2f (reading %4.0f) target %.1f,%.1f", name, verdicts[accuracy_frame_judge (self)], self->scene.focal_mm,
           self->scene.f_number, self->truth.delta_mm, self->truth.sharp.reading_mm,
           self->truth.aligned.upright.x, self->truth.aligned.upright.y);
  if (measurement != NULL && measurement->refusal == SHIM_REFUSAL_NONE)
    g_print (" offset %7.2f se %5.2f err/se %5.2f err%% %5.2f", measurement->offset_mm, measurement->offset_se_mm,
             accuracy_frame_error_mm (self) / measurement->offset_se_mm,
             100.0 * accuracy_frame_error_mm (self) / accuracy_frame_depth_of_field_mm (self));
  else if (measurement != NULL)
    g_print (" %s bound %.1f", shim_refusal_to_name (measurement->refusal), measurement->offset_bound_mm);
  if (measurement != NULL)
    g_print (" tick %.3g from %.0f to %.0f residual %.3f blur %.2f soft %.2f\n", measurement->tick_mm,
             measurement->first_reading_mm, measurement->last_reading_mm, measurement->map_residual_mm,
             measurement->blur_factor, measurement->softness_px);
  for (guint i = 0; measurement != NULL && measurement->warnings != NULL && measurement->warnings[i] != NULL; i++)
    g_print ("    warned: %s\n", measurement->warnings[i]);
  if (measurement != NULL && measurement->reason != NULL)
    g_print ("    refused: %s\n", measurement->reason);
}
