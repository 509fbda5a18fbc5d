/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-body.h"
#include "shim-item-fields.h"

static const ShimChoice direction_choices[] = {
  { "away", N_ ("Away from the camera") },
  { "toward", N_ ("Toward the camera") },
  { NULL, NULL },
};

static const ShimChoice tells_lenses_by_choices[] = {
  { "serial", N_ ("Serial number") },
  { "model", N_ ("Model only") },
  { NULL, NULL },
};

static const ShimField fields[] = {
  SHIM_ITEM_IDENTITY_FIELDS (ShimBody, N_ ("called;inventory name;body;camera;camera body;camera name;item")),
  { .name = "format_width_mm", .label = N_ ("Image width"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimBody, format_width_mm), .min = 4, .max = 120 },
  { .name = "format_height_mm", .label = N_ ("Image height"), .unit = "mm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimBody, format_height_mm), .min = 3, .max = 120 },
  { .name = "pixel_pitch_um", .label = N_ ("Pixel pitch"),
    .also = N_ ("pixel size"),
    .unit = "µm", .type = SHIM_FIELD_REAL,
    .offset = G_STRUCT_OFFSET (ShimBody, pixel_pitch_um), .min = 0.5, .max = 30 },
  { .name = "range_min", .label = N_ ("Lowest setting"),
    .also = N_ ("minimum setting;settings from"),
    .hint = N_ ("Typically −20 or −10"),
    .type = SHIM_FIELD_INT, .offset = G_STRUCT_OFFSET (ShimBody, range_min),
    .flags = SHIM_FIELD_SETTING, .min = -100, .max = 0 },
  { .name = "range_max", .label = N_ ("Highest setting"),
    .also = N_ ("maximum setting;settings to"),
    .hint = N_ ("Typically +20 or +10"),
    .type = SHIM_FIELD_INT, .offset = G_STRUCT_OFFSET (ShimBody, range_max),
    .flags = SHIM_FIELD_SETTING, .min = 0, .max = 100 },
  { .name = "direction", .label = N_ ("A larger setting moves focus"), .type = SHIM_FIELD_CHOICE,
    .offset = G_STRUCT_OFFSET (ShimBody, direction), .choices = direction_choices },
  { .name = "slot_count", .label = N_ ("Slots"),
    .also = N_ ("number of slots;memory slots"),
    .hint = N_ ("−1 stands for no limit, 0 for none"),
    .type = SHIM_FIELD_INT, .offset = G_STRUCT_OFFSET (ShimBody, slot_count), .min = -1, .max = 999 },
  { .name = "zoom_values", .label = N_ ("Values for a zoom"), .type = SHIM_FIELD_INT,
    .offset = G_STRUCT_OFFSET (ShimBody, zoom_values), .min = 1, .max = 2 },
  { .name = "tells_lenses_by", .label = N_ ("Tells lenses apart by"), .type = SHIM_FIELD_CHOICE,
    .offset = G_STRUCT_OFFSET (ShimBody, tells_lenses_by), .choices = tells_lenses_by_choices },
  { .name = "all_lens_value", .label = N_ ("All-lens value"), .type = SHIM_FIELD_INT,
    .offset = G_STRUCT_OFFSET (ShimBody, all_lens_value),
    .flags = SHIM_FIELD_SETTING, .min = -100, .max = 100 },
  { .name = "firmware", .label = N_ ("Firmware"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimBody, firmware) },
  SHIM_ITEM_KEEPING_FIELDS (ShimBody),
};

static const ShimKind kind = {
  .name = "body",
  .label = N_ ("Body"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
};

SHIM_DEFINE_RECORD (ShimBody, shim_body, kind)
