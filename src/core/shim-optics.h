/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * ShimDepthOfField:
 * @near_mm: nearest acceptably sharp distance
 * @far_mm: farthest; INFINITY at or beyond the hyperfocal distance
 * @total_mm: @far_mm − @near_mm
 * @hyperfocal_mm: long form, f²/(N c) + f
 */
typedef struct
{
  double near_mm;
  double far_mm;
  double total_mm;
  double hyperfocal_mm;
} ShimDepthOfField;

double   shim_optics_magnification      (double focal_mm, double distance_mm) G_GNUC_CONST;
double   shim_optics_image_distance_mm  (double focal_mm, double distance_mm) G_GNUC_CONST;
gboolean shim_optics_depth_of_field     (double focal_mm, double f_number, double distance_mm, double coc_mm,
                                         ShimDepthOfField *result);
double   shim_optics_depth_of_focus_mm  (double focal_mm, double f_number, double distance_mm, double coc_mm)
                                         G_GNUC_CONST;
double   shim_optics_defocus_um         (double focal_mm, double distance_mm, double offset_mm) G_GNUC_CONST;
double   shim_optics_defocus_small_um   (double focal_mm, double distance_mm, double offset_mm) G_GNUC_CONST;
double   shim_optics_offset_mm          (double focal_mm, double distance_mm, double defocus_um) G_GNUC_CONST;
double   shim_optics_blur_circle_mm     (double focal_mm, double f_number, double focused_mm, double distance_mm)
                                         G_GNUC_CONST;
double   shim_optics_coc_from_format_mm (double width_mm, double height_mm) G_GNUC_CONST;
double   shim_optics_coc_from_pitch_mm  (double pixel_pitch_um) G_GNUC_CONST;
double   shim_optics_test_distance_mm   (double focal_mm) G_GNUC_CONST;
double   shim_optics_exposure_value     (double f_number, double exposure_s, double iso) G_GNUC_CONST;
double   shim_optics_illuminance_lx     (double exposure_value) G_GNUC_CONST;

G_END_DECLS
