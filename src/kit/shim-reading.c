/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-reading.h"

static const ShimChoice method_choices[] = {
  { "program", N_ ("By the program") },
  { "eye", N_ ("By eye") },
  { NULL, NULL },
};

static const ShimField fields[] = {
  { .name = "frame", .label = N_ ("Frame"), .type = SHIM_FIELD_REF,
    .offset = G_STRUCT_OFFSET (ShimReading, frame), .flags = SHIM_FIELD_REQUIRED, .ref = "frame" },
  { .name = "read_at", .label = N_ ("Read"), .type = SHIM_FIELD_TIME,
    .offset = G_STRUCT_OFFSET (ShimReading, read_at), .flags = SHIM_FIELD_REQUIRED },
  { .name = "method", .label = N_ ("Method"), .type = SHIM_FIELD_CHOICE,
    .offset = G_STRUCT_OFFSET (ShimReading, method), .flags = SHIM_FIELD_REQUIRED, .choices = method_choices },
  { .name = "refusal", .label = N_ ("Refusal"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimReading, refusal) },
  { .name = "reason", .label = N_ ("Reason"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimReading, reason) },
  { .name = "warnings", .label = N_ ("Warnings"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimReading, warnings) },
  { .name = "offset_mm", .label = N_ ("Offset"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimReading, offset_mm) },
  { .name = "offset_se_mm", .label = N_ ("Standard error"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimReading, offset_se_mm) },
  { .name = "common_se_mm", .label = N_ ("Common part"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimReading, common_se_mm) },
  { .name = "ruler_mm", .label = N_ ("Along the ruler"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimReading, ruler_mm) },
  { .name = "depth_of_field_mm", .label = N_ ("Depth of field"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimReading, depth_of_field_mm) },
  { .name = "coc_mm", .label = N_ ("Circle of confusion"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimReading, coc_mm) },
  { .name = "angle_deg", .label = N_ ("Ruler angle"), .unit = "°", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimReading, angle_deg) },
  { .name = "distance_mm", .label = N_ ("Distance"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimReading, distance_mm) },
  { .name = "mm_per_px", .label = N_ ("Scale"), .unit = "mm/px", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimReading, mm_per_px) },
  { .name = "details", .label = N_ ("Details"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimReading, details), .flags = SHIM_FIELD_INTERNAL },
};

static const ShimKind kind = {
  .name = "reading",
  .label = N_ ("Reading"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
  .is_evidence = TRUE,
};

SHIM_DEFINE_RECORD (ShimReading, shim_reading, kind)
