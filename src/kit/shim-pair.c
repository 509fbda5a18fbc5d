/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-pair.h"

static const ShimField fields[] = {
  { .name = "body", .label = N_ ("Body"), .type = SHIM_FIELD_REF, .offset = G_STRUCT_OFFSET (ShimPair, body),
    .flags = SHIM_FIELD_REQUIRED, .ref = "body" },
  { .name = "lens", .label = N_ ("Lens"), .type = SHIM_FIELD_REF, .offset = G_STRUCT_OFFSET (ShimPair, lens),
    .flags = SHIM_FIELD_REQUIRED, .ref = "lens" },
  { .name = "converter", .label = N_ ("Converter"), .type = SHIM_FIELD_REF,
    .offset = G_STRUCT_OFFSET (ShimPair, converter), .ref = "converter" },
  { .name = "adapter", .label = N_ ("Adapter"), .type = SHIM_FIELD_REF,
    .offset = G_STRUCT_OFFSET (ShimPair, adapter), .ref = "adapter" },
  { .name = "not_needed", .label = N_ ("Not needed"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimPair, not_needed) },
  { .name = "note", .label = N_ ("Note"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimPair, note),
    .flags = SHIM_FIELD_SEARCHED },
};

static const ShimKind kind = {
  .name = "pair",
  .label = N_ ("Pair"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
};

SHIM_DEFINE_RECORD (ShimPair, shim_pair, kind)
