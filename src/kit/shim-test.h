/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_TEST (shim_test_get_type ())
G_DECLARE_FINAL_TYPE (ShimTest, shim_test, SHIM, TEST, ShimRecord)

/**
 * ShimTest:
 * @pair: id
 * @started_at: when
 * @focal_mm: at which it was tested, mm
 * @distance_mm: camera to target, mm
 * @f_number: f-number, f/
 * @angle_deg: between ruler and optical axis, °
 * @tick_mm: finest ticks of the ruler, mm
 * @coc_mm: for the depth of field, mm
 * @tolerance_share: share of the depth of field
 * @light_lx: at the target, lx
 * @folder: (nullable): where its frames appear
 * @note: (nullable): anything else
 *
 * The rounds of one pair at one focal length and one distance.
 */
struct _ShimTest
{
  ShimRecord parent_instance;

  char *pair;
  char *started_at;
  double focal_mm;
  double distance_mm;
  double f_number;
  double angle_deg;
  double tick_mm;
  double coc_mm;
  double tolerance_share;
  double light_lx;
  char *folder;
  char *note;
};

ShimTest *shim_test_new (void);

G_END_DECLS
