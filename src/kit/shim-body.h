/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_BODY (shim_body_get_type ())
G_DECLARE_FINAL_TYPE (ShimBody, shim_body, SHIM, BODY, ShimRecord)

/**
 * ShimBody:
 * @label: what the crew calls it
 * @maker: (nullable): who made it
 * @model: (nullable): as engraved
 * @serial: (nullable): as engraved; text, leading zeros count
 * @mount: name of its mount
 * @format_width_mm: width of the image format, mm
 * @format_height_mm: height of the image format, mm
 * @pixel_pitch_um: distance of two pixels, µm
 * @range_min: lower end of the adjustment range
 * @range_max: upper end of the adjustment range
 * @direction: (nullable): which way it counts; one of "away", "toward"
 * @slot_count: per-lens memories; -1 = no limit, 0 = none
 * @zoom_values: 1 or 2 (wide and long end)
 * @tells_lenses_by: (nullable): how it recognises a lens; one of "serial", "model"
 * @all_lens_value: the adjustment applied to every lens without one of its own
 * @firmware: (nullable): version
 * @holder: (nullable): who has it now
 * @place: (nullable): where it lives
 * @worth: replacement value, in @currency
 * @currency: (nullable): three letters, ISO 4217
 * @bought_on: (nullable): day it was bought, or the month or year
 * @weight_g: weight, g
 * @note: (nullable): anything else
 * @picture: (nullable): path of a photograph of the item
 * @archived: no longer in use, kept for its history
 *
 * A camera body and what its fine adjustment can do.
 */
struct _ShimBody
{
  ShimRecord parent_instance;

  char *label;
  char *maker;
  char *model;
  char *serial;
  char *mount;
  double format_width_mm;
  double format_height_mm;
  double pixel_pitch_um;
  gint64 range_min;
  gint64 range_max;
  char *direction;
  gint64 slot_count;
  gint64 zoom_values;
  char *tells_lenses_by;
  gint64 all_lens_value;
  char *firmware;
  char *holder;
  char *place;
  double worth;
  char *currency;
  char *bought_on;
  double weight_g;
  char *note;
  char *picture;
  gint64 archived;
};

ShimBody *shim_body_new (void);

G_END_DECLS
