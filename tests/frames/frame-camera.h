/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-scene.h"

G_BEGIN_DECLS

/**
 * FrameCamera:
 *
 * A thin lens in front of square pixels. See frame_camera_init().
 * @focal_mm: focal length
 * @pupil_mm: diameter of the entrance pupil, f / N
 * @zf_mm: plane of focus
 * @v_px: image distance v = f zf / (zf - f), in pixels
 * @pitch_mm: distance of two pixels
 * @cx: where the axis meets the picture, pixels
 * @cy: likewise
 * @cos_roll: of the camera's roll
 * @sin_roll: likewise
 * @k1: radial distortion
 * @half_diagonal_px: the radius @k1 refers to
 */
typedef struct
{
  double focal_mm;
  double pupil_mm;
  double zf_mm;
  double v_px;
  double pitch_mm;
  double cx;
  double cy;
  double cos_roll;
  double sin_roll;
  double k1;
  double half_diagonal_px;
} FrameCamera;

void   frame_camera_init    (FrameCamera *camera, const FrameScene *scene);
void   frame_camera_project (const FrameCamera *camera, const double xyz[3], double *x, double *y);
void   frame_camera_ray     (const FrameCamera *camera, double x, double y, double *dx, double *dy);
double frame_camera_blur_px (const FrameCamera *camera, double z_mm);

G_END_DECLS
