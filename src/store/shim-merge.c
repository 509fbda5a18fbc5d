/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "shim-merge-private.h"
#include "shim-row.h"

/* Taking over what another register has. It is read only; here it is one change. */

static void
conflict_free (gpointer data)
{
  ShimMergeConflict *conflict = data;

  g_free (conflict->kind);
  g_free (conflict->id);
  g_free (conflict->title);
  g_free (conflict->field);
  g_free (conflict->ours);
  g_free (conflict->theirs);
  g_free (conflict);
}

void
shim_merge_report_free (ShimMergeReport *self)
{
  if (self == NULL)
    return;
  g_ptr_array_unref (self->conflicts);
  g_free (self);
}

/**
 * shim_merge_add_conflict:
 * @self: a merge
 * @ours: our record
 * @field: (nullable): label of the field, not yet translated
 * @our_words: (nullable) (transfer full): what we say
 * @their_words: (nullable) (transfer full): what they say
 * @kept_theirs: whose was kept
 */
void
shim_merge_add_conflict (ShimMerge *self, ShimRecord *ours, const char *field, char *our_words, char *their_words,
                         gboolean kept_theirs)
{
  ShimMergeConflict *conflict = g_new0 (ShimMergeConflict, 1);

  conflict->kind = g_strdup (shim_record_get_kind (ours)->name);
  conflict->id = g_strdup (ours->id);
  conflict->title = shim_register_dup_title (self->ours, ours);
  conflict->field = field != NULL ? g_strdup (_ (field)) : NULL;
  conflict->ours = our_words;
  conflict->theirs = their_words;
  conflict->kept_theirs = kept_theirs;
  g_ptr_array_add (self->report->conflicts, conflict);
}

static void
translate (GHashTable *names, ShimRecord *record, const ShimField *field)
{
  const char *ours = shim_record_is_known (record, field) ? g_hash_table_lookup (names, shim_record_get_text (record, field)) : NULL;

  if (ours != NULL)
    shim_record_set_text (record, field, ours);
}

/* References to things that go by another id here. */
static void
translate_references (ShimMerge *self, ShimRecord *record)
{
  const ShimKind *kind = shim_record_get_kind (record);

  for (guint i = 0; i < kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i];

      if (field->ref != NULL && strcmp (field->ref, "mount") == 0)
        translate (self->mounts, record, field);
      else if (field->ref != NULL || strcmp (field->name, "item") == 0)
        translate (self->ids, record, field);
    }
}

/* One photograph may have come into one test in both registers. */
static gboolean
find_same_frame (ShimMerge *self, ShimRecord *record, char **id, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (self->ours->db,
                         "SELECT f.id FROM frame AS f JOIN round AS r ON r.id = f.round WHERE f.sha256 = ?1"
                         " AND r.test = (SELECT test FROM round WHERE id = ?2)"
                         " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row IN (f.id, r.id))",
                         error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, SHIM_FRAME (record)->sha256);
  shim_statement_bind_text (statement, 2, SHIM_FRAME (record)->round);
  step = shim_statement_step (statement, error);
  if (step == SHIM_STEP_ROW)
    *id = shim_statement_dup_text (statement, 0);
  return step != SHIM_STEP_ERROR;
}

static gboolean
find_ours (ShimMerge *self, ShimRecord *theirs, ShimRecord **ours, GError **error)
{
  g_autoptr (GError) local = NULL;
  g_autofree char *same = NULL;
  const char *sentence;

  *ours = shim_register_fetch (self->ours, G_OBJECT_TYPE (theirs), theirs->id, TRUE, &local);
  if (*ours != NULL)
    return TRUE;
  if (!g_error_matches (local, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND))
    {
      g_propagate_error (error, g_steal_pointer (&local));
      return FALSE;
    }
  if (!shim_register_find_same (self->ours, theirs, &same, &sentence, error)
      || (SHIM_IS_FRAME (theirs) && !find_same_frame (self, theirs, &same, error)))
    return FALSE;
  if (same == NULL)
    return TRUE;
  g_hash_table_insert (self->ids, g_strdup (theirs->id), g_strdup (same));
  *ours = shim_register_fetch (self->ours, G_OBJECT_TYPE (theirs), same, TRUE, error);
  return *ours != NULL;
}

static gboolean
merge_both (ShimMerge *self, ShimRecord *ours, ShimRecord *theirs, GError **error)
{
  g_autofree char *their_id = g_strdup (theirs->id);
  gboolean changed = FALSE;

  shim_record_set_id (theirs, ours->id);
  if (shim_record_equal (ours, theirs))
    {
      self->report->unchanged++;
      return TRUE;
    }
  if (shim_record_get_kind (ours)->is_evidence)
    {
      /* One photograph taken in twice is no contradiction, though it came in at different times. */
      if (g_str_equal (their_id, ours->id))
        shim_merge_add_conflict (self, ours, NULL, NULL, NULL, FALSE);
      self->report->unchanged++;
      return TRUE;
    }
  if (!shim_merge_fields (self, ours, theirs, their_id, &changed, error))
    return FALSE;
  if (!changed)
    {
      self->report->unchanged++;
      return TRUE;
    }
  self->report->updated++;
  return shim_register_put_unguarded (self->ours, ours, FALSE, error);
}

/* The newest word on whether a record counts; gives "" when nobody ever removed it. */
static gboolean
read_presence (ShimRegister *reg, const char *id, char **at, gboolean *retracted, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (
      reg->db, "SELECT at, retracted FROM retraction WHERE row = ?1 ORDER BY at DESC, id DESC LIMIT 1", error);
  ShimStep step;

  *retracted = FALSE;
  *at = NULL;
  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, id);
  step = shim_statement_step (statement, error);
  if (step == SHIM_STEP_ROW)
    {
      *at = shim_statement_dup_text (statement, 0);
      *retracted = shim_statement_get_int (statement, 1) != 0;
    }
  return step != SHIM_STEP_ERROR;
}

static gboolean
merge_presence (ShimMerge *self, const ShimKind *kind, const char *our_id, const char *their_id, GError **error)
{
  g_autofree char *our_at = NULL;
  g_autofree char *their_at = NULL;
  gboolean ours, theirs;

  if (!read_presence (self->ours, our_id, &our_at, &ours, error)
      || !read_presence (self->theirs, their_id, &their_at, &theirs, error))
    return FALSE;
  /* A thing that was entered in both and removed only over there stays. */
  if (ours == theirs || g_strcmp0 (their_at, our_at) <= 0 || !g_str_equal (our_id, their_id))
    return TRUE;
  self->report->updated++;
  return shim_register_set_retracted (self->ours, kind, our_id, theirs, error);
}

static gboolean
merge_record (ShimMerge *self, ShimRecord *theirs, GError **error)
{
  g_autoptr (ShimRecord) ours = NULL;
  g_autofree char *their_id = g_strdup (theirs->id);
  g_autofree char *their_name = SHIM_IS_MOUNT (theirs) ? g_strdup (SHIM_MOUNT (theirs)->name) : NULL;

  translate_references (self, theirs);
  if (!find_ours (self, theirs, &ours, error))
    return FALSE;
  if (ours == NULL)
    {
      self->report->added++;
      if (!shim_register_put_unguarded (self->ours, theirs, TRUE, error))
        return FALSE;
    }
  else if (!merge_both (self, ours, theirs, error))
    return FALSE;
  if (their_name != NULL)
    g_hash_table_insert (self->mounts, g_strdup (their_name), g_strdup (SHIM_MOUNT (ours != NULL ? ours : theirs)->name));
  return merge_presence (self, shim_record_get_kind (theirs), theirs->id, their_id, error);
}

static gboolean
merge_kind (ShimMerge *self, GType type, GError **error)
{
  const ShimKind *kind = shim_kind_for_type (type);
  g_autofree char *columns = shim_row_columns (kind, "t", TRUE);
  g_autofree char *sql = g_strdup_printf ("SELECT %s FROM \"%s\" AS t ORDER BY t.id", columns, kind->name);
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->theirs->db, sql, error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    {
      g_autoptr (ShimRecord) theirs = shim_row_read (statement, type);

      if (!merge_record (self, theirs, error))
        return FALSE;
    }
  return step == SHIM_STEP_DONE;
}

/* --- Their history, to be read here but not undone --- */

static gboolean
copy_history_rows (ShimMerge *self, gint64 their_n, gint64 our_n, GError **error)
{
  g_autoptr (ShimStatement) from = shim_db_prepare (
      self->theirs->db, "SELECT position, kind, row, action FROM history_row WHERE history = ?1 ORDER BY position", error);
  g_autoptr (ShimStatement) to = shim_db_prepare (
      self->ours->db, "INSERT INTO history_row (history, position, kind, row, action) VALUES (?1, ?2, ?3, ?4, ?5)", error);
  ShimStep step;

  if (from == NULL || to == NULL)
    return FALSE;
  shim_statement_bind_int (from, 1, their_n);
  while ((step = shim_statement_step (from, error)) == SHIM_STEP_ROW)
    {
      const char *row = shim_statement_get_text (from, 2);
      const char *our_row = g_hash_table_lookup (self->ids, row);

      shim_statement_bind_int (to, 1, our_n);
      shim_statement_bind_int (to, 2, shim_statement_get_int (from, 0));
      shim_statement_bind_text (to, 3, shim_statement_get_text (from, 1));
      shim_statement_bind_text (to, 4, our_row != NULL ? our_row : row);
      shim_statement_bind_text (to, 5, shim_statement_get_text (from, 3));
      if (!shim_statement_run (to, error))
        return FALSE;
    }
  return step == SHIM_STEP_DONE;
}

static gboolean
copy_history_line (ShimMerge *self, ShimStatement *from, GError **error)
{
  g_autoptr (GBytes) changeset = shim_statement_get_blob (from, 6);
  g_autoptr (ShimStatement) to
      = shim_db_prepare (self->ours->db,
                         "INSERT OR IGNORE INTO history (id, at, who, summary, action, changeset, own, undone)"
                         " VALUES (?1, ?2, ?3, ?4, ?5, ?6, 0, ?7)",
                         error);

  if (to == NULL)
    return FALSE;
  for (int i = 1; i <= 5; i++)
    shim_statement_bind_text (to, i, shim_statement_get_text (from, i));
  if (changeset != NULL)
    shim_statement_bind_blob (to, 6, g_bytes_get_data (changeset, NULL), g_bytes_get_size (changeset));
  shim_statement_bind_int (to, 7, shim_statement_get_int (from, 7));
  if (!shim_statement_run (to, error))
    return FALSE;
  if (sqlite3_changes (shim_db_get_handle (self->ours->db)) == 0)
    return TRUE;
  return copy_history_rows (self, shim_statement_get_int (from, 0),
                            sqlite3_last_insert_rowid (shim_db_get_handle (self->ours->db)), error);
}

static gboolean
copy_history (ShimMerge *self, GError **error)
{
  g_autoptr (ShimStatement) from = shim_db_prepare (
      self->theirs->db, "SELECT n, id, at, who, summary, action, changeset, undone FROM history ORDER BY n", error);
  ShimStep step;

  if (from == NULL)
    return FALSE;
  while ((step = shim_statement_step (from, error)) == SHIM_STEP_ROW)
    if (!copy_history_line (self, from, error))
      return FALSE;
  return step == SHIM_STEP_DONE;
}

static gboolean
merge_all (ShimMerge *self, GError **error)
{
  const GType *types;
  guint n_types;

  types = shim_kind_list_types (&n_types);
  for (guint i = 0; i < n_types; i++)
    if (!merge_kind (self, types[i], error))
      return FALSE;
  return copy_history (self, error);
}

static gboolean
merge_in_change (ShimMerge *self, const char *other, gboolean dry_run, GError **error)
{
  g_autofree char *name = g_path_get_basename (other);
  g_autofree char *summary = g_strdup_printf (_ ("Register “%s” merged"), name);
  gboolean merged;

  if (!shim_register_begin_as (self->ours, summary, "merge", error))
    return FALSE;
  merged = merge_all (self, error);
  if (merged && !dry_run)
    return shim_register_commit (self->ours, error);
  shim_register_rollback (self->ours);
  return merged;
}

ShimMergeReport *
shim_register_merge (ShimRegister *self, const char *other, gboolean dry_run, GError **error)
{
  g_autoptr (ShimMergeReport) report = NULL;
  ShimMerge merge = { .ours = self };
  gboolean merged;

  g_return_val_if_fail (self != NULL && other != NULL, NULL);
  g_return_val_if_fail (self->depth == 0, NULL);

  merge.theirs = shim_register_open (other, SHIM_REGISTER_READ_ONLY, error);
  if (merge.theirs == NULL)
    return NULL;
  report = g_new0 (ShimMergeReport, 1);
  report->conflicts = g_ptr_array_new_with_free_func (conflict_free);
  merge.report = report;
  merge.ids = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, g_free);
  merge.mounts = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, g_free);
  merged = merge_in_change (&merge, other, dry_run, error);
  g_hash_table_unref (merge.ids);
  g_hash_table_unref (merge.mounts);
  shim_register_free (merge.theirs);
  return merged ? g_steal_pointer (&report) : NULL;
}
