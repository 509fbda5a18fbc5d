/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-slot-entry.h"

static const ShimChoice action_choices[] = {
  { "keyed", N_ ("Keyed in") },
  { "cleared", N_ ("Cleared") },
  { "lost", N_ ("Lost by a reset") },
  { "overwritten", N_ ("Overwritten") },
  { NULL, NULL },
};

static const ShimField fields[] = {
  { .name = "body", .label = N_ ("Body"), .type = SHIM_FIELD_REF,
    .offset = G_STRUCT_OFFSET (ShimSlotEntry, body), .flags = SHIM_FIELD_REQUIRED, .ref = "body" },
  { .name = "number", .label = N_ ("Slot"), .type = SHIM_FIELD_INT,
    .offset = G_STRUCT_OFFSET (ShimSlotEntry, number), .flags = SHIM_FIELD_REQUIRED, .min = 0, .max = 9999 },
  { .name = "pair", .label = N_ ("Pair"), .type = SHIM_FIELD_REF,
    .offset = G_STRUCT_OFFSET (ShimSlotEntry, pair), .ref = "pair" },
  { .name = "decision", .label = N_ ("Decided setting"), .type = SHIM_FIELD_REF,
    .offset = G_STRUCT_OFFSET (ShimSlotEntry, decision), .ref = "decision" },
  { .name = "value", .label = N_ ("Setting"), .type = SHIM_FIELD_INT,
    .offset = G_STRUCT_OFFSET (ShimSlotEntry, value),
    .flags = SHIM_FIELD_SETTING, .min = -100, .max = 100 },
  { .name = "value_long", .label = N_ ("Setting, long end"), .type = SHIM_FIELD_INT,
    .offset = G_STRUCT_OFFSET (ShimSlotEntry, value_long),
    .flags = SHIM_FIELD_SETTING, .min = -100, .max = 100 },
  { .name = "action", .label = N_ ("What was done"), .type = SHIM_FIELD_CHOICE,
    .offset = G_STRUCT_OFFSET (ShimSlotEntry, action), .flags = SHIM_FIELD_REQUIRED,
    .choices = action_choices },
  { .name = "done_at", .label = N_ ("When"), .type = SHIM_FIELD_TIME,
    .offset = G_STRUCT_OFFSET (ShimSlotEntry, done_at), .flags = SHIM_FIELD_REQUIRED },
  { .name = "note", .label = N_ ("Note"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimSlotEntry, note) },
};

static const ShimKind kind = {
  .name = "slot_entry",
  .label = N_ ("Slot entry"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
  .is_evidence = TRUE,
};

SHIM_DEFINE_RECORD (ShimSlotEntry, shim_slot_entry, kind)
