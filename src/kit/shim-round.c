/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-round.h"

static const ShimChoice kind_choices[] = {
  { "setting", N_ ("At a setting") },
  { "reference", N_ ("Reference") },
  { NULL, NULL },
};

static const ShimField fields[] = {
  { .name = "test", .label = N_ ("Test"), .type = SHIM_FIELD_REF, .offset = G_STRUCT_OFFSET (ShimRound, test),
    .flags = SHIM_FIELD_REQUIRED, .ref = "test" },
  { .name = "started_at", .label = N_ ("Started"), .type = SHIM_FIELD_TIME,
    .offset = G_STRUCT_OFFSET (ShimRound, started_at), .flags = SHIM_FIELD_REQUIRED },
  { .name = "kind", .label = N_ ("Kind"), .type = SHIM_FIELD_CHOICE,
    .offset = G_STRUCT_OFFSET (ShimRound, kind), .flags = SHIM_FIELD_REQUIRED, .choices = kind_choices },
  { .name = "setting", .label = N_ ("Setting"), .type = SHIM_FIELD_INT,
    .offset = G_STRUCT_OFFSET (ShimRound, setting),
    .flags = SHIM_FIELD_SETTING, .min = -100, .max = 100 },
  { .name = "note", .label = N_ ("Note"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimRound, note),
    .flags = SHIM_FIELD_SEARCHED },
};

static const ShimKind kind = {
  .name = "round",
  .label = N_ ("Round"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
  .is_evidence = TRUE,
};

SHIM_DEFINE_RECORD (ShimRound, shim_round, kind)
