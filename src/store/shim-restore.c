/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>

#include "shim-copy.h"
#include "shim-register-private.h"
#include "shim-schema.h"

/* A backup takes the place of the register, which is kept beside it. Whatever can fail fails on a copy of the backup, before the register
 * is touched. */

/* --- Looking at a backup --- */

void
shim_backup_info_free (ShimBackupInfo *self)
{
  if (self == NULL)
    return;
  g_free (self->changed_at);
  g_free (self);
}

static gboolean
read_info (ShimRegister *self, ShimDb *db, ShimBackupInfo *info, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (db,
                         "SELECT (SELECT id FROM book) = ?1,"
                         " ifnull ((SELECT max (at) FROM history), (SELECT created_at FROM book))",
                         error);

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, self->id);
  if (shim_statement_step (statement, error) != SHIM_STEP_ROW)
    return FALSE;
  info->is_same = shim_statement_get_int (statement, 0) != 0;
  info->changed_at = shim_statement_dup_text (statement, 1);
  return shim_db_get_int (db, "SELECT count(*) FROM body", &info->n_bodies, error)
         && shim_db_get_int (db, "SELECT count(*) FROM lens", &info->n_lenses, error)
         && shim_db_get_int (db,
                             "SELECT count(*) FROM decision AS d"
                             " WHERE NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = d.id)",
                             &info->n_decisions, error);
}

ShimBackupInfo *
shim_register_look_at_backup (ShimRegister *self, const char *path, GError **error)
{
  g_autoptr (ShimBackupInfo) info = g_new0 (ShimBackupInfo, 1);
  g_autoptr (ShimDb) db = NULL;

  g_return_val_if_fail (self != NULL && path != NULL, NULL);

  db = shim_schema_open_as_it_lies (path, error);
  return db != NULL && read_info (self, db, info, error) ? g_steal_pointer (&info) : NULL;
}

/* --- Putting it back --- */

/* A folder of its own beside the register: bringing a copy up to date leaves files of its own there. */
static char *
make_folder (ShimRegister *self, GError **error)
{
  char *folder = g_strconcat (self->path, ".restore-XXXXXX", NULL);

  if (g_mkdtemp (folder) != NULL)
    return folder;
  g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_OPEN, _ ("The folder “%s” cannot be made (%s)."), folder, g_strerror (errno));
  g_free (folder);
  return NULL;
}

static void
remove_folder (const char *folder)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  const char *name;

  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *file = g_build_filename (folder, name, NULL);

      g_unlink (file);
    }
  g_rmdir (folder);
}

/* A copy of the backup, whole and as this version of the program keeps it. */
static ShimRegister *
make_copy (const char *backup, const char *folder, GError **error)
{
  g_autofree char *path = g_build_filename (folder, "copy.shimbook", NULL);
  g_autoptr (ShimDb) db = shim_schema_open_as_it_lies (backup, error);
  ShimRegister *copy;

  if (db == NULL || !shim_schema_is_whole (db, error) || !shim_copy_database (db, path, error))
    return NULL;
  copy = shim_register_open (path, SHIM_REGISTER_DEFAULT, error);
  return copy;
}

static char *
name_for_kept (ShimRegister *self)
{
  g_autoptr (GDateTime) now = g_date_time_new_from_unix_local (shim_register_now_s (self));
  g_autofree char *stamp = g_date_time_format (now, "%Y-%m-%d-%H%M%S");
  g_autofree char *stem = g_strdup (self->path);
  char *dot = strrchr (stem, '.');
  const char *extension = "shimbook";

  if (dot != NULL && strchr (dot, G_DIR_SEPARATOR) == NULL)
    {
      *dot = '\0';
      extension = dot + 1;
    }
  for (guint i = 1;; i++)
    {
      g_autofree char *again = i > 1 ? g_strdup_printf ("-%u", i) : g_strdup ("");
      g_autofree char *path = g_strdup_printf ("%s-replaced-%s%s.%s", stem, stamp, again, extension);

      if (!g_file_test (path, G_FILE_TEST_EXISTS))
        return g_steal_pointer (&path);
    }
}

gboolean
shim_register_restore (ShimRegister *self, const char *path, char **kept, GError **error)
{
  g_autofree char *folder = NULL, *kept_path = NULL;
  ShimRegister *copy = NULL;
  gboolean done = FALSE;

  g_return_val_if_fail (self != NULL && path != NULL, FALSE);
  g_return_val_if_fail (self->depth == 0, FALSE);

  if (self->read_only)
    {
      g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_READ_ONLY,
                           _ ("The register may only be read: its file or folder is protected against writing. Nothing was changed."));
      return FALSE;
    }
  folder = make_folder (self, error);
  if (folder == NULL)
    return FALSE;
  copy = make_copy (path, folder, error);
  kept_path = name_for_kept (self);
  if (copy != NULL && shim_register_backup (self, kept_path, FALSE, error))
    done = shim_copy_into (copy->db, self->db, error) && shim_register_read_id (self, error);
  g_clear_pointer (&copy, shim_register_free);
  remove_folder (folder);
  if (done && kept != NULL)
    *kept = g_steal_pointer (&kept_path);
  return done;
}
