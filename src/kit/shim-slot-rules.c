/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-field.h"
#include "shim-slot-rules.h"

/**
 * shim_slots_next:
 * @slots: (element-type ShimSlot): slots of a body by number; numbers that are left out are free
 * @slot_count: how many it has; -1 or %SHIM_NO_INT = no limit that is known
 * @pair: (nullable): id of the pair to key in
 *
 * The slot that holds or held the pair, so that it does not take up two; else the lowest free one. A slot whose value was lost by a
 * reset is kept for the pair that it held.
 *
 * Returns: the slot to key into next; 0 when none is left
 */
gint64
shim_slots_next (GPtrArray *slots, gint64 slot_count, const char *pair)
{
  gint64 expected = 1;
  gint64 free_slot = 0;

  g_return_val_if_fail (slots != NULL, 0);

  for (guint i = 0; i < slots->len; i++)
    {
      const ShimSlot *slot = g_ptr_array_index (slots, i);

      if (pair != NULL && slot->state != SHIM_SLOT_FREE && g_strcmp0 (slot->pair, pair) == 0)
        return slot->number;
      if (free_slot == 0 && (slot->state == SHIM_SLOT_FREE || slot->number > expected))
        free_slot = expected;
      expected = slot->number + 1;
    }
  if (free_slot != 0)
    return free_slot;
  if (slot_count == SHIM_NO_INT || slot_count < 0 || expected <= slot_count)
    return expected;
  return 0;
}

/**
 * shim_slots_count:
 * @slots: (element-type ShimSlot): slots of a body; those left out are free
 * @slot_count: how many it has; -1 or %SHIM_NO_INT = no limit that is known
 * @count: (out caller-allocates): the counts
 */
void
shim_slots_count (GPtrArray *slots, gint64 slot_count, ShimSlotCount *count)
{
  gint64 n_keyed = 0, n_lost = 0;

  g_return_if_fail (slots != NULL && count != NULL);

  for (guint i = 0; i < slots->len; i++)
    {
      const ShimSlot *slot = g_ptr_array_index (slots, i);

      n_keyed += slot->state == SHIM_SLOT_KEYED;
      n_lost += slot->state == SHIM_SLOT_LOST;
    }
  shim_slots_count_up (slot_count, n_keyed, n_lost, count);
}

/**
 * shim_slots_count_up:
 * @slot_count: how many slots a body has; -1 or %SHIM_NO_INT = no limit that is known
 * @n_keyed: slots that hold a value
 * @n_lost: slots that lost one
 * @count: (out caller-allocates): the counts
 */
void
shim_slots_count_up (gint64 slot_count, gint64 n_keyed, gint64 n_lost, ShimSlotCount *count)
{
  g_return_if_fail (count != NULL);

  count->total = slot_count == SHIM_NO_INT ? -1 : slot_count;
  count->keyed = n_keyed;
  count->lost = n_lost;
  count->free = count->total < 0 ? -1 : MAX (count->total - n_keyed - n_lost, 0);
}

/**
 * shim_slots_count_text:
 * @slot_count: how many slots the body has; -1 = no limit, %SHIM_NO_INT = not recorded
 * @count: its counts
 *
 * Returns: (transfer full): what is left, for people
 */
char *
shim_slots_count_text (gint64 slot_count, const ShimSlotCount *count)
{
  g_return_val_if_fail (count != NULL, NULL);

  if (slot_count == 0)
    return g_strdup (_ ("This body has no slots"));
  if (slot_count == SHIM_NO_INT)
    return g_strdup_printf (_ ("%d used; how many there are is not recorded"), (int) count->keyed);
  if (slot_count < 0)
    return g_strdup_printf (_ ("%d used, no limit"), (int) count->keyed);
  if (count->lost > 0)
    return g_strdup_printf (_ ("%d of %d slots free, %d to key in again"), (int) count->free, (int) count->total, (int) count->lost);
  return g_strdup_printf (_ ("%d of %d slots free"), (int) count->free, (int) count->total);
}
