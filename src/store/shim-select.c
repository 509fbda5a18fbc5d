/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-query-private.h"
#include "shim-row.h"
#include "shim-search.h"

/* A query as SQL. Only names from the field tables get into the text; what somebody typed is bound. */

typedef enum
{
  ASK_ROWS,
  ASK_IDS,
  ASK_COUNT,
} Question;

typedef struct
{
  ShimRegister *reg;
  const ShimKind *kind;
  GString *sql;
  GPtrArray *fields; /* const ShimField *, NULL = plain text: how each parameter is bound */
  GPtrArray *values; /* const char * */
} Builder;

static void
builder_init (Builder *self, ShimRegister *reg, const ShimKind *kind)
{
  self->reg = reg;
  self->kind = kind;
  self->sql = g_string_new (NULL);
  self->fields = g_ptr_array_new ();
  self->values = g_ptr_array_new_with_free_func (g_free);
}

static void
builder_clear (Builder *self)
{
  g_string_free (self->sql, TRUE);
  g_ptr_array_unref (self->fields);
  g_ptr_array_unref (self->values);
}

static void
add_parameter (Builder *self, const ShimField *field, const char *value)
{
  g_ptr_array_add (self->fields, (gpointer) field);
  g_ptr_array_add (self->values, g_strdup (value));
}

/* Gives the column's name, NULL with @error set when there is no such field. */
static const char *
find_column (Builder *self, const char *name, const ShimField **field, GError **error)
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
add_filter (Builder *self, const ShimQueryFilter *filter, GError **error)
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
      add_parameter (self, field, filter->values[i]);
    }
  g_string_append_c (self->sql, ')');
  return TRUE;
}

/* --- Names ---
 * What a person sees first, and most: all of a kind by name, perhaps with a search. */

static gboolean
asks_for_pairs (const ShimQuery *query)
{
  return query->pair_states != 0 || query->pair_reasons != SHIM_DUE_NONE || query->pair_conflict;
}

static gboolean
is_by_name (const ShimQuery *query, const ShimKind *kind)
{
  const ShimField *name = shim_kind_find_field (kind, "label");
  const ShimQueryOrder *order;

  if (query == NULL || name == NULL || query->filters->len > 0 || query->job != NULL || query->left_out != NULL
      || asks_for_pairs (query) || query->orders->len != 1)
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
static gboolean
fill_window (Builder *self, const ShimQuery *query, gboolean *full, GError **error)
{
  g_autofree char *from = NULL, *to = NULL, *sql = NULL;
  g_autoptr (ShimStatement) statement = NULL;

  *full = FALSE;
  if (!is_by_name (query, self->kind) || query->limit == 0 || !find_beginning (query, &from, &to))
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

/* --- Search ---
 * Few records found: they are fetched and sorted. Many: the records are walked in the order wanted, each is compared with the words,
 * and the walk ends when the window is full. */

typedef enum
{
  SEARCH_NONE,
  SEARCH_FETCH,
  SEARCH_WALK,
} SearchPlan;

/* Gives how to search, and the parameter that it takes. */
static gboolean
plan_search (Builder *self, const ShimQuery *query, SearchPlan *plan, char **parameter, GError **error)
{
  g_autofree char *plain = query != NULL && query->search != NULL ? shim_search_plain (query->search) : NULL;
  g_autofree char *any_kind = NULL;
  g_autofree char *this_kind = NULL;
  gboolean full, few;

  *plan = SEARCH_NONE;
  if (plain == NULL || *plain == '\0')
    return TRUE;
  if (!fill_window (self, query, &full, error))
    return FALSE;
  if (full)
    {
      *plan = SEARCH_WALK;
      *parameter = g_steal_pointer (&plain);
      return TRUE;
    }
  any_kind = shim_search_match (NULL, plain);
  this_kind = shim_search_match (self->kind->name, plain);
  /* Asking for the words alone first: leafing through all records of a kind takes longer than looking at a few found ones. */
  if (!shim_search_are_few (self->reg->db, any_kind, &few, error))
    return FALSE;
  *plan = SEARCH_FETCH;
  if (few)
    {
      *parameter = g_steal_pointer (&any_kind);
      return TRUE;
    }
  if (!shim_search_are_few (self->reg->db, this_kind, &few, error))
    return FALSE;
  *plan = few ? SEARCH_FETCH : SEARCH_WALK;
  *parameter = few ? g_steal_pointer (&this_kind) : g_steal_pointer (&plain);
  return TRUE;
}

/* CROSS JOIN keeps SQLite to this order. */
static void
add_source (Builder *self, SearchPlan plan, const char *parameter)
{
  if (plan == SEARCH_FETCH)
    {
      g_string_append_printf (self->sql,
                              " FROM search CROSS JOIN search_text AS s ON s.n = search.rowid CROSS JOIN \"%s\" AS t ON t.id = s.id"
                              " WHERE search MATCH ? AND s.kind = '%s' AND",
                              self->kind->name, self->kind->name);
      add_parameter (self, NULL, parameter);
    }
  else
    g_string_append_printf (self->sql, " FROM \"%s\" AS t WHERE", self->kind->name);
  g_string_append (self->sql, " NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = t.id)");
  if (plan == SEARCH_WALK)
    {
      g_string_append (self->sql,
                       " AND EXISTS (SELECT 1 FROM search_text AS s WHERE s.id = t.id AND shim_has_words (s.words, ?))");
      add_parameter (self, NULL, parameter);
    }
}

static gboolean
hides_archived (Builder *self, const ShimQuery *query)
{
  return (query == NULL || !query->include_archived) && shim_kind_find_field (self->kind, "archived") != NULL;
}

static void
add_pair_states (Builder *self, const ShimQuery *query)
{
  g_autofree char *oldest = NULL, *ahead = NULL;

  if (!asks_for_pairs (query))
    return;
  g_string_append_printf (self->sql, " AND EXISTS (SELECT 1 FROM pair_now AS n WHERE n.%s = t.id%s", self->kind->name,
                          query->pair_conflict ? " AND n.conflict <> 0" : "");
  if (shim_register_add_pair_states (self->reg, self->sql, query->pair_states, query->pair_reasons, "?", "?"))
    {
      shim_register_dup_age_limits (self->reg, &oldest, &ahead);
      add_parameter (self, NULL, oldest);
      add_parameter (self, NULL, ahead);
    }
  g_string_append_c (self->sql, ')');
}

static gboolean
add_conditions (Builder *self, const ShimQuery *query, SearchPlan plan, const char *parameter, GError **error)
{
  add_source (self, plan, parameter);
  if (hides_archived (self, query))
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
      add_parameter (self, NULL, query->job);
    }
  if (query->left_out != NULL)
    {
      g_string_append (self->sql, " AND t.id <> ?");
      add_parameter (self, NULL, query->left_out);
    }
  add_pair_states (self, query);
  return TRUE;
}

/* The store keeps where a name stands among the others; see shim_search_sort_key(). */
#define SORT_KEY "(SELECT k.sort_key FROM search_text AS k WHERE k.id = t.id)"

static gboolean
is_name (const ShimKind *kind, const ShimField *field)
{
  return g_str_equal (field->name, "label") && shim_kind_is_searched (kind);
}

static void
add_beginning_first (Builder *self, const ShimQuery *query)
{
  g_autofree char *from = NULL, *to = NULL;

  if (!find_beginning (query, &from, &to))
    return;
  g_string_append (self->sql, SORT_KEY " NOT BETWEEN ? AND ?, ");
  add_parameter (self, NULL, from);
  add_parameter (self, NULL, to);
}

static gboolean
add_orders (Builder *self, const ShimQuery *query, GError **error)
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
            add_beginning_first (self, query);
          g_string_append_printf (self->sql, SORT_KEY "%s, ", order->descending ? " DESC" : "");
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
finish (Builder *self, GError **error)
{
  ShimStatement *statement = shim_db_prepare (self->reg->db, self->sql->str, error);

  for (guint i = 0; statement != NULL && i < self->values->len; i++)
    shim_row_bind_value (statement, i + 1, g_ptr_array_index (self->fields, i), g_ptr_array_index (self->values, i));
  return statement;
}

static const ShimField window_field = { .name = "window", .type = SHIM_FIELD_INT };

static void
add_window (Builder *self, const ShimQuery *query)
{
  g_autofree char *limit = NULL;
  g_autofree char *offset = NULL;

  if (query == NULL || (query->limit == 0 && query->offset == 0))
    return;
  limit = g_strdup_printf ("%d", query->limit > 0 ? (int) query->limit : -1);
  offset = g_strdup_printf ("%u", query->offset);
  g_string_append (self->sql, " LIMIT ? OFFSET ?");
  add_parameter (self, &window_field, limit);
  add_parameter (self, &window_field, offset);
}

/* --- Lists by name ---
 * They are read from one index in its own order. */

/* Names that begin with what is searched for, all others, or any. */
typedef enum
{
  NAMES_ANY,
  NAMES_BEGINNING,
  NAMES_OTHER,
} Names;

static void
add_names (Builder *self, const ShimQuery *query, SearchPlan plan, const char *parameter, Names names)
{
  g_autofree char *from = NULL, *to = NULL;

  g_string_append_printf (self->sql, " FROM search_text AS s INDEXED BY search_text_by_sort_key WHERE s.kind = '%s'", self->kind->name);
  if (hides_archived (self, query))
    g_string_append (self->sql, " AND s.archived = 0");
  if (names != NAMES_ANY)
    {
      find_beginning (query, &from, &to);
      g_string_append (self->sql, names == NAMES_BEGINNING ? " AND s.sort_key BETWEEN ? AND ?" : " AND +s.sort_key NOT BETWEEN ? AND ?");
      add_parameter (self, NULL, from);
      add_parameter (self, NULL, to);
    }
  if (plan == SEARCH_WALK)
    {
      g_string_append (self->sql, " AND shim_has_words (s.words, ?)");
      add_parameter (self, NULL, parameter);
    }
}

static void
add_part (Builder *self, const ShimQuery *query, SearchPlan plan, const char *parameter, Names names)
{
  g_string_append_printf (self->sql, "SELECT * FROM (SELECT s.id, s.sort_key, %d AS part", names);
  add_names (self, query, plan, parameter, names);
  g_string_append (self->sql, " ORDER BY s.sort_key, s.id)");
}

/* The window's names in their order, as id, sort_key and part. Parts that are put together so are read one after the other, and
 * the walk ends where the window is full. */
static void
add_window_by_name (Builder *self, const ShimQuery *query, SearchPlan plan, const char *parameter)
{
  if (plan == SEARCH_WALK)
    {
      add_part (self, query, plan, parameter, NAMES_BEGINNING);
      g_string_append (self->sql, " UNION ALL ");
      add_part (self, query, plan, parameter, NAMES_OTHER);
    }
  else
    add_part (self, query, plan, parameter, NAMES_ANY);
  add_window (self, query);
}

static void
add_question_by_name (Builder *self, const ShimQuery *query, Question question, const char *columns, SearchPlan plan,
                      const char *parameter)
{
  if (question == ASK_COUNT)
    {
      g_string_append (self->sql, "SELECT count(*)");
      add_names (self, query, plan, parameter, NAMES_ANY);
      return;
    }
  g_string_append_printf (self->sql, "SELECT %s FROM (", question == ASK_IDS ? "w.id" : columns);
  add_window_by_name (self, query, plan, parameter);
  g_string_append (self->sql, ") AS w");
  if (question == ASK_ROWS)
    g_string_append_printf (self->sql, " CROSS JOIN \"%s\" AS t ON t.id = w.id ORDER BY w.part, w.sort_key, w.id", self->kind->name);
}

/* --- The three questions --- */

static gboolean
add_question (Builder *self, const ShimQuery *query, Question question, GError **error)
{
  g_autofree char *columns = shim_row_columns (self->kind, "t", query != NULL && query->include_blobs);
  g_autofree char *parameter = NULL;
  SearchPlan plan;

  if (!plan_search (self, query, &plan, &parameter, error))
    return FALSE;
  if (plan != SEARCH_FETCH && is_by_name (query, self->kind))
    {
      add_question_by_name (self, query, question, columns, plan, parameter);
      return TRUE;
    }
  g_string_append_printf (self->sql, "SELECT %s", question == ASK_ROWS ? columns : question == ASK_IDS ? "t.id" : "count(*)");
  if (!add_conditions (self, query, plan, parameter, error))
    return FALSE;
  if (question == ASK_COUNT)
    return TRUE;
  if (!add_orders (self, query, error))
    return FALSE;
  add_window (self, query);
  return TRUE;
}

static ShimStatement *
prepare (const ShimQuery *query, ShimRegister *reg, const ShimKind *kind, Question question, GError **error)
{
  ShimStatement *statement = NULL;
  Builder builder;

  builder_init (&builder, reg, kind);
  if (add_question (&builder, query, question, error))
    statement = finish (&builder, error);
  builder_clear (&builder);
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
  return prepare (self, reg, kind, ASK_ROWS, error);
}

/**
 * shim_query_prepare_ids:
 *
 * Returns: (transfer full) (nullable): a bound statement that gives the ids alone, in the query's order
 */
ShimStatement *
shim_query_prepare_ids (const ShimQuery *self, ShimRegister *reg, const ShimKind *kind, GError **error)
{
  return prepare (self, reg, kind, ASK_IDS, error);
}

/**
 * shim_query_prepare_count:
 *
 * Returns: (transfer full) (nullable): a bound statement that gives the number of rows without the window
 */
ShimStatement *
shim_query_prepare_count (const ShimQuery *self, ShimRegister *reg, const ShimKind *kind, GError **error)
{
  return prepare (self, reg, kind, ASK_COUNT, error);
}
