/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gio/gio.h>
#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>
#include <math.h>
#include <string.h>
#include <unistd.h>

#include "shim-db.h"
#include "shim-locks.h"
#include "shim-field.h"

/* How long a writer waits for another one before it gives up. A change by hand takes milliseconds; an import seconds. */
#define BUSY_TIMEOUT_MS 5000

/* The store has about a hundred fixed texts and a few for each kind; built lists add to them. */
#define MAX_STATEMENTS 400

struct _ShimDb
{
  sqlite3 *handle;
  char *path;
  GHashTable *statements; /* SQL text → ShimStatement */
};

struct _ShimStatement
{
  ShimDb *db;
  sqlite3_stmt *stmt;
  gboolean cached;
  gboolean in_use;
};

static void
statement_destroy (ShimStatement *self)
{
  sqlite3_finalize (self->stmt);
  g_free (self);
}

/* What the rules of the schema say ("shim:…"), in words. */
static gboolean
set_rule_error (const char *rule, GError **error)
{
  if (strcmp (rule, "shim:evidence") == 0)
    g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CONSTRAINT,
                         _ ("What was measured or decided is never changed. Add a newer record instead."));
  else if (strcmp (rule, "shim:id-twice") == 0)
    g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE,
                         _ ("There is a record with this id already."));
  else if (strcmp (rule, "shim:frame-twice") == 0)
    g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE,
                         _ ("This photograph is part of the test already. Take a new frame instead."));
  else if (strcmp (rule, "shim:no-item") == 0)
    g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CONSTRAINT,
                         _ ("It refers to an item that is not in the register."));
  else
    return FALSE;
  return TRUE;
}

static void
set_constraint_error (int code, const char *message, GError **error)
{
  if (g_str_has_prefix (message, "shim:") && set_rule_error (message, error))
    return;
  switch (code)
    {
    case SQLITE_CONSTRAINT_FOREIGNKEY:
      g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CONSTRAINT,
                           _ ("It refers to something that is not in the register."));
      break;
    case SQLITE_CONSTRAINT_UNIQUE:
    case SQLITE_CONSTRAINT_PRIMARYKEY:
      g_set_error_literal (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE, _ ("There is one like it already."));
      break;
    default:
      g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CONSTRAINT, _ ("A rule of the register forbids it (%s)."),
                   message);
      break;
    }
}

/**
 * shim_db_set_error:
 * @self: a connection
 * @code: an SQLite result code
 * @error: where to put it
 *
 * Returns: %FALSE, so that a failing function can return it
 */
gboolean
shim_db_set_error (ShimDb *self, int code, GError **error)
{
  const char *message = sqlite3_errmsg (self->handle);
  g_autofree char *name = g_path_get_basename (self->path);

  if (code == SQLITE_ERROR || (code & 0xff) == SQLITE_CONSTRAINT)
    code = sqlite3_extended_errcode (self->handle) != SQLITE_OK ? sqlite3_extended_errcode (self->handle) : code;
  switch (code & 0xff)
    {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_BUSY,
                   _ ("Another program is writing to the register “%s”. Try again in a moment."), name);
      break;
    case SQLITE_FULL:
      g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_FULL,
                   _ ("There is no room left for the register “%s”. Nothing was changed; make room and try again."), name);
      break;
    case SQLITE_READONLY:
      g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_READ_ONLY,
                   _ ("The register “%s” or its folder cannot be written to. Nothing was changed."), name);
      break;
    case SQLITE_NOTADB:
      g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_A_REGISTER,
                   _ ("“%s” is not a register of Shimbook. It was left as it is."), name);
      break;
    case SQLITE_CORRUPT:
      g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CORRUPT,
                   _ ("The register “%s” is damaged. Open the newest backup, and keep the damaged file."), name);
      break;
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
    case SQLITE_AUTH:
      if (g_file_test (self->path, G_FILE_TEST_IS_REGULAR) && g_access (self->path, R_OK) == 0)
        g_set_error (
            error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_READ_ONLY,
            _ ("The register “%s” can be read, but it or its folder cannot be written to. Copy it into a folder of your own and "
               "open the copy."),
            self->path);
      else
        g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_OPEN,
                     _ ("The register “%s” cannot be opened. Look whether it is there and may be read."), self->path);
      break;
    case SQLITE_IOERR:
      /* Also what a used-up quota is to SQLite. */
      g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_FAILED,
                   _ ("The disk failed, or there is no room for you on it, while the register “%s” was used (%s). The last change may be "
                      "lost; make room or look after the disk, and make a backup."), name, message);
      break;
    case SQLITE_INTERRUPT:
      g_set_error_literal (error, G_IO_ERROR, G_IO_ERROR_CANCELLED, _ ("It was cancelled."));
      break;
    case SQLITE_CONSTRAINT:
      set_constraint_error (code, message, error);
      break;
    default:
      g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_FAILED, _ ("The register “%s” could not do this (%s)."), name,
                   message);
      break;
    }
  return FALSE;
}

/* Looking for the first letter leaves most words out at once; a list is walked through this way. */
static gboolean
begins_a_word (const char *wanted, gsize length, const char *words)
{
  for (const char *place = words; (place = strchr (place, *wanted)) != NULL; place++)
    if ((place == words || place[-1] == ' ') && strncmp (place, wanted, length) == 0)
      return TRUE;
  return FALSE;
}

/* shim_has_words (words, wanted): whether every wanted word begins one of the words; both with single blanks between. */
static void
has_words (sqlite3_context *context, int n, sqlite3_value **values)
{
  const char *words = (const char *) sqlite3_value_text (values[0]);
  const char *wanted = (const char *) sqlite3_value_text (values[1]);

  while (words != NULL && wanted != NULL && *wanted != '\0')
    {
      gsize length = strcspn (wanted, " ");

      if (!begins_a_word (wanted, length, words))
        break;
      wanted += length + (wanted[length] == ' ');
    }
  sqlite3_result_int (context, words != NULL && wanted != NULL && *wanted == '\0');
}

/**
 * shim_db_open:
 * @path: a file
 * @sqlite_flags: as for sqlite3_open_v2()
 * @error: return location
 *
 * Opens a file without looking at what is in it.
 *
 * Returns: (transfer full) (nullable): the connection
 */
ShimDb *
shim_db_open (const char *path, int sqlite_flags, GError **error)
{
  g_autoptr (ShimDb) self = g_new0 (ShimDb, 1);
  int code;

  shim_locks_keep ();
  self->path = g_strdup (path);
  self->statements = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, (GDestroyNotify) statement_destroy);
  /* One thread at a time is promised, so SQLite's own lock on every call is not needed. */
  code = sqlite3_open_v2 (path, &self->handle, sqlite_flags | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE, NULL);
  if (code != SQLITE_OK)
    {
      shim_db_set_error (self, code, error);
      return NULL;
    }
  shim_db_set_busy_timeout (self, BUSY_TIMEOUT_MS);
  sqlite3_create_function (self->handle, "shim_has_words", 2, SQLITE_UTF8 | SQLITE_DETERMINISTIC | SQLITE_DIRECTONLY, NULL,
                           has_words, NULL, NULL);
  return g_steal_pointer (&self);
}

void
shim_db_free (ShimDb *self)
{
  if (self == NULL)
    return;
  g_hash_table_unref (self->statements);
  sqlite3_close_v2 (self->handle);
  g_free (self->path);
  g_free (self);
}

sqlite3 *
shim_db_get_handle (ShimDb *self)
{
  return self->handle;
}

const char *
shim_db_get_path (ShimDb *self)
{
  return self->path;
}

void
shim_db_set_busy_timeout (ShimDb *self, int ms)
{
  sqlite3_busy_timeout (self->handle, ms);
}

gboolean
shim_db_in_transaction (ShimDb *self)
{
  return !sqlite3_get_autocommit (self->handle);
}

gboolean
shim_db_exec (ShimDb *self, const char *sql, GError **error)
{
  int code = sqlite3_exec (self->handle, sql, NULL, NULL, NULL);

  return code == SQLITE_OK || shim_db_set_error (self, code, error);
}

/**
 * shim_db_get_int:
 * @self: a connection
 * @sql: a query whose first row and column is wanted
 * @value: (out): it
 * @error: return location
 */
gboolean
shim_db_get_int (ShimDb *self, const char *sql, gint64 *value, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (self, sql, error);

  if (statement == NULL || shim_statement_step (statement, error) != SHIM_STEP_ROW)
    return FALSE;
  *value = shim_statement_get_int (statement, 0);
  return TRUE;
}

static void
forget_idle_statements (ShimDb *self)
{
  GHashTableIter iter;
  gpointer statement;

  g_hash_table_iter_init (&iter, self->statements);
  while (g_hash_table_iter_next (&iter, NULL, &statement))
    if (!((ShimStatement *) statement)->in_use)
      g_hash_table_iter_remove (&iter);
}

/**
 * shim_db_prepare:
 * @self: a connection
 * @sql: one statement
 * @error: return location
 *
 * Statements are kept, and handed out again when the same text is asked for.
 *
 * Returns: (transfer full) (nullable): the statement, to be given back with shim_statement_release()
 */
ShimStatement *
shim_db_prepare (ShimDb *self, const char *sql, GError **error)
{
  ShimStatement *statement = g_hash_table_lookup (self->statements, sql);
  sqlite3_stmt *stmt = NULL;
  int code;

  if (statement != NULL && !statement->in_use)
    {
      statement->in_use = TRUE;
      return statement;
    }
  code = sqlite3_prepare_v3 (self->handle, sql, -1, SQLITE_PREPARE_PERSISTENT, &stmt, NULL);
  if (code != SQLITE_OK)
    {
      shim_db_set_error (self, code, error);
      return NULL;
    }
  if (g_hash_table_size (self->statements) >= MAX_STATEMENTS)
    forget_idle_statements (self);
  statement = g_new0 (ShimStatement, 1);
  statement->db = self;
  statement->stmt = stmt;
  statement->in_use = TRUE;
  /* The kept one is at work further up: this one lives for one use. */
  statement->cached = !g_hash_table_contains (self->statements, sql);
  if (statement->cached)
    g_hash_table_insert (self->statements, g_strdup (sql), statement);
  return statement;
}

void
shim_statement_release (ShimStatement *self)
{
  if (self == NULL)
    return;
  sqlite3_reset (self->stmt);
  sqlite3_clear_bindings (self->stmt);
  self->in_use = FALSE;
  if (!self->cached)
    statement_destroy (self);
}

void
shim_statement_bind_text (ShimStatement *self, int index, const char *text)
{
  sqlite3_bind_text (self->stmt, index, text, -1, SQLITE_TRANSIENT);
}

/* SHIM_NO_INT stands for "not known". */
void
shim_statement_bind_int (ShimStatement *self, int index, gint64 value)
{
  if (value == SHIM_NO_INT)
    sqlite3_bind_null (self->stmt, index);
  else
    sqlite3_bind_int64 (self->stmt, index, value);
}

/* SQLite itself turns a NAN into NULL. */
void
shim_statement_bind_real (ShimStatement *self, int index, double value)
{
  sqlite3_bind_double (self->stmt, index, value);
}

void
shim_statement_bind_blob (ShimStatement *self, int index, gconstpointer data, gsize size)
{
  sqlite3_bind_blob64 (self->stmt, index, data, size, SQLITE_TRANSIENT);
}

void
shim_statement_bind_null (ShimStatement *self, int index)
{
  sqlite3_bind_null (self->stmt, index);
}

ShimStep
shim_statement_step (ShimStatement *self, GError **error)
{
  int code = sqlite3_step (self->stmt);

  if (code == SQLITE_ROW)
    return SHIM_STEP_ROW;
  if (code == SQLITE_DONE)
    return SHIM_STEP_DONE;
  shim_db_set_error (self->db, code, error);
  return SHIM_STEP_ERROR;
}

/**
 * shim_statement_run:
 * @self: a statement
 * @error: return location
 *
 * Runs it to its end and makes it ready for other values.
 */
gboolean
shim_statement_run (ShimStatement *self, GError **error)
{
  ShimStep step;

  while ((step = shim_statement_step (self, error)) == SHIM_STEP_ROW)
    ;
  sqlite3_reset (self->stmt);
  return step == SHIM_STEP_DONE;
}

gboolean
shim_statement_is_null (ShimStatement *self, int column)
{
  return sqlite3_column_type (self->stmt, column) == SQLITE_NULL;
}

const char *
shim_statement_get_text (ShimStatement *self, int column)
{
  return (const char *) sqlite3_column_text (self->stmt, column);
}

char *
shim_statement_dup_text (ShimStatement *self, int column)
{
  return g_strdup (shim_statement_get_text (self, column));
}

gint64
shim_statement_get_int (ShimStatement *self, int column)
{
  return shim_statement_is_null (self, column) ? SHIM_NO_INT : sqlite3_column_int64 (self->stmt, column);
}

double
shim_statement_get_real (ShimStatement *self, int column)
{
  return shim_statement_is_null (self, column) ? NAN : sqlite3_column_double (self->stmt, column);
}

GBytes *
shim_statement_get_blob (ShimStatement *self, int column)
{
  const void *data = sqlite3_column_blob (self->stmt, column);
  int size = sqlite3_column_bytes (self->stmt, column);

  return data != NULL ? g_bytes_new (data, size) : NULL;
}
