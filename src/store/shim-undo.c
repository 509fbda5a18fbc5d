/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "shim-register-private.h"
#include "shim-search.h"

/* Undo and redo: changed rows by the (inverted) changeset, added and removed ones by retraction. Both are changes like any other and
 * get a line in the history of their own. */

typedef struct
{
  gint64 n;
  char *summary;
  GBytes *changeset;
} Line;

static void
line_clear (Line *line)
{
  g_clear_pointer (&line->summary, g_free);
  g_clear_pointer (&line->changeset, g_bytes_unref);
}

/* The newest change that counts. */
#define UNDO_SQL                                                                                                        \
  "SELECT n, summary, changeset FROM history"                                                                           \
  " WHERE own = 1 AND action IN ('change', 'merge') AND undone = 0 ORDER BY n DESC LIMIT 1"

/* The first of those undone since: a newer change that counts leaves nothing to redo. */
#define REDO_SQL                                                                                                        \
  "SELECT n, summary, changeset FROM history"                                                                           \
  " WHERE own = 1 AND action IN ('change', 'merge') AND undone = 1"                                                     \
  " AND n > ifnull ((SELECT max (n) FROM history WHERE own = 1 AND action IN ('change', 'merge') AND undone = 0), 0)"   \
  " ORDER BY n LIMIT 1"

/* The one that somebody points at. */
#define ENTRY_SQL                                                                                                       \
  "SELECT n, summary, changeset FROM history"                                                                           \
  " WHERE id = ?1 AND own = 1 AND action IN ('change', 'merge') AND undone = ?2"

static ShimStatement *
prepare_line (ShimRegister *self, const char *entry, gboolean undo, GError **error)
{
  ShimStatement *statement = shim_db_prepare (self->db, entry != NULL ? ENTRY_SQL : undo ? UNDO_SQL : REDO_SQL, error);

  if (statement == NULL || entry == NULL)
    return statement;
  shim_statement_bind_text (statement, 1, entry);
  shim_statement_bind_int (statement, 2, !undo);
  return statement;
}

static gboolean
find_line (ShimRegister *self, const char *entry, gboolean undo, Line *line, GError **error)
{
  g_autoptr (ShimStatement) statement = prepare_line (self, entry, undo, error);
  ShimStep step = statement != NULL ? shim_statement_step (statement, error) : SHIM_STEP_ERROR;

  if (step == SHIM_STEP_DONE)
    g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOTHING,
                         undo ? _ ("There is nothing to undo.") : _ ("There is nothing to redo."));
  if (step != SHIM_STEP_ROW)
    return FALSE;
  line->n = shim_statement_get_int (statement, 0);
  line->summary = shim_statement_dup_text (statement, 1);
  line->changeset = shim_statement_get_blob (statement, 2);
  return TRUE;
}

static gboolean
refuse (Line *line, GError **error)
{
  g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CONFLICT,
               _ ("“%s” cannot be undone or redone: something entered later depends on it. Undo or change that first."),
               line->summary);
  return FALSE;
}

static int
stop_at_conflict (void *unused, int conflict, sqlite3_changeset_iter *iter)
{
  return SQLITE_CHANGESET_ABORT;
}

static gboolean
apply (ShimRegister *self, Line *line, gboolean invert, GError **error)
{
  gsize size;
  gconstpointer data = g_bytes_get_data (line->changeset, &size);
  int code = sqlite3changeset_apply_v2 (shim_db_get_handle (self->db), (int) size, (void *) data, NULL, stop_at_conflict, NULL,
                                        NULL, NULL, invert ? SQLITE_CHANGESETAPPLY_INVERT : 0);

  if (code == SQLITE_ABORT)
    return refuse (line, error);
  return code == SQLITE_OK || shim_db_set_error (self->db, code, error);
}

static GPtrArray *
read_rows (ShimRegister *self, gint64 n, GError **error)
{
  g_autoptr (GPtrArray) rows = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_touched_free);
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (self->db, "SELECT kind, row, action FROM history_row WHERE history = ?1 ORDER BY position", error);
  ShimStep step;

  if (statement == NULL)
    return NULL;
  shim_statement_bind_int (statement, 1, n);
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    g_ptr_array_add (rows, shim_touched_new (shim_kind_from_name (shim_statement_get_text (statement, 0)),
                                             shim_statement_get_text (statement, 1), shim_statement_get_text (statement, 2)));
  return step == SHIM_STEP_DONE ? g_steal_pointer (&rows) : NULL;
}

/* Search and pair states, before and after the fields of a row turned. */
static gboolean
follow_changed (ShimRegister *self, const ShimTouched *row, gboolean after, GError **error)
{
  g_autoptr (ShimRecord) record = shim_register_fetch (self, shim_register_type_of (row->kind), row->id, TRUE, error);
  gboolean retracted;

  if (record == NULL || !shim_register_is_retracted (self, row->id, &retracted, error))
    return FALSE;
  if (!shim_register_mark_dirty (self, record, error))
    return FALSE;
  if (!after)
    return TRUE;
  shim_register_touch (self, row->kind, row->id, "changed");
  return retracted || shim_search_put (self->db, record, error);
}

static gboolean
turn_changed (ShimRegister *self, Line *line, GPtrArray *rows, gboolean undo, GError **error)
{
  for (guint pass = 0; pass < 2; pass++)
    {
      if (pass == 1 && line->changeset != NULL && !apply (self, line, undo, error))
        return FALSE;
      for (guint i = 0; i < rows->len; i++)
        {
          const ShimTouched *row = g_ptr_array_index (rows, i);

          if (strcmp (row->action, "changed") == 0 && !follow_changed (self, row, pass == 1, error))
            return FALSE;
        }
    }
  return TRUE;
}

static gboolean
turn_presence (ShimRegister *self, Line *line, const ShimTouched *row, gboolean undo, GError **error)
{
  gboolean was_added = strcmp (row->action, "removed") != 0;
  gboolean retract = was_added == undo;
  gboolean referred_to = FALSE;

  if (strcmp (row->action, "changed") == 0)
    return TRUE;
  if (retract && !shim_register_is_referred_to (self, row->kind, row->id, &referred_to, error))
    return FALSE;
  if (referred_to)
    return refuse (line, error);
  return shim_register_set_retracted (self, row->kind, row->id, retract, error);
}

static gboolean
mark_line (ShimRegister *self, gint64 n, gboolean undone, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, "UPDATE history SET undone = ?2 WHERE n = ?1", error);

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_int (statement, 1, n);
  shim_statement_bind_int (statement, 2, undone);
  return shim_statement_run (statement, error);
}

static gboolean
turn (ShimRegister *self, Line *line, gboolean undo, GError **error)
{
  g_autoptr (GPtrArray) rows = read_rows (self, line->n, error);

  if (rows == NULL || !turn_changed (self, line, rows, undo, error))
    return FALSE;
  /* What was added last goes first: it may refer to what was added before it. */
  for (guint i = 0; i < rows->len; i++)
    if (!turn_presence (self, line, g_ptr_array_index (rows, undo ? rows->len - 1 - i : i), undo, error))
      return FALSE;
  return mark_line (self, line->n, undo, error);
}

static gboolean
undo_or_redo (ShimRegister *self, const char *entry, gboolean undo, char **summary, GError **error)
{
  Line line = { 0 };
  gboolean done = FALSE;

  /* Looked up inside the transaction: another program may be undoing too. */
  if (!shim_register_begin_as (self, NULL, undo ? "undo" : "redo", error))
    return FALSE;
  if (find_line (self, entry, undo, &line, error))
    {
      self->summary = g_strdup (line.summary);
      done = turn (self, &line, undo, error);
    }
  if (done)
    done = shim_register_commit (self, error);
  else
    shim_register_rollback (self);
  if (done && summary != NULL)
    *summary = g_steal_pointer (&line.summary);
  line_clear (&line);
  return done;
}

gboolean
shim_register_undo (ShimRegister *self, char **summary, GError **error)
{
  g_return_val_if_fail (self != NULL && self->depth == 0, FALSE);

  return undo_or_redo (self, NULL, TRUE, summary, error);
}

gboolean
shim_register_redo (ShimRegister *self, char **summary, GError **error)
{
  g_return_val_if_fail (self != NULL && self->depth == 0, FALSE);

  return undo_or_redo (self, NULL, FALSE, summary, error);
}

gboolean
shim_register_undo_entry (ShimRegister *self, const char *entry, gboolean undo, char **summary, GError **error)
{
  g_return_val_if_fail (self != NULL && self->depth == 0, FALSE);
  g_return_val_if_fail (entry != NULL, FALSE);

  return undo_or_redo (self, entry, undo, summary, error);
}

static gboolean
can_turn (ShimRegister *self, gboolean undo, char **summary)
{
  Line line = { 0 };
  gboolean can = find_line (self, NULL, undo, &line, NULL);

  if (summary != NULL)
    *summary = g_steal_pointer (&line.summary);
  line_clear (&line);
  return can;
}

gboolean
shim_register_can_undo (ShimRegister *self, char **summary)
{
  g_return_val_if_fail (self != NULL, FALSE);

  return can_turn (self, TRUE, summary);
}

gboolean
shim_register_can_redo (ShimRegister *self, char **summary)
{
  g_return_val_if_fail (self != NULL, FALSE);

  return can_turn (self, FALSE, summary);
}
