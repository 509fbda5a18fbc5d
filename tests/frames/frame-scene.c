/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-scene.h"

#include <math.h>

/* Where the strip's edge beside the target lies, mm to the right of the scene's origin. */
#define RULER_X_MM 5.0

G_DEFINE_QUARK (frame-error-quark, frame_error)

static void
init_metadata (FrameScene *scene)
{
  scene->write_exif = TRUE;
  scene->write_lens = TRUE;
  scene->thumbnail = TRUE;
  scene->exposure_s = 1.0 / 125.0;
  scene->make = "Orrin";
  scene->model = "Orrin Two";
  scene->body_serial = "70310522";
  scene->lens_model = "Velle 50mm f/1.8";
  scene->lens_serial = "V5-11873";
  scene->taken = "2026:11:20 10:30:00";
  scene->subsec = "00";
}

/**
 * frame_scene_init:
 * @scene: (out): the scene
 *
 * Fills in a plain scene.
 */
void
frame_scene_init (FrameScene *scene)
{
  g_return_if_fail (scene != NULL);
  *scene = (FrameScene){
    .width_px = 6000,
    .height_px = 4000,
    .sensor_width_mm = 36.0,
    .focal_mm = 50.0,
    .f_number = 1.8,
    .distance_mm = 2500.0,
    .tag_orientation = TRUE,
    .softness_px = 0.6,
    .ruler = TRUE,
    .angle_deg = 45.0,
    .aligned_mm = 150.0,
    .length_mm = 300.0,
    .ruler_width_mm = 30.0,
    .tick_contrast = 1.0,
    .numerals = TRUE,
    .card = TRUE,
    .background = 0.21,
    .exposure = 1.0,
    .iso = 100,
    .noise = TRUE,
    .sharpening_px = 0.8,
    .quality = 95,
    .subsampling = 420,
    .seed = 1,
  };
  init_metadata (scene);
}

static gboolean
outside (double value, double low, double high, const char *name, GError **error)
{
  if (value >= low && value <= high)
    return FALSE;
  g_set_error (error, FRAME_ERROR, FRAME_ERROR_SCENE, "%s must lie between %g and %g, not %g.", name, low, high, value);
  return TRUE;
}

/**
 * frame_scene_check:
 * @scene: a scene
 * @error: return location for a #GError
 *
 * Returns: whether the scene can be rendered
 */
gboolean
frame_scene_check (const FrameScene *scene, GError **error)
{
  double nearest;

  if (outside (scene->width_px, 64, 20000, "The width in pixels", error)
      || outside (scene->height_px, 64, 20000, "The height in pixels", error)
      || outside (scene->sensor_width_mm, 1, 100, "The sensor's width in mm", error)
      || outside (scene->focal_mm, 5, 2000, "The focal length in mm", error)
      || outside (scene->f_number, 0.7, 64, "The f-number", error)
      || outside (scene->angle_deg, 5, 85, "The ruler's angle in degrees", error)
      || outside (scene->length_mm, 20, 2000, "The ruler's length in mm", error)
      || outside (scene->quality, 1, 100, "The JPEG quality", error)
      || outside (scene->softness_px, 0.0, 20, "The softness in pixels", error)
      || outside (scene->roll_deg, -20, 20, "The roll in degrees", error)
      || outside (scene->iso, 25, 409600, "The ISO speed", error))
    return FALSE;
  nearest = scene->distance_mm - scene->length_mm * cos (scene->angle_deg * G_PI / 180.0);
  if (nearest < 2.0 * scene->focal_mm || scene->distance_mm + scene->delta_mm < 2.0 * scene->focal_mm)
    {
      g_set_error (error, FRAME_ERROR, FRAME_ERROR_SCENE,
                   "The ruler or the sharp plane is too near for a focal length of %g mm.", scene->focal_mm);
      return FALSE;
    }
  if (scene->turn_deg % 90 != 0 || scene->turn_deg < 0 || scene->turn_deg > 270)
    {
      g_set_error (error, FRAME_ERROR, FRAME_ERROR_SCENE, "The turn must be 0, 90, 180 or 270 degrees.");
      return FALSE;
    }
  return TRUE;
}

/* Distance of two pixels on the sensor, mm. */
double
frame_scene_pitch_mm (const FrameScene *scene)
{
  return scene->sensor_width_mm / scene->width_px;
}

/* Size of the picture as the scene stands upright in it. */
void
frame_scene_canvas (const FrameScene *scene, int *width, int *height)
{
  gboolean portrait = scene->turn_deg == 90 || scene->turn_deg == 270;

  *width = portrait ? scene->height_px : scene->width_px;
  *height = portrait ? scene->width_px : scene->height_px;
}

/* x of the strip's edge where the ticks start. */
double
frame_scene_edge_x_mm (const FrameScene *scene)
{
  return scene->shift_x_mm + RULER_X_MM + (scene->edge == FRAME_EDGE_AWAY ? scene->ruler_width_mm : 0.0);
}

/**
 * frame_scene_on_edge:
 * @scene: a scene
 * @reading_mm: a reading; it may lie beyond the ruler's ends
 * @xyz: (out): the point on the tick edge at that reading, mm
 */
void
frame_scene_on_edge (const FrameScene *scene, double reading_mm, double xyz[3])
{
  double angle = scene->angle_deg * G_PI / 180.0;
  double away = (scene->toward ? -1.0 : 1.0) * (reading_mm - scene->aligned_mm);

  xyz[0] = frame_scene_edge_x_mm (scene);
  xyz[1] = scene->shift_y_mm + (scene->far_down ? -away : away) * sin (angle);
  xyz[2] = scene->distance_mm + away * cos (angle);
}

/* The reading that is truly sharp, mm; it may lie beyond the ruler's ends. */
double
frame_scene_sharp_mm (const FrameScene *scene)
{
  double along = scene->delta_mm / cos (scene->angle_deg * G_PI / 180.0);

  return scene->aligned_mm + (scene->toward ? -along : along);
}
