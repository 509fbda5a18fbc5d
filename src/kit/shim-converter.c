/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-converter.h"

static const ShimField fields[] = {
  { .name = "label", .label = N_ ("Name"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimConverter, label), .flags = SHIM_FIELD_REQUIRED | SHIM_FIELD_SEARCHED },
  { .name = "maker", .label = N_ ("Maker"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimConverter, maker), .flags = SHIM_FIELD_SEARCHED },
  { .name = "model", .label = N_ ("Model"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimConverter, model), .flags = SHIM_FIELD_SEARCHED },
  { .name = "serial", .label = N_ ("Serial number"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimConverter, serial), .flags = SHIM_FIELD_SEARCHED },
  { .name = "mount", .label = N_ ("Mount"), .type = SHIM_FIELD_REF,
    .offset = G_STRUCT_OFFSET (ShimConverter, mount), .flags = SHIM_FIELD_REQUIRED | SHIM_FIELD_SEARCHED,
    .ref = "mount" },
  { .name = "factor", .label = N_ ("Factor"), .unit = "×", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimConverter, factor), .flags = SHIM_FIELD_REQUIRED, .min = 1, .max = 4 },
  { .name = "holder", .label = N_ ("Held by"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimConverter, holder), .flags = SHIM_FIELD_SEARCHED },
  { .name = "place", .label = N_ ("Kept at"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimConverter, place), .flags = SHIM_FIELD_SEARCHED },
  { .name = "worth", .label = N_ ("Worth"), .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimConverter, worth), .min = 0, .max = 1e+09 },
  { .name = "currency", .label = N_ ("Currency"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimConverter, currency) },
  { .name = "bought_on", .label = N_ ("Bought on"), .type = SHIM_FIELD_DATE,
    .offset = G_STRUCT_OFFSET (ShimConverter, bought_on) },
  { .name = "weight_g", .label = N_ ("Weight"), .unit = "g", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimConverter, weight_g), .min = 0, .max = 200000 },
  { .name = "note", .label = N_ ("Note"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimConverter, note), .flags = SHIM_FIELD_SEARCHED },
  { .name = "picture", .label = N_ ("Picture"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimConverter, picture) },
  { .name = "archived", .label = N_ ("Archived"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimConverter, archived) },
};

static const ShimKind kind = {
  .name = "converter",
  .label = N_ ("Converter"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
};

SHIM_DEFINE_RECORD (ShimConverter, shim_converter, kind)
