/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-optics.h"

G_BEGIN_DECLS

/**
 * ShimSetUpInput:
 * @focal_mm: focal length
 * @f_number: f-number of the frames
 * @distance_mm: camera to target
 * @angle_deg: between ruler and optical axis
 * @coc_mm: circle of confusion
 * @format_width_mm: long side of the image format; NAN = not known
 * @format_height_mm: short side
 * @pixel_pitch_um: distance of two pixels; NAN = not known
 * @step_mm: change of offset by one step of the setting, sign ignored; NAN = not known
 *
 * What a test is about to be set up with.
 */
typedef struct
{
  double focal_mm;
  double f_number;
  double distance_mm;
  double angle_deg;
  double coc_mm;
  double format_width_mm;
  double format_height_mm;
  double pixel_pitch_um;
  double step_mm;
} ShimSetUpInput;

/**
 * ShimSetUp:
 * @start_mm: distance to start with: 50 × focal length
 * @least_mm: shortest distance that makes sense: 25 × focal length
 * @magnification: image over target
 * @field_width_mm: width that the picture covers at the target
 * @field_height_mm: height
 * @field: depth of field about the target
 * @ruler_field_mm: the same along the ruler
 * @ruler_wanted_mm: ruler that must be in sight at least: half the depth of field, so that both flanks of the blur
 *   curve are there
 * @step_on_ruler_mm: what one step of the setting moves the sharp line along the ruler
 * @px_per_mm: pixels per millimetre of ruler at the target line
 * @light_lx: light that 1/125 s at ISO 400 needs at this f-number
 *
 * A set-up with its numbers worked out. NAN where there is no such number.
 */
typedef struct
{
  double start_mm;
  double least_mm;
  double magnification;
  double field_width_mm;
  double field_height_mm;
  ShimDepthOfField field;
  double ruler_field_mm;
  double ruler_wanted_mm;
  double step_on_ruler_mm;
  double px_per_mm;
  double light_lx;
} ShimSetUp;

gboolean shim_set_up_work_out (const ShimSetUpInput *input, ShimSetUp *result);

G_END_DECLS
