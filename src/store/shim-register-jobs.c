/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-register-pairs.h"
#include "shim-register-private.h"
#include "shim-register-reads.h"
#include "shim-row.h"

/* What a job takes along. */

static gboolean
add_items (ShimRegister *self, GType type, const char *job, GPtrArray **list, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  GPtrArray *items;

  shim_query_set_job (query, job);
  /* A job of last year names items that were given away since. */
  shim_query_set_include_archived (query, job != NULL);
  shim_query_add_order (query, "label", FALSE);
  items = shim_register_list (self, type, query, error);
  if (items == NULL)
    return FALSE;
  g_ptr_array_unref (*list);
  *list = items;
  return TRUE;
}

static gboolean
add_pairs (ShimRegister *self, ShimJobKit *kit, const char *job, GError **error)
{
  const ShimPairFilter filter = { .job = job };
  GPtrArray *pairs = shim_register_pairs (self, &filter, error);

  if (pairs == NULL)
    return FALSE;
  g_ptr_array_unref (kit->pairs);
  kit->pairs = pairs;
  return TRUE;
}

static gboolean
add_slots (ShimRegister *self, ShimJobKit *kit, GError **error)
{
  g_array_set_size (kit->slots, kit->bodies->len);
  for (guint i = 0; i < kit->bodies->len; i++)
    {
      const char *body = SHIM_RECORD (kit->bodies->pdata[i])->id;

      if (!shim_register_slot_counts (self, &body, 1, &g_array_index (kit->slots, ShimSlotCount, i), error))
        return FALSE;
    }
  return TRUE;
}

/* The newest event that says where an item is. */
#define AWAY_SQL                                                                                                       \
  "FROM event AS x WHERE x.item = ?1 AND x.taken_back = 0 AND x.kind IN ('loan', 'return', 'sent', 'service', 'sale')" \
  " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = x.id)"                                               \
  " ORDER BY x.happened_on DESC, x.noted_at DESC, x.id DESC LIMIT 1"

static gboolean
add_away (ShimRegister *self, ShimJobKit *kit, GPtrArray *items, GError **error)
{
  g_autofree char *columns = shim_row_columns (shim_kind_for_type (SHIM_TYPE_EVENT), "x", FALSE);
  g_autofree char *sql = g_strdup_printf ("SELECT %s " AWAY_SQL, columns);

  for (guint i = 0; i < items->len; i++)
    {
      g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, sql, error);
      g_autoptr (ShimEvent) event = NULL;
      ShimStep step;

      if (statement == NULL)
        return FALSE;
      shim_statement_bind_text (statement, 1, SHIM_RECORD (items->pdata[i])->id);
      step = shim_statement_step (statement, error);
      if (step == SHIM_STEP_ERROR)
        return FALSE;
      if (step == SHIM_STEP_ROW)
        event = SHIM_EVENT (shim_row_read (statement, SHIM_TYPE_EVENT));
      if (event != NULL && !g_str_equal (event->kind, "return") && !g_str_equal (event->kind, "service"))
        g_ptr_array_add (kit->away, g_steal_pointer (&event));
    }
  return TRUE;
}

ShimJobKit *
shim_register_job_kit (ShimRegister *self, const char *job, GError **error)
{
  g_autoptr (ShimJobKit) kit = shim_job_kit_new ();

  g_return_val_if_fail (self != NULL, NULL);

  if (job != NULL && (kit->job = (ShimJob *) shim_register_fetch (self, SHIM_TYPE_JOB, job, FALSE, error)) == NULL)
    return NULL;
  if (!add_items (self, SHIM_TYPE_BODY, job, &kit->bodies, error) || !add_items (self, SHIM_TYPE_LENS, job, &kit->lenses, error)
      || !add_items (self, SHIM_TYPE_CONVERTER, job, &kit->converters, error)
      || !add_items (self, SHIM_TYPE_ADAPTER, job, &kit->adapters, error))
    return NULL;
  if (!add_pairs (self, kit, job, error) || !add_slots (self, kit, error) || !add_away (self, kit, kit->bodies, error)
      || !add_away (self, kit, kit->lenses, error) || !add_away (self, kit, kit->converters, error))
    return NULL;
  return g_steal_pointer (&kit);
}

char **
shim_register_mounts_for (ShimRegister *self, const char *body_mount, GError **error)
{
  g_autoptr (GStrvBuilder) mounts = g_strv_builder_new ();
  g_autoptr (ShimStatement) statement = NULL;
  ShimStep step;

  g_return_val_if_fail (self != NULL && body_mount != NULL, NULL);

  statement = shim_db_prepare (self->db,
                               "SELECT ?1 UNION SELECT a.lens_mount FROM adapter AS a WHERE a.body_mount = ?1 AND a.archived = 0"
                               " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = a.id) ORDER BY 1",
                               error);
  if (statement == NULL)
    return NULL;
  shim_statement_bind_text (statement, 1, body_mount);
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    g_strv_builder_add (mounts, shim_statement_get_text (statement, 0));
  return step == SHIM_STEP_DONE ? g_strv_builder_end (mounts) : NULL;
}
