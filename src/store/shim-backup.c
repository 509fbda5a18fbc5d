/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>

#include "shim-copy.h"
#include "shim-register-private.h"
#include "shim-schema.h"

static gboolean
is_same_file (const char *a, const char *b)
{
  GStatBuf left, right;

  return g_stat (a, &left) == 0 && g_stat (b, &right) == 0 && left.st_dev == right.st_dev && left.st_ino == right.st_ino;
}

static gboolean
may_replace (const char *path, gboolean overwrite, GError **error)
{
  if (!overwrite)
    {
      g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE,
                   _ ("There is a file at “%s” already. Choose another name, or say that it is to be replaced."), path);
      return FALSE;
    }
  if (shim_schema_is_register (path, NULL))
    return TRUE;
  g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE,
               _ ("“%s” is not a register, so it is not replaced by one. Choose another name."), path);
  return FALSE;
}

gboolean
shim_register_backup (ShimRegister *self, const char *path, gboolean overwrite, GError **error)
{
  g_return_val_if_fail (self != NULL && path != NULL, FALSE);
  g_return_val_if_fail (self->depth == 0, FALSE);

  if (is_same_file (self->path, path))
    {
      g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE,
                           _ ("A backup cannot take the place of the register itself. Choose another name."));
      return FALSE;
    }
  if (!g_file_test (path, G_FILE_TEST_EXISTS))
    return shim_copy_database (self->db, path, error);
  /* Written into, not renamed over: a log that lies beside the old file must not be taken for that of the new one. */
  return may_replace (path, overwrite, error) && shim_copy_over (self->db, path, error);
}
