/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-query-private.h"

G_BEGIN_DECLS

/* A query on its way to SQL. Only names from the field tables get into the text; what somebody typed is bound. */
typedef struct
{
  ShimRegister *reg;
  const ShimKind *kind;
  GString *sql;
  GPtrArray *fields; /* const ShimField *, NULL = plain text: how each parameter is bound */
  GPtrArray *values; /* const char * */
} ShimSelect;

typedef enum
{
  SHIM_ASK_ROWS,
  SHIM_ASK_IDS,
  SHIM_ASK_COUNT,
} ShimQuestion;

/* Few records found: they are fetched and sorted. Many: the records are walked in the order wanted, each is compared with the words,
 * and the walk ends when the window is full. */
typedef enum
{
  SHIM_SEARCH_NONE,
  SHIM_SEARCH_FETCH,
  SHIM_SEARCH_WALK,
} ShimSearchPlan;

/* The store keeps where a name stands among the others; see shim_search_sort_key(). */
#define SHIM_SORT_KEY "(SELECT k.sort_key FROM search_text AS k WHERE k.id = t.id)"

void     _shim_select_bind                (ShimSelect *self, const ShimField *field, const char *value);
void     _shim_select_add_window          (ShimSelect *self, const ShimQuery *query);
gboolean _shim_select_hides_archived      (ShimSelect *self, const ShimQuery *query);
gboolean _shim_select_asks_for_pairs      (const ShimQuery *query);

/* Lists by name: what a person sees first, and most. They are read from one index in its own order. */
gboolean _shim_select_is_by_name          (const ShimQuery *query, const ShimKind *kind);
gboolean _shim_select_fills_window        (ShimSelect *self, const ShimQuery *query, gboolean *full, GError **error);
void     _shim_select_add_by_name         (ShimSelect *self, const ShimQuery *query, ShimQuestion question, const char *columns,
                                           ShimSearchPlan plan, const char *parameter);
void     _shim_select_add_beginning_first (ShimSelect *self, const ShimQuery *query);

G_END_DECLS
