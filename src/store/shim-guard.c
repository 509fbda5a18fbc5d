/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-fit.h"
#include "shim-frame-check.h"
#include "shim-register-private.h"
#include "shim-setting-check.h"

/* The kit's rules, put to a record before it is written: each fetches what its rule wants to see. */

static gpointer
fetch (ShimRegister *self, GType type, const char *id, GError **error)
{
  return shim_register_fetch (self, type, id, FALSE, error);
}

static GPtrArray *
adapters_between (ShimRegister *self, const char *lens_mount, const char *body_mount, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();

  shim_query_add_filter (query, "lens_mount", lens_mount);
  shim_query_add_filter (query, "body_mount", body_mount);
  return shim_register_list (self, SHIM_TYPE_ADAPTER, query, error);
}

static gboolean
guard_pair (ShimRegister *self, ShimPair *pair, GError **error)
{
  g_autoptr (ShimBody) body = fetch (self, SHIM_TYPE_BODY, pair->body, error);
  g_autoptr (ShimLens) lens = body != NULL ? fetch (self, SHIM_TYPE_LENS, pair->lens, error) : NULL;
  g_autoptr (ShimConverter) converter = NULL;
  g_autoptr (GPtrArray) adapters = NULL;
  ShimAdapter *adapter = NULL;

  if (lens == NULL)
    return FALSE;
  if (pair->converter != NULL && (converter = fetch (self, SHIM_TYPE_CONVERTER, pair->converter, error)) == NULL)
    return FALSE;
  adapters = adapters_between (self, lens->mount, body->mount, error);
  if (adapters == NULL || !shim_fit_check (lens, body, converter, adapters, &adapter, error))
    return FALSE;
  if (adapter != NULL && pair->adapter == NULL)
    pair->adapter = g_strdup (SHIM_RECORD (adapter)->id);
  return TRUE;
}

static ShimBody *
fetch_body_of_pair (ShimRegister *self, const char *pair_id, GError **error)
{
  g_autoptr (ShimPair) pair = fetch (self, SHIM_TYPE_PAIR, pair_id, error);

  return pair != NULL ? fetch (self, SHIM_TYPE_BODY, pair->body, error) : NULL;
}

static gboolean
guard_round (ShimRegister *self, ShimRound *round, GError **error)
{
  g_autoptr (ShimTest) test = fetch (self, SHIM_TYPE_TEST, round->test, error);
  g_autoptr (ShimBody) body = test != NULL ? fetch_body_of_pair (self, test->pair, error) : NULL;

  return body != NULL && shim_body_check_setting (body, round->setting, error);
}

static gboolean
guard_frame (ShimRegister *self, ShimFrame *frame, GError **error)
{
  g_autoptr (ShimRound) round = NULL;
  g_autoptr (ShimTest) test = NULL;
  g_autoptr (ShimPair) pair = NULL;
  g_autoptr (ShimBody) body = NULL;
  g_autoptr (ShimLens) lens = NULL;

  if (frame->override || (frame->body_serial == NULL && frame->lens_serial == NULL))
    return TRUE;
  return (round = fetch (self, SHIM_TYPE_ROUND, frame->round, error)) != NULL
         && (test = fetch (self, SHIM_TYPE_TEST, round->test, error)) != NULL
         && (pair = fetch (self, SHIM_TYPE_PAIR, test->pair, error)) != NULL
         && (body = fetch (self, SHIM_TYPE_BODY, pair->body, error)) != NULL
         && (lens = fetch (self, SHIM_TYPE_LENS, pair->lens, error)) != NULL
         && shim_frame_check_serials (frame, body, lens, error);
}

static gboolean
guard_decision (ShimRegister *self, ShimDecision *decision, GError **error)
{
  g_autoptr (ShimBody) body = NULL;

  /* A cell of the lens's own table is counted by the lens, not by the body. */
  if (g_strcmp0 (decision->end, "table") == 0)
    return TRUE;
  body = fetch_body_of_pair (self, decision->pair, error);
  return body != NULL && shim_body_check_setting (body, decision->value, error);
}

static gboolean
guard_slot_entry (ShimRegister *self, ShimSlotEntry *entry, GError **error)
{
  g_autoptr (ShimBody) body = fetch (self, SHIM_TYPE_BODY, entry->body, error);

  return body != NULL && shim_body_check_slot (body, entry->number, error)
         && (entry->number == 0
             || (shim_body_check_setting (body, entry->value, error) && shim_body_check_setting (body, entry->value_long, error)));
}

/**
 * shim_register_guard:
 * @self: a register
 * @record: a record that is to be written
 * @error: a #ShimKitError or a #ShimStoreError
 *
 * Returns: whether nothing forbids it
 */
gboolean
shim_register_guard (ShimRegister *self, ShimRecord *record, GError **error)
{
  if (!shim_record_check (record, error) || !shim_register_check_references (self, record, error))
    return FALSE;
  if (SHIM_IS_PAIR (record))
    return guard_pair (self, SHIM_PAIR (record), error);
  if (SHIM_IS_ROUND (record))
    return guard_round (self, SHIM_ROUND (record), error);
  if (SHIM_IS_FRAME (record))
    return guard_frame (self, SHIM_FRAME (record), error);
  if (SHIM_IS_DECISION (record))
    return guard_decision (self, SHIM_DECISION (record), error);
  if (SHIM_IS_SLOT_ENTRY (record))
    return guard_slot_entry (self, SHIM_SLOT_ENTRY (record), error);
  return TRUE;
}
