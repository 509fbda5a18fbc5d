/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-test.h"

static const ShimField fields[] = {
  { .name = "pair", .label = N_ ("Pair"), .type = SHIM_FIELD_REF, .offset = G_STRUCT_OFFSET (ShimTest, pair),
    .flags = SHIM_FIELD_REQUIRED, .ref = "pair" },
  { .name = "started_at", .label = N_ ("Started"), .type = SHIM_FIELD_TIME,
    .offset = G_STRUCT_OFFSET (ShimTest, started_at), .flags = SHIM_FIELD_REQUIRED },
  { .name = "focal_mm", .label = N_ ("Focal length"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimTest, focal_mm), .min = 1, .max = 6000 },
  { .name = "distance_mm", .label = N_ ("Distance"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimTest, distance_mm), .min = 50, .max = 1e+06 },
  { .name = "f_number", .label = N_ ("Aperture"), .unit = "f/", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimTest, f_number), .min = 0.5, .max = 64 },
  { .name = "angle_deg", .label = N_ ("Ruler angle"), .unit = "°", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimTest, angle_deg), .min = 5, .max = 85 },
  { .name = "tick_mm", .label = N_ ("Tick distance"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimTest, tick_mm), .min = 0.1, .max = 50 },
  { .name = "coc_mm", .label = N_ ("Circle of confusion"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimTest, coc_mm), .min = 0.001, .max = 0.2 },
  { .name = "tolerance_share", .label = N_ ("Tolerance"), .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimTest, tolerance_share), .min = 0.01, .max = 1 },
  { .name = "light_lx", .label = N_ ("Light"), .unit = "lx", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimTest, light_lx), .min = 0, .max = 200000 },
  { .name = "folder", .label = N_ ("Watched folder"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimTest, folder) },
  { .name = "note", .label = N_ ("Note"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimTest, note),
    .flags = SHIM_FIELD_SEARCHED },
};

static const ShimKind kind = {
  .name = "test",
  .label = N_ ("Test"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
  .is_evidence = TRUE,
};

SHIM_DEFINE_RECORD (ShimTest, shim_test, kind)
