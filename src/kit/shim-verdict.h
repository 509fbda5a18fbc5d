/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-record.h"

G_BEGIN_DECLS

#define SHIM_TYPE_VERDICT (shim_verdict_get_type ())
G_DECLARE_FINAL_TYPE (ShimVerdict, shim_verdict, SHIM, VERDICT, ShimRecord)

/**
 * ShimVerdict:
 * @frame: id
 * @decided_at: when
 * @use: whether it counts
 * @reason: (nullable): why
 *
 * Whether a frame counts in its round, decided by a person. The newest counts.
 */
struct _ShimVerdict
{
  ShimRecord parent_instance;

  char *frame;
  char *decided_at;
  gint64 use;
  char *reason;
};

ShimVerdict *shim_verdict_new (void);

G_END_DECLS
