/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-decision.h"

static const ShimChoice end_choices[] = {
  { "all", N_ ("Whole range") },
  { "wide", N_ ("Wide end") },
  { "long", N_ ("Long end") },
  { "table", N_ ("One cell of the own table") },
  { NULL, NULL },
};

static const ShimChoice origin_choices[] = {
  { "measured", N_ ("Measured") },
  { "predicted", N_ ("Predicted by the model") },
  { "copied", N_ ("Copied from elsewhere") },
  { "none", N_ ("No value: withdrawn") },
  { NULL, NULL },
};

static const ShimField fields[] = {
  { .name = "pair", .label = N_ ("Pair"), .type = SHIM_FIELD_REF,
    .offset = G_STRUCT_OFFSET (ShimDecision, pair), .flags = SHIM_FIELD_REQUIRED, .ref = "pair" },
  { .name = "test", .label = N_ ("Test"), .type = SHIM_FIELD_REF,
    .offset = G_STRUCT_OFFSET (ShimDecision, test), .ref = "test" },
  { .name = "decided_at", .label = N_ ("Decided"), .type = SHIM_FIELD_TIME,
    .offset = G_STRUCT_OFFSET (ShimDecision, decided_at), .flags = SHIM_FIELD_REQUIRED },
  { .name = "end", .label = N_ ("For"), .type = SHIM_FIELD_CHOICE,
    .offset = G_STRUCT_OFFSET (ShimDecision, end), .flags = SHIM_FIELD_REQUIRED, .choices = end_choices },
  { .name = "table_focal_mm", .label = N_ ("Table focal length"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimDecision, table_focal_mm) },
  { .name = "table_distance_m", .label = N_ ("Table distance"), .unit = "m", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimDecision, table_distance_m) },
  { .name = "value", .label = N_ ("Setting"), .type = SHIM_FIELD_INT,
    .offset = G_STRUCT_OFFSET (ShimDecision, value),
    .flags = SHIM_FIELD_SETTING, .min = -100, .max = 100 },
  { .name = "origin", .label = N_ ("Comes from"), .type = SHIM_FIELD_CHOICE,
    .offset = G_STRUCT_OFFSET (ShimDecision, origin), .flags = SHIM_FIELD_REQUIRED, .choices = origin_choices },
  { .name = "residual_mm", .label = N_ ("Residual"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimDecision, residual_mm) },
  { .name = "residual_se_mm", .label = N_ ("Standard error"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimDecision, residual_se_mm) },
  { .name = "slope_mm_per_step", .label = N_ ("Offset per step"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimDecision, slope_mm_per_step) },
  { .name = "slope_se_mm_per_step", .label = N_ ("Standard error of it"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimDecision, slope_se_mm_per_step) },
  { .name = "tolerance_mm", .label = N_ ("Tolerance"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimDecision, tolerance_mm) },
  { .name = "focal_mm", .label = N_ ("Focal length"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimDecision, focal_mm) },
  { .name = "distance_mm", .label = N_ ("Distance"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimDecision, distance_mm) },
  { .name = "out_of_reach", .label = N_ ("Out of reach"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimDecision, out_of_reach) },
  { .name = "firmware", .label = N_ ("Firmware"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimDecision, firmware) },
  { .name = "note", .label = N_ ("Note"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimDecision, note), .flags = SHIM_FIELD_SEARCHED },
};

static const ShimKind kind = {
  .name = "decision",
  .label = N_ ("Decided setting"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
  .is_evidence = TRUE,
};

SHIM_DEFINE_RECORD (ShimDecision, shim_decision, kind)
