/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "shim-merge-private.h"

/* One record that both registers have and that says different things: field by field, the newer change wins. */

/* When each field of a record was changed last; an entry is NULL for a field never changed since it was entered. */
static gboolean
note_times (const char *at, GBytes *changeset, const ShimKind *kind, const char *id, char **times)
{
  sqlite3_changeset_iter *iter = NULL;
  gsize size;
  gconstpointer data = g_bytes_get_data (changeset, &size);

  if (sqlite3changeset_start (&iter, (int) size, (void *) data) != SQLITE_OK)
    return FALSE;
  while (sqlite3changeset_next (iter) == SQLITE_ROW)
    {
      const char *table;
      int n_columns, operation, indirect;
      sqlite3_value *key = NULL;

      sqlite3changeset_op (iter, &table, &n_columns, &operation, &indirect);
      if (operation != SQLITE_UPDATE || strcmp (table, kind->name) != 0
          || sqlite3changeset_old (iter, 0, &key) != SQLITE_OK || g_strcmp0 (id, (const char *) sqlite3_value_text (key)) != 0)
        continue;
      for (int i = 1; i < n_columns && i <= (int) kind->n_fields; i++)
        {
          sqlite3_value *after = NULL;

          sqlite3changeset_new (iter, i, &after);
          if (after == NULL || (times[i - 1] != NULL && strcmp (times[i - 1], at) > 0))
            continue;
          g_free (times[i - 1]);
          times[i - 1] = g_strdup (at);
        }
    }
  sqlite3changeset_finalize (iter);
  return TRUE;
}

static gboolean
read_times (ShimRegister *reg, const ShimKind *kind, const char *id, char **times, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (reg->db,
                         "SELECT h.at, h.changeset FROM history_row AS r JOIN history AS h ON h.n = r.history"
                         " WHERE r.row = ?1 AND r.action = 'changed' AND h.changeset IS NOT NULL",
                         error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, id);
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    {
      g_autoptr (GBytes) changeset = shim_statement_get_blob (statement, 1);

      note_times (shim_statement_get_text (statement, 0), changeset, kind, id, times);
    }
  return step == SHIM_STEP_DONE;
}

static char *
to_words (ShimRecord *record, const ShimField *field)
{
  if (field->type == SHIM_FIELD_BLOB || !shim_record_is_known (record, field))
    return NULL;
  return shim_record_to_string (record, field);
}

static gboolean
same_words (ShimRecord *a, ShimRecord *b, const ShimField *field)
{
  g_autofree char *left = to_words (a, field);
  g_autofree char *right = to_words (b, field);

  return g_strcmp0 (left, right) == 0;
}

static void
take (ShimRecord *ours, ShimRecord *theirs, const ShimField *field)
{
  if (field->type == SHIM_FIELD_INT || field->type == SHIM_FIELD_BOOL)
    shim_record_set_int (ours, field, shim_record_get_int (theirs, field));
  else if (field->type == SHIM_FIELD_REAL)
    shim_record_set_real (ours, field, shim_record_get_real (theirs, field));
  else
    shim_record_set_text (ours, field, shim_record_get_text (theirs, field));
}

static void
settle (ShimMerge *self, ShimRecord *ours, ShimRecord *theirs, const ShimField *field, const char *our_time,
        const char *their_time, gboolean *changed)
{
  gboolean neither = our_time == NULL && their_time == NULL;
  gboolean fills = !shim_record_is_known (ours, field) && neither;
  gboolean theirs_wins = fills || g_strcmp0 (their_time, our_time) > 0;

  /* Where only one side ever changed it, there is nothing to argue about. */
  if (!fills && (neither || (our_time != NULL && their_time != NULL)))
    shim_merge_add_conflict (self, ours, field->label, to_words (ours, field), to_words (theirs, field), theirs_wins);
  if (!theirs_wins)
    return;
  take (ours, theirs, field);
  *changed = TRUE;
}

/**
 * shim_merge_fields:
 * @self: a merge
 * @ours: our record; takes over what wins
 * @theirs: theirs, its references as ours
 * @their_id: its id over there
 * @changed: (out): whether @ours changed
 * @error: return location
 */
gboolean
shim_merge_fields (ShimMerge *self, ShimRecord *ours, ShimRecord *theirs, const char *their_id, gboolean *changed, GError **error)
{
  const ShimKind *kind = shim_record_get_kind (ours);
  g_auto (GStrv) our_times = g_new0 (char *, kind->n_fields + 1);
  g_auto (GStrv) their_times = g_new0 (char *, kind->n_fields + 1);
  gboolean done;

  *changed = FALSE;
  done = read_times (self->ours, kind, ours->id, our_times, error)
         && read_times (self->theirs, kind, their_id, their_times, error);
  for (guint i = 0; done && i < kind->n_fields; i++)
    if (!same_words (ours, theirs, &kind->fields[i]))
      settle (self, ours, theirs, &kind->fields[i], our_times[i], their_times[i], changed);
  /* g_strfreev() stops at the first gap. */
  for (guint i = 0; i < kind->n_fields; i++)
    {
      g_clear_pointer (&our_times[i], g_free);
      g_clear_pointer (&their_times[i], g_free);
    }
  return done;
}
