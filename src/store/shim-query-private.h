/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-query.h"
#include "shim-register-private.h"

G_BEGIN_DECLS

typedef struct
{
  char *field;
  char **values; /* NULL = not known */
} ShimQueryFilter;

typedef struct
{
  char *field;
  gboolean descending;
} ShimQueryOrder;

struct _ShimQuery
{
  char *search;
  char *job;
  char *left_out;
  guint pair_states;
  ShimDueReasons pair_reasons;
  gboolean pair_conflict;
  GPtrArray *filters; /* ShimQueryFilter */
  GPtrArray *orders;  /* ShimQueryOrder */
  guint offset;
  guint limit;
  gboolean include_archived;
  gboolean include_blobs;
};

ShimStatement *shim_query_prepare_list  (const ShimQuery *self, ShimRegister *reg, const ShimKind *kind, GError **error);
ShimStatement *shim_query_prepare_ids   (const ShimQuery *self, ShimRegister *reg, const ShimKind *kind, GError **error);
ShimStatement *shim_query_prepare_count (const ShimQuery *self, ShimRegister *reg, const ShimKind *kind, GError **error);

G_END_DECLS
