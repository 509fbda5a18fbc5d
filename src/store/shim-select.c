/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-row.h"
#include "shim-search.h"
#include "shim-select-private.h"

static void
init (ShimSelect *self, ShimRegister *reg, const ShimKind *kind)
{
  self->reg = reg;
  self->kind = kind;
  self->sql = g_string_new (NULL);
  self->fields = g_ptr_array_new ();
  self->values = g_ptr_array_new_with_free_func (g_free);
}

static void
clear (ShimSelect *self)
{
  g_string_free (self->sql, TRUE);
  g_ptr_array_unref (self->fields);
  g_ptr_array_unref (self->values);
}

void
_shim_select_bind (ShimSelect *self, const ShimField *field, const char *value)
{
  g_ptr_array_add (self->fields, (gpointer) field);
  g_ptr_array_add (self->values, g_strdup (value));
}

/* Gives the column's name, NULL with @error set when there is no such field. */
static const char *
find_column (ShimSelect *self, const char *name, const ShimField **field, GError **error)
{
  *field = NULL;
  if (g_str_equal (name, "id"))
    return "id";
  *field = shim_kind_find_field (self->kind, name);
  if (*field != NULL && ((*field)->flags & SHIM_FIELD_DERIVED) == 0 && (*field)->type != SHIM_FIELD_BLOB)
    return (*field)->name;
  g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_FAILED, _ ("A %s cannot be looked up by “%s”."),
               self->kind->name, name);
  return NULL;
}

static gboolean
add_filter (ShimSelect *self, const ShimQueryFilter *filter, GError **error)
{
  const ShimField *field;
  const char *column = find_column (self, filter->field, &field, error);

  if (column == NULL)
    return FALSE;
  if (filter->values == NULL)
    {
      g_string_append_printf (self->sql, " AND t.\"%s\" IS NULL", column);
      return TRUE;
    }
  g_string_append_printf (self->sql, " AND t.\"%s\" IN (", column);
  for (guint i = 0; filter->values[i] != NULL; i++)
    {
      g_string_append (self->sql, i > 0 ? ", ?" : "?");
      _shim_select_bind (self, field, filter->values[i]);
    }
  g_string_append_c (self->sql, ')');
  return TRUE;
}

/* --- Search --- */

/* Gives how to search, and the parameter that it takes. */
static gboolean
plan_search (ShimSelect *self, const ShimQuery *query, ShimSearchPlan *plan, char **parameter, GError **error)
{
  g_autofree char *plain = query != NULL && query->search != NULL ? shim_search_plain (query->search) : NULL;
  g_autofree char *any_kind = NULL;
  g_autofree char *this_kind = NULL;
  gboolean full, few;

  *plan = SHIM_SEARCH_NONE;
  if (plain == NULL || *plain == '\0')
    return TRUE;
  if (!_shim_select_fills_window (self, query, &full, error))
    return FALSE;
  if (full)
    {
      *plan = SHIM_SEARCH_WALK;
      *parameter = g_steal_pointer (&plain);
      return TRUE;
    }
  any_kind = shim_search_match (NULL, plain);
  this_kind = shim_search_match (self->kind->name, plain);
  /* Asking for the words alone first: leafing through all records of a kind takes longer than looking at a few found ones. */
  if (!shim_search_are_few (self->reg->db, any_kind, &few, error))
    return FALSE;
  *plan = SHIM_SEARCH_FETCH;
  if (few)
    {
      *parameter = g_steal_pointer (&any_kind);
      return TRUE;
    }
  if (!shim_search_are_few (self->reg->db, this_kind, &few, error))
    return FALSE;
  *plan = few ? SHIM_SEARCH_FETCH : SHIM_SEARCH_WALK;
  *parameter = few ? g_steal_pointer (&this_kind) : g_steal_pointer (&plain);
  return TRUE;
}

/* CROSS JOIN keeps SQLite to this order. */
static void
add_source (ShimSelect *self, ShimSearchPlan plan, const char *parameter)
{
  if (plan == SHIM_SEARCH_FETCH)
    {
      g_string_append_printf (self->sql,
                              " FROM search CROSS JOIN search_text AS s ON s.n = search.rowid CROSS JOIN \"%s\" AS t ON t.id = s.id"
                              " WHERE search MATCH ? AND s.kind = '%s' AND",
                              self->kind->name, self->kind->name);
      _shim_select_bind (self, NULL, parameter);
    }
  else
    g_string_append_printf (self->sql, " FROM \"%s\" AS t WHERE", self->kind->name);
  g_string_append (self->sql, " NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = t.id)");
  if (plan == SHIM_SEARCH_WALK)
    {
      g_string_append (self->sql,
                       " AND EXISTS (SELECT 1 FROM search_text AS s WHERE s.id = t.id AND shim_has_words (s.words, ?))");
      _shim_select_bind (self, NULL, parameter);
    }
}

gboolean
_shim_select_hides_archived (ShimSelect *self, const ShimQuery *query)
{
  return (query == NULL || !query->include_archived) && shim_kind_find_field (self->kind, "archived") != NULL;
}

gboolean
_shim_select_asks_for_pairs (const ShimQuery *query)
{
  return query->pair_states != 0 || query->pair_reasons != SHIM_DUE_NONE || query->pair_conflict;
}

static void
add_pair_states (ShimSelect *self, const ShimQuery *query)
{
  g_autofree char *oldest = NULL, *ahead = NULL;

  if (!_shim_select_asks_for_pairs (query))
    return;
  g_string_append_printf (self->sql, " AND EXISTS (SELECT 1 FROM pair_now AS n WHERE n.%s = t.id%s", self->kind->name,
                          query->pair_conflict ? " AND n.conflict <> 0" : "");
  if (shim_register_add_pair_states (self->reg, self->sql, query->pair_states, query->pair_reasons, "?", "?"))
    {
      shim_register_dup_age_limits (self->reg, &oldest, &ahead);
      _shim_select_bind (self, NULL, oldest);
      _shim_select_bind (self, NULL, ahead);
    }
  g_string_append_c (self->sql, ')');
}

static gboolean
add_conditions (ShimSelect *self, const ShimQuery *query, ShimSearchPlan plan, const char *parameter, GError **error)
{
  add_source (self, plan, parameter);
  if (_shim_select_hides_archived (self, query))
    g_string_append (self->sql, " AND t.archived = 0");
  if (query == NULL)
    return TRUE;
  for (guint i = 0; i < query->filters->len; i++)
    if (!add_filter (self, g_ptr_array_index (query->filters, i), error))
      return FALSE;
  if (query->job != NULL)
    {
      g_string_append (self->sql, " AND t.id IN (SELECT j.item FROM job_item AS j WHERE j.job = ?"
                                  " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = j.id))");
      _shim_select_bind (self, NULL, query->job);
    }
  if (query->left_out != NULL)
    {
      g_string_append (self->sql, " AND t.id <> ?");
      _shim_select_bind (self, NULL, query->left_out);
    }
  add_pair_states (self, query);
  return TRUE;
}

static gboolean
is_name (const ShimKind *kind, const ShimField *field)
{
  return g_str_equal (field->name, "label") && shim_kind_is_searched (kind);
}

static gboolean
add_orders (ShimSelect *self, const ShimQuery *query, GError **error)
{
  g_string_append (self->sql, " ORDER BY ");
  for (guint i = 0; query != NULL && i < query->orders->len; i++)
    {
      const ShimQueryOrder *order = g_ptr_array_index (query->orders, i);
      const ShimField *field;
      const char *column = find_column (self, order->field, &field, error);

      if (column == NULL)
        return FALSE;
      if (field != NULL && is_name (self->kind, field))
        {
          if (i == 0 && !order->descending)
            _shim_select_add_beginning_first (self, query);
          g_string_append_printf (self->sql, SHIM_SORT_KEY "%s, ", order->descending ? " DESC" : "");
          continue;
        }
      /* A required field is always known; leaving the test out lets its index do the sorting. */
      if (field != NULL && (field->flags & SHIM_FIELD_REQUIRED) == 0 && field->type != SHIM_FIELD_BOOL)
        g_string_append_printf (self->sql, "t.\"%s\" IS NULL, ", column);
      g_string_append_printf (self->sql, "t.\"%s\"%s%s, ", column,
                              field != NULL && field->type == SHIM_FIELD_TEXT ? " COLLATE NOCASE" : "",
                              order->descending ? " DESC" : "");
    }
  g_string_append (self->sql, query != NULL && query->orders->len > 0 ? "t.id" : "t.rowid");
  return TRUE;
}

static ShimStatement *
finish (ShimSelect *self, GError **error)
{
  ShimStatement *statement = shim_db_prepare (self->reg->db, self->sql->str, error);

  for (guint i = 0; statement != NULL && i < self->values->len; i++)
    shim_row_bind_value (statement, i + 1, g_ptr_array_index (self->fields, i), g_ptr_array_index (self->values, i));
  return statement;
}

static const ShimField window_field = { .name = "window", .type = SHIM_FIELD_INT };

void
_shim_select_add_window (ShimSelect *self, const ShimQuery *query)
{
  g_autofree char *limit = NULL;
  g_autofree char *offset = NULL;

  if (query == NULL || (query->limit == 0 && query->offset == 0))
    return;
  limit = g_strdup_printf ("%d", query->limit > 0 ? (int) query->limit : -1);
  offset = g_strdup_printf ("%u", query->offset);
  g_string_append (self->sql, " LIMIT ? OFFSET ?");
  _shim_select_bind (self, &window_field, limit);
  _shim_select_bind (self, &window_field, offset);
}

/* --- The three questions --- */

static gboolean
add_question (ShimSelect *self, const ShimQuery *query, ShimQuestion question, GError **error)
{
  g_autofree char *columns = shim_row_columns (self->kind, "t", query != NULL && query->include_blobs);
  g_autofree char *parameter = NULL;
  ShimSearchPlan plan;

  if (!plan_search (self, query, &plan, &parameter, error))
    return FALSE;
  if (plan != SHIM_SEARCH_FETCH && _shim_select_is_by_name (query, self->kind))
    {
      _shim_select_add_by_name (self, query, question, columns, plan, parameter);
      return TRUE;
    }
  g_string_append_printf (self->sql, "SELECT %s", question == SHIM_ASK_ROWS ? columns : question == SHIM_ASK_IDS ? "t.id" : "count(*)");
  if (!add_conditions (self, query, plan, parameter, error))
    return FALSE;
  if (question == SHIM_ASK_COUNT)
    return TRUE;
  if (!add_orders (self, query, error))
    return FALSE;
  _shim_select_add_window (self, query);
  return TRUE;
}

static ShimStatement *
prepare (const ShimQuery *query, ShimRegister *reg, const ShimKind *kind, ShimQuestion question, GError **error)
{
  ShimStatement *statement = NULL;
  ShimSelect select;

  init (&select, reg, kind);
  if (add_question (&select, query, question, error))
    statement = finish (&select, error);
  clear (&select);
  return statement;
}

/**
 * shim_query_prepare_list:
 * @self: (nullable): a query
 * @reg: a register
 * @kind: of what
 * @error: return location
 *
 * Returns: (transfer full) (nullable): a bound statement whose columns are those of shim_row_columns()
 */
ShimStatement *
shim_query_prepare_list (const ShimQuery *self, ShimRegister *reg, const ShimKind *kind, GError **error)
{
  return prepare (self, reg, kind, SHIM_ASK_ROWS, error);
}

/**
 * shim_query_prepare_ids:
 *
 * Returns: (transfer full) (nullable): a bound statement that gives the ids alone, in the query's order
 */
ShimStatement *
shim_query_prepare_ids (const ShimQuery *self, ShimRegister *reg, const ShimKind *kind, GError **error)
{
  return prepare (self, reg, kind, SHIM_ASK_IDS, error);
}

/**
 * shim_query_prepare_count:
 *
 * Returns: (transfer full) (nullable): a bound statement that gives the number of rows without the window
 */
ShimStatement *
shim_query_prepare_count (const ShimQuery *self, ShimRegister *reg, const ShimKind *kind, GError **error)
{
  return prepare (self, reg, kind, SHIM_ASK_COUNT, error);
}
