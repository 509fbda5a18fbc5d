/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-job.h"

static const ShimField fields[] = {
  { .name = "name", .label = N_ ("Name"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimJob, name),
    .flags = SHIM_FIELD_REQUIRED | SHIM_FIELD_SEARCHED },
  { .name = "on_date", .label = N_ ("Date"), .type = SHIM_FIELD_DATE,
    .offset = G_STRUCT_OFFSET (ShimJob, on_date) },
  { .name = "until_date", .label = N_ ("Until"), .type = SHIM_FIELD_DATE,
    .offset = G_STRUCT_OFFSET (ShimJob, until_date) },
  { .name = "place", .label = N_ ("Place"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimJob, place),
    .flags = SHIM_FIELD_SEARCHED },
  { .name = "holder", .label = N_ ("Taken by"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimJob, holder), .flags = SHIM_FIELD_SEARCHED },
  { .name = "note", .label = N_ ("Note"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimJob, note),
    .flags = SHIM_FIELD_SEARCHED },
  { .name = "archived", .label = N_ ("Archived"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimJob, archived) },
};

static const ShimKind kind = {
  .name = "job",
  .label = N_ ("Job"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
};

SHIM_DEFINE_RECORD (ShimJob, shim_job, kind)
