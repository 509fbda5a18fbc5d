/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-frame.h"

static const ShimChoice approach_choices[] = {
  { "near", N_ ("Near") },
  { "far", N_ ("Far") },
  { "unknown", N_ ("Not known") },
  { NULL, NULL },
};

static const ShimField fields[] = {
  { .name = "round", .label = N_ ("Round"), .type = SHIM_FIELD_REF,
    .offset = G_STRUCT_OFFSET (ShimFrame, round), .flags = SHIM_FIELD_REQUIRED, .ref = "round" },
  { .name = "added_at", .label = N_ ("Added"), .type = SHIM_FIELD_TIME,
    .offset = G_STRUCT_OFFSET (ShimFrame, added_at), .flags = SHIM_FIELD_REQUIRED },
  { .name = "path", .label = N_ ("File"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimFrame, path),
    .flags = SHIM_FIELD_REQUIRED },
  { .name = "sha256", .label = N_ ("SHA-256"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimFrame, sha256), .flags = SHIM_FIELD_REQUIRED },
  { .name = "taken", .label = N_ ("Taken"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimFrame, taken) },
  { .name = "make", .label = N_ ("Maker"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimFrame, make) },
  { .name = "model", .label = N_ ("Model"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimFrame, model) },
  { .name = "body_serial", .label = N_ ("Body serial"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimFrame, body_serial) },
  { .name = "lens_model", .label = N_ ("Lens"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimFrame, lens_model) },
  { .name = "lens_serial", .label = N_ ("Lens serial"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimFrame, lens_serial) },
  { .name = "focal_mm", .label = N_ ("Focal length"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimFrame, focal_mm) },
  { .name = "f_number", .label = N_ ("Aperture"), .unit = "f/", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimFrame, f_number) },
  { .name = "exposure_s", .label = N_ ("Exposure"), .unit = "s", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimFrame, exposure_s) },
  { .name = "iso", .label = N_ ("ISO"), .type = SHIM_FIELD_REAL, .offset = G_STRUCT_OFFSET (ShimFrame, iso) },
  { .name = "distance_m", .label = N_ ("Distance"), .unit = "m", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimFrame, distance_m) },
  { .name = "adjustment", .label = N_ ("Adjustment"), .type = SHIM_FIELD_INT,
    .offset = G_STRUCT_OFFSET (ShimFrame, adjustment),
    .flags = SHIM_FIELD_SETTING },
  { .name = "width_px", .label = N_ ("Width"), .unit = "px", .type = SHIM_FIELD_INT,
    .offset = G_STRUCT_OFFSET (ShimFrame, width_px) },
  { .name = "height_px", .label = N_ ("Height"), .unit = "px", .type = SHIM_FIELD_INT,
    .offset = G_STRUCT_OFFSET (ShimFrame, height_px) },
  { .name = "approach", .label = N_ ("Focused from"), .type = SHIM_FIELD_CHOICE,
    .offset = G_STRUCT_OFFSET (ShimFrame, approach), .choices = approach_choices },
  { .name = "override", .label = N_ ("Taken in spite of"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimFrame, override) },
  { .name = "evidence", .label = N_ ("Evidence"), .type = SHIM_FIELD_BLOB,
    .offset = G_STRUCT_OFFSET (ShimFrame, evidence), .flags = SHIM_FIELD_INTERNAL },
};

static const ShimKind kind = {
  .name = "frame",
  .label = N_ ("Frame"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
  .is_evidence = TRUE,
};

SHIM_DEFINE_RECORD (ShimFrame, shim_frame, kind)
