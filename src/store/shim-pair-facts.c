/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-field.h"
#include "shim-pair-cache.h"

/* What the evidence says of one pair. */

enum
{
  DECISION_ID,
  DECISION_AT,
  DECISION_END,
  DECISION_VALUE,
  DECISION_ORIGIN,
  DECISION_RESIDUAL,
  DECISION_RESIDUAL_SE,
  DECISION_TOLERANCE,
  DECISION_OUT_OF_REACH,
  DECISION_FOCAL,
  DECISION_DISTANCE,
  DECISION_TEST_AT,
};

#define DECISIONS_SQL                                                                                                  \
  "SELECT d.id, d.decided_at, d.end, d.value, d.origin, d.residual_mm, d.residual_se_mm, d.tolerance_mm,"              \
  " d.out_of_reach, d.table_focal_mm, d.table_distance_m, t.started_at"                                                \
  " FROM decision AS d LEFT JOIN test AS t ON t.id = d.test"                                                           \
  " WHERE d.pair = ?1 AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = d.id)"                             \
  " ORDER BY d.decided_at DESC, d.id DESC"

/* The newest decision that counts: it names the evidence. */
static void
take_newest (ShimPairNow *now, ShimStatement *row)
{
  now->decision = shim_statement_dup_text (row, DECISION_ID);
  now->decided_at = shim_statement_dup_text (row, DECISION_AT);
  now->predicted = strcmp (shim_statement_get_text (row, DECISION_ORIGIN), "predicted") == 0;
}

/* Of two ends of a zoom the one with the worse error and the older test speaks for the pair. */
static void
take_error (ShimPairNow *now, ShimStatement *row)
{
  double residual = shim_statement_get_real (row, DECISION_RESIDUAL);
  double tolerance = shim_statement_get_real (row, DECISION_TOLERANCE);
  double in_tolerances = tolerance > 0.0 ? fabs (residual) / tolerance : NAN;
  const char *tested = shim_statement_get_text (row, DECISION_TEST_AT);

  if (isnan (now->error_tolerances) || in_tolerances > now->error_tolerances)
    {
      now->residual_mm = residual;
      now->residual_se_mm = shim_statement_get_real (row, DECISION_RESIDUAL_SE);
      now->tolerance_mm = tolerance;
      now->error_tolerances = in_tolerances;
    }
  now->out_of_reach = now->out_of_reach || shim_statement_get_int (row, DECISION_OUT_OF_REACH) != 0;
  if (tested == NULL && strcmp (shim_statement_get_text (row, DECISION_ORIGIN), "predicted") != 0)
    tested = shim_statement_get_text (row, DECISION_AT);
  if (tested != NULL && (now->tested_at == NULL || strcmp (tested, now->tested_at) < 0))
    {
      g_free (now->tested_at);
      now->tested_at = g_strdup (tested);
    }
}

typedef struct
{
  gboolean wide_done;
  gboolean long_done;
  GHashTable *cells; /* own-table cells seen, newest first */
} Reading;

static void
take_cell (ShimPairNow *now, ShimStatement *row, Reading *reading)
{
  g_autofree char *cell = g_strdup_printf ("%g/%g", shim_statement_get_real (row, DECISION_FOCAL),
                                           shim_statement_get_real (row, DECISION_DISTANCE));

  if (!g_hash_table_add (reading->cells, g_steal_pointer (&cell)))
    return;
  if (shim_statement_is_null (row, DECISION_VALUE))
    return;
  now->n_table_cells++;
  take_error (now, row);
}

static void
take_value (ShimPairNow *now, ShimStatement *row, Reading *reading)
{
  const char *end = shim_statement_get_text (row, DECISION_END);
  gint64 value = shim_statement_get_int (row, DECISION_VALUE);
  gboolean withdrawn = strcmp (shim_statement_get_text (row, DECISION_ORIGIN), "none") == 0;
  gboolean is_wide = strcmp (end, "long") != 0, is_long = strcmp (end, "wide") != 0;
  gboolean used = FALSE;

  if (is_wide && !reading->wide_done)
    {
      now->value = withdrawn ? SHIM_NO_INT : value;
      reading->wide_done = used = TRUE;
    }
  if (is_long && !reading->long_done)
    {
      /* One value for the whole range is no value of the long end. */
      now->value_long = withdrawn || strcmp (end, "all") == 0 ? SHIM_NO_INT : value;
      reading->long_done = used = TRUE;
    }
  if (used && !withdrawn)
    take_error (now, row);
}

gboolean
shim_pair_cache_read_decisions (ShimDb *db, ShimPairNow *now, ShimPairFacts *facts, GError **error)
{
  g_autoptr (ShimStatement) row = shim_db_prepare (db, DECISIONS_SQL, error);
  g_autoptr (GHashTable) cells = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  Reading reading = { .cells = cells };
  ShimStep step;

  if (row == NULL)
    return FALSE;
  shim_statement_bind_text (row, 1, now->pair);
  while ((step = shim_statement_step (row, error)) == SHIM_STEP_ROW)
    {
      if (now->decision == NULL)
        take_newest (now, row);
      if (strcmp (shim_statement_get_text (row, DECISION_END), "table") == 0)
        take_cell (now, row, &reading);
      else
        take_value (now, row, &reading);
    }
  facts->has_value = now->value != SHIM_NO_INT || now->value_long != SHIM_NO_INT || now->n_table_cells > 0;
  return step == SHIM_STEP_DONE;
}

gboolean
shim_pair_cache_read_test (ShimDb *db, ShimPairNow *now, ShimPairFacts *facts, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (db,
                         "SELECT t.started_at, EXISTS (SELECT 1 FROM decision AS d WHERE d.test = t.id"
                         "  AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = d.id))"
                         " FROM test AS t WHERE t.pair = ?1"
                         " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = t.id)"
                         " ORDER BY t.started_at DESC, t.id DESC LIMIT 1",
                         error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, now->pair);
  step = shim_statement_step (statement, error);
  if (step == SHIM_STEP_ROW)
    facts->test_open = shim_statement_get_int (statement, 1) == 0
                       && (now->decided_at == NULL || strcmp (shim_statement_get_text (statement, 0), now->decided_at) >= 0);
  return step != SHIM_STEP_ERROR;
}

/* What became of the slot after this pair was keyed in there: the newest entry for that number says so. */
static gboolean
read_slot_fate (ShimDb *db, ShimPairNow *now, const char *entry, const char *own_action, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (db,
                         "SELECT id, action FROM slot_entry WHERE body = ?1 AND number = ?2"
                         " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = slot_entry.id)"
                         " ORDER BY done_at DESC, id DESC LIMIT 1",
                         error);
  const char *action = own_action;
  gboolean is_own = TRUE;
  ShimStep step = SHIM_STEP_DONE;

  if (statement == NULL)
    return FALSE;
  if (now->slot > 0)
    {
      shim_statement_bind_text (statement, 1, now->body);
      shim_statement_bind_int (statement, 2, now->slot);
      step = shim_statement_step (statement, error);
      if (step != SHIM_STEP_ROW)
        return step == SHIM_STEP_DONE;
      is_own = strcmp (shim_statement_get_text (statement, 0), entry) == 0;
      action = shim_statement_get_text (statement, 1);
    }
  if (strcmp (action, "keyed") == 0)
    now->slot_state = is_own ? SHIM_SLOT_KEYED : SHIM_SLOT_OVERWRITTEN;
  else if (strcmp (action, "lost") == 0)
    now->slot_state = SHIM_SLOT_LOST;
  else if (strcmp (action, "overwritten") == 0)
    now->slot_state = SHIM_SLOT_OVERWRITTEN;
  else
    now->slot_state = SHIM_SLOT_FREE;
  return TRUE;
}

gboolean
shim_pair_cache_read_slot (ShimDb *db, ShimPairNow *now, ShimPairFacts *facts, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (db,
                         "SELECT id, number, action, value, value_long FROM slot_entry WHERE pair = ?1"
                         " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = slot_entry.id)"
                         " ORDER BY done_at DESC, id DESC LIMIT 1",
                         error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, now->pair);
  step = shim_statement_step (statement, error);
  if (step != SHIM_STEP_ROW)
    return step == SHIM_STEP_DONE;
  now->slot = shim_statement_get_int (statement, 1);
  now->slot_value = shim_statement_get_int (statement, 3);
  now->slot_value_long = shim_statement_get_int (statement, 4);
  if (!read_slot_fate (db, now, shim_statement_get_text (statement, 0), shim_statement_get_text (statement, 2), error))
    return FALSE;
  if (now->slot_state == SHIM_SLOT_FREE)
    now->slot = now->slot_value = now->slot_value_long = SHIM_NO_INT;
  facts->due.slot_overwritten = now->slot_state == SHIM_SLOT_OVERWRITTEN;
  facts->due.reset_since_keyed = now->slot_state == SHIM_SLOT_LOST;
  return TRUE;
}

/* Days are all that people write down, and theirs, not Greenwich's; on the day of the test itself it counts when the event was
 * noted after the test began. Times have whole seconds: within the same one it counts, for a doubt too many costs least. */
#define DOUBT_SQL                                                                                                      \
  "SELECT 1 FROM event WHERE item = ?1 AND casts_doubt = 1 AND taken_back = 0"                                         \
  " AND (happened_on > date (?2, 'localtime') OR (happened_on = date (?2, 'localtime') AND noted_at >= ?2))"            \
  " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = event.id) LIMIT 1"

static gboolean
has_doubt (ShimDb *db, const char *item, const char *since, gboolean *has, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (db, DOUBT_SQL, error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, item);
  shim_statement_bind_text (statement, 2, since);
  step = shim_statement_step (statement, error);
  *has = *has || step == SHIM_STEP_ROW;
  return step != SHIM_STEP_ERROR;
}

gboolean
shim_pair_cache_read_doubts (ShimDb *db, ShimPairNow *now, ShimPairFacts *facts, GError **error)
{
  const char *since = now->tested_at != NULL ? now->tested_at : now->decided_at;

  if (since == NULL)
    return TRUE;
  return has_doubt (db, now->body, since, &facts->due.body_event, error)
         && has_doubt (db, now->lens, since, &facts->due.lens_event, error)
         && (now->converter == NULL || has_doubt (db, now->converter, since, &facts->due.converter_event, error));
}

/* What speaks against an older value does not speak against one that was decided since. */
gboolean
shim_pair_cache_read_contradiction (ShimDb *db, ShimPairNow *now, ShimPairFacts *facts, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (db, "SELECT 1 FROM contradicted WHERE pair = ?1 AND decision = ?2", error);
  ShimStep step;

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, now->pair);
  shim_statement_bind_text (statement, 2, now->decision);
  step = shim_statement_step (statement, error);
  facts->due.contradicted = step == SHIM_STEP_ROW;
  return step != SHIM_STEP_ERROR;
}
