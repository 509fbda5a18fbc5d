/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-format.h"
#include "shim-slots-text.h"

/* So many free slots are named. */
#define FREE_NAMED 12

/**
 * shim_slots_text_value:
 * @value: a setting, at the wide end
 * @value_long: the one at the long end, or %SHIM_NO_INT
 *
 * Returns: (transfer full): both
 */
char *
shim_slots_text_value (gint64 value, gint64 value_long)
{
  g_autofree char *wide = shim_format_setting (value);
  g_autofree char *far_end = shim_format_setting (value_long);

  return value_long == SHIM_NO_INT ? g_steal_pointer (&wide) : g_strdup_printf ("%s / %s", wide, far_end);
}

/**
 * shim_slots_text_state:
 * @slot: a slot that is not free
 *
 * Returns: (transfer full): what is to be done about it
 */
char *
shim_slots_text_state (const ShimSlot *slot)
{
  g_autofree char *wanted = shim_slots_text_value (slot->wanted, slot->wanted_long);
  g_autofree char *day = slot->done_at != NULL ? g_strndup (slot->done_at, 10) : NULL;

  if (slot->state == SHIM_SLOT_LOST)
    return g_strdup_printf (_ ("Lost by a reset on %s. Key %s in again"), day, wanted);
  if (slot->wanted != SHIM_NO_INT && (slot->wanted != slot->value || slot->wanted_long != slot->value_long))
    return g_strdup_printf (_ ("Decided since: %s. Key it in"), wanted);
  return g_strdup_printf (_ ("Keyed in on %s"), day);
}

/**
 * shim_slots_text_free:
 * @view: slots of a body
 *
 * Returns: (transfer full) (nullable): which are free, in one line however many there are, or why that is not known; %NULL when
 * none is
 */
char *
shim_slots_text_free (const ShimSlotsView *view)
{
  g_autoptr (GString) numbers = g_string_new (NULL);
  guint n_free = 0;

  for (guint i = 0; i < view->slots->len; i++)
    {
      const ShimSlot *slot = view->slots->pdata[i];

      if (slot->state == SHIM_SLOT_FREE && n_free++ < FREE_NAMED)
        g_string_append_printf (numbers, "%s%d", numbers->len > 0 ? ", " : "", (int) slot->number);
    }
  if (n_free > FREE_NAMED)
    g_string_append (numbers, " …");
  if (n_free > 0)
    return g_strdup_printf (_ ("Free: %s"), numbers->str);
  if (view->body->slot_count == SHIM_NO_INT)
    return g_strdup (_ ("The number of slots is not recorded: write it down on the page of the body"));
  return view->body->slot_count == -1 ? g_strdup (_ ("Any number of further slots")) : NULL;
}
