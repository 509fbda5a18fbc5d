/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-camera.h"

#include <math.h>

/**
 * frame_camera_init:
 * @camera: (out): the camera
 * @scene: the scene it looks at
 *
 * Pixels of this camera are those of the picture in which the scene stands upright.
 */
void
frame_camera_init (FrameCamera *camera, const FrameScene *scene)
{
  int width, height;

  frame_scene_canvas (scene, &width, &height);
  camera->focal_mm = scene->focal_mm;
  camera->pupil_mm = scene->focal_mm / scene->f_number;
  camera->zf_mm = scene->distance_mm + scene->delta_mm;
  camera->pitch_mm = frame_scene_pitch_mm (scene);
  camera->v_px = camera->focal_mm * camera->zf_mm / (camera->zf_mm - camera->focal_mm) / camera->pitch_mm;
  camera->cx = width / 2.0;
  camera->cy = height / 2.0;
  /* The camera turned clockwise sees the scene turned counter-clockwise. */
  camera->cos_roll = cos (scene->roll_deg * G_PI / 180.0);
  camera->sin_roll = sin (scene->roll_deg * G_PI / 180.0);
  camera->k1 = scene->k1;
  camera->half_diagonal_px = hypot (width, height) / 2.0;
}

/**
 * frame_camera_project:
 * @camera: a camera
 * @xyz: a point in space, mm
 * @x: (out): where its image is centred, pixels from the left edge
 * @y: (out): likewise from the top edge
 */
void
frame_camera_project (const FrameCamera *camera, const double xyz[3], double *x, double *y)
{
  double right = camera->v_px * xyz[0] / xyz[2];
  double down = -camera->v_px * xyz[1] / xyz[2];
  double radius = hypot (right, down) / camera->half_diagonal_px;
  double scale = 1.0 + camera->k1 * radius * radius;

  *x = camera->cx + scale * (camera->cos_roll * right + camera->sin_roll * down);
  *y = camera->cy + scale * (camera->cos_roll * down - camera->sin_roll * right);
}

/* Takes the distortion off an offset from the centre: r' = r (1 + k1 r^2) solved by fixed-point steps. */
static void
undistort (const FrameCamera *camera, double *x, double *y)
{
  double px = *x, py = *y;
  double scale = 1.0 / (camera->half_diagonal_px * camera->half_diagonal_px);

  for (int i = 0; i < 8; i++)
    {
      double factor = 1.0 + camera->k1 * (*x * *x + *y * *y) * scale;

      *x = px / factor;
      *y = py / factor;
    }
}

/**
 * frame_camera_ray:
 * @camera: a camera
 * @x: a place in the picture, pixels
 * @y: likewise
 * @dx: (out): the chief ray from there goes through (dx, dy, 1)
 * @dy: (out): likewise
 */
void
frame_camera_ray (const FrameCamera *camera, double x, double y, double *dx, double *dy)
{
  double right = x - camera->cx;
  double down = y - camera->cy;

  if (camera->k1 != 0.0)
    undistort (camera, &right, &down);
  *dx = (camera->cos_roll * right - camera->sin_roll * down) / camera->v_px;
  *dy = -(camera->cos_roll * down + camera->sin_roll * right) / camera->v_px;
}

/**
 * frame_camera_blur_px:
 * @camera: a camera
 * @z_mm: depth of a point
 *
 * Signed diameter of the blur circle: (f/N) f/(zf - f) (z - zf)/z, positive behind the plane of focus.
 *
 * Returns: pixels
 */
double
frame_camera_blur_px (const FrameCamera *camera, double z_mm)
{
  return camera->pupil_mm * camera->focal_mm / (camera->zf_mm - camera->focal_mm) * (z_mm - camera->zf_mm) / z_mm
         / camera->pitch_mm;
}
