/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "shim-register-private.h"
#include "shim-register-reads.h"
#include "shim-slot-rules.h"

/* What the slots of a body hold: the newest entry for each number says so. */

/* For each number in use the newest entry that counts. The inner query walks an index that ends at that entry. */
#define SLOTS_SQL                                                                                                      \
  "SELECT e.number, e.action, e.id, e.pair, n.lens, n.converter, l.label, c.label, e.decision, e.value, e.value_long," \
  " n.value, n.value_long, e.done_at"                                                                                  \
  " FROM (SELECT DISTINCT number FROM slot_entry WHERE body = ?1 AND number > 0) AS s"                                 \
  " JOIN slot_entry AS e ON e.id = (SELECT f.id FROM slot_entry AS f WHERE f.body = ?1 AND f.number = s.number"        \
  "  AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = f.id)"                                              \
  "  ORDER BY f.done_at DESC, f.id DESC LIMIT 1)"                                                                      \
  " LEFT JOIN pair_now AS n ON n.pair = e.pair"                                                                        \
  " LEFT JOIN lens AS l ON l.id = n.lens LEFT JOIN converter AS c ON c.id = n.converter"                               \
  " ORDER BY e.number"

static ShimSlot *
slot_new (gint64 number)
{
  ShimSlot *slot = g_new0 (ShimSlot, 1);

  slot->number = number;
  slot->value = slot->value_long = slot->wanted = slot->wanted_long = SHIM_NO_INT;
  return slot;
}

static ShimSlot *
read_slot (ShimStatement *row)
{
  ShimSlot *slot = slot_new (shim_statement_get_int (row, 0));
  const char *action = shim_statement_get_text (row, 1);

  slot->entry = shim_statement_dup_text (row, 2);
  slot->done_at = shim_statement_dup_text (row, 13);
  /* Overwritten by something the register does not know, or cleared: free for us. */
  if (strcmp (action, "keyed") != 0 && strcmp (action, "lost") != 0)
    return slot;
  slot->state = strcmp (action, "keyed") == 0 ? SHIM_SLOT_KEYED : SHIM_SLOT_LOST;
  slot->pair = shim_statement_dup_text (row, 3);
  slot->lens = shim_statement_dup_text (row, 4);
  slot->converter = shim_statement_dup_text (row, 5);
  slot->lens_label = shim_statement_dup_text (row, 6);
  slot->converter_label = shim_statement_dup_text (row, 7);
  slot->decision = shim_statement_dup_text (row, 8);
  slot->value = shim_statement_get_int (row, 9);
  slot->value_long = shim_statement_get_int (row, 10);
  slot->wanted = shim_statement_get_int (row, 11);
  slot->wanted_long = shim_statement_get_int (row, 12);
  return slot;
}

/* Slots that were used at some time, by number. */
static GPtrArray *
read_used (ShimRegister *self, const char *body, GError **error)
{
  g_autoptr (GPtrArray) slots = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_slot_free);
  g_autoptr (ShimStatement) statement = NULL;
  ShimStep step;

  if (!shim_register_flush (self, error))
    return NULL;
  statement = shim_db_prepare (self->db, SLOTS_SQL, error);
  if (statement == NULL)
    return NULL;
  shim_statement_bind_text (statement, 1, body);
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    g_ptr_array_add (slots, read_slot (statement));
  return step == SHIM_STEP_DONE ? g_steal_pointer (&slots) : NULL;
}

static gboolean
read_slot_count (ShimRegister *self, const char *body, gint64 *slot_count, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, "SELECT slot_count FROM body WHERE id = ?1", error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, body);
  step = shim_statement_step (statement, error);
  if (step == SHIM_STEP_ROW)
    *slot_count = shim_statement_get_int (statement, 0);
  else if (step == SHIM_STEP_DONE)
    g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND, _ ("There is no body with the id “%s”."), body);
  return step == SHIM_STEP_ROW;
}

GPtrArray *
shim_register_slots (ShimRegister *self, const char *body, GError **error)
{
  g_autoptr (GPtrArray) used = NULL;
  GPtrArray *slots;
  gint64 slot_count;
  guint next = 0;

  g_return_val_if_fail (self != NULL && body != NULL, NULL);

  if (!read_slot_count (self, body, &slot_count, error) || (used = read_used (self, body, error)) == NULL)
    return NULL;
  if (slot_count == SHIM_NO_INT || slot_count < 0)
    return g_steal_pointer (&used);
  slots = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_slot_free);
  for (gint64 number = 1; number <= slot_count || next < used->len; number++)
    {
      ShimSlot *slot = next < used->len ? g_ptr_array_index (used, next) : NULL;

      if (slot != NULL && slot->number == number)
        g_ptr_array_add (slots, g_steal_pointer (&used->pdata[next++]));
      else if (number <= slot_count)
        g_ptr_array_add (slots, slot_new (number));
    }
  return slots;
}

/* The same newest entries, but nothing of what they hold: for numbers beside many bodies. */
#define COUNT_SQL                                                                                                      \
  "SELECT b.slot_count, count (e.id) FILTER (WHERE e.action = 'keyed'), count (e.id) FILTER (WHERE e.action = 'lost')"  \
  " FROM body AS b"                                                                                                    \
  " LEFT JOIN (SELECT DISTINCT number FROM slot_entry WHERE body = ?1 AND number > 0) AS s"                            \
  " LEFT JOIN slot_entry AS e ON e.id = (SELECT f.id FROM slot_entry AS f WHERE f.body = ?1 AND f.number = s.number"   \
  "  AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = f.id)"                                              \
  "  ORDER BY f.done_at DESC, f.id DESC LIMIT 1)"                                                                      \
  " WHERE b.id = ?1 GROUP BY b.id"

static gboolean
count_slots (ShimRegister *self, const char *body, ShimSlotCount *count, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, COUNT_SQL, error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, body);
  step = shim_statement_step (statement, error);
  if (step == SHIM_STEP_DONE)
    g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND, _ ("There is no body with the id “%s”."), body);
  if (step != SHIM_STEP_ROW)
    return FALSE;
  shim_slots_count_up (shim_statement_get_int (statement, 0), shim_statement_get_int (statement, 1),
                       shim_statement_get_int (statement, 2), count);
  return TRUE;
}

gboolean
shim_register_slot_counts (ShimRegister *self, const char *const *bodies, guint n, ShimSlotCount *counts, GError **error)
{
  g_return_val_if_fail (self != NULL, FALSE);

  for (guint i = 0; i < n; i++)
    if (!count_slots (self, bodies[i], &counts[i], error))
      return FALSE;
  return TRUE;
}

gint64
shim_register_next_slot (ShimRegister *self, const char *body, const char *pair, GError **error)
{
  g_autoptr (GPtrArray) used = NULL;
  gint64 slot_count;

  g_return_val_if_fail (self != NULL && body != NULL, -1);

  if (!read_slot_count (self, body, &slot_count, error) || (used = read_used (self, body, error)) == NULL)
    return -1;
  return shim_slots_next (used, slot_count, pair);
}

static gboolean
lose_slot (ShimRegister *self, const char *body, const ShimSlot *slot, const char *note, GError **error)
{
  g_autoptr (ShimSlotEntry) entry = shim_slot_entry_new ();
  g_autofree char *now = shim_register_now (self);

  entry->body = g_strdup (body);
  entry->number = slot->number;
  entry->pair = g_strdup (slot->pair);
  entry->decision = g_strdup (slot->decision);
  entry->value = slot->value;
  entry->value_long = slot->value_long;
  entry->action = g_strdup ("lost");
  entry->done_at = g_steal_pointer (&now);
  entry->note = g_strdup (note);
  return shim_register_insert (self, SHIM_RECORD (entry), error);
}

gboolean
shim_register_lose_slots (ShimRegister *self, const char *body, const char *note, guint *n_lost, GError **error)
{
  g_autoptr (GPtrArray) used = NULL;
  guint lost = 0;

  g_return_val_if_fail (self != NULL && body != NULL, FALSE);

  if (!shim_register_begin (self, NULL, error))
    return FALSE;
  used = read_used (self, body, error);
  for (guint i = 0; used != NULL && i < used->len; i++)
    {
      const ShimSlot *slot = g_ptr_array_index (used, i);

      if (slot->state != SHIM_SLOT_KEYED)
        continue;
      if (!lose_slot (self, body, slot, note, error))
        g_clear_pointer (&used, g_ptr_array_unref);
      lost++;
    }
  if (n_lost != NULL)
    *n_lost = lost;
  if (used != NULL)
    return shim_register_commit (self, error);
  shim_register_rollback (self);
  return FALSE;
}
