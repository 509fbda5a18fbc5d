/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-format.h"
#include "shim-ops-kit.h"
#include "shim-ops-slots.h"
#include "shim-register-pairs.h"
#include "shim-workspace-error.h"

/**
 * shim_slot_proposal_free:
 * @self: (nullable): a proposal
 */
void
shim_slot_proposal_free (ShimSlotProposal *self)
{
  if (self == NULL)
    return;
  g_free (self->overwrites);
  g_free (self->sentence);
  g_free (self);
}

/**
 * shim_ops_slots_lost:
 * @reg: a register
 * @body: id
 * @error: a #ShimStoreError
 *
 * Returns: (transfer full) (element-type ShimSlot) (nullable): the slots whose values a reset took and that have not
 * been keyed in again: the list to tick off
 */
GPtrArray *
shim_ops_slots_lost (ShimRegister *reg, const char *body, GError **error)
{
  GPtrArray *slots;

  g_return_val_if_fail (reg != NULL && body != NULL, NULL);

  slots = shim_register_slots (reg, body, error);
  for (guint i = slots != NULL ? slots->len : 0; i-- > 0;)
    if (((const ShimSlot *) g_ptr_array_index (slots, i))->state != SHIM_SLOT_LOST)
      g_ptr_array_remove_index (slots, i);
  return slots;
}

/* A pair with its items. */
typedef struct
{
  ShimPair *pair;
  ShimBody *body;
  ShimLens *lens;
} Items;

static void
items_clear (Items *items)
{
  g_clear_object (&items->pair);
  g_clear_object (&items->body);
  g_clear_object (&items->lens);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Items, items_clear)

static gboolean
get_items (ShimRegister *reg, const char *pair, Items *items, GError **error)
{
  items->pair = (ShimPair *) shim_register_get (reg, SHIM_TYPE_PAIR, pair, error);
  if (items->pair == NULL)
    return FALSE;
  items->body = (ShimBody *) shim_register_get (reg, SHIM_TYPE_BODY, items->pair->body, error);
  if (items->body == NULL)
    return FALSE;
  items->lens = (ShimLens *) shim_register_get (reg, SHIM_TYPE_LENS, items->pair->lens, error);
  return items->lens != NULL;
}

/* A body whose number of slots nobody recorded has none that can be counted: no limit. */
static gint64
slot_count (const ShimBody *body)
{
  return body->slot_count == SHIM_NO_INT ? -1 : body->slot_count;
}

/* (transfer full) (nullable): a sentence when the slot holds another pair. FALSE only when the register cannot be
 * read. */
static gboolean
find_holder (ShimRegister *reg, const Items *items, gint64 number, char **overwrites, GError **error)
{
  g_autoptr (GPtrArray) slots = shim_register_slots (reg, items->pair->body, error);

  *overwrites = NULL;
  if (slots == NULL)
    return FALSE;
  for (guint i = 0; i < slots->len; i++)
    {
      const ShimSlot *slot = g_ptr_array_index (slots, i);
      g_autofree char *value = NULL;

      if (slot->number != number || slot->state == SHIM_SLOT_FREE || slot->pair == NULL
          || g_strcmp0 (slot->pair, shim_record_get_id (SHIM_RECORD (items->pair))) == 0)
        continue;
      value = shim_format_setting (slot->value);
      *overwrites = g_strdup_printf (_ ("Slot %d of %s holds %s for %s, which would be overwritten."), (int) number,
                                     shim_ops_kit_item_name (SHIM_RECORD (items->body)), value,
                                     slot->lens_label != NULL ? slot->lens_label : _ ("another lens"));
    }
  return TRUE;
}

static char *
sentence_for (const Items *items, const ShimSlotProposal *proposal)
{
  const char *body = shim_ops_kit_item_name (SHIM_RECORD (items->body)),
             *lens = shim_ops_kit_item_name (SHIM_RECORD (items->lens));

  if (proposal->overwrites != NULL)
    return g_strdup (proposal->overwrites);
  if (proposal->number == SHIM_SLOT_IN_LENS)
    return g_strdup_printf (_ ("%s keeps its values itself and uses no slot of %s."), lens, body);
  if (proposal->n_slots == 0)
    return g_strdup_printf (_ ("%s has no slots: the value can be written down, but not keyed in for one lens."),
                            body);
  if (proposal->number == SHIM_SLOT_NONE)
    return g_strdup_printf (_ ("All %d slots of %s are taken: free one, or overwrite one."), (int) proposal->n_slots,
                            body);
  if (proposal->n_slots < 0)
    return g_strdup_printf (_ ("Slot %d of %s."), (int) proposal->number, body);
  return g_strdup_printf (g_dngettext (GETTEXT_PACKAGE, "Slot %d of %s; %d slot is free.",
                                       "Slot %d of %s; %d slots are free.", (gulong) proposal->n_free),
                          (int) proposal->number, body, (int) proposal->n_free);
}

static gboolean
refuse_number (const Items *items, gint64 number, GError **error)
{
  if (number == SHIM_SLOT_IN_LENS && !items->lens->own_table)
    g_set_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_NO_SLOT,
                 _ ("%s cannot keep values itself: choose a slot of the body."),
                 shim_ops_kit_item_name (SHIM_RECORD (items->lens)));
  else if (number > 0 && slot_count (items->body) >= 0 && number > slot_count (items->body))
    g_set_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_NO_SLOT,
                 _ ("%s has %d slots; there is no slot %d."), shim_ops_kit_item_name (SHIM_RECORD (items->body)),
                 (int) slot_count (items->body), (int) number);
  else if (number < SHIM_SLOT_NONE)
    g_set_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_NO_SLOT, _ ("There is no slot %d."), (int) number);
  else
    return FALSE;
  return TRUE;
}

static gboolean
propose (ShimRegister *reg, const Items *items, gint64 wanted, ShimSlotProposal *proposal, GError **error)
{
  const char *body = items->pair->body;
  ShimSlotCount count;

  if (refuse_number (items, wanted, error) || !shim_register_slot_counts (reg, &body, 1, &count, error))
    return FALSE;
  proposal->n_slots = slot_count (items->body);
  proposal->n_free = proposal->n_slots < 0 ? -1 : count.free;
  proposal->number = wanted;
  if (wanted == SHIM_SLOT_NEXT && items->lens->own_table)
    proposal->number = SHIM_SLOT_IN_LENS;
  else if (wanted == SHIM_SLOT_NEXT)
    {
      proposal->number = shim_register_next_slot (reg, body, shim_record_get_id (SHIM_RECORD (items->pair)), error);
      if (proposal->number < 0)
        return FALSE;
      if (proposal->number == 0)
        proposal->number = SHIM_SLOT_NONE;
    }
  if (proposal->number > 0 && !find_holder (reg, items, proposal->number, &proposal->overwrites, error))
    return FALSE;
  proposal->sentence = sentence_for (items, proposal);
  return TRUE;
}

/**
 * shim_ops_slots_propose:
 * @reg: a register
 * @pair: id
 * @wanted: a slot, %SHIM_SLOT_IN_LENS or %SHIM_SLOT_NEXT
 * @error: #ShimWorkspaceError NO_SLOT when there is no such slot; a #ShimStoreError
 *
 * Returns: (transfer full) (nullable): where the pair's value would go
 */
ShimSlotProposal *
shim_ops_slots_propose (ShimRegister *reg, const char *pair, gint64 wanted, GError **error)
{
  g_auto (Items) items = { NULL, };
  g_autoptr (ShimSlotProposal) proposal = NULL;

  g_return_val_if_fail (reg != NULL && pair != NULL, NULL);

  proposal = g_new0 (ShimSlotProposal, 1);
  if (!get_items (reg, pair, &items, error) || !propose (reg, &items, wanted, proposal, error))
    return NULL;
  return g_steal_pointer (&proposal);
}

/* The values decided last, as the body takes them: wide end (or whole range) and long end. */
static gboolean
decided_values (ShimRegister *reg, const char *pair, ShimSlotEntry *entry, GError **error)
{
  g_autoptr (GPtrArray) decisions = shim_register_decisions (reg, pair, error);
  gboolean has_first = FALSE, has_long = FALSE;

  if (decisions == NULL)
    return FALSE;
  for (guint i = 0; i < decisions->len; i++)
    {
      ShimDecision *decision = g_ptr_array_index (decisions, i);
      const gboolean is_long = g_strcmp0 (decision->end, "long") == 0;

      if (is_long ? has_long : has_first)
        continue;
      if (is_long)
        has_long = TRUE;
      else
        has_first = TRUE;
      if (decision->value == SHIM_NO_INT || g_strcmp0 (decision->origin, "none") == 0)
        continue;
      if (is_long)
        g_object_set (entry, "value-long", decision->value, NULL);
      else
        g_object_set (entry, "value", decision->value, "decision", shim_record_get_id (SHIM_RECORD (decision)), NULL);
    }
  if (entry->value != SHIM_NO_INT || entry->value_long != SHIM_NO_INT)
    return TRUE;
  g_set_error_literal (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_STATE,
                       _ ("No setting has been accepted for this pair yet, so there is nothing to key in."));
  return FALSE;
}

static gboolean
write_entry (ShimRegister *reg, const Items *items, gint64 number, ShimSlotEntry *entry, GError **error)
{
  g_autofree char *now = shim_register_now (reg);

  g_object_set (entry, "body", items->pair->body, "number", number, "pair",
                shim_record_get_id (SHIM_RECORD (items->pair)), "action", "keyed", "done-at", now, NULL);
  return shim_register_insert (reg, SHIM_RECORD (entry), error);
}

/* A lens has one place on a body: what the pair held elsewhere is cleared when it moves. */
static gboolean
clear_other_slots (ShimRegister *reg, const Items *items, gint64 number, GError **error)
{
  g_autoptr (GPtrArray) slots = shim_register_slots (reg, items->pair->body, error);
  g_autofree char *now = shim_register_now (reg);

  if (slots == NULL)
    return FALSE;
  for (guint i = 0; i < slots->len; i++)
    {
      const ShimSlot *slot = g_ptr_array_index (slots, i);
      g_autoptr (ShimSlotEntry) entry = NULL;

      if (slot->number == number || slot->state == SHIM_SLOT_FREE
          || g_strcmp0 (slot->pair, shim_record_get_id (SHIM_RECORD (items->pair))) != 0)
        continue;
      entry = shim_slot_entry_new ();
      g_object_set (entry, "body", items->pair->body, "number", slot->number, "action", "cleared", "done-at", now,
                    NULL);
      if (!shim_register_insert (reg, SHIM_RECORD (entry), error))
        return FALSE;
    }
  return TRUE;
}

static gboolean
key_in (ShimRegister *reg, const Items *items, gint64 wanted, gboolean overwrite, ShimSlotEntry *entry,
        GError **error)
{
  g_autoptr (ShimSlotProposal) proposal = g_new0 (ShimSlotProposal, 1);

  if (!propose (reg, items, wanted, proposal, error))
    return FALSE;
  if (proposal->number == SHIM_SLOT_NONE || proposal->n_slots == 0)
    {
      if (proposal->number != SHIM_SLOT_IN_LENS)
        {
          g_set_error_literal (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_NO_SLOT, proposal->sentence);
          return FALSE;
        }
    }
  if (proposal->overwrites != NULL && !overwrite)
    {
      g_set_error_literal (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_NO_SLOT, proposal->overwrites);
      return FALSE;
    }
  return decided_values (reg, shim_record_get_id (SHIM_RECORD (items->pair)), entry, error)
         && clear_other_slots (reg, items, proposal->number, error)
         && write_entry (reg, items, proposal->number, entry, error);
}

/**
 * shim_ops_slots_key_in:
 * @reg: a register
 * @pair: id of a pair for which a setting was accepted
 * @number: a slot, %SHIM_SLOT_IN_LENS or %SHIM_SLOT_NEXT
 * @overwrite: whether the slot may hold another pair
 * @error: #ShimWorkspaceError NO_SLOT when none is free or it holds another pair, STATE when nothing was accepted; a
 * #ShimStoreError
 *
 * Writes down that the pair's value was keyed in, also after a reset.
 *
 * Returns: (transfer full) (nullable): the entry
 */
ShimSlotEntry *
shim_ops_slots_key_in (ShimRegister *reg, const char *pair, gint64 number, gboolean overwrite, GError **error)
{
  g_auto (Items) items = { NULL, };
  g_autoptr (ShimSlotEntry) entry = NULL;
  g_autofree char *summary = NULL;

  g_return_val_if_fail (reg != NULL && pair != NULL, NULL);

  if (!get_items (reg, pair, &items, error))
    return NULL;
  summary = g_strdup_printf (_ ("Key in the value of %s on %s"), shim_ops_kit_item_name (SHIM_RECORD (items.lens)),
                             shim_ops_kit_item_name (SHIM_RECORD (items.body)));
  if (!shim_register_begin (reg, summary, error))
    return NULL;
  entry = shim_slot_entry_new ();
  if (!key_in (reg, &items, number, overwrite, entry, error))
    {
      shim_register_rollback (reg);
      return NULL;
    }
  if (!shim_register_commit (reg, error))
    return NULL;
  return g_steal_pointer (&entry);
}

/**
 * shim_ops_slots_clear:
 * @reg: a register
 * @body: id
 * @number: a slot
 * @note: (nullable): why
 * @error: a #ShimStoreError
 *
 * Writes down that a slot was emptied.
 *
 * Returns: whether it is stored
 */
gboolean
shim_ops_slots_clear (ShimRegister *reg, const char *body, gint64 number, const char *note, GError **error)
{
  g_autoptr (ShimSlotEntry) entry = NULL;
  g_autofree char *now = NULL;
  g_autofree char *summary = NULL;

  g_return_val_if_fail (reg != NULL && body != NULL, FALSE);

  now = shim_register_now (reg);
  summary = g_strdup_printf (_ ("Clear slot %d"), (int) number);
  entry = shim_slot_entry_new ();
  g_object_set (entry, "body", body, "number", number, "action", "cleared", "done-at", now, "note", note, NULL);
  if (!shim_register_begin (reg, summary, error))
    return FALSE;
  if (shim_register_insert (reg, SHIM_RECORD (entry), error))
    return shim_register_commit (reg, error);
  shim_register_rollback (reg);
  return FALSE;
}

/**
 * shim_ops_slots_reset_body:
 * @reg: a register
 * @body: id of a body that lost its settings
 * @happened_on: (nullable): day, "YYYY-MM-DD"; %NULL = today
 * @note: (nullable): what happened
 * @error: a #ShimStoreError
 *
 * Notes the reset and marks every slot that held a value as lost, in one change.
 *
 * Returns: (transfer full) (element-type ShimSlot) (nullable): what is to be keyed in again
 */
GPtrArray *
shim_ops_slots_reset_body (ShimRegister *reg, const char *body, const char *happened_on, const char *note,
                           GError **error)
{
  g_autoptr (ShimEvent) event = NULL;

  g_return_val_if_fail (reg != NULL && body != NULL, NULL);

  event = shim_event_new ();
  g_object_set (event, "item-kind", "body", "item", body, "kind", "reset", "happened-on", happened_on, "note", note,
                NULL);
  if (!shim_ops_kit_note_event (reg, event, error))
    return NULL;
  return shim_ops_slots_lost (reg, body, error);
}
