/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "shim-register-private.h"
#include "shim-row.h"

/* Looking the register over: the file, the references, and what the schema alone cannot say. */

/* Enough to see what is wrong; a broken file may have millions. */
#define MAX_PROBLEMS 50

static void
add_problem (GPtrArray *problems, char *sentence)
{
  if (problems->len < MAX_PROBLEMS)
    g_ptr_array_add (problems, sentence);
  else
    g_free (sentence);
}

static gboolean
check_file (ShimRegister *self, GPtrArray *problems, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, "PRAGMA integrity_check (20)", error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    if (strcmp (shim_statement_get_text (statement, 0), "ok") != 0)
      add_problem (problems, g_strdup_printf (_ ("The file is damaged: %s."), shim_statement_get_text (statement, 0)));
  return step == SHIM_STEP_DONE;
}

static gboolean
check_foreign_keys (ShimRegister *self, GPtrArray *problems, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, "PRAGMA foreign_key_check", error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    add_problem (problems, g_strdup_printf (_ ("A record of “%s” refers to one of “%s” that is not there."),
                                            shim_statement_get_text (statement, 0), shim_statement_get_text (statement, 2)));
  return step == SHIM_STEP_DONE;
}

/* Each query counts what should not be. */
static const struct
{
  const char *sql;
  const char *sentence;
} counts[] = {
  { "SELECT count(*) FROM event WHERE item NOT IN (SELECT id FROM body UNION ALL SELECT id FROM lens UNION ALL"
    " SELECT id FROM converter)",
    N_ ("%d events belong to items that are not there.") },
  { "SELECT count(*) FROM job_item WHERE item NOT IN (SELECT id FROM body UNION ALL SELECT id FROM lens UNION ALL"
    " SELECT id FROM converter UNION ALL SELECT id FROM adapter)",
    N_ ("%d lines of jobs name items that are not there.") },
  { "SELECT (SELECT count(*) FROM pair AS p WHERE NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = p.id)"
    "  AND NOT EXISTS (SELECT 1 FROM pair_now AS n WHERE n.pair = p.id))"
    " + (SELECT count(*) FROM pair_now AS n WHERE NOT EXISTS (SELECT 1 FROM pair AS p WHERE p.id = n.pair"
    "  AND p.body = n.body AND p.lens = n.lens) OR EXISTS (SELECT 1 FROM retracted WHERE retracted.row = n.pair))",
    N_ ("The state of %d pairs is out of step; rebuild the register.") },
  { "SELECT count(*) FROM pair_now AS n WHERE n.decision IS NOT (SELECT d.id FROM decision AS d WHERE d.pair = n.pair"
    " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = d.id) ORDER BY d.decided_at DESC, d.id DESC LIMIT 1)",
    N_ ("The decided setting of %d pairs is out of step; rebuild the register.") },
  { "SELECT count(*) FROM (SELECT row FROM retracted EXCEPT SELECT r.row FROM retraction AS r WHERE r.retracted = 1"
    " AND NOT EXISTS (SELECT 1 FROM retraction AS s WHERE s.row = r.row AND (s.at, s.id) > (r.at, r.id)))",
    N_ ("%d records are taken for removed that are not; rebuild the register.") },
  { "SELECT count(*) FROM (SELECT r.row FROM retraction AS r WHERE r.retracted = 1 AND NOT EXISTS (SELECT 1 FROM"
    " retraction AS s WHERE s.row = r.row AND (s.at, s.id) > (r.at, r.id)) EXCEPT SELECT row FROM retracted)",
    N_ ("%d records are taken for present that were removed; rebuild the register.") },
  { "SELECT count(*) FROM search_text AS s WHERE EXISTS (SELECT 1 FROM retracted WHERE retracted.row = s.id)",
    N_ ("%d removed records can still be found; rebuild the register.") },
};

static gboolean
check_counts (ShimRegister *self, GPtrArray *problems, GError **error)
{
  for (guint i = 0; i < G_N_ELEMENTS (counts); i++)
    {
      gint64 n;

      if (!shim_db_get_int (self->db, counts[i].sql, &n, error))
        return FALSE;
      if (n > 0)
        add_problem (problems, g_strdup_printf (_ (counts[i].sentence), (int) n));
    }
  return TRUE;
}

/* The search index compares itself with its words; it does so by a statement that counts as writing. */
static void
check_search (ShimRegister *self, GPtrArray *problems)
{
  if (self->read_only)
    return;
  if (!shim_db_exec (self->db, "INSERT INTO search (search, rank) VALUES ('integrity-check', 1)", NULL))
    add_problem (problems, g_strdup (_ ("The search index is out of step; rebuild the register.")));
}

static gboolean
check_records (ShimRegister *self, GType type, GPtrArray *problems, GError **error)
{
  const ShimKind *kind = shim_kind_for_type (type);
  g_autofree char *columns = shim_row_columns (kind, "t", FALSE);
  g_autofree char *sql = g_strdup_printf ("SELECT %s FROM \"%s\" AS t", columns, kind->name);
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, sql, error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    {
      g_autoptr (ShimRecord) record = shim_row_read (statement, type);
      g_autoptr (GError) problem = NULL;
      g_autofree char *title = NULL;

      if (shim_record_check (record, &problem))
        continue;
      title = shim_register_dup_title (self, record);
      add_problem (problems, g_strdup_printf (_ ("%s “%s”: %s"), _ (kind->label), title, problem->message));
    }
  return step == SHIM_STEP_DONE;
}

gboolean
shim_register_check (ShimRegister *self, GPtrArray **problems, GError **error)
{
  g_autoptr (GPtrArray) found = g_ptr_array_new_with_free_func (g_free);
  const GType *types;
  guint n_types;

  g_return_val_if_fail (self != NULL && problems != NULL, FALSE);
  g_return_val_if_fail (self->depth == 0, FALSE);

  if (!check_file (self, found, error))
    return FALSE;
  /* What a damaged file says about its records is worth nothing. */
  if (found->len == 0)
    {
      if (!check_foreign_keys (self, found, error) || !check_counts (self, found, error))
        return FALSE;
      check_search (self, found);
      types = shim_kind_list_types (&n_types);
      for (guint i = 0; i < n_types; i++)
        if (!check_records (self, types[i], found, error))
          return FALSE;
    }
  *problems = g_steal_pointer (&found);
  return TRUE;
}
