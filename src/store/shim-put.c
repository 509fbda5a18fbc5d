/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-register-private.h"
#include "shim-row.h"
#include "shim-search.h"
#include "shim-uuid.h"

/* Writing one record inside a change, with all that hangs on it. */

/**
 * shim_register_fetch:
 * @self: a register
 * @type: a record type
 * @id: an id
 * @retracted_too: whether a record that was undone or removed is wanted as well
 * @error: NOT_FOUND
 *
 * Returns: (transfer full) (nullable): the record
 */
ShimRecord *
shim_register_fetch (ShimRegister *self, GType type, const char *id, gboolean retracted_too, GError **error)
{
  const ShimKind *kind = shim_kind_for_type (type);
  g_autofree char *columns = shim_row_columns (kind, "t", TRUE);
  g_autofree char *sql = NULL;
  g_autoptr (ShimStatement) statement = NULL;
  ShimStep step;

  sql = g_strdup_printf ("SELECT %s FROM \"%s\" AS t WHERE t.id = ?1%s", columns, kind->name,
                         retracted_too ? "" : " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = t.id)");
  statement = shim_db_prepare (self->db, sql, error);
  if (statement == NULL)
    return NULL;
  shim_statement_bind_text (statement, 1, id);
  step = shim_statement_step (statement, error);
  if (step == SHIM_STEP_ROW)
    return shim_row_read (statement, type);
  if (step == SHIM_STEP_DONE)
    g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND, _ ("%s: there is none with the id “%s”."),
                 _ (kind->label), id);
  return NULL;
}

static gboolean
update_retracted (ShimRegister *self, const char *id, gboolean retracted, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (
      self->db, retracted ? "INSERT OR IGNORE INTO retracted VALUES (?1)" : "DELETE FROM retracted WHERE row = ?1", error);

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, id);
  return shim_statement_run (statement, error);
}

/**
 * shim_register_set_retracted:
 * @self: a register in a change
 * @kind: of the record
 * @id: of the record
 * @retracted: whether it stops counting, or counts again
 * @error: return location
 */
gboolean
shim_register_set_retracted (ShimRegister *self, const ShimKind *kind, const char *id, gboolean retracted, GError **error)
{
  g_autoptr (ShimRecord) record = shim_register_fetch (self, shim_register_type_of (kind), id, TRUE, error);
  g_autoptr (ShimStatement) statement = NULL;
  g_autofree char *uuid = shim_uuid_new ();

  if (record == NULL)
    return FALSE;
  statement = shim_db_prepare (self->db,
                               "INSERT INTO retraction (id, kind, row, retracted, at)"
                               " VALUES (?1, ?2, ?3, ?4, strftime ('%Y-%m-%dT%H:%M:%SZ', 'now'))",
                               error);
  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, uuid);
  shim_statement_bind_text (statement, 2, kind->name);
  shim_statement_bind_text (statement, 3, id);
  shim_statement_bind_int (statement, 4, retracted);
  shim_register_touch (self, kind, id, retracted ? "removed" : "restored");
  return shim_statement_run (statement, error) && update_retracted (self, id, retracted, error)
         && (!shim_kind_is_searched (kind)
             || (retracted ? shim_search_drop (self->db, id, error) : shim_search_put (self->db, record, error)))
         && shim_register_mark_dirty (self, record, error);
}

/* A second mount, pair or job item of the same name or parts is the same thing: when it was removed before, it comes back. */
static const struct
{
  const char *kind;
  const char *sql;
  const char *fields[3];
  const char *sentence;
} same_things[] = {
  { "mount", "SELECT id FROM mount WHERE name = ?1", { "name" }, N_ ("There is a mount of this name already.") },
  { "pair",
    "SELECT id FROM pair WHERE body = ?1 AND lens = ?2 AND ifnull (converter, '') = ifnull (?3, '')",
    { "body", "lens", "converter" },
    N_ ("The register has this pair already.") },
  { "job_item",
    "SELECT id FROM job_item WHERE job = ?1 AND item = ?2",
    { "job", "item" },
    N_ ("The job takes this item along already.") },
};

/**
 * shim_register_find_same:
 * @self: a register
 * @record: a record that is to be added
 * @id: (out) (transfer full): id of the one that is the same thing; untouched when there is none
 * @sentence: (out) (transfer none): says so
 * @error: return location
 */
gboolean
shim_register_find_same (ShimRegister *self, ShimRecord *record, char **id, const char **sentence, GError **error)
{
  const ShimKind *kind = shim_record_get_kind (record);
  g_autoptr (ShimStatement) statement = NULL;
  ShimStep step;
  guint which;

  for (which = 0; which < G_N_ELEMENTS (same_things); which++)
    if (g_str_equal (same_things[which].kind, kind->name))
      break;
  if (which == G_N_ELEMENTS (same_things))
    return TRUE;
  statement = shim_db_prepare (self->db, same_things[which].sql, error);
  if (statement == NULL)
    return FALSE;
  for (guint i = 0; i < 3 && same_things[which].fields[i] != NULL; i++)
    shim_statement_bind_text (
        statement, i + 1, shim_record_get_text (record, shim_kind_find_field (kind, same_things[which].fields[i])));
  step = shim_statement_step (statement, error);
  if (step == SHIM_STEP_ROW)
    *id = shim_statement_dup_text (statement, 0);
  *sentence = same_things[which].sentence;
  return step != SHIM_STEP_ERROR;
}

gboolean
shim_register_is_retracted (ShimRegister *self, const char *id, gboolean *is, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, "SELECT 1 FROM retracted WHERE row = ?1", error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, id);
  step = shim_statement_step (statement, error);
  *is = step == SHIM_STEP_ROW;
  return step != SHIM_STEP_ERROR;
}

static gboolean
write_row (ShimRegister *self, ShimRecord *record, gboolean is_new, GError **error)
{
  const ShimKind *kind = shim_record_get_kind (record);
  g_autofree char *sql = is_new ? shim_row_insert_sql (kind) : shim_row_update_sql (kind);
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, sql, error);
  gboolean done;

  if (statement == NULL)
    return FALSE;
  shim_row_bind (statement, record);
  sqlite3session_enable (self->session, !is_new);
  done = shim_statement_run (statement, error);
  sqlite3session_enable (self->session, TRUE);
  return done;
}

static gboolean
follow_up (ShimRegister *self, ShimRecord *record, const char *action, GError **error)
{
  const ShimKind *kind = shim_record_get_kind (record);
  gboolean hidden = !shim_kind_is_searched (kind);

  shim_register_touch (self, kind, record->id, action);
  return (hidden || shim_register_is_retracted (self, record->id, &hidden, error))
         && (hidden || shim_search_put (self->db, record, error));
}

/* Whether the pairs of an item may stand otherwise after it was changed so. A note or another holder alters none of them. */
static gboolean
concerns_pairs (ShimRecord *before, ShimRecord *after)
{
  static const char *const fields[] = { "mount", "maker", "model", "archived", "tells_lenses_by" };
  const ShimKind *kind = shim_record_get_kind (after);

  if (!SHIM_IS_BODY (after) && !SHIM_IS_LENS (after) && !SHIM_IS_CONVERTER (after))
    return TRUE;
  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    {
      const ShimField *field = shim_kind_find_field (kind, fields[i]);
      g_autofree char *old_value = field != NULL ? shim_record_to_string (before, field) : NULL;
      g_autofree char *new_value = field != NULL ? shim_record_to_string (after, field) : NULL;

      if (g_strcmp0 (old_value, new_value) != 0)
        return TRUE;
    }
  return FALSE;
}

/* Items name their mount, so a mount that is renamed takes them along. */
static gboolean
rename_mount (ShimRegister *self, const char *before, const char *after, GError **error)
{
  static const char *const columns[][2] = {
    { "body", "mount" }, { "lens", "mount" }, { "converter", "mount" }, { "adapter", "lens_mount" }, { "adapter", "body_mount" },
  };

  if (!shim_db_exec (self->db, "PRAGMA defer_foreign_keys = ON", error))
    return FALSE;
  for (guint i = 0; i < G_N_ELEMENTS (columns); i++)
    {
      const ShimKind *kind = shim_kind_from_name (columns[i][0]);
      g_autoptr (ShimQuery) query = shim_query_new ();
      g_autoptr (GPtrArray) items = NULL;

      shim_query_add_filter (query, columns[i][1], before);
      shim_query_set_include_archived (query, TRUE);
      items = shim_register_list (self, shim_register_type_of (kind), query, error);
      for (guint j = 0; items != NULL && j < items->len; j++)
        {
          ShimRecord *item = g_ptr_array_index (items, j);

          shim_record_set_text (item, shim_kind_find_field (kind, columns[i][1]), after);
          if (!write_row (self, item, FALSE, error) || !follow_up (self, item, "changed", error)
              || !shim_register_mark_dirty (self, item, error))
            return FALSE;
        }
      if (items == NULL)
        return FALSE;
    }
  return TRUE;
}

static gboolean
add_row (ShimRegister *self, ShimRecord *record, GError **error)
{
  g_autofree char *same = NULL;
  const char *sentence = NULL;
  gboolean retracted = FALSE;

  if (!shim_register_find_same (self, record, &same, &sentence, error)
      || (same != NULL && !shim_register_is_retracted (self, same, &retracted, error)))
    return FALSE;
  if (same != NULL && !retracted)
    {
      g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE, _ (sentence));
      return FALSE;
    }
  if (same == NULL)
    {
      if (record->id == NULL)
        record->id = shim_uuid_new ();
      return write_row (self, record, TRUE, error) && follow_up (self, record, "added", error)
             && shim_register_mark_dirty (self, record, error);
    }
  g_free (record->id);
  record->id = g_steal_pointer (&same);
  return write_row (self, record, FALSE, error) && follow_up (self, record, "changed", error)
         && shim_register_set_retracted (self, shim_record_get_kind (record), record->id, FALSE, error);
}

static gboolean
change_row (ShimRegister *self, ShimRecord *record, GError **error)
{
  g_autoptr (ShimRecord) before = shim_register_fetch (self, G_OBJECT_TYPE (record), record->id, TRUE, error);

  if (before == NULL)
    return FALSE;
  if (shim_record_equal (before, record))
    return TRUE;
  if (SHIM_IS_MOUNT (record) && !g_str_equal (SHIM_MOUNT (before)->name, SHIM_MOUNT (record)->name)
      && !rename_mount (self, SHIM_MOUNT (before)->name, SHIM_MOUNT (record)->name, error))
    return FALSE;
  /* What depended on the old state (the pairs of an event's former item) is looked at again as well. */
  return (!concerns_pairs (before, record)
          || (shim_register_mark_dirty (self, before, error) && shim_register_mark_dirty (self, record, error)))
         && write_row (self, record, FALSE, error) && follow_up (self, record, "changed", error);
}

/**
 * shim_register_put_unguarded:
 * @self: a register in a change
 * @record: what to write
 * @is_new: whether it is added; otherwise changed
 * @error: return location
 *
 * Writes one record and all that hangs on it, or nothing; the change goes on either way. The kit's rules are not asked: for
 * records of another register, which passed them there.
 */
gboolean
shim_register_put_unguarded (ShimRegister *self, ShimRecord *record, gboolean is_new, GError **error)
{
  guint n_touched = self->touched->len;
  gboolean had_id = record->id != NULL;

  if (!shim_db_exec (self->db, "SAVEPOINT put", error))
    return FALSE;
  if (is_new ? add_row (self, record, error) : change_row (self, record, error))
    {
      if (!had_id)
        g_object_notify (G_OBJECT (record), "id");
      return shim_db_exec (self->db, "RELEASE put", error);
    }
  if (!had_id)
    g_clear_pointer (&record->id, g_free);
  if (shim_db_in_transaction (self->db))
    shim_db_exec (self->db, "ROLLBACK TO put; RELEASE put", NULL);
  else
    self->doomed = TRUE; /* SQLite gave up the whole transaction */
  g_ptr_array_set_size (self->touched, n_touched);
  return FALSE;
}

/**
 * shim_register_put:
 * @self: a register in a change
 * @record: what to write
 * @is_new: whether it is added; otherwise changed
 * @error: return location
 *
 * The same after asking the kit's rules.
 */
gboolean
shim_register_put (ShimRegister *self, ShimRecord *record, gboolean is_new, GError **error)
{
  gboolean gone = FALSE;

  if (!shim_register_guard (self, record, error) || (!is_new && !shim_register_is_retracted (self, record->id, &gone, error)))
    return FALSE;
  if (!gone)
    return shim_register_put_unguarded (self, record, is_new, error);
  g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND, _ ("The record was removed meanwhile."));
  return FALSE;
}
