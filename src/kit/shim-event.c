/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-event.h"

static const ShimChoice item_kind_choices[] = {
  { "body", N_ ("Body") },
  { "lens", N_ ("Lens") },
  { "converter", N_ ("Converter") },
  { NULL, NULL },
};

static const ShimChoice kind_choices[] = {
  { "sent", N_ ("Sent to service") },
  { "service", N_ ("Serviced, and back") },
  { "knock", N_ ("Knock or fall") },
  { "water", N_ ("Rain, sea or sand") },
  { "mount", N_ ("New mount or shims") },
  { "firmware", N_ ("Firmware changed") },
  { "reset", N_ ("All values reset") },
  { "loan", N_ ("Lent out") },
  { "return", N_ ("Came back") },
  { "sale", N_ ("Sold or given away") },
  { "note", N_ ("Note") },
  { NULL, NULL },
};

static const ShimField fields[] = {
  { .name = "item_kind", .label = N_ ("Happened to"), .type = SHIM_FIELD_CHOICE,
    .offset = G_STRUCT_OFFSET (ShimEvent, item_kind), .flags = SHIM_FIELD_REQUIRED,
    .choices = item_kind_choices },
  { .name = "item", .label = N_ ("Item"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimEvent, item),
    .flags = SHIM_FIELD_REQUIRED },
  { .name = "happened_on", .label = N_ ("Happened on"), .type = SHIM_FIELD_DATE,
    .offset = G_STRUCT_OFFSET (ShimEvent, happened_on), .flags = SHIM_FIELD_REQUIRED },
  { .name = "noted_at", .label = N_ ("Noted"), .type = SHIM_FIELD_TIME,
    .offset = G_STRUCT_OFFSET (ShimEvent, noted_at), .flags = SHIM_FIELD_REQUIRED },
  { .name = "kind", .label = N_ ("What happened"), .type = SHIM_FIELD_CHOICE,
    .offset = G_STRUCT_OFFSET (ShimEvent, kind), .flags = SHIM_FIELD_REQUIRED, .choices = kind_choices },
  { .name = "casts_doubt", .label = N_ ("Casts doubt on its values"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimEvent, casts_doubt) },
  { .name = "taken_back", .label = N_ ("Taken back"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimEvent, taken_back) },
  { .name = "who", .label = N_ ("Who"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimEvent, who),
    .flags = SHIM_FIELD_SEARCHED },
  { .name = "note", .label = N_ ("Note"), .type = SHIM_FIELD_TEXT, .offset = G_STRUCT_OFFSET (ShimEvent, note),
    .flags = SHIM_FIELD_SEARCHED },
};

static const ShimKind kind = {
  .name = "event",
  .label = N_ ("Event"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
};

SHIM_DEFINE_RECORD (ShimEvent, shim_event, kind)
