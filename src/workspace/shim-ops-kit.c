/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "shim-due.h"
#include "shim-format.h"
#include "shim-ops-kit.h"
#include "shim-ops-mounts.h"
#include "shim-register-reads.h"
#include "shim-workspace-error.h"

/**
 * shim_ops_kit_item_name:
 * @item: a record
 *
 * Returns: (transfer none): what people call it: its label or name, else its model, serial or kind
 */
const char *
shim_ops_kit_item_name (ShimRecord *item)
{
  const char *const names[] = { "label", "name", "model", "serial" };
  const ShimKind *kind;

  g_return_val_if_fail (SHIM_IS_RECORD (item), NULL);

  kind = shim_record_get_kind (item);
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
    {
      const ShimField *field = shim_kind_find_field (kind, names[i]);
      const char *text = field != NULL ? shim_record_get_text (item, field) : NULL;

      if (text != NULL)
        return text;
    }
  return _ (kind->label);
}

/**
 * shim_ops_kit_get_item:
 * @reg: a register
 * @kind: name of a kind: "lens"
 * @id: id of a record
 * @error: #ShimStoreError NOT_FOUND
 *
 * Returns: (transfer full) (nullable): the record
 */
ShimRecord *
shim_ops_kit_get_item (ShimRegister *reg, const char *kind, const char *id, GError **error)
{
  GType type;

  g_return_val_if_fail (reg != NULL, NULL);
  g_return_val_if_fail (kind != NULL && id != NULL, NULL);

  type = shim_kind_type_from_name (kind);
  if (type == G_TYPE_INVALID)
    {
      g_set_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND, _ ("There is no kind of record called “%s”."),
                   kind);
      return NULL;
    }
  return shim_register_get (reg, type, id, error);
}

/* Ends a change that shim_register_begin() began: commits when @good. */
static gboolean
end_change (ShimRegister *reg, gboolean good, GError **error)
{
  if (good)
    return shim_register_commit (reg, error);
  shim_register_rollback (reg);
  return FALSE;
}

static gboolean
add_new (ShimRegister *reg, ShimRecord *record, GError **error)
{
  g_autoptr (GPtrArray) mounts = shim_ops_mounts_list (reg, error);

  if (mounts == NULL)
    return FALSE;
  shim_ops_mounts_recognise (mounts, record);
  return shim_register_insert (reg, record, error);
}

/**
 * shim_ops_kit_save:
 * @reg: a register
 * @record: an item, mount, job or any other record that may be changed; without an id it is added and given one
 * @error: a #ShimKitError or #ShimStoreError
 *
 * Returns: whether it is stored
 */
gboolean
shim_ops_kit_save (ShimRegister *reg, ShimRecord *record, GError **error)
{
  g_return_val_if_fail (reg != NULL, FALSE);
  g_return_val_if_fail (SHIM_IS_RECORD (record), FALSE);

  if (shim_record_get_id (record) == NULL)
    return add_new (reg, record, error);
  return shim_register_update (reg, record, error);
}

/* Takes the changes into the record as it is now. */
static ShimRecord *
change_fields (ShimRegister *reg, ShimRecord *before, ShimRecord *after, GError **error)
{
  g_autoptr (ShimRecord) now = shim_register_get (reg, G_OBJECT_TYPE (after), shim_record_get_id (after), error);

  if (now == NULL)
    return NULL;
  shim_record_take_changes (now, before, after);
  return shim_register_update (reg, now, error) ? g_steal_pointer (&now) : NULL;
}

/**
 * shim_ops_kit_save_changes:
 * @reg: a register
 * @before: a record as a form first showed it
 * @after: as it was filled in; without an id it is added
 * @error: a #ShimKitError or #ShimStoreError
 *
 * Only what differs between the two is stored: what another window or program changed meanwhile stays.
 *
 * Returns: (transfer full) (nullable): the record as it is now
 */
ShimRecord *
shim_ops_kit_save_changes (ShimRegister *reg, ShimRecord *before, ShimRecord *after, GError **error)
{
  g_autoptr (ShimRecord) now = NULL;

  g_return_val_if_fail (reg != NULL, NULL);
  g_return_val_if_fail (SHIM_IS_RECORD (before) && SHIM_IS_RECORD (after), NULL);

  if (shim_record_get_id (after) == NULL)
    {
      now = shim_record_copy (after);
      return shim_register_insert (reg, now, error) ? g_steal_pointer (&now) : NULL;
    }
  if (!shim_register_begin (reg, NULL, error))
    return NULL;
  now = change_fields (reg, before, after, error);
  return end_change (reg, now != NULL, error) ? g_steal_pointer (&now) : NULL;
}

/**
 * shim_ops_kit_set_archived:
 * @reg: a register
 * @kind: name of the kind: "lens"
 * @id: id of the record
 * @archived: %TRUE to put it away, %FALSE to take it back
 * @error: a #ShimStoreError
 *
 * Returns: whether it is stored
 */
gboolean
shim_ops_kit_set_archived (ShimRegister *reg, const char *kind, const char *id, gboolean archived, GError **error)
{
  g_autoptr (ShimRecord) record = shim_ops_kit_get_item (reg, kind, id, error);
  const ShimField *field;
  g_autofree char *summary = NULL;

  if (record == NULL)
    return FALSE;
  field = shim_kind_find_field (shim_record_get_kind (record), "archived");
  if (field == NULL)
    {
      g_set_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_STATE,
                   _ ("A record of the kind “%s” cannot be archived."), _ (shim_record_get_kind (record)->label));
      return FALSE;
    }
  shim_record_set_int (record, field, archived ? 1 : 0);
  summary = g_strdup_printf (archived ? _ ("Archive %s") : _ ("Take %s back from the archive"),
                             shim_ops_kit_item_name (record));
  if (!shim_register_begin (reg, summary, error))
    return FALSE;
  return end_change (reg, shim_register_update (reg, record, error), error);
}

/* --- events --- */

/**
 * shim_ops_kit_casts_doubt:
 * @event_kind: kind of an event, as #ShimEvent.kind
 *
 * Returns: whether such an event usually casts doubt on the values of the item (a judgement, see
 * shim_event_casts_doubt())
 */
gboolean
shim_ops_kit_casts_doubt (const char *event_kind)
{
  ShimEventKind kind;

  return event_kind != NULL && shim_event_kind_from_name (event_kind, &kind) && shim_event_casts_doubt (kind);
}

static gboolean
is_reset_of_body (ShimEvent *event)
{
  return g_strcmp0 (event->kind, "reset") == 0 && g_strcmp0 (event->item_kind, "body") == 0;
}

static gboolean
store_event (ShimRegister *reg, ShimEvent *event, GError **error)
{
  if (!shim_register_insert (reg, SHIM_RECORD (event), error))
    return FALSE;
  return !is_reset_of_body (event) || shim_register_lose_slots (reg, event->item, event->note, NULL, error);
}

/**
 * shim_ops_kit_note_event:
 * @reg: a register
 * @event: a new event; without a day it happened today. It is given an id
 * @error: a #ShimKitError or #ShimStoreError
 *
 * A reset of a body also marks all its slots as lost.
 *
 * Returns: whether it is stored
 */
gboolean
shim_ops_kit_note_event (ShimRegister *reg, ShimEvent *event, GError **error)
{
  g_autofree char *now = NULL;
  g_autofree char *summary = NULL;
  g_autoptr (ShimRecord) item = NULL;

  g_return_val_if_fail (reg != NULL, FALSE);
  g_return_val_if_fail (SHIM_IS_EVENT (event), FALSE);

  now = shim_register_now (reg);
  if (event->noted_at == NULL)
    g_object_set (event, "noted-at", now, NULL);
  if (event->happened_on == NULL)
    {
      g_autofree char *today = shim_format_day (now);

      g_object_set (event, "happened-on", today, NULL);
    }
  if (!shim_record_check (SHIM_RECORD (event), error))
    return FALSE;
  item = shim_ops_kit_get_item (reg, event->item_kind, event->item, error);
  if (item == NULL)
    return FALSE;
  summary = g_strdup_printf (
      _ ("Note for %s: %s"), shim_ops_kit_item_name (item),
      shim_field_choice_label (shim_kind_find_field (shim_kind_for_type (SHIM_TYPE_EVENT), "kind"), event->kind));
  if (!shim_register_begin (reg, summary, error))
    return FALSE;
  return end_change (reg, store_event (reg, event, error), error);
}

/* A reset that did not happen: what it lost is there again. */
static gboolean
find_slots_again (ShimRegister *reg, const char *body, GError **error)
{
  g_autoptr (GPtrArray) slots = shim_register_slots (reg, body, error);
  g_autofree char *now = shim_register_now (reg);

  if (slots == NULL)
    return FALSE;
  for (guint i = 0; i < slots->len; i++)
    {
      const ShimSlot *slot = g_ptr_array_index (slots, i);
      g_autoptr (ShimSlotEntry) entry = NULL;

      if (slot->state != SHIM_SLOT_LOST || slot->pair == NULL)
        continue;
      entry = shim_slot_entry_new ();
      g_object_set (entry, "body", body, "number", slot->number, "pair", slot->pair, "decision", slot->decision,
                    "value", slot->value, "value-long", slot->value_long, "action", "keyed", "done-at", now,
                    "note", _ ("The reset was noted in error."), NULL);
      if (!shim_register_insert (reg, SHIM_RECORD (entry), error))
        return FALSE;
    }
  return TRUE;
}

/**
 * shim_ops_kit_take_back_event:
 * @reg: a register
 * @event: id of an event that was noted in error
 * @error: a #ShimStoreError
 *
 * It stays in the list, marked as taken back, and casts no doubt any more.
 *
 * Returns: whether it is stored
 */
gboolean
shim_ops_kit_take_back_event (ShimRegister *reg, const char *event, GError **error)
{
  g_autoptr (ShimEvent) record = NULL;
  gboolean good;

  g_return_val_if_fail (reg != NULL && event != NULL, FALSE);

  record = (ShimEvent *) shim_register_get (reg, SHIM_TYPE_EVENT, event, error);
  if (record == NULL)
    return FALSE;
  if (record->taken_back)
    return TRUE;
  g_object_set (record, "taken-back", TRUE, NULL);
  if (!shim_register_begin (reg, _ ("Take back an event"), error))
    return FALSE;
  good = shim_register_update (reg, SHIM_RECORD (record), error)
         && (!is_reset_of_body (record) || find_slots_again (reg, record->item, error));
  return end_change (reg, good, error);
}
