/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-register-private.h"

/* The history in plain words. */

static void
change_free (gpointer data)
{
  ShimHistoryChange *change = data;

  g_free (change->kind);
  g_free (change->row);
  g_free (change->title);
  g_free (change->action);
  g_free (change->field);
  g_free (change->before);
  g_free (change->after);
  g_free (change);
}

void
shim_history_entry_free (ShimHistoryEntry *self)
{
  if (self == NULL)
    return;
  g_free (self->id);
  g_free (self->at);
  g_free (self->who);
  g_free (self->summary);
  g_free (self->action);
  g_clear_pointer (&self->changes, g_ptr_array_unref);
  g_free (self);
}

/* An id as the name of what it stands for. */
static char *
name_reference (ShimRegister *self, const ShimField *field, const char *id)
{
  g_autoptr (ShimRecord) record = NULL;

  if (g_strcmp0 (field->ref, "mount") == 0)
    return g_strdup (id);
  record = shim_register_fetch (self, shim_kind_type_from_name (field->ref), id, TRUE, NULL);
  return record != NULL ? shim_register_dup_title (self, record) : g_strdup (id);
}

/**
 * shim_register_value_to_words:
 * @self: a register
 * @field: a field
 * @value: a value of it as SQLite keeps it
 *
 * Returns: (transfer full) (nullable): the value for people; %NULL when not known
 */
char *
shim_register_value_to_words (ShimRegister *self, const ShimField *field, sqlite3_value *value)
{
  const char *text;

  if (value == NULL || sqlite3_value_type (value) == SQLITE_NULL)
    return NULL;
  text = (const char *) sqlite3_value_text (value);
  switch (field->type)
    {
    case SHIM_FIELD_BOOL:
      return g_strdup (sqlite3_value_int (value) ? _ ("yes") : _ ("no"));
    case SHIM_FIELD_CHOICE:
      return g_strdup (shim_field_choice_label (field, text) != NULL ? shim_field_choice_label (field, text) : text);
    case SHIM_FIELD_REF:
      return name_reference (self, field, text);
    case SHIM_FIELD_REAL:
      return g_strdup_printf (field->unit != NULL ? "%.6g %s" : "%.6g", sqlite3_value_double (value), field->unit);
    case SHIM_FIELD_INT:
      return g_strdup_printf (field->unit != NULL ? "%" G_GINT64_FORMAT " %s" : "%" G_GINT64_FORMAT,
                              (gint64) sqlite3_value_int64 (value), field->unit);
    case SHIM_FIELD_BLOB:
      return g_strdup (_ ("a picture"));
    case SHIM_FIELD_TEXT:
    case SHIM_FIELD_DATE:
    case SHIM_FIELD_TIME:
    default:
      return g_strdup (text);
    }
}

static ShimHistoryChange *
change_new (ShimRegister *self, const ShimKind *kind, const char *row, const char *action)
{
  ShimHistoryChange *change = g_new0 (ShimHistoryChange, 1);
  g_autoptr (ShimRecord) record = shim_register_fetch (self, shim_register_type_of (kind), row, TRUE, NULL);

  change->kind = g_strdup (kind->name);
  change->row = g_strdup (row);
  change->title = record != NULL ? shim_register_dup_title (self, record) : g_strdup (_ (kind->label));
  change->action = g_strdup (action);
  return change;
}

/* The columns of a changed row; column 0 is the id, column 1 + i is field i. */
static void
add_fields (ShimRegister *self, sqlite3_changeset_iter *iter, const ShimKind *kind, int n_columns, const char *row,
            GPtrArray *changes)
{
  for (int i = 1; i < n_columns && i <= (int) kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i - 1];
      sqlite3_value *before = NULL, *after = NULL;
      ShimHistoryChange *change;

      sqlite3changeset_old (iter, i, &before);
      sqlite3changeset_new (iter, i, &after);
      if (after == NULL)
        continue;
      change = change_new (self, kind, row, "changed");
      change->field = g_strdup (_ (field->label));
      change->before = shim_register_value_to_words (self, field, before);
      change->after = shim_register_value_to_words (self, field, after);
      g_ptr_array_add (changes, change);
    }
}

/* Ids of what belongs to an item's own history: itself, and what happened to it. %NULL without an error for %NULL: everything does. */
static gboolean
read_concerned (ShimRegister *self, const char *item, GHashTable **concerned, GError **error)
{
  g_autoptr (GHashTable) ids = NULL;
  g_autoptr (ShimStatement) statement = NULL;
  ShimStep step;

  *concerned = NULL;
  if (item == NULL)
    return TRUE;
  ids = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  g_hash_table_add (ids, g_strdup (item));
  statement = shim_db_prepare (self->db, "SELECT id FROM event WHERE item = ?1", error);
  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, item);
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    g_hash_table_add (ids, shim_statement_dup_text (statement, 0));
  *concerned = g_steal_pointer (&ids);
  return step == SHIM_STEP_DONE;
}

static void
add_changed (ShimRegister *self, GBytes *changeset, GHashTable *concerned, GPtrArray *changes)
{
  sqlite3_changeset_iter *iter = NULL;
  gsize size;
  gconstpointer data = g_bytes_get_data (changeset, &size);

  if (sqlite3changeset_start (&iter, (int) size, (void *) data) != SQLITE_OK)
    return;
  while (sqlite3changeset_next (iter) == SQLITE_ROW)
    {
      const char *table;
      int n_columns, operation, indirect;
      sqlite3_value *id = NULL;
      const ShimKind *kind;

      sqlite3changeset_op (iter, &table, &n_columns, &operation, &indirect);
      kind = shim_kind_from_name (table);
      if (operation != SQLITE_UPDATE || kind == NULL || sqlite3changeset_old (iter, 0, &id) != SQLITE_OK || id == NULL)
        continue;
      if (concerned == NULL || g_hash_table_contains (concerned, sqlite3_value_text (id)))
        {
          g_autofree char *row = g_strdup ((const char *) sqlite3_value_text (id));

          add_fields (self, iter, kind, n_columns, row, changes);
        }
    }
  sqlite3changeset_finalize (iter);
}

static gboolean
add_rows (ShimRegister *self, gint64 n, GHashTable *concerned, GPtrArray *changes, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (self->db,
                         "SELECT kind, row, action FROM history_row WHERE history = ?1 AND action <> 'changed'"
                         " ORDER BY position",
                         error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_int (statement, 1, n);
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    {
      const ShimKind *kind = shim_kind_from_name (shim_statement_get_text (statement, 0));

      if (kind != NULL && (concerned == NULL || g_hash_table_contains (concerned, shim_statement_get_text (statement, 1))))
        g_ptr_array_add (changes, change_new (self, kind, shim_statement_get_text (statement, 1),
                                              shim_statement_get_text (statement, 2)));
    }
  return step == SHIM_STEP_DONE;
}

static ShimHistoryEntry *
read_entry (ShimRegister *self, ShimStatement *statement, GHashTable *concerned, GError **error)
{
  g_autoptr (ShimHistoryEntry) entry = g_new0 (ShimHistoryEntry, 1);
  g_autoptr (GBytes) changeset = shim_statement_get_blob (statement, 7);

  entry->id = shim_statement_dup_text (statement, 1);
  entry->at = shim_statement_dup_text (statement, 2);
  entry->who = shim_statement_dup_text (statement, 3);
  entry->summary = shim_statement_dup_text (statement, 4);
  entry->action = shim_statement_dup_text (statement, 5);
  entry->undone = shim_statement_get_int (statement, 6) != 0;
  entry->changes = g_ptr_array_new_with_free_func (change_free);
  if (changeset != NULL)
    add_changed (self, changeset, concerned, entry->changes);
  if (!add_rows (self, shim_statement_get_int (statement, 0), concerned, entry->changes, error))
    return NULL;
  return g_steal_pointer (&entry);
}

#define COLUMNS "SELECT n, id, at, who, summary, action, undone, changeset FROM history "

GPtrArray *
shim_register_history (ShimRegister *self, const char *item, guint limit, guint offset, GError **error)
{
  g_autoptr (GPtrArray) list = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_history_entry_free);
  g_autoptr (GHashTable) concerned = NULL;
  g_autoptr (ShimStatement) statement = NULL;
  ShimStep step;

  g_return_val_if_fail (self != NULL, NULL);

  if (!read_concerned (self, item, &concerned, error))
    return NULL;
  statement = shim_db_prepare (self->db,
                               item == NULL ? COLUMNS "ORDER BY n DESC LIMIT ?1 OFFSET ?2"
                                            : COLUMNS "WHERE n IN (SELECT history FROM history_row WHERE row = ?3 UNION"
                                                      " SELECT h.history FROM event AS e JOIN history_row AS h ON h.row = e.id"
                                                      " WHERE e.item = ?3)"
                                                      " ORDER BY n DESC LIMIT ?1 OFFSET ?2",
                               error);
  if (statement == NULL)
    return NULL;
  shim_statement_bind_int (statement, 1, limit > 0 ? (gint64) limit : -1);
  shim_statement_bind_int (statement, 2, offset);
  if (item != NULL)
    shim_statement_bind_text (statement, 3, item);
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    {
      ShimHistoryEntry *entry = read_entry (self, statement, concerned, error);

      if (entry == NULL)
        return NULL;
      g_ptr_array_add (list, entry);
    }
  return step == SHIM_STEP_DONE ? g_steal_pointer (&list) : NULL;
}
