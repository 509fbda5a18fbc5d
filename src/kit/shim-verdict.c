/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-verdict.h"

static const ShimField fields[] = {
  { .name = "frame", .label = N_ ("Frame"), .type = SHIM_FIELD_REF,
    .offset = G_STRUCT_OFFSET (ShimVerdict, frame), .flags = SHIM_FIELD_REQUIRED, .ref = "frame" },
  { .name = "decided_at", .label = N_ ("Decided"), .type = SHIM_FIELD_TIME,
    .offset = G_STRUCT_OFFSET (ShimVerdict, decided_at), .flags = SHIM_FIELD_REQUIRED },
  { .name = "use", .label = N_ ("Counts"), .type = SHIM_FIELD_BOOL,
    .offset = G_STRUCT_OFFSET (ShimVerdict, use) },
  { .name = "reason", .label = N_ ("Reason"), .type = SHIM_FIELD_TEXT,
    .offset = G_STRUCT_OFFSET (ShimVerdict, reason) },
};

static const ShimKind kind = {
  .name = "verdict",
  .label = N_ ("Verdict"),
  .fields = fields,
  .n_fields = G_N_ELEMENTS (fields),
  .is_evidence = TRUE,
};

SHIM_DEFINE_RECORD (ShimVerdict, shim_verdict, kind)
