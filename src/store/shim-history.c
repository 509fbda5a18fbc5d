/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "shim-register-private.h"
#include "shim-uuid.h"

/* Writing the history; reading it is in shim-history-read.c. */

/* "Lens added: 85 mm", for a change that nobody gave a name. */
static char *
make_summary (ShimRegister *self)
{
  const ShimTouched *first = g_ptr_array_index (self->touched, 0);
  g_autoptr (ShimRecord) record
      = shim_register_fetch (self, shim_register_type_of (first->kind), first->id, TRUE, NULL);
  g_autofree char *title = record != NULL ? shim_register_dup_title (self, record) : g_strdup ("–");
  const char *label = _ (first->kind->label);

  if (strcmp (first->action, "added") == 0)
    return g_strdup_printf (_ ("%s added: %s"), label, title);
  if (strcmp (first->action, "removed") == 0)
    return g_strdup_printf (_ ("%s removed: %s"), label, title);
  if (strcmp (first->action, "restored") == 0)
    return g_strdup_printf (_ ("%s back: %s"), label, title);
  return g_strdup_printf (_ ("%s changed: %s"), label, title);
}

static gboolean
write_line (ShimRegister *self, gconstpointer changeset, int size, GError **error)
{
  g_autoptr (ShimStatement) statement = NULL;
  g_autofree char *id = shim_uuid_new ();
  g_autofree char *own_summary = self->summary == NULL ? make_summary (self) : NULL;

  statement = shim_db_prepare (self->db,
                               "INSERT INTO history (id, at, who, summary, action, changeset, own)"
                               " VALUES (?1, strftime ('%Y-%m-%dT%H:%M:%SZ', 'now'), ?2, ?3, ?4, ?5, 1)",
                               error);
  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, id);
  shim_statement_bind_text (statement, 2, self->who != NULL ? self->who : g_get_user_name ());
  shim_statement_bind_text (statement, 3, self->summary != NULL ? self->summary : own_summary);
  shim_statement_bind_text (statement, 4, self->action);
  if (size > 0)
    shim_statement_bind_blob (statement, 5, changeset, size);
  return shim_statement_run (statement, error);
}

static gboolean
write_rows (ShimRegister *self, GError **error)
{
  gint64 n = sqlite3_last_insert_rowid (shim_db_get_handle (self->db));
  g_autoptr (ShimStatement) statement = shim_db_prepare (
      self->db, "INSERT INTO history_row (history, position, kind, row, action) VALUES (?1, ?2, ?3, ?4, ?5)", error);

  for (guint i = 0; statement != NULL && i < self->touched->len; i++)
    {
      const ShimTouched *touched = g_ptr_array_index (self->touched, i);

      shim_statement_bind_int (statement, 1, n);
      shim_statement_bind_int (statement, 2, i);
      shim_statement_bind_text (statement, 3, touched->kind->name);
      shim_statement_bind_text (statement, 4, touched->id);
      shim_statement_bind_text (statement, 5, touched->action);
      if (!shim_statement_run (statement, error))
        return FALSE;
    }
  return statement != NULL;
}

/**
 * shim_register_write_history:
 * @self: a register in a change that is about to be committed
 * @error: return location
 *
 * Writes what the change did; nothing when it did nothing.
 */
gboolean
shim_register_write_history (ShimRegister *self, GError **error)
{
  void *changeset = NULL;
  int size = 0, code;
  gboolean written;

  if (self->unrecorded || self->touched->len == 0)
    return TRUE;
  code = sqlite3session_changeset (self->session, &size, &changeset);
  if (code != SQLITE_OK)
    return shim_db_set_error (self->db, code, error);
  written = write_line (self, changeset, size, error) && write_rows (self, error);
  sqlite3_free (changeset);
  return written;
}
