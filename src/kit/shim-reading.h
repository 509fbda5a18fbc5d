/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_READING (shim_reading_get_type ())
G_DECLARE_FINAL_TYPE (ShimReading, shim_reading, SHIM, READING, ShimRecord)

/**
 * ShimReading:
 * @frame: id
 * @read_at: when
 * @method: who looked; one of "program", "eye"
 * @refusal: (nullable): name of a #ShimRefusal; "none" when measured
 * @reason: (nullable): why it was refused
 * @warnings: (nullable): one a line
 * @offset_mm: + = past the target, mm
 * @offset_se_mm: of the offset, mm
 * @common_se_mm: of the standard error, shared by the set-up, mm
 * @ruler_mm: target line to sharp line, mm
 * @depth_of_field_mm: total, mm
 * @coc_mm: used, mm
 * @angle_deg: used, °
 * @distance_mm: used, mm
 * @mm_per_px: along the ruler at the target line, mm/px
 * @details: (nullable): the whole measurement as JSON: strip, map, target, sharp line, curve
 *
 * What one look at a frame gave, by program or by eye. The newest of each method counts.
 */
struct _ShimReading
{
  ShimRecord parent_instance;

  char *frame;
  char *read_at;
  char *method;
  char *refusal;
  char *reason;
  char *warnings;
  double offset_mm;
  double offset_se_mm;
  double common_se_mm;
  double ruler_mm;
  double depth_of_field_mm;
  double coc_mm;
  double angle_deg;
  double distance_mm;
  double mm_per_px;
  char *details;
};

ShimReading *shim_reading_new (void);

G_END_DECLS
