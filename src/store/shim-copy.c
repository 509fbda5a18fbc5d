/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>

#include "shim-copy.h"

/* Pages copied before others get a turn at the register. */
#define PAGES_AT_A_TIME 2000

/* How long, and in what steps, one waits for whoever holds it. */
#define WAIT_MS 20
#define MAX_WAIT_MS 10000

static int
copy_pages (ShimDb *from, ShimDb *to)
{
  sqlite3_backup *backup = sqlite3_backup_init (shim_db_get_handle (to), "main", shim_db_get_handle (from), "main");
  guint waited_ms = 0;
  int code;

  if (backup == NULL)
    return sqlite3_extended_errcode (shim_db_get_handle (to));
  while ((code = sqlite3_backup_step (backup, PAGES_AT_A_TIME)) != SQLITE_DONE)
    {
      gboolean busy = (code & 0xff) == SQLITE_BUSY || (code & 0xff) == SQLITE_LOCKED;

      if (code != SQLITE_OK && (!busy || waited_ms >= MAX_WAIT_MS))
        break;
      if (busy)
        waited_ms += sqlite3_sleep (WAIT_MS);
    }
  sqlite3_backup_finish (backup);
  return code;
}

/**
 * shim_copy_over:
 * @from: a connection; others may write meanwhile
 * @path: an existing database, or none
 * @error: return location
 *
 * SQLite's online backup: on the side of @path it is one transaction, which heeds whoever has it open.
 */
gboolean
shim_copy_over (ShimDb *from, const char *path, GError **error)
{
  g_autoptr (ShimDb) to = shim_db_open (path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, error);
  int code;

  if (to == NULL)
    return FALSE;
  code = copy_pages (from, to);
  if (code != SQLITE_DONE)
    return shim_db_set_error (to, code, error);
  /* The copy stands alone: no log beside it that could be left behind when it is moved. It is whole also where this fails. */
  shim_db_exec (to, "PRAGMA journal_mode = DELETE", NULL);
  return TRUE;
}

/* The file that is written has a passing name of our own, which would tell nobody where room is wanted. */
static void
name_the_folder (const char *path, GError **error)
{
  g_autofree char *folder = g_path_get_dirname (path);

  if (error == NULL || !g_error_matches (*error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_FULL))
    return;
  g_clear_error (error);
  g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_FULL,
               _ ("There is no room left in “%s” for a copy of the register. Nothing was changed; make room and try again."), folder);
}

/**
 * shim_copy_database:
 * @from: a connection; others may write meanwhile
 * @path: where to; a file that lies there is replaced
 * @error: return location
 *
 * SQLite's online backup into a file beside @path, which then takes its name: a copy that fails leaves what was there.
 */
gboolean
shim_copy_database (ShimDb *from, const char *path, GError **error)
{
  g_autofree char *part = g_strconcat (path, ".part", NULL);
  gboolean copied;

  g_unlink (part);
  copied = shim_copy_over (from, part, error);
  if (!copied)
    name_the_folder (path, error);
  if (copied && g_rename (part, path) != 0)
    {
      g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_OPEN, _ ("The copy “%s” cannot be put in place (%s)."), path,
                   g_strerror (errno));
      copied = FALSE;
    }
  if (!copied)
    g_unlink (part);
  return copied;
}

/**
 * shim_copy_into:
 * @from: a connection
 * @to: a connection without a transaction; others may have that database open
 * @error: return location
 *
 * All that is in @to is replaced, in one transaction, which others see as a change.
 */
gboolean
shim_copy_into (ShimDb *from, ShimDb *to, GError **error)
{
  const int code = copy_pages (from, to);

  return code == SQLITE_DONE || shim_db_set_error (to, code, error);
}
