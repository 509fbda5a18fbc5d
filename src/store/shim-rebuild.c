/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-register-private.h"
#include "shim-row.h"
#include "shim-search.h"

/* Everything under "Worked out" in the schema, made anew from the rest. */

#define FORGET_SQL                                                                                                     \
  "DELETE FROM retracted;"                                                                                             \
  "INSERT INTO retracted SELECT r.row FROM retraction AS r WHERE r.retracted = 1 AND NOT EXISTS ("                     \
  " SELECT 1 FROM retraction AS s WHERE s.row = r.row AND (s.at, s.id) > (r.at, r.id));"                               \
  "DELETE FROM pair_now;"                                                                                              \
  "DELETE FROM contradicted;"                                                                                          \
  "INSERT INTO search (search) VALUES ('delete-all');"                                                                 \
  "DELETE FROM search_text"

static gboolean
index_kind (ShimRegister *self, GType type, GError **error)
{
  const ShimKind *kind = shim_kind_for_type (type);
  g_autofree char *columns = shim_row_columns (kind, "t", FALSE);
  g_autofree char *sql
      = g_strdup_printf ("SELECT %s FROM \"%s\" AS t WHERE NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = t.id)",
                         columns, kind->name);
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, sql, error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    {
      g_autoptr (ShimRecord) record = shim_row_read (statement, type);

      if (!shim_search_put (self->db, record, error))
        return FALSE;
    }
  return step == SHIM_STEP_DONE;
}

static gboolean
rebuild (ShimRegister *self, GError **error)
{
  const GType *types;
  guint n_types;

  if (!shim_db_exec (self->db, FORGET_SQL, error))
    return FALSE;
  types = shim_kind_list_types (&n_types);
  for (guint i = 0; i < n_types; i++)
    if (shim_kind_is_searched (shim_kind_for_type (types[i])) && !index_kind (self, types[i], error))
      return FALSE;
  return shim_register_mark_all_dirty (self, error);
}

gboolean
shim_register_rebuild (ShimRegister *self, GError **error)
{
  g_return_val_if_fail (self != NULL && self->depth == 0, FALSE);

  if (!shim_register_begin (self, NULL, error))
    return FALSE;
  if (rebuild (self, error))
    return shim_register_commit (self, error);
  shim_register_rollback (self);
  return FALSE;
}
