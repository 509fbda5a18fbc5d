/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-converter.h"
#include "shim-item-fields.h"

static const ShimField fields[] = {
  SHIM_ITEM_IDENTITY_FIELDS (ShimConverter, N_ ("called;inventory name;converter;teleconverter;extender;item")),
  { .name = "factor", .label = N_ ("Factor"), .unit = "×", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimConverter, factor), .flags = SHIM_FIELD_REQUIRED, .min = 1, .max = 4 },
  SHIM_ITEM_KEEPING_FIELDS (ShimConverter),
};

static const ShimKind kind = {
  .name = "converter",
  .label = N_ ("Converter"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
};

SHIM_DEFINE_RECORD (ShimConverter, shim_converter, kind)
