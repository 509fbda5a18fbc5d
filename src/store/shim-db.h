/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

/* Debian builds SQLite with the session extension; its header wants to be told. */
#define SQLITE_ENABLE_SESSION 1
#define SQLITE_ENABLE_PREUPDATE_HOOK 1
#include <sqlite3.h>

#include "shim-store-error.h"

G_BEGIN_DECLS

/* A SQLite connection with its prepared statements. For the store alone. */

typedef struct _ShimDb ShimDb;
typedef struct _ShimStatement ShimStatement;

/**
 * ShimStep:
 *
 * What a step of a statement gave.
 */
typedef enum
{
  SHIM_STEP_ERROR,
  SHIM_STEP_ROW,
  SHIM_STEP_DONE,
} ShimStep;

ShimDb        *shim_db_open             (const char *path, int sqlite_flags, GError **error);
void           shim_db_free             (ShimDb *self);
sqlite3       *shim_db_get_handle       (ShimDb *self);
const char    *shim_db_get_path         (ShimDb *self);
void           shim_db_set_busy_timeout (ShimDb *self, int ms);
gboolean       shim_db_set_error        (ShimDb *self, int code, GError **error);
gboolean       shim_db_exec             (ShimDb *self, const char *sql, GError **error);
gboolean       shim_db_get_int          (ShimDb *self, const char *sql, gint64 *value, GError **error);
gboolean       shim_db_in_transaction   (ShimDb *self);

ShimStatement *shim_db_prepare          (ShimDb *self, const char *sql, GError **error);
void           shim_statement_release   (ShimStatement *self);
void           shim_statement_bind_text (ShimStatement *self, int index, const char *text);
void           shim_statement_bind_int  (ShimStatement *self, int index, gint64 value);
void           shim_statement_bind_real (ShimStatement *self, int index, double value);
void           shim_statement_bind_blob (ShimStatement *self, int index, gconstpointer data, gsize size);
void           shim_statement_bind_null (ShimStatement *self, int index);
ShimStep       shim_statement_step      (ShimStatement *self, GError **error);
gboolean       shim_statement_run       (ShimStatement *self, GError **error);
gboolean       shim_statement_is_null   (ShimStatement *self, int column);
const char    *shim_statement_get_text  (ShimStatement *self, int column);
char          *shim_statement_dup_text  (ShimStatement *self, int column);
gint64         shim_statement_get_int   (ShimStatement *self, int column);
double         shim_statement_get_real  (ShimStatement *self, int column);
GBytes        *shim_statement_get_blob  (ShimStatement *self, int column);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimDb, shim_db_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimStatement, shim_statement_release)

G_END_DECLS
