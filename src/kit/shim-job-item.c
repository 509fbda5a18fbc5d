/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-job-item.h"

static const ShimChoice item_kind_choices[] = {
  { "body", N_ ("Body") },
  { "lens", N_ ("Lens") },
  { "converter", N_ ("Converter") },
  { "adapter", N_ ("Adapter") },
  { NULL, NULL },
};

static const ShimField fields[] = {
  { .name = "job", .label = N_ ("Job"), .type = SHIM_FIELD_REF, .offset = G_STRUCT_OFFSET (ShimJobItem, job),
    .flags = SHIM_FIELD_REQUIRED, .ref = "job" },
  { .name = "item_kind", .label = N_ ("Kind"), .type = SHIM_FIELD_CHOICE,
    .offset = G_STRUCT_OFFSET (ShimJobItem, item_kind), .flags = SHIM_FIELD_REQUIRED,
    .choices = item_kind_choices },
  { .name = "item", .label = N_ ("Item"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimJobItem, item), .flags = SHIM_FIELD_REQUIRED },
  { .name = "note", .label = N_ ("Note"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimJobItem, note) },
};

static const ShimKind kind = {
  .name = "job_item",
  .label = N_ ("Job item"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
};

SHIM_DEFINE_RECORD (ShimJobItem, shim_job_item, kind)
