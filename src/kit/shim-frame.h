/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_FRAME (shim_frame_get_type ())
G_DECLARE_FINAL_TYPE (ShimFrame, shim_frame, SHIM, FRAME, ShimRecord)

/**
 * ShimFrame:
 * @round: id
 * @added_at: when it came in
 * @path: where the photograph lies
 * @sha256: of the file
 * @taken: (nullable): as the camera wrote it, with sub-seconds
 * @make: (nullable): as the camera wrote it
 * @model: (nullable): as the camera wrote it
 * @body_serial: (nullable): as the camera wrote it
 * @lens_model: (nullable): as the camera wrote it
 * @lens_serial: (nullable): as the camera wrote it
 * @focal_mm: as the camera wrote it, mm
 * @f_number: as the camera wrote it, f/
 * @exposure_s: as the camera wrote it, s
 * @iso: as the camera wrote it
 * @distance_m: as the camera wrote it, m
 * @adjustment: fine adjustment as the camera wrote it
 * @width_px: upright, px
 * @height_px: upright, px
 * @approach: (nullable): from which side focus was driven before the frame; one of "near", "far", "unknown"
 * @override: stored although its metadata contradict the pair
 * @evidence: (nullable): JPEG of the strip cut from the photograph
 *
 * One photograph of the ruler and the target, as it was when it came in.
 */
struct _ShimFrame
{
  ShimRecord parent_instance;

  char *round;
  char *added_at;
  char *path;
  char *sha256;
  char *taken;
  char *make;
  char *model;
  char *body_serial;
  char *lens_model;
  char *lens_serial;
  double focal_mm;
  double f_number;
  double exposure_s;
  double iso;
  double distance_m;
  gint64 adjustment;
  gint64 width_px;
  gint64 height_px;
  char *approach;
  gint64 override;
  GBytes *evidence;
};

ShimFrame *shim_frame_new (void);

G_END_DECLS
