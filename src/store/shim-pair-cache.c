/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-pair-cache.h"
#include "shim-pair-state.h"
#include "shim-register-private.h"

/* The table pair_now: worked out again, in the same transaction, for every pair that a change may have touched. */

static gboolean
mark_body_to_judge (ShimRegister *self, const char *pair, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, "SELECT body FROM pair WHERE id = ?1", error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, pair);
  step = shim_statement_step (statement, error);
  if (step == SHIM_STEP_ROW)
    g_hash_table_add (self->bodies_to_judge, shim_statement_dup_text (statement, 0));
  return step != SHIM_STEP_ERROR;
}

static gboolean
mark_found (ShimRegister *self, const char *sql, const char *key, gint64 number, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, sql, error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  if (key != NULL)
    shim_statement_bind_text (statement, 1, key);
  if (number != SHIM_NO_INT)
    shim_statement_bind_int (statement, 2, number);
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    g_hash_table_add (self->dirty_pairs, shim_statement_dup_text (statement, 0));
  return step == SHIM_STEP_DONE;
}

static gboolean
mark_item (ShimRegister *self, const char *kind, const char *id, GError **error)
{
  const char *sql;

  if (strcmp (kind, "body") == 0)
    sql = "SELECT id FROM pair WHERE body = ?1";
  else if (strcmp (kind, "lens") == 0)
    sql = "SELECT id FROM pair WHERE lens = ?1";
  else if (strcmp (kind, "converter") == 0)
    sql = "SELECT id FROM pair WHERE converter = ?1";
  else
    return TRUE;
  return mark_found (self, sql, id, SHIM_NO_INT, error);
}

/**
 * shim_register_mark_dirty:
 * @self: a register in a change
 * @record: a record that was or will be written
 * @error: return location
 *
 * Notes which pairs are to be worked out again.
 */
gboolean
shim_register_mark_dirty (ShimRegister *self, ShimRecord *record, GError **error)
{
  if (SHIM_IS_PAIR (record))
    g_hash_table_add (self->dirty_pairs, g_strdup (record->id));
  else if (SHIM_IS_TEST (record))
    g_hash_table_add (self->dirty_pairs, g_strdup (SHIM_TEST (record)->pair));
  else if (SHIM_IS_DECISION (record))
    {
      g_hash_table_add (self->dirty_pairs, g_strdup (SHIM_DECISION (record)->pair));
      return mark_body_to_judge (self, SHIM_DECISION (record)->pair, error);
    }
  else if (SHIM_IS_SLOT_ENTRY (record))
    {
      const ShimSlotEntry *entry = SHIM_SLOT_ENTRY (record);

      if (entry->pair != NULL)
        g_hash_table_add (self->dirty_pairs, g_strdup (entry->pair));
      /* Whoever was in this slot before may have been overwritten. */
      return entry->number == 0
             || mark_found (self,
                            "SELECT DISTINCT pair FROM slot_entry WHERE body = ?1 AND number = ?2 AND pair IS NOT NULL",
                            entry->body, entry->number, error);
    }
  else if (SHIM_IS_EVENT (record))
    return mark_item (self, SHIM_EVENT (record)->item_kind, SHIM_EVENT (record)->item, error);
  else
    return mark_item (self, shim_record_get_kind (record)->name, record->id, error);
  return TRUE;
}

gboolean
shim_register_mark_all_dirty (ShimRegister *self, GError **error)
{
  self->judge_all = TRUE;
  return mark_found (self, "SELECT id FROM pair", NULL, SHIM_NO_INT, error);
}

static gboolean
write_now (ShimRegister *self, const ShimPairNow *now, const char *body_mount, const char *lens_mount, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (self->db,
                         "INSERT OR REPLACE INTO pair_now (pair, body, lens, converter, adapter, body_mount, lens_mount, state,"
                         " reasons, value, value_long, n_table_cells, decision, decided_at, tested_at, predicted, residual_mm,"
                         " residual_se_mm, tolerance_mm, error_tolerances, out_of_reach, slot, slot_state, slot_value,"
                         " slot_value_long, not_needed)"
                         " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20,"
                         " ?21, ?22, ?23, ?24, ?25, ?26)",
                         error);

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, now->pair);
  shim_statement_bind_text (statement, 2, now->body);
  shim_statement_bind_text (statement, 3, now->lens);
  shim_statement_bind_text (statement, 4, now->converter);
  shim_statement_bind_text (statement, 5, now->adapter);
  shim_statement_bind_text (statement, 6, body_mount);
  shim_statement_bind_text (statement, 7, lens_mount);
  shim_statement_bind_int (statement, 8, now->state);
  shim_statement_bind_int (statement, 9, now->reasons);
  shim_statement_bind_int (statement, 10, now->value);
  shim_statement_bind_int (statement, 11, now->value_long);
  shim_statement_bind_int (statement, 12, now->n_table_cells);
  shim_statement_bind_text (statement, 13, now->decision);
  shim_statement_bind_text (statement, 14, now->decided_at);
  shim_statement_bind_text (statement, 15, now->tested_at);
  shim_statement_bind_int (statement, 16, now->predicted);
  shim_statement_bind_real (statement, 17, now->residual_mm);
  shim_statement_bind_real (statement, 18, now->residual_se_mm);
  shim_statement_bind_real (statement, 19, now->tolerance_mm);
  shim_statement_bind_real (statement, 20, now->error_tolerances);
  shim_statement_bind_int (statement, 21, now->out_of_reach);
  shim_statement_bind_int (statement, 22, now->slot);
  shim_statement_bind_int (statement, 23, now->slot_state);
  shim_statement_bind_int (statement, 24, now->slot_value);
  shim_statement_bind_int (statement, 25, now->slot_value_long);
  shim_statement_bind_int (statement, 26, now->not_needed);
  return shim_statement_run (statement, error);
}

static gboolean
delete_now (ShimRegister *self, const char *pair, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, "DELETE FROM pair_now WHERE pair = ?1", error);

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, pair);
  return shim_statement_run (statement, error);
}

/* The pair's own row. Gives NULL without an error when it does not count. */
static gboolean
read_pair (ShimRegister *self, const char *pair, ShimPairNow **now, char **body_mount, char **lens_mount, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (self->db,
                         "SELECT p.body, p.lens, p.converter, p.adapter, p.not_needed, b.mount, l.mount"
                         " FROM pair AS p JOIN body AS b ON b.id = p.body JOIN lens AS l ON l.id = p.lens"
                         " WHERE p.id = ?1 AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = p.id)",
                         error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, pair);
  step = shim_statement_step (statement, error);
  if (step != SHIM_STEP_ROW)
    return step == SHIM_STEP_DONE;
  *now = shim_pair_now_new (shim_statement_get_text (statement, 0), shim_statement_get_text (statement, 1));
  (*now)->pair = g_strdup (pair);
  (*now)->converter = shim_statement_dup_text (statement, 2);
  (*now)->adapter = shim_statement_dup_text (statement, 3);
  (*now)->not_needed = shim_statement_get_int (statement, 4) != 0;
  *body_mount = shim_statement_dup_text (statement, 5);
  *lens_mount = shim_statement_dup_text (statement, 6);
  return TRUE;
}

static gboolean
refresh_pair (ShimRegister *self, const char *pair, GError **error)
{
  g_autoptr (ShimPairNow) now = NULL;
  g_autofree char *body_mount = NULL;
  g_autofree char *lens_mount = NULL;
  ShimPairFacts facts = { 0 };

  if (!read_pair (self, pair, &now, &body_mount, &lens_mount, error))
    return FALSE;
  if (now == NULL)
    return delete_now (self, pair, error);
  if (!shim_pair_cache_read_decisions (self->db, now, &facts, error) || !shim_pair_cache_read_test (self->db, now, &facts, error)
      || !shim_pair_cache_read_slot (self->db, now, &facts, error) || !shim_pair_cache_read_doubts (self->db, now, &facts, error)
      || !shim_pair_cache_read_contradiction (self->db, now, &facts, error))
    return FALSE;
  facts.not_needed = now->not_needed;
  facts.out_of_reach = now->out_of_reach;
  /* Time is reckoned when it is read. */
  facts.due.age_days = now->tested_at != NULL ? 0.0 : NAN;
  facts.due.predicted_only = now->predicted;
  now->state = shim_pair_state_from_facts (&facts, &now->reasons);
  g_hash_table_add (self->dirty_bodies, g_strdup (now->body));
  return write_now (self, now, body_mount, lens_mount, error);
}

/* Two copies of one model that need different values, on a body that cannot tell them apart. */
static gboolean
refresh_conflicts (ShimRegister *self, const char *body, GError **error)
{
  g_autoptr (ShimStatement) clear
      = shim_db_prepare (self->db, "UPDATE pair_now SET conflict = 0 WHERE body = ?1 AND conflict <> 0", error);
  g_autoptr (ShimStatement) set
      = shim_db_prepare (self->db,
                         "WITH copy (pair, model, value) AS ("
                         " SELECT n.pair, lower (ifnull (l.maker, '')) || '/' || lower (l.model) || '/' || ifnull (n.converter, ''),"
                         "  n.value || '/' || ifnull (n.value_long, n.value)"
                         " FROM body AS b JOIN pair_now AS n ON n.body = b.id JOIN lens AS l ON l.id = n.lens"
                         " WHERE b.id = ?1 AND b.tells_lenses_by = 'model' AND n.value IS NOT NULL AND l.model IS NOT NULL"
                         "  AND l.archived = 0)"
                         " UPDATE pair_now SET conflict = 1 WHERE pair IN (SELECT pair FROM copy WHERE model IN"
                         "  (SELECT model FROM copy GROUP BY model HAVING count (DISTINCT value) > 1))",
                         error);

  if (clear == NULL || set == NULL)
    return FALSE;
  shim_statement_bind_text (clear, 1, body);
  shim_statement_bind_text (set, 1, body);
  return shim_statement_run (clear, error) && shim_statement_run (set, error);
}

/**
 * shim_register_flush:
 * @self: a register
 * @error: return location
 *
 * Brings pair_now up to date; nothing outside a change.
 */
gboolean
shim_register_flush (ShimRegister *self, GError **error)
{
  GHashTableIter iter;
  gpointer id;

  g_hash_table_iter_init (&iter, self->dirty_pairs);
  while (g_hash_table_iter_next (&iter, &id, NULL))
    if (!refresh_pair (self, id, error))
      return FALSE;
  g_hash_table_remove_all (self->dirty_pairs);
  g_hash_table_iter_init (&iter, self->dirty_bodies);
  while (g_hash_table_iter_next (&iter, &id, NULL))
    if (!refresh_conflicts (self, id, error))
      return FALSE;
  g_hash_table_remove_all (self->dirty_bodies);
  return TRUE;
}
