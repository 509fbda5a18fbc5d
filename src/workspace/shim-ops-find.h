/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-register.h"

G_BEGIN_DECLS

/**
 * ShimHit:
 * @kind: name of the kind of what was found: "lens", "pair", "event" …
 * @id: its id
 * @title: what people call it
 * @detail: what tells it from others; empty when nothing does
 * @open_kind: what to open for it: "body", "lens", "converter", "adapter", "pair" or "job"
 * @open_id: id of that
 *
 * One thing that the search over everything found.
 */
typedef struct
{
  char *kind;
  char *id;
  char *title;
  char *detail;
  char *open_kind;
  char *open_id;
} ShimHit;

void       shim_hit_free (ShimHit *self);
GPtrArray *shim_ops_find (ShimRegister *reg, const char *words, guint limit, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimHit, shim_hit_free)

G_END_DECLS
