/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_LENS (shim_lens_get_type ())
G_DECLARE_FINAL_TYPE (ShimLens, shim_lens, SHIM, LENS, ShimRecord)

/**
 * ShimLens:
 * @label: what the crew calls it
 * @maker: (nullable): who made it
 * @model: (nullable): as engraved
 * @serial: (nullable): as engraved; text, leading zeros count
 * @mount: name of its mount
 * @focal_min_mm: wide end; equal to the long end for a prime, mm
 * @focal_max_mm: long end, mm
 * @aperture_wide: f-number, f/
 * @aperture_long: f-number, f/
 * @nearest_mm: closest focus from the image plane, mm
 * @own_table: whether values can be kept inside the lens
 * @table_focals_mm: (nullable): comma-separated, mm: "24, 35, 50, 70"
 * @table_distances_m: (nullable): semicolon-separated, m, "inf" for infinity: "0.4; 1; 3; inf"
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
 * An interchangeable lens.
 */
struct _ShimLens
{
  ShimRecord parent_instance;

  char *label;
  char *maker;
  char *model;
  char *serial;
  char *mount;
  double focal_min_mm;
  double focal_max_mm;
  double aperture_wide;
  double aperture_long;
  double nearest_mm;
  gint64 own_table;
  char *table_focals_mm;
  char *table_distances_m;
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

ShimLens *shim_lens_new (void);

G_END_DECLS
