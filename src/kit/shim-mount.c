/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-mount.h"

static const ShimField fields[] = {
  { .name = "name", .label = N_ ("Name"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimMount, name),
    .flags = SHIM_FIELD_REQUIRED | SHIM_FIELD_SEARCHED },
  { .name = "flange_mm", .label = N_ ("Flange distance"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimMount, flange_mm), .min = 1, .max = 200 },
  { .name = "electronic", .label = N_ ("Carries lens data"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimMount, electronic) },
  { .name = "source", .label = N_ ("Source"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimMount, source) },
  { .name = "note", .label = N_ ("Note"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimMount, note),
    .flags = SHIM_FIELD_SEARCHED },
};

static const ShimKind kind = {
  .name = "mount",
  .label = N_ ("Mount"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
};

SHIM_DEFINE_RECORD (ShimMount, shim_mount, kind)
