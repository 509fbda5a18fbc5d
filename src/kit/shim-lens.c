/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-item-fields.h"
#include "shim-lens.h"

static const ShimField fields[] = {
  SHIM_ITEM_IDENTITY_FIELDS (ShimLens, N_ ("called;inventory name;lens;lens name;objective;item")),
  { .name = "focal_min_mm", .label = N_ ("Shortest focal length"),
    .also = N_ ("focal length;focal;focal range;zoom;zoom range;shortest;focal from"), .upper = "focal_max_mm",
    .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimLens, focal_min_mm), .flags = SHIM_FIELD_REQUIRED, .min = 1, .max = 3000 },
  { .name = "focal_max_mm", .label = N_ ("Longest focal length"),
    .also = N_ ("longest;focal to"),
    .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimLens, focal_max_mm), .min = 1, .max = 3000 },
  { .name = "aperture_wide", .label = N_ ("Widest aperture, wide end"),
    .also = N_ ("aperture;widest aperture;maximum aperture;max aperture;widest f-number;f-number;f-stop;f;lens speed;speed;max. f-number"),
    .upper = "aperture_long",
    .unit = "f/", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimLens, aperture_wide), .min = 0.5, .max = 64 },
  { .name = "aperture_long", .label = N_ ("Widest aperture, long end"), .unit = "f/", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimLens, aperture_long), .min = 0.5, .max = 64 },
  { .name = "nearest_mm", .label = N_ ("Nearest distance"),
    .also = N_ ("nearest focus;closest focus;close focus;closest focus distance;closest distance;minimum focus;"
                "minimum focus distance;min. focus distance;mfd"),
    .unit = "mm", .type = SHIM_FIELD_REAL, .flags = SHIM_FIELD_GROUPED,
    .offset = G_STRUCT_OFFSET (ShimLens, nearest_mm), .min = 1, .max = 100000 },
  { .name = "own_table", .label = N_ ("Keeps an own table"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimLens, own_table) },
  { .name = "table_focals_mm", .label = N_ ("Table focal lengths"),
    .hint = N_ ("Separated by semicolons: 24; 35; 50; 70"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimLens, table_focals_mm) },
  { .name = "table_distances_m", .label = N_ ("Table distances"),
    .hint = N_ ("Separated by semicolons, inf for infinity: 0.4; 1; 3; inf"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimLens, table_distances_m) },
  SHIM_ITEM_KEEPING_FIELDS (ShimLens),
};

static const ShimKind kind = {
  .name = "lens",
  .label = N_ ("Lens"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
};

SHIM_DEFINE_RECORD (ShimLens, shim_lens, kind)
