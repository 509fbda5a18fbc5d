/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-register-private.h"

/* Changing the register. All changes pass through here, and each record of them through shim-put.c, so that history, undo, search and the
 * state of the pairs go along. */

ShimTouched *
shim_touched_new (const ShimKind *kind, const char *id, const char *action)
{
  ShimTouched *self = g_new0 (ShimTouched, 1);

  self->kind = kind;
  self->id = g_strdup (id);
  self->action = g_intern_string (action);
  return self;
}

void
shim_touched_free (ShimTouched *self)
{
  g_free (self->id);
  g_free (self);
}

GType
shim_register_type_of (const ShimKind *kind)
{
  return shim_kind_type_from_name (kind->name);
}

/* The session records how rows of the kit changed. What is added or removed needs no record: nothing is deleted. */
static gboolean
start_session (ShimRegister *self, GError **error)
{
  const GType *types;
  guint n_types;
  int code = sqlite3session_create (shim_db_get_handle (self->db), "main", &self->session);

  types = shim_kind_list_types (&n_types);
  for (guint i = 0; code == SQLITE_OK && i < n_types; i++)
    if (!shim_kind_for_type (types[i])->is_evidence)
      code = sqlite3session_attach (self->session, shim_kind_for_type (types[i])->name);
  return code == SQLITE_OK || shim_db_set_error (self->db, code, error);
}

static void
forget_change (ShimRegister *self)
{
  g_clear_pointer (&self->session, sqlite3session_delete);
  g_clear_pointer (&self->summary, g_free);
  g_clear_pointer (&self->touched, g_ptr_array_unref);
  g_hash_table_remove_all (self->dirty_pairs);
  g_hash_table_remove_all (self->dirty_bodies);
  g_hash_table_remove_all (self->bodies_to_judge);
  self->judge_all = FALSE;
  self->doomed = FALSE;
}

static void
roll_back (ShimRegister *self)
{
  /* The session must go first: it listens to the connection. SQLite may have rolled back already, as on a full disk. */
  g_clear_pointer (&self->session, sqlite3session_delete);
  if (shim_db_in_transaction (self->db))
    shim_db_exec (self->db, "ROLLBACK", NULL);
  forget_change (self);
}

static gboolean
start_change (ShimRegister *self, const char *summary, const char *action, GError **error)
{
  if (self->read_only)
    {
      g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_READ_ONLY,
                           _ ("The register may only be read: its file or folder is protected against writing. Nothing was changed."));
      return FALSE;
    }
  if (!shim_db_exec (self->db, "BEGIN IMMEDIATE", error))
    return FALSE;
  self->summary = g_strdup (summary);
  self->action = action;
  self->touched = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_touched_free);
  if (start_session (self, error))
    return TRUE;
  roll_back (self);
  return FALSE;
}

gboolean
shim_register_begin_as (ShimRegister *self, const char *summary, const char *action, GError **error)
{
  if (self->depth == 0 && !start_change (self, summary, action, error))
    return FALSE;
  self->depth++;
  return TRUE;
}

gboolean
shim_register_begin (ShimRegister *self, const char *summary, GError **error)
{
  g_return_val_if_fail (self != NULL, FALSE);

  return shim_register_begin_as (self, summary, "change", error);
}

gboolean
shim_register_commit (ShimRegister *self, GError **error)
{
  g_return_val_if_fail (self != NULL && self->depth > 0, FALSE);

  if (self->doomed)
    {
      g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_FAILED,
                           _ ("A part of the change failed, so nothing was changed."));
      shim_register_rollback (self);
      return FALSE;
    }
  if (self->depth > 1)
    {
      self->depth--;
      return TRUE;
    }
  self->depth = 0;
  if (!shim_register_flush (self, error) || !shim_register_judge (self, error) || !shim_register_flush (self, error)
      || !shim_register_write_history (self, error) || !shim_db_exec (self->db, "COMMIT", error))
    {
      roll_back (self);
      return FALSE;
    }
  forget_change (self);
  return TRUE;
}

void
shim_register_rollback (ShimRegister *self)
{
  g_return_if_fail (self != NULL && self->depth > 0);

  self->doomed = TRUE;
  if (--self->depth == 0)
    roll_back (self);
}

/**
 * shim_register_touch:
 * @self: a register in a change
 * @kind: of the record
 * @id: of the record
 * @action: "added", "changed", "removed" or "restored"
 *
 * Notes for the history what happens to a record.
 */
void
shim_register_touch (ShimRegister *self, const ShimKind *kind, const char *id, const char *action)
{
  /* A record that is changed right after it was added is still one line. */
  for (guint i = self->touched->len; g_str_equal (action, "changed") && i > 0 && i + 50 > self->touched->len; i--)
    {
      const ShimTouched *touched = g_ptr_array_index (self->touched, i - 1);

      if (g_str_equal (touched->id, id) && g_str_equal (touched->action, "changed"))
        return;
    }
  g_ptr_array_add (self->touched, shim_touched_new (kind, id, action));
}

/* Ends a change of one record: a failure inside a larger change leaves that one going. */
static gboolean
end_single (ShimRegister *self, gboolean done, GError **error)
{
  if (done)
    return shim_register_commit (self, error);
  if (self->depth > 1)
    self->depth--;
  else
    shim_register_rollback (self);
  return FALSE;
}

gboolean
shim_register_insert (ShimRegister *self, ShimRecord *record, GError **error)
{
  g_return_val_if_fail (self != NULL, FALSE);
  g_return_val_if_fail (SHIM_IS_RECORD (record), FALSE);

  if (!shim_register_begin (self, NULL, error))
    return FALSE;
  return end_single (self, shim_register_put (self, record, TRUE, error), error);
}

gboolean
shim_register_update (ShimRegister *self, ShimRecord *record, GError **error)
{
  g_return_val_if_fail (self != NULL, FALSE);
  g_return_val_if_fail (SHIM_IS_RECORD (record) && record->id != NULL, FALSE);
  g_return_val_if_fail (!shim_record_get_kind (record)->is_evidence, FALSE);

  if (!shim_register_begin (self, NULL, error))
    return FALSE;
  return end_single (self, shim_register_put (self, record, FALSE, error), error);
}

static gboolean
remove_row (ShimRegister *self, const ShimKind *kind, const char *id, GError **error)
{
  g_autoptr (ShimRecord) record = shim_register_fetch (self, shim_register_type_of (kind), id, FALSE, error);
  gboolean referred_to;

  if (record == NULL || !shim_register_is_referred_to (self, kind, id, &referred_to, error))
    return FALSE;
  if (referred_to)
    {
      g_autofree char *title = shim_record_dup_title (record);

      g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CONSTRAINT,
                   _ ("“%s” cannot be removed because other records refer to it. Archive it instead."), title);
      return FALSE;
    }
  return shim_register_set_retracted (self, kind, id, TRUE, error);
}

gboolean
shim_register_remove (ShimRegister *self, GType type, const char *id, GError **error)
{
  g_return_val_if_fail (self != NULL, FALSE);
  g_return_val_if_fail (id != NULL, FALSE);
  g_return_val_if_fail (!shim_kind_for_type (type)->is_evidence, FALSE);

  if (!shim_register_begin (self, NULL, error))
    return FALSE;
  return end_single (self, remove_row (self, shim_kind_for_type (type), id, error), error);
}
