/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-format.h"
#include "shim-ops-accept.h"
#include "shim-ops-fields.h"
#include "shim-ops-kit.h"
#include "shim-ops-summary.h"
#include "shim-register-pairs.h"
#include "shim-register-reads.h"
#include "shim-workspace-error.h"

/**
 * shim_accept_init:
 * @request: (out): set to "measured, whole range, next slot"
 */
void
shim_accept_init (ShimAccept *request)
{
  g_return_if_fail (request != NULL);

  *request = (ShimAccept) {
    .value = SHIM_NO_INT,
    .table_focal_mm = NAN,
    .table_distance_m = NAN,
    .slot = SHIM_SLOT_NEXT,
  };
}

static gboolean
has_line (const ShimTestSummary *test)
{
  return test->response.state == SHIM_RESPONSE_CLEAR || test->response.state == SHIM_RESPONSE_OUT_OF_REACH;
}

/* The round's mean at this very setting, set-up error taken off; else what the line says there. */
static gboolean
residual_at (const ShimTestSummary *test, gint64 value, double *residual_mm, double *se_mm)
{
  const ShimRoundStats *reference = test->reference != NULL ? &test->reference->stats : NULL;

  if (has_line (test))
    {
      *residual_mm = shim_response_at (&test->response, (double) value, se_mm, NULL);
      return TRUE;
    }
  for (guint i = test->points->len; i-- > 0;)
    {
      const ShimResponsePoint *point = &g_array_index (test->points, ShimResponsePoint, i);

      if (point->setting != value || point->round.n_used == 0)
        continue;
      *residual_mm = point->round.mean_mm - (reference != NULL ? reference->mean_mm : 0.0);
      *se_mm = reference != NULL ? hypot (point->round.random_se_mm, reference->random_se_mm) : point->round.se_mm;
      return TRUE;
    }
  return FALSE;
}

static gboolean
fill_from_test (ShimRegister *reg, const ShimAccept *request, ShimDecision *decision, GError **error)
{
  g_autoptr (ShimTestSummary) test = shim_ops_test_summary (reg, NULL, request->test, error);
  double residual_mm, se_mm;

  if (test == NULL)
    return FALSE;
  if (request->pair != NULL && g_strcmp0 (request->pair, test->test->pair) != 0)
    {
      g_set_error_literal (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CONTRADICTION,
                           _ ("The test is one of another pair."));
      return FALSE;
    }
  _shim_ops_set_reals (decision, "focal_mm", test->test->focal_mm, "distance_mm", test->test->distance_mm,
                       "tolerance_mm", test->tolerance_mm, NULL);
  g_object_set (decision, "pair", test->test->pair, "test", request->test, "out-of-reach",
                test->response.state == SHIM_RESPONSE_OUT_OF_REACH, NULL);
  if (has_line (test))
    _shim_ops_set_reals (decision, "slope_mm_per_step", test->response.step_mm, "slope_se_mm_per_step",
                         test->response.step_se_mm, NULL);
  if (residual_at (test, request->value, &residual_mm, &se_mm))
    {
      _shim_ops_set_reals (decision, "residual_mm", residual_mm, "residual_se_mm", se_mm, NULL);
      return TRUE;
    }
  if (request->origin != NULL && g_strcmp0 (request->origin, "measured") != 0)
    return TRUE;
  g_set_error_literal (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_STATE,
                       _ ("Nothing was measured at this setting, and the rounds do not make a line yet. Take a round "
                          "at this setting, or write it down as one that was found elsewhere."));
  return FALSE;
}

static gboolean
fill_decision (ShimRegister *reg, const ShimAccept *request, ShimDecision *decision, GError **error)
{
  g_autofree char *now = shim_register_now (reg);

  g_object_set (decision, "decided-at", now, "end", request->end != NULL ? request->end : "all", "value",
                request->value, "origin", request->origin != NULL ? request->origin : "measured", "note",
                request->note, NULL);
  _shim_ops_set_reals (decision, "table_focal_mm", request->table_focal_mm, "table_distance_m",
                       request->table_distance_m, NULL);
  if (request->test != NULL)
    return fill_from_test (reg, request, decision, error);
  if (g_strcmp0 (decision->origin, "measured") == 0)
    {
      g_set_error_literal (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_STATE,
                           _ ("A measured setting needs its test; a setting without one is predicted or copied."));
      return FALSE;
    }
  g_object_set (decision, "pair", request->pair, NULL);
  return TRUE;
}

/* Settings and words of the pair's items. */
static gboolean
check_decision (ShimRegister *reg, ShimDecision *decision, char **summary, GError **error)
{
  g_autoptr (ShimPair) pair = (ShimPair *) shim_register_get (reg, SHIM_TYPE_PAIR, decision->pair, error);
  g_autoptr (ShimBody) body = NULL;
  g_autoptr (ShimLens) lens = NULL;
  g_autofree char *value = shim_format_setting (decision->value);

  if (pair == NULL)
    return FALSE;
  body = (ShimBody *) shim_register_get (reg, SHIM_TYPE_BODY, pair->body, error);
  if (body == NULL)
    return FALSE;
  lens = (ShimLens *) shim_register_get (reg, SHIM_TYPE_LENS, pair->lens, error);
  if (lens == NULL)
    return FALSE;
  if ((body->range_min != SHIM_NO_INT && decision->value < body->range_min)
      || (body->range_max != SHIM_NO_INT && decision->value > body->range_max))
    {
      g_autofree char *low = shim_format_setting (body->range_min);
      g_autofree char *high = shim_format_setting (body->range_max);

      g_set_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CONTRADICTION,
                   _ ("“%s” takes settings from %s to %s, not %s."), shim_ops_kit_item_name (SHIM_RECORD (body)), low,
                   high, value);
      return FALSE;
    }
  g_object_set (decision, "firmware", body->firmware, NULL);
  *summary = g_strdup_printf (_ ("Accept %s for %s on %s"), value, shim_ops_kit_item_name (SHIM_RECORD (lens)),
                              shim_ops_kit_item_name (SHIM_RECORD (body)));
  return TRUE;
}

static gboolean
same_real (double a, double b)
{
  return a == b || (isnan (a) && isnan (b));
}

static gboolean
is_for (const ShimDecision *decision, const char *end)
{
  return g_strcmp0 (decision->end, end) == 0;
}

/* Whether the newer one takes the other's place: at the same end of a zoom, both of which "all" is, or in the same cell of a lens's own
 * table. */
static gboolean
same_place (const ShimDecision *a, const ShimDecision *b)
{
  if (is_for (a, "table") || is_for (b, "table"))
    return is_for (a, b->end) && same_real (a->table_focal_mm, b->table_focal_mm)
           && same_real (a->table_distance_m, b->table_distance_m);
  return is_for (a, b->end) || is_for (a, "all") || is_for (b, "all");
}

static gboolean
says_the_same (const ShimDecision *a, const ShimDecision *b)
{
  return a->value == b->value && is_for (a, b->end) && g_strcmp0 (a->test, b->test) == 0 && g_strcmp0 (a->origin, b->origin) == 0
         && g_strcmp0 (a->note, b->note) == 0 && a->out_of_reach == b->out_of_reach
         && same_real (a->residual_mm, b->residual_mm) && same_real (a->residual_se_mm, b->residual_se_mm);
}

/* Another slot is something new, and so is the slot of a setting that was not keyed in. */
static gboolean
is_kept_where_asked (const ShimPairNow *now, const ShimAccept *request)
{
  const gboolean is_long = g_strcmp0 (request->end, "long") == 0;

  if (request->slot == SHIM_SLOT_NONE)
    return TRUE;
  return now != NULL && now->slot_state == SHIM_SLOT_KEYED
         && (is_long ? now->slot_value_long : now->slot_value) == request->value
         && (request->slot == SHIM_SLOT_NEXT || now->slot == request->slot);
}

/* The same again would be one more row that says nothing new; but without a test a setting rests on somebody's word, which is as new as the
 * day it is given. (transfer full) (nullable) @same: what says it already. */
static gboolean
find_same (ShimRegister *reg, const ShimAccept *request, const ShimDecision *decision, ShimDecision **same, GError **error)
{
  g_autoptr (GPtrArray) decisions = NULL;
  g_autoptr (ShimPairNow) now = NULL;
  ShimDecision *newest = NULL;

  *same = NULL;
  if (decision->test == NULL)
    return TRUE;
  decisions = shim_register_decisions (reg, decision->pair, error);
  if (decisions == NULL)
    return FALSE;
  for (guint i = 0; i < decisions->len && newest == NULL; i++)
    if (same_place (decisions->pdata[i], decision))
      newest = decisions->pdata[i];
  if (newest == NULL || !says_the_same (newest, decision))
    return TRUE;
  now = shim_register_pair_now (reg, decision->pair, error);
  if (now == NULL)
    return FALSE;
  if (is_kept_where_asked (now, request))
    *same = g_object_ref (newest);
  return TRUE;
}

static gboolean
store (ShimRegister *reg, const ShimAccept *request, ShimDecision *decision, ShimSlotEntry **entry, GError **error)
{
  if (!shim_register_insert (reg, SHIM_RECORD (decision), error))
    return FALSE;
  *entry = NULL;
  if (request->slot == SHIM_SLOT_NONE)
    return TRUE;
  *entry = shim_ops_slots_key_in (reg, decision->pair, request->slot, request->overwrite, error);
  return *entry != NULL;
}

/**
 * shim_ops_accept:
 * @reg: a register
 * @request: what is accepted
 * @entry: (out) (optional) (nullable) (transfer full): what was keyed in
 * @error: #ShimWorkspaceError STATE when the test does not carry the setting, CONTRADICTION when the body does not
 * take it, NO_SLOT; a #ShimStoreError
 *
 * Decision and slot are one change: when there is no slot, nothing is decided. What is accepted already, on the same evidence and
 * kept at the same place, is not stored again: shim_test_summary_has_decision() tells such an answer apart.
 *
 * Returns: (transfer full) (nullable): the decision, with the residual and its standard error
 */
ShimDecision *
shim_ops_accept (ShimRegister *reg, const ShimAccept *request, ShimSlotEntry **entry, GError **error)
{
  g_autoptr (ShimDecision) decision = NULL, same = NULL;
  g_autoptr (ShimSlotEntry) keyed = NULL;
  g_autofree char *summary = NULL;

  g_return_val_if_fail (reg != NULL && request != NULL, NULL);
  g_return_val_if_fail (request->pair != NULL || request->test != NULL, NULL);
  g_return_val_if_fail (request->value != SHIM_NO_INT, NULL);

  decision = shim_decision_new ();
  if (entry != NULL)
    *entry = NULL;
  if (!fill_decision (reg, request, decision, error) || !check_decision (reg, decision, &summary, error)
      || !find_same (reg, request, decision, &same, error))
    return NULL;
  if (same != NULL)
    return g_steal_pointer (&same);
  if (!shim_register_begin (reg, summary, error))
    return NULL;
  if (!store (reg, request, decision, &keyed, error))
    {
      shim_register_rollback (reg);
      return NULL;
    }
  if (!shim_register_commit (reg, error))
    return NULL;
  if (entry != NULL)
    *entry = g_steal_pointer (&keyed);
  return g_steal_pointer (&decision);
}

/**
 * shim_ops_accept_withdraw:
 * @reg: a register
 * @pair: id
 * @end: (nullable): which decision; %NULL = "all"
 * @note: (nullable): why
 * @error: a #ShimStoreError
 *
 * Writes down that the pair has no value any more. What was decided before stays in its history.
 *
 * Returns: whether it is stored
 */
gboolean
shim_ops_accept_withdraw (ShimRegister *reg, const char *pair, const char *end, const char *note, GError **error)
{
  g_autoptr (ShimDecision) decision = NULL;
  g_autofree char *now = NULL;

  g_return_val_if_fail (reg != NULL && pair != NULL, FALSE);

  now = shim_register_now (reg);
  decision = shim_decision_new ();
  g_object_set (decision, "pair", pair, "decided-at", now, "end", end != NULL ? end : "all", "origin", "none", "note",
                note, NULL);
  if (!shim_register_begin (reg, _ ("Withdraw a setting"), error))
    return FALSE;
  if (shim_register_insert (reg, SHIM_RECORD (decision), error))
    return shim_register_commit (reg, error);
  shim_register_rollback (reg);
  return FALSE;
}
