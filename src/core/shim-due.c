/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-due.h"
#include "shim-names.h"

static const char *const event_names[] = {
  [SHIM_EVENT_NOTE] = "note",
  [SHIM_EVENT_KNOCK] = "knock",
  [SHIM_EVENT_WATER] = "water",
  [SHIM_EVENT_SERVICE] = "service",
  [SHIM_EVENT_MOUNT] = "mount",
  [SHIM_EVENT_FIRMWARE] = "firmware",
  [SHIM_EVENT_RESET] = "reset",
  [SHIM_EVENT_LENT] = "lent",
  [SHIM_EVENT_RETURNED] = "returned",
};

static const struct
{
  ShimDueReasons reason;
  const char *name;
  const char *sentence;
} due_table[] = {
  { SHIM_DUE_AGE, "age", "The newest test is older than allowed." },
  { SHIM_DUE_BODY_EVENT, "body-event", "Something happened to the body since the test." },
  { SHIM_DUE_LENS_EVENT, "lens-event", "Something happened to the lens since the test." },
  { SHIM_DUE_CONVERTER_EVENT, "converter-event", "Something happened to the converter since the test." },
  { SHIM_DUE_PREDICTED, "predicted", "The value was predicted from the rest of the kit and never measured." },
  { SHIM_DUE_OVERWRITTEN, "overwritten", "The slot that should hold the value holds something else now." },
  { SHIM_DUE_RESET, "reset", "The body was reset and the value has not been keyed in again." },
  { SHIM_DUE_CONTRADICTED, "contradicted", "The rest of the kit contradicts the value." },
  { SHIM_DUE_CLOCK, "clock", "The test is dated in the future, so its age is not known." },
};

ShimDueReasons
shim_due_reasons (const ShimDueFacts *facts)
{
  ShimDueReasons reasons = SHIM_DUE_NONE;

  g_return_val_if_fail (facts != NULL, SHIM_DUE_NONE);

  /* A day's grace: time zones and a camera's clock may put a test made just now a little ahead. */
  if (facts->age_days < -1.0)
    reasons |= SHIM_DUE_CLOCK;
  if (facts->max_age_days > 0.0 && facts->age_days > facts->max_age_days)
    reasons |= SHIM_DUE_AGE;
  if (facts->body_event)
    reasons |= SHIM_DUE_BODY_EVENT;
  if (facts->lens_event)
    reasons |= SHIM_DUE_LENS_EVENT;
  if (facts->converter_event)
    reasons |= SHIM_DUE_CONVERTER_EVENT;
  if (facts->predicted_only || isnan (facts->age_days))
    reasons |= SHIM_DUE_PREDICTED;
  if (facts->slot_overwritten)
    reasons |= SHIM_DUE_OVERWRITTEN;
  if (facts->reset_since_keyed)
    reasons |= SHIM_DUE_RESET;
  if (facts->contradicted)
    reasons |= SHIM_DUE_CONTRADICTED;
  return reasons;
}

double
shim_due_in_days (const ShimDueFacts *facts)
{
  g_return_val_if_fail (facts != NULL, 0.0);

  if (shim_due_reasons (facts) != SHIM_DUE_NONE)
    return 0.0;
  if (!(facts->max_age_days > 0.0))
    return INFINITY;
  return facts->max_age_days - MAX (facts->age_days, 0.0);
}

gboolean
shim_event_casts_doubt (ShimEventKind kind)
{
  switch (kind)
    {
    case SHIM_EVENT_KNOCK:
    case SHIM_EVENT_WATER:
    case SHIM_EVENT_SERVICE:
    case SHIM_EVENT_MOUNT:
    case SHIM_EVENT_FIRMWARE:
      return TRUE;
    case SHIM_EVENT_NOTE:
    case SHIM_EVENT_RESET:
    case SHIM_EVENT_LENT:
    case SHIM_EVENT_RETURNED:
    default:
      return FALSE;
    }
}

const char *
shim_event_kind_to_name (ShimEventKind kind)
{
  g_return_val_if_fail ((guint) kind < G_N_ELEMENTS (event_names), "note");

  return event_names[kind];
}

gboolean
shim_event_kind_from_name (const char *name, ShimEventKind *kind)
{
  guint index = 0;

  g_return_val_if_fail (kind != NULL, FALSE);

  if (!shim_names_find (event_names, G_N_ELEMENTS (event_names), name, &index))
    return FALSE;
  *kind = (ShimEventKind) index;
  return TRUE;
}

char **
shim_due_reasons_to_names (ShimDueReasons reasons)
{
  g_autoptr (GStrvBuilder) names = g_strv_builder_new ();

  for (guint i = 0; i < G_N_ELEMENTS (due_table); i++)
    if (reasons & due_table[i].reason)
      g_strv_builder_add (names, due_table[i].name);
  return g_strv_builder_end (names);
}

const char *
shim_due_reason_to_sentence (ShimDueReasons reason)
{
  for (guint i = 0; i < G_N_ELEMENTS (due_table); i++)
    if (reason == due_table[i].reason)
      return due_table[i].sentence;
  g_return_val_if_reached ("");
}
