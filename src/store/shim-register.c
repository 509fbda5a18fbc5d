/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "shim-query-private.h"
#include "shim-register-private.h"
#include "shim-row.h"
#include "shim-schema.h"
#include "shim-search.h"

/* A test this old is repeated, unless somebody says otherwise. Common practice, no source. */
#define DEFAULT_MAX_AGE_DAYS 365.0

/**
 * shim_register_read_id:
 * @self: a register
 * @error: return location
 *
 * Reads which register it is; again after another one was put in its place.
 */
gboolean
shim_register_read_id (ShimRegister *self, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, "SELECT id FROM book", error);
  ShimStep step = statement != NULL ? shim_statement_step (statement, error) : SHIM_STEP_ERROR;

  g_clear_pointer (&self->id, g_free);
  if (step == SHIM_STEP_ROW)
    self->id = shim_statement_dup_text (statement, 0);
  return step == SHIM_STEP_ROW || (step == SHIM_STEP_DONE && shim_db_set_error (self->db, SQLITE_CORRUPT, error));
}

static gboolean
judge_the_kit (ShimRegister *self, GError **error)
{
  if (!shim_register_begin (self, NULL, error))
    return FALSE;
  self->judge_all = TRUE;
  return shim_register_commit (self, error);
}

/* The mounts that a new register comes with are to be found too, and a register that an older program kept lacks what that one did not
 * work out. */
static gboolean
work_out_what_is_missing (ShimRegister *self, GError **error)
{
  gint64 is_indexed, is_outstanding;

  if (!shim_db_get_int (self->db, "SELECT EXISTS (SELECT 1 FROM search_text)", &is_indexed, error)
      || !shim_db_get_int (self->db, "SELECT EXISTS (SELECT 1 FROM outstanding)", &is_outstanding, error))
    return FALSE;
  if (self->read_only || (is_indexed && !is_outstanding))
    return TRUE;
  return is_indexed ? judge_the_kit (self, error) : shim_register_rebuild (self, error);
}

ShimRegister *
shim_register_open (const char *path, ShimRegisterFlags flags, GError **error)
{
  g_autoptr (ShimRegister) self = NULL;

  g_return_val_if_fail (path != NULL, NULL);

  self = g_new0 (ShimRegister, 1);
  self->path = g_canonicalize_filename (path, NULL);
  self->read_only = (flags & SHIM_REGISTER_READ_ONLY) != 0;
  self->max_age_days = DEFAULT_MAX_AGE_DAYS;
  self->dirty_pairs = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  self->dirty_bodies = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  self->bodies_to_judge = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  self->db = shim_schema_open (self->path, flags, NULL, error);
  if (self->db == NULL || !shim_register_read_id (self, error) || !work_out_what_is_missing (self, error))
    return NULL;
  return g_steal_pointer (&self);
}

void
shim_register_free (ShimRegister *self)
{
  if (self == NULL)
    return;
  /* A change left open is not kept. */
  while (self->depth > 0)
    shim_register_rollback (self);
  g_clear_pointer (&self->db, shim_db_free);
  g_hash_table_unref (self->dirty_pairs);
  g_hash_table_unref (self->dirty_bodies);
  g_hash_table_unref (self->bodies_to_judge);
  g_free (self->path);
  g_free (self->id);
  g_free (self->who);
  g_free (self);
}

const char *
shim_register_get_path (ShimRegister *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return self->path;
}

gboolean
shim_register_is_read_only (ShimRegister *self)
{
  g_return_val_if_fail (self != NULL, TRUE);

  return self->read_only;
}

const char *
shim_register_get_id (ShimRegister *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return self->id;
}

void
shim_register_set_who (ShimRegister *self, const char *who)
{
  g_return_if_fail (self != NULL);

  g_free (self->who);
  self->who = g_strdup (who);
}

void
shim_register_set_clock (ShimRegister *self, gint64 unix_s)
{
  g_return_if_fail (self != NULL);

  self->clock_s = unix_s;
}

void
shim_register_set_max_age (ShimRegister *self, double days)
{
  g_return_if_fail (self != NULL);

  self->max_age_days = days;
}

void
shim_register_set_patience (ShimRegister *self, guint ms)
{
  g_return_if_fail (self != NULL);

  shim_db_set_busy_timeout (self->db, (int) ms);
}

gint64
shim_register_now_s (ShimRegister *self)
{
  return self->clock_s != 0 ? self->clock_s : g_get_real_time () / G_USEC_PER_SEC;
}

char *
shim_register_now (ShimRegister *self)
{
  g_autoptr (GDateTime) now = NULL;

  g_return_val_if_fail (self != NULL, NULL);

  now = g_date_time_new_from_unix_utc (shim_register_now_s (self));
  return g_date_time_format (now, "%Y-%m-%dT%H:%M:%SZ");
}

void
shim_register_interrupt (ShimRegister *self)
{
  g_return_if_fail (self != NULL);

  sqlite3_interrupt (shim_db_get_handle (self->db));
}

gint64
shim_register_data_version (ShimRegister *self)
{
  gint64 version;

  g_return_val_if_fail (self != NULL, -1);

  return shim_db_get_int (self->db, "PRAGMA data_version", &version, NULL) ? version : -1;
}

ShimRecord *
shim_register_get (ShimRegister *self, GType type, const char *id, GError **error)
{
  g_return_val_if_fail (self != NULL, NULL);
  g_return_val_if_fail (id != NULL, NULL);

  return shim_register_fetch (self, type, id, FALSE, error);
}

GPtrArray *
shim_register_list (ShimRegister *self, GType type, const ShimQuery *query, GError **error)
{
  g_autoptr (GPtrArray) list = g_ptr_array_new_with_free_func (g_object_unref);
  g_autoptr (ShimStatement) statement = NULL;
  ShimStep last;

  g_return_val_if_fail (self != NULL, NULL);

  statement = shim_query_prepare_list (query, self, shim_kind_for_type (type), error);
  if (statement == NULL)
    return NULL;
  shim_row_read_list (statement, type, list, &last, error);
  return last == SHIM_STEP_DONE ? g_steal_pointer (&list) : NULL;
}

GPtrArray *
shim_register_list_ids (ShimRegister *self, GType type, const ShimQuery *query, GError **error)
{
  g_autoptr (GPtrArray) ids = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (ShimStatement) statement = NULL;
  ShimStep step;

  g_return_val_if_fail (self != NULL, NULL);

  statement = shim_query_prepare_ids (query, self, shim_kind_for_type (type), error);
  if (statement == NULL)
    return NULL;
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    g_ptr_array_add (ids, g_strdup (shim_statement_get_text (statement, 0)));
  return step == SHIM_STEP_DONE ? g_steal_pointer (&ids) : NULL;
}

gint64
shim_register_count (ShimRegister *self, GType type, const ShimQuery *query, GError **error)
{
  g_autoptr (ShimStatement) statement = NULL;

  g_return_val_if_fail (self != NULL, -1);

  statement = shim_query_prepare_count (query, self, shim_kind_for_type (type), error);
  if (statement == NULL || shim_statement_step (statement, error) != SHIM_STEP_ROW)
    return -1;
  return shim_statement_get_int (statement, 0);
}

void
shim_found_free (ShimFound *self)
{
  if (self == NULL)
    return;
  g_free (self->kind);
  g_free (self->id);
  g_free (self->title);
  g_free (self);
}

/* The index gives its rows in the order of entry, so that the first ones are there at once however many there are. */
static gboolean
add_found (ShimRegister *self, const char *match, guint limit, GPtrArray *found, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (self->db,
                         "SELECT s.kind, s.id, s.title FROM search JOIN search_text AS s ON s.n = search.rowid"
                         " WHERE search MATCH ?1 ORDER BY search.rowid LIMIT ?2",
                         error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, match);
  shim_statement_bind_int (statement, 2, limit > 0 ? (gint64) limit - found->len : -1);
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    {
      ShimFound *item = g_new0 (ShimFound, 1);

      item->kind = shim_statement_dup_text (statement, 0);
      item->id = shim_statement_dup_text (statement, 1);
      item->title = shim_statement_dup_text (statement, 2);
      g_ptr_array_add (found, item);
    }
  return step == SHIM_STEP_DONE;
}

/* What people look for most comes first. */
static const char *const found_kinds[] = { "body", "lens", "converter", "adapter", "job", "mount", "pair", "event", "test", "round",
                                           "decision" };

GPtrArray *
shim_register_search (ShimRegister *self, const char *words, guint limit, GError **error)
{
  g_autoptr (GPtrArray) found = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_found_free);
  g_autofree char *plain = NULL;

  g_return_val_if_fail (self != NULL, NULL);

  plain = shim_search_plain (words != NULL ? words : "");
  for (guint i = 0; *plain != '\0' && i < G_N_ELEMENTS (found_kinds) && (limit == 0 || found->len < limit); i++)
    {
      g_autofree char *match = shim_search_match (found_kinds[i], plain);

      if (!add_found (self, match, limit, found, error))
        return NULL;
    }
  return g_steal_pointer (&found);
}

GPtrArray *
shim_register_find_serial (ShimRegister *self, GType type, const char *serial, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autofree char *plain = NULL;

  g_return_val_if_fail (self != NULL, NULL);
  g_return_val_if_fail (serial != NULL, NULL);

  plain = g_strstrip (g_strdup (serial));
  shim_query_add_filter (query, "serial", plain);
  shim_query_add_order (query, "archived", FALSE);
  shim_query_set_include_archived (query, TRUE);
  return shim_register_list (self, type, query, error);
}
