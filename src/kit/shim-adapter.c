/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-adapter.h"

static const ShimField fields[] = {
  { .name = "label", .label = N_ ("Name"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimAdapter, label), .flags = SHIM_FIELD_REQUIRED | SHIM_FIELD_SEARCHED },
  { .name = "lens_mount", .label = N_ ("Takes lenses with"), .type = SHIM_FIELD_REF,
    .offset = G_STRUCT_OFFSET (ShimAdapter, lens_mount), .flags = SHIM_FIELD_REQUIRED, .ref = "mount" },
  { .name = "body_mount", .label = N_ ("Fits bodies with"), .type = SHIM_FIELD_REF,
    .offset = G_STRUCT_OFFSET (ShimAdapter, body_mount), .flags = SHIM_FIELD_REQUIRED, .ref = "mount" },
  { .name = "optics", .label = N_ ("Has lenses in it"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimAdapter, optics) },
  { .name = "passes_data", .label = N_ ("Passes lens data"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimAdapter, passes_data) },
  { .name = "serial", .label = N_ ("Serial number"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimAdapter, serial), .flags = SHIM_FIELD_SEARCHED },
  { .name = "note", .label = N_ ("Note"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimAdapter, note), .flags = SHIM_FIELD_SEARCHED },
  { .name = "archived", .label = N_ ("Archived"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimAdapter, archived) },
};

static const ShimKind kind = {
  .name = "adapter",
  .label = N_ ("Adapter"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
};

SHIM_DEFINE_RECORD (ShimAdapter, shim_adapter, kind)
