/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-row.h"

/* Column 0 is the id, column 1 + i is field i: in every SELECT that shim_row_columns() writes. */

static gboolean
is_stored (const ShimField *field)
{
  return (field->flags & SHIM_FIELD_DERIVED) == 0;
}

/**
 * shim_row_columns:
 * @kind: a kind
 * @table: name or alias of its table in the query
 * @with_blobs: whether blobs are wanted; without it they are read as not known
 *
 * Returns: (transfer full): the column list of a SELECT
 */
char *
shim_row_columns (const ShimKind *kind, const char *table, gboolean with_blobs)
{
  GString *sql = g_string_new (NULL);

  g_string_append_printf (sql, "%s.id", table);
  for (guint i = 0; i < kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i];

      if (!is_stored (field) || (field->type == SHIM_FIELD_BLOB && !with_blobs))
        g_string_append (sql, ", NULL");
      else
        g_string_append_printf (sql, ", %s.\"%s\"", table, field->name);
    }
  return g_string_free (sql, FALSE);
}

/**
 * shim_row_insert_sql:
 * @kind: a kind
 *
 * Returns: (transfer full): an INSERT whose parameters shim_row_bind() fills
 */
char *
shim_row_insert_sql (const ShimKind *kind)
{
  GString *sql = g_string_new (NULL);
  GString *values = g_string_new ("?1");

  g_string_append_printf (sql, "INSERT INTO \"%s\" (id", kind->name);
  for (guint i = 0; i < kind->n_fields; i++)
    if (is_stored (&kind->fields[i]))
      {
        g_string_append_printf (sql, ", \"%s\"", kind->fields[i].name);
        g_string_append_printf (values, ", ?%u", i + 2);
      }
  g_string_append_printf (sql, ") VALUES (%s)", values->str);
  g_string_free (values, TRUE);
  return g_string_free (sql, FALSE);
}

/**
 * shim_row_update_sql:
 * @kind: a kind
 *
 * Returns: (transfer full): an UPDATE of all fields whose parameters shim_row_bind() fills
 */
char *
shim_row_update_sql (const ShimKind *kind)
{
  GString *sql = g_string_new (NULL);
  const char *comma = "";

  g_string_append_printf (sql, "UPDATE \"%s\" SET ", kind->name);
  for (guint i = 0; i < kind->n_fields; i++)
    if (is_stored (&kind->fields[i]))
      {
        g_string_append_printf (sql, "%s\"%s\" = ?%u", comma, kind->fields[i].name, i + 2);
        comma = ", ";
      }
  g_string_append (sql, " WHERE id = ?1");
  return g_string_free (sql, FALSE);
}

static void
bind_field (ShimStatement *statement, int index, ShimRecord *record, const ShimField *field)
{
  gconstpointer data;
  gsize size;

  switch (field->type)
    {
    case SHIM_FIELD_INT:
    case SHIM_FIELD_BOOL:
      shim_statement_bind_int (statement, index, shim_record_get_int (record, field));
      break;
    case SHIM_FIELD_REAL:
      shim_statement_bind_real (statement, index, shim_record_get_real (record, field));
      break;
    case SHIM_FIELD_BLOB:
      data = shim_record_get_blob (record, field) != NULL ? g_bytes_get_data (shim_record_get_blob (record, field), &size)
                                                          : NULL;
      if (data != NULL)
        shim_statement_bind_blob (statement, index, data, size);
      break;
    case SHIM_FIELD_TEXT:
    case SHIM_FIELD_CHOICE:
    case SHIM_FIELD_DATE:
    case SHIM_FIELD_TIME:
    case SHIM_FIELD_REF:
    default:
      shim_statement_bind_text (statement, index, shim_record_get_text (record, field));
      break;
    }
}

void
shim_row_bind (ShimStatement *statement, ShimRecord *record)
{
  const ShimKind *kind = shim_record_get_kind (record);

  shim_statement_bind_text (statement, 1, record->id);
  for (guint i = 0; i < kind->n_fields; i++)
    if (is_stored (&kind->fields[i]))
      bind_field (statement, i + 2, record, &kind->fields[i]);
}

/**
 * shim_row_bind_value:
 * @statement: a statement
 * @index: of the parameter
 * @field: (nullable): the field it is compared with; %NULL = the id
 * @text: the value as text
 */
void
shim_row_bind_value (ShimStatement *statement, int index, const ShimField *field, const char *text)
{
  if (field != NULL && (field->type == SHIM_FIELD_INT || field->type == SHIM_FIELD_BOOL))
    shim_statement_bind_int (statement, index, g_ascii_strtoll (text, NULL, 10));
  else if (field != NULL && field->type == SHIM_FIELD_REAL)
    shim_statement_bind_real (statement, index, g_ascii_strtod (text, NULL));
  else
    shim_statement_bind_text (statement, index, text);
}

/* Straight into the struct: the record is new, nobody listens to it yet. */
static void
read_field (ShimStatement *statement, int column, ShimRecord *record, const ShimField *field)
{
  gpointer member = G_STRUCT_MEMBER_P (record, field->offset);

  if (shim_statement_is_null (statement, column))
    return;
  switch (field->type)
    {
    case SHIM_FIELD_INT:
    case SHIM_FIELD_BOOL:
      *(gint64 *) member = shim_statement_get_int (statement, column);
      break;
    case SHIM_FIELD_REAL:
      *(double *) member = shim_statement_get_real (statement, column);
      break;
    case SHIM_FIELD_BLOB:
      *(GBytes **) member = shim_statement_get_blob (statement, column);
      break;
    case SHIM_FIELD_TEXT:
    case SHIM_FIELD_CHOICE:
    case SHIM_FIELD_DATE:
    case SHIM_FIELD_TIME:
    case SHIM_FIELD_REF:
    default:
      *(char **) member = shim_statement_dup_text (statement, column);
      break;
    }
}

/**
 * shim_row_read:
 * @statement: a statement at a row, its columns as of shim_row_columns()
 * @type: the record type
 *
 * Returns: (transfer full): the record
 */
ShimRecord *
shim_row_read (ShimStatement *statement, GType type)
{
  ShimRecord *record = g_object_new (type, NULL);
  const ShimKind *kind = shim_record_get_kind (record);

  record->id = shim_statement_dup_text (statement, 0);
  for (guint i = 0; i < kind->n_fields; i++)
    read_field (statement, i + 1, record, &kind->fields[i]);
  return record;
}

/**
 * shim_row_read_list:
 * @statement: a bound statement
 * @type: the record type
 * @list: where the records go
 * @last: (out): DONE, or ERROR with @error set
 * @error: return location
 */
void
shim_row_read_list (ShimStatement *statement, GType type, GPtrArray *list, ShimStep *last, GError **error)
{
  while ((*last = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    g_ptr_array_add (list, shim_row_read (statement, type));
}
