/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-search.h"
#include "shim-select-private.h"

/* --- What is asked for --- */

/* Whether @query asks for all of a kind by name, perhaps with a search, and for nothing else. */
gboolean
_shim_select_is_by_name (const ShimQuery *query, const ShimKind *kind)
{
  const ShimField *name = shim_kind_find_field (kind, "label");
  const ShimQueryOrder *order;

  if (query == NULL || name == NULL || query->filters->len > 0 || query->job != NULL || query->left_out != NULL
      || _shim_select_asks_for_pairs (query) || query->orders->len != 1)
    return FALSE;
  order = g_ptr_array_index (query->orders, 0);
  return !order->descending && shim_kind_find_field (kind, order->field) == name;
}

/* U+10FFFF: no name goes beyond it. */
#define LAST_CHARACTER "\xf4\x8f\xbf\xbf"

/* What a list by name is searched for may begin names: whoever types means these first. Gives the keys that the sort keys of such
 * names are between, %FALSE where nothing is searched for. */
static gboolean
find_beginning (const ShimQuery *query, char **from, char **to)
{
  *from = query != NULL && query->search != NULL ? shim_search_sort_key (query->search) : g_strdup ("");
  *to = g_strconcat (*from, LAST_CHARACTER, NULL);
  return **from != '\0';
}

/* Whether the window is full of names that begin so: then nobody needs to know how many there are besides. */
gboolean
_shim_select_fills_window (ShimSelect *self, const ShimQuery *query, gboolean *full, GError **error)
{
  g_autofree char *from = NULL, *to = NULL, *sql = NULL;
  g_autoptr (ShimStatement) statement = NULL;

  *full = FALSE;
  if (!_shim_select_is_by_name (query, self->kind) || query->limit == 0 || !find_beginning (query, &from, &to))
    return TRUE;
  sql = g_strdup_printf ("SELECT count(*) FROM (SELECT 1 FROM search_text WHERE kind = '%s' AND sort_key BETWEEN ?1 AND ?2 LIMIT ?3)",
                         self->kind->name);
  statement = shim_db_prepare (self->reg->db, sql, error);
  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, from);
  shim_statement_bind_text (statement, 2, to);
  shim_statement_bind_int (statement, 3, query->offset + query->limit);
  if (shim_statement_step (statement, error) != SHIM_STEP_ROW)
    return FALSE;
  *full = shim_statement_get_int (statement, 0) == query->offset + query->limit;
  return TRUE;
}

/* A list by name whose rows come from the records themselves goes by the same order. */
void
_shim_select_add_beginning_first (ShimSelect *self, const ShimQuery *query)
{
  g_autofree char *from = NULL, *to = NULL;

  if (!find_beginning (query, &from, &to))
    return;
  g_string_append (self->sql, SHIM_SORT_KEY " NOT BETWEEN ? AND ?, ");
  _shim_select_bind (self, NULL, from);
  _shim_select_bind (self, NULL, to);
}

/* --- Reading the index --- */

/* Names that begin with what is searched for, all others, or any. */
typedef enum
{
  NAMES_ANY,
  NAMES_BEGINNING,
  NAMES_OTHER,
} Names;

static void
add_names (ShimSelect *self, const ShimQuery *query, ShimSearchPlan plan, const char *parameter, Names names)
{
  g_autofree char *from = NULL, *to = NULL;

  g_string_append_printf (self->sql, " FROM search_text AS s INDEXED BY search_text_by_sort_key WHERE s.kind = '%s'", self->kind->name);
  if (_shim_select_hides_archived (self, query))
    g_string_append (self->sql, " AND s.archived = 0");
  if (names != NAMES_ANY)
    {
      find_beginning (query, &from, &to);
      g_string_append (self->sql, names == NAMES_BEGINNING ? " AND s.sort_key BETWEEN ? AND ?" : " AND +s.sort_key NOT BETWEEN ? AND ?");
      _shim_select_bind (self, NULL, from);
      _shim_select_bind (self, NULL, to);
    }
  if (plan == SHIM_SEARCH_WALK)
    {
      g_string_append (self->sql, " AND shim_has_words (s.words, ?)");
      _shim_select_bind (self, NULL, parameter);
    }
}

static void
add_part (ShimSelect *self, const ShimQuery *query, ShimSearchPlan plan, const char *parameter, Names names)
{
  g_string_append_printf (self->sql, "SELECT * FROM (SELECT s.id, s.sort_key, %d AS part", names);
  add_names (self, query, plan, parameter, names);
  g_string_append (self->sql, " ORDER BY s.sort_key, s.id)");
}

/* The window's names in their order, as id, sort_key and part. Parts that are put together so are read one after the other, and
 * the walk ends where the window is full. */
static void
add_window_by_name (ShimSelect *self, const ShimQuery *query, ShimSearchPlan plan, const char *parameter)
{
  if (plan == SHIM_SEARCH_WALK)
    {
      add_part (self, query, plan, parameter, NAMES_BEGINNING);
      g_string_append (self->sql, " UNION ALL ");
      add_part (self, query, plan, parameter, NAMES_OTHER);
    }
  else
    add_part (self, query, plan, parameter, NAMES_ANY);
  _shim_select_add_window (self, query);
}

void
_shim_select_add_by_name (ShimSelect *self, const ShimQuery *query, ShimQuestion question, const char *columns, ShimSearchPlan plan,
                      const char *parameter)
{
  if (question == SHIM_ASK_COUNT)
    {
      g_string_append (self->sql, "SELECT count(*)");
      add_names (self, query, plan, parameter, NAMES_ANY);
      return;
    }
  g_string_append_printf (self->sql, "SELECT %s FROM (", question == SHIM_ASK_IDS ? "w.id" : columns);
  add_window_by_name (self, query, plan, parameter);
  g_string_append (self->sql, ") AS w");
  if (question == SHIM_ASK_ROWS)
    g_string_append_printf (self->sql, " CROSS JOIN \"%s\" AS t ON t.id = w.id ORDER BY w.part, w.sort_key, w.id", self->kind->name);
}
