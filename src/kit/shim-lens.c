/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-lens.h"

static const ShimField fields[] = {
  { .name = "label", .label = N_ ("Name"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimLens, label),
    .flags = SHIM_FIELD_REQUIRED | SHIM_FIELD_SEARCHED },
  { .name = "maker", .label = N_ ("Maker"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimLens, maker), .flags = SHIM_FIELD_SEARCHED },
  { .name = "model", .label = N_ ("Model"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimLens, model), .flags = SHIM_FIELD_SEARCHED },
  { .name = "serial", .label = N_ ("Serial number"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimLens, serial), .flags = SHIM_FIELD_SEARCHED },
  { .name = "mount", .label = N_ ("Mount"), .type = SHIM_FIELD_REF, .offset = G_STRUCT_OFFSET (ShimLens, mount),
    .flags = SHIM_FIELD_REQUIRED | SHIM_FIELD_SEARCHED, .ref = "mount" },
  { .name = "focal_min_mm", .label = N_ ("Shortest focal length"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimLens, focal_min_mm), .flags = SHIM_FIELD_REQUIRED, .min = 1, .max = 3000 },
  { .name = "focal_max_mm", .label = N_ ("Longest focal length"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimLens, focal_max_mm), .min = 1, .max = 3000 },
  { .name = "aperture_wide", .label = N_ ("Widest aperture, wide end"), .unit = "f/", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimLens, aperture_wide), .min = 0.5, .max = 64 },
  { .name = "aperture_long", .label = N_ ("Widest aperture, long end"), .unit = "f/", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimLens, aperture_long), .min = 0.5, .max = 64 },
  { .name = "nearest_mm", .label = N_ ("Nearest distance"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimLens, nearest_mm), .min = 1, .max = 100000 },
  { .name = "own_table", .label = N_ ("Keeps an own table"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimLens, own_table) },
  { .name = "table_focals_mm", .label = N_ ("Table focal lengths"),
    .hint = N_ ("Separated by semicolons: 24; 35; 50; 70"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimLens, table_focals_mm) },
  { .name = "table_distances_m", .label = N_ ("Table distances"),
    .hint = N_ ("Separated by semicolons, inf for infinity: 0.4; 1; 3; inf"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimLens, table_distances_m) },
  { .name = "holder", .label = N_ ("Held by"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimLens, holder), .flags = SHIM_FIELD_SEARCHED },
  { .name = "place", .label = N_ ("Kept at"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimLens, place), .flags = SHIM_FIELD_SEARCHED },
  { .name = "worth", .label = N_ ("Worth"), .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimLens, worth), .min = 0, .max = 1e+09 },
  { .name = "currency", .label = N_ ("Currency"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimLens, currency) },
  { .name = "bought_on", .label = N_ ("Bought on"), .type = SHIM_FIELD_DATE,
    .offset = G_STRUCT_OFFSET (ShimLens, bought_on) },
  { .name = "weight_g", .label = N_ ("Weight"), .unit = "g", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimLens, weight_g), .min = 0, .max = 200000 },
  { .name = "note", .label = N_ ("Note"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimLens, note),
    .flags = SHIM_FIELD_SEARCHED },
  { .name = "picture", .label = N_ ("Picture"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimLens, picture) },
  { .name = "archived", .label = N_ ("Archived"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimLens, archived) },
};

static const ShimKind kind = {
  .name = "lens",
  .label = N_ ("Lens"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
};

SHIM_DEFINE_RECORD (ShimLens, shim_lens, kind)
