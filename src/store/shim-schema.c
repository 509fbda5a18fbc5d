/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <gio/gio.h>
#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>

#include "shim-copy.h"
#include "shim-schema.h"
#include "shim-search.h"
#include "shim-store-resources.h"
#include "shim-uuid.h"

/* Opening a register: nothing is written before it is known to be ours and not newer than we are. */

/* Up to this size a register is looked over whole at every start (a few milliseconds); a larger one only when it was brought up to
 * date and when somebody asks, or starting would take longer the more there is in it. */
#define QUICK_CHECK_BYTES (4 * 1024 * 1024)

/**
 * shim_schema_dup_steps:
 *
 * Returns: (transfer full) (array zero-terminated=1): the SQL texts that lead from nothing to version 1, from 1 to 2, …
 */
char **
shim_schema_dup_steps (void)
{
  g_autoptr (GStrvBuilder) steps = g_strv_builder_new ();

  g_resources_register (shim_store_get_resource ());
  for (guint version = 1;; version++)
    {
      g_autofree char *name = g_strdup_printf ("/org/shimbook/store/sql/version-%03u.sql", version);
      g_autoptr (GBytes) bytes = g_resources_lookup_data (name, G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);

      if (bytes == NULL)
        return g_strv_builder_end (steps);
      g_strv_builder_add (steps, g_bytes_get_data (bytes, NULL));
    }
}

/* Leaves the log as it lies: a file that is not ours to touch is not tidied up when we close it either. */
static void
leave_untouched (ShimDb *db)
{
  sqlite3_db_config (shim_db_get_handle (db), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL);
}

static gboolean
refuse_newer (ShimDb *db, gint64 version, gint64 known, GError **error)
{
  g_autofree char *name = g_path_get_basename (shim_db_get_path (db));

  leave_untouched (db);
  g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NEWER,
               _ ("The register “%s” was written by a newer Shimbook (register version %d; this program knows up to %d). "
                  "Update Shimbook, or open the backup that was made before."),
               name, (int) version, (int) known);
  return FALSE;
}

static gboolean
refuse_foreign (ShimDb *db, GError **error)
{
  g_autofree char *name = g_path_get_basename (shim_db_get_path (db));

  leave_untouched (db);
  g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_A_REGISTER,
               _ ("“%s” is not a register of Shimbook. It was left as it is."), name);
  return FALSE;
}

/* Gives the version of a register; 0 for an empty database. */
static gboolean
read_version (ShimDb *db, gint64 known, gint64 *version, GError **error)
{
  gint64 application_id, n_tables;

  if (!shim_db_get_int (db, "SELECT count(*) FROM sqlite_schema", &n_tables, error)
      || !shim_db_get_int (db, "PRAGMA application_id", &application_id, error)
      || !shim_db_get_int (db, "PRAGMA user_version", version, error))
    {
      leave_untouched (db);
      return FALSE;
    }
  if (application_id == 0 && n_tables == 0 && *version == 0)
    return TRUE;
  if (application_id != SHIM_SCHEMA_APPLICATION_ID || *version < 1)
    return refuse_foreign (db, error);
  if (*version > known)
    return refuse_newer (db, *version, known, error);
  return TRUE;
}

static gboolean
set_pragmas (ShimDb *db, gboolean read_only, GError **error)
{
  /* A committed change must survive a power cut: FULL, not NORMAL. */
  return (read_only || shim_db_exec (db, "PRAGMA journal_mode = WAL", error))
         && shim_db_exec (db,
                          "PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA trusted_schema = OFF;"
                          "PRAGMA temp_store = MEMORY; PRAGMA cache_size = -48000",
                          error);
}

static gboolean
backup_before (ShimDb *db, gint64 version, GError **error)
{
  g_autofree char *stem = g_strdup (shim_db_get_path (db));
  g_autofree char *copy = NULL;
  char *dot = strrchr (stem, '.');
  const char *extension = "";

  if (dot != NULL && strchr (dot, G_DIR_SEPARATOR) == NULL)
    {
      *dot = '\0';
      extension = dot + 1;
    }
  copy = g_strdup_printf ("%s-before-v%d%s%s", stem, (int) version + 1, *extension != '\0' ? "." : "", extension);
  /* A copy from an earlier attempt that failed half-way is as good as one made now. */
  if (g_file_test (copy, G_FILE_TEST_EXISTS))
    return TRUE;
  return shim_copy_database (db, copy, error);
}

static gboolean
write_book (ShimDb *db, GError **error)
{
  g_autoptr (ShimStatement) statement = NULL;
  g_autofree char *id = shim_uuid_new ();

  statement = shim_db_prepare (db, "INSERT INTO book VALUES (1, ?1, strftime ('%Y-%m-%dT%H:%M:%SZ', 'now'))", error);
  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, id);
  return shim_statement_run (statement, error);
}

static gboolean
references_hold (ShimDb *db, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (db, "PRAGMA foreign_key_check", error);
  ShimStep step = statement != NULL ? shim_statement_step (statement, error) : SHIM_STEP_ERROR;

  if (step == SHIM_STEP_ROW)
    return shim_db_set_error (db, SQLITE_CORRUPT, error);
  return step == SHIM_STEP_DONE;
}

/* One step, in the transaction that is open. */
static gboolean
run_step (ShimDb *db, const char *sql, gint64 from, GError **error)
{
  g_autofree char *stamp = g_strdup_printf ("PRAGMA application_id = %d; PRAGMA user_version = %d",
                                            SHIM_SCHEMA_APPLICATION_ID, (int) from + 1);

  return shim_db_exec (db, sql, error) && (from > 0 || write_book (db, error)) && shim_db_exec (db, stamp, error)
         && references_hold (db, error);
}

/* Each step with its version number in one exclusive transaction: all of it or nothing. */
static gboolean
migrate (ShimDb *db, gint64 version, const char *const *steps, GError **error)
{
  shim_search_lend_sort_key (db);
  for (; steps[version] != NULL; version++)
    {
      gint64 now;

      if (!shim_db_exec (db, "BEGIN EXCLUSIVE", error))
        return FALSE;
      /* Somebody else may have done it while we waited. */
      if (!shim_db_get_int (db, "PRAGMA user_version", &now, error)
          || (now == version && (!run_step (db, steps[version], version, error) || !shim_db_exec (db, "COMMIT", error))))
        {
          if (shim_db_in_transaction (db))
            shim_db_exec (db, "ROLLBACK", NULL);
          return FALSE;
        }
      if (shim_db_in_transaction (db) && !shim_db_exec (db, "COMMIT", error))
        return FALSE;
    }
  return TRUE;
}

/**
 * shim_schema_is_whole:
 * @db: a register
 * @error: CORRUPT
 *
 * Returns: whether SQLite finds its pages in order
 */
gboolean
shim_schema_is_whole (ShimDb *db, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (db, "PRAGMA quick_check (1)", error);
  ShimStep step = statement != NULL ? shim_statement_step (statement, error) : SHIM_STEP_ERROR;

  if (step == SHIM_STEP_ROW && !g_str_equal (shim_statement_get_text (statement, 0), "ok"))
    return shim_db_set_error (db, SQLITE_CORRUPT, error);
  return step == SHIM_STEP_ROW;
}

static gboolean
look_over (ShimDb *db, gboolean always, GError **error)
{
  gint64 n_pages, page_size;

  if (!shim_db_get_int (db, "PRAGMA page_count", &n_pages, error)
      || !shim_db_get_int (db, "PRAGMA page_size", &page_size, error))
    return FALSE;
  return (!always && n_pages * page_size > QUICK_CHECK_BYTES) || shim_schema_is_whole (db, error);
}

static gboolean
prepare_place (const char *path, ShimRegisterFlags flags, GError **error)
{
  g_autofree char *folder = g_path_get_dirname (path);

  if (g_file_test (path, G_FILE_TEST_IS_DIR))
    g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_OPEN, _ ("“%s” is a folder, not a register."), path);
  else if ((flags & SHIM_REGISTER_CREATE) == 0 && !g_file_test (path, G_FILE_TEST_EXISTS))
    g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_OPEN, _ ("There is no register at “%s”."), path);
  else if ((flags & SHIM_REGISTER_CREATE) != 0 && g_mkdir_with_parents (folder, 0700) != 0)
    g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_OPEN, _ ("The folder “%s” cannot be made (%s)."), folder,
                 g_strerror (errno));
  else
    return TRUE;
  return FALSE;
}

/* A register in a folder that cannot be written to has no place for the log's index, so the file is read as it lies. That is right
 * only when no log waits beside it. */
static char *
immutable_uri (const char *path)
{
  g_autofree char *escaped = g_uri_escape_string (path, "/", TRUE);

  return g_strconcat ("file:", escaped, "?immutable=1", NULL);
}

static ShimDb *
open_file (const char *path, ShimRegisterFlags flags, GError **error)
{
  g_autofree char *folder = g_path_get_dirname (path);
  g_autofree char *log = g_strconcat (path, "-wal", NULL);
  g_autofree char *uri = NULL;

  if ((flags & SHIM_REGISTER_READ_ONLY) == 0)
    return shim_db_open (path, SQLITE_OPEN_READWRITE | ((flags & SHIM_REGISTER_CREATE) ? SQLITE_OPEN_CREATE : 0), error);
  if (g_access (folder, W_OK) == 0 || g_file_test (log, G_FILE_TEST_EXISTS))
    return shim_db_open (path, SQLITE_OPEN_READONLY, error);
  uri = immutable_uri (path);
  return shim_db_open (uri, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, error);
}

static gboolean
bring_up_to_date (ShimDb *db, ShimRegisterFlags flags, gint64 version, const char *const *steps, GError **error)
{
  gboolean is_old = steps[version] != NULL;

  if (is_old && (flags & SHIM_REGISTER_READ_ONLY) != 0)
    {
      g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_READ_ONLY,
                           _ ("The register is of an older version and must be brought up to date first: open it for writing."));
      return FALSE;
    }
  return (!is_old || version == 0 || backup_before (db, version, error))
         && set_pragmas (db, (flags & SHIM_REGISTER_READ_ONLY) != 0, error)
         && (!is_old || migrate (db, version, steps, error)) && look_over (db, is_old, error);
}

/**
 * shim_schema_open:
 * @path: the register file
 * @flags: how
 * @steps: (nullable) (array zero-terminated=1): migration steps for a test; %NULL = those of the program
 * @error: as for shim_register_open()
 *
 * Returns: (transfer full) (nullable): a connection to a register of the newest version
 */
ShimDb *
shim_schema_open (const char *path, ShimRegisterFlags flags, const char *const *steps, GError **error)
{
  g_autoptr (ShimDb) db = NULL;
  g_auto (GStrv) own_steps = NULL;
  gint64 version;

  if (steps == NULL)
    steps = (const char *const *) (own_steps = shim_schema_dup_steps ());
  if (!prepare_place (path, flags, error))
    return NULL;
  db = open_file (path, flags, error);
  if (db == NULL || !read_version (db, g_strv_length ((char **) steps), &version, error))
    return NULL;
  if (version == 0 && (flags & SHIM_REGISTER_CREATE) == 0)
    {
      refuse_foreign (db, error);
      return NULL;
    }
  if (!bring_up_to_date (db, flags, version, steps, error))
    return NULL;
  return g_steal_pointer (&db);
}

/* Of a version up to @known. */
static ShimDb *
open_as_it_lies (const char *path, gint64 known, GError **error)
{
  g_autoptr (ShimDb) db = NULL;
  gint64 version;

  if (!prepare_place (path, SHIM_REGISTER_READ_ONLY, error))
    return NULL;
  db = open_file (path, SHIM_REGISTER_READ_ONLY, error);
  if (db == NULL || !read_version (db, known, &version, error))
    return NULL;
  if (version == 0)
    {
      refuse_foreign (db, error);
      return NULL;
    }
  return g_steal_pointer (&db);
}

/**
 * shim_schema_open_as_it_lies:
 * @path: a file
 * @error: NOT_A_REGISTER, NEWER, OPEN …
 *
 * Returns: (transfer full) (nullable): a register of any version that this program knows, for reading, not brought up to date
 */
ShimDb *
shim_schema_open_as_it_lies (const char *path, GError **error)
{
  g_auto (GStrv) steps = shim_schema_dup_steps ();

  return open_as_it_lies (path, g_strv_length (steps), error);
}

/**
 * shim_schema_is_register:
 * @path: a file
 * @error: NOT_A_REGISTER, OPEN …
 *
 * Returns: whether a file is a register of any version
 */
gboolean
shim_schema_is_register (const char *path, GError **error)
{
  g_autoptr (ShimDb) db = open_as_it_lies (path, G_MAXINT, error);

  return db != NULL;
}
