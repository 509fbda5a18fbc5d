/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-due.h"
#include "shim-event-rules.h"

/**
 * shim_event_doubt_by_default:
 * @kind: (nullable): kind of an event as stored: "knock"
 *
 * Returns: whether such an event usually makes the pairs of its item due; a person may decide otherwise for one event
 */
gboolean
shim_event_doubt_by_default (const char *kind)
{
  ShimEventKind known;

  return kind != NULL && shim_event_kind_from_name (kind, &known) && shim_event_casts_doubt (known);
}

/**
 * shim_event_dup_consequence:
 * @event: an event
 *
 * Returns: (transfer full): what follows from it, a sentence for people
 */
char *
shim_event_dup_consequence (const ShimEvent *event)
{
  g_return_val_if_fail (event != NULL, NULL);

  if (event->taken_back)
    return g_strdup (_ ("Taken back: nothing follows from it."));
  if (g_strcmp0 (event->kind, "reset") == 0)
    return g_strdup (_ ("Its values are right but lost: key them in again."));
  if (g_strcmp0 (event->kind, "sent") == 0)
    return g_strdup (_ ("It is at service until it is noted as serviced or back."));
  if (g_strcmp0 (event->kind, "loan") == 0)
    return event->who != NULL ? g_strdup_printf (_ ("%s has it until it is noted as back."), event->who)
                              : g_strdup (_ ("It is lent out until it is noted as back."));
  if (g_strcmp0 (event->kind, "sale") == 0)
    return g_strdup (_ ("It does not belong to the kit any more. Archive it to take it off the lists."));
  if (event->casts_doubt)
    return g_strdup (_ ("All its pairs tested before are due."));
  return g_strdup (_ ("No value is in doubt because of it."));
}
