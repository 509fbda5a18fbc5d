/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-optics.h"
#include "shim-register-pairs.h"
#include "shim-register-private.h"

/* The table contradicted: which measured values the rest of the kit cannot explain. Worked out at the end of a change that touched
 * decisions, in its transaction. */

/* A standard error that is not known or is too good to be true is taken as this, at the sensor: a tenth of a usual step. */
#define LEAST_SE_UM 0.5

/* Explaining the whole kit of a store-room once takes less than explaining the surroundings of so many bodies. */
#define MANY_BODIES 100

#define COUNTS(alias) " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = " alias ".id)"

/**
 * shim_pair_measurement_to_reading:
 * @self: a measured pair
 * @reading: (out): the pair's error at setting 0, at the sensor: the residual with the setting's own share taken off. Its body and lens
 *   are the caller's affair
 *
 * Returns: whether it can be said
 */
gboolean
shim_pair_measurement_to_reading (const ShimPairMeasurement *self, ShimKitReading *reading)
{
  const double slope = self->slope_mm_per_step;
  double offset_mm, se_um;

  g_return_val_if_fail (self != NULL && reading != NULL, FALSE);

  if (self->value != 0 && isnan (slope))
    return FALSE;
  offset_mm = self->residual_mm - (self->value != 0 ? slope * (double) self->value : 0.0);
  reading->defocus_um = shim_optics_defocus_um (self->focal_mm, self->distance_mm, offset_mm);
  se_um = fabs (shim_optics_defocus_small_um (self->focal_mm, self->distance_mm, self->residual_se_mm));
  reading->se_um = isfinite (se_um) && se_um > LEAST_SE_UM ? se_um : LEAST_SE_UM;
  return isfinite (reading->defocus_um);
}

/* --- What the model says --- */

static guint
index_of (GHashTable *table, char *key)
{
  gpointer found;

  if (g_hash_table_lookup_extended (table, key, NULL, &found))
    g_free (key);
  else
    g_hash_table_insert (table, key, found = GUINT_TO_POINTER (g_hash_table_size (table)));
  return GPOINTER_TO_UINT (found);
}

/* A lens with a converter is another lens. */
static void
add_reading (const ShimPairMeasurement *measured, GHashTable *bodies, GHashTable *lenses, GArray *readings, GPtrArray *sources)
{
  ShimKitReading reading;

  if (!shim_pair_measurement_to_reading (measured, &reading))
    return;
  reading.body = index_of (bodies, g_strdup (measured->body));
  reading.lens = index_of (lenses, g_strconcat (measured->lens, "+", measured->converter, NULL));
  g_array_append_val (readings, reading);
  g_ptr_array_add (sources, (gpointer) measured);
}

/* Of @measurements those that the others contradict, borrowed. */
static GPtrArray *
find_contradicted (GPtrArray *measurements, GError **error)
{
  g_autoptr (GHashTable) bodies = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  g_autoptr (GHashTable) lenses = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  g_autoptr (GArray) readings = g_array_new (FALSE, FALSE, sizeof (ShimKitReading));
  g_autoptr (GPtrArray) sources = g_ptr_array_new (), found = g_ptr_array_new ();
  ShimKitModel *model;

  for (guint i = 0; i < measurements->len; i++)
    add_reading (measurements->pdata[i], bodies, lenses, readings, sources);
  if (readings->len == 0)
    return g_steal_pointer (&found);
  model = shim_kit_model_new ((const ShimKitReading *) readings->data, readings->len, g_hash_table_size (bodies),
                              g_hash_table_size (lenses), NULL, error);
  if (model == NULL)
    return NULL;
  for (guint i = 0; i < sources->len; i++)
    if (shim_kit_model_get_fit (model, i)->contradicts)
      g_ptr_array_add (found, sources->pdata[i]);
  shim_kit_model_free (model);
  return g_steal_pointer (&found);
}

/* Two tests that agree within a step outweigh the rest of the kit: the pair is as it is, and a third test would bring nothing. */
#define CONFIRMED_SQL                                                                                                  \
  "SELECT EXISTS (SELECT 1 FROM decision AS d JOIN decision AS n ON n.id = ?1 WHERE d.pair = n.pair AND d.id <> n.id"  \
  " AND d.test IS NOT n.test AND d.end = n.end AND d.origin = 'measured' AND abs (d.value - n.value) <= 1" COUNTS ("d") ")"

static gboolean
is_confirmed (ShimRegister *self, const char *decision, gboolean *is, GError **error)
{
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, CONFIRMED_SQL, error);

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, decision);
  if (shim_statement_step (statement, error) != SHIM_STEP_ROW)
    return FALSE;
  *is = shim_statement_get_int (statement, 0) != 0;
  return TRUE;
}

/* --- Keeping it --- */

/* pair → decision of what is kept now, of one body or (%NULL) of all. */
static GHashTable *
read_kept (ShimRegister *self, const char *body, GError **error)
{
  g_autoptr (GHashTable) kept = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, g_free);
  g_autoptr (ShimStatement) statement = shim_db_prepare (
      self->db,
      body != NULL ? "SELECT c.pair, c.decision FROM pair AS p JOIN contradicted AS c ON c.pair = p.id WHERE p.body = ?1"
                   : "SELECT pair, decision FROM contradicted",
      error);
  ShimStep step;

  if (statement == NULL)
    return NULL;
  if (body != NULL)
    shim_statement_bind_text (statement, 1, body);
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    g_hash_table_insert (kept, shim_statement_dup_text (statement, 0), shim_statement_dup_text (statement, 1));
  return step == SHIM_STEP_DONE ? g_steal_pointer (&kept) : NULL;
}

static gboolean
write_one (ShimRegister *self, const char *pair, const char *decision, GError **error)
{
  g_autoptr (ShimStatement) statement
      = shim_db_prepare (self->db,
                         decision != NULL ? "INSERT OR REPLACE INTO contradicted (pair, decision) VALUES (?1, ?2)"
                                          : "DELETE FROM contradicted WHERE pair = ?1",
                         error);

  if (statement == NULL)
    return FALSE;
  shim_statement_bind_text (statement, 1, pair);
  if (decision != NULL)
    shim_statement_bind_text (statement, 2, decision);
  g_hash_table_add (self->dirty_pairs, g_strdup (pair));
  return shim_statement_run (statement, error);
}

/* Puts @found in the place of @kept, and forgets what of @kept is not found any more. */
static gboolean
write_found (ShimRegister *self, GPtrArray *found, const char *body, GHashTable *kept, GError **error)
{
  GHashTableIter iter;
  gpointer pair;

  for (guint i = 0; i < found->len; i++)
    {
      const ShimPairMeasurement *measured = found->pdata[i];
      const char *before = g_hash_table_lookup (kept, measured->pair);
      gboolean confirmed;

      /* Of the neighbours only a part of what speaks for and against them was looked at. */
      if (body != NULL && !g_str_equal (measured->body, body))
        continue;
      if (!is_confirmed (self, measured->decision, &confirmed, error))
        return FALSE;
      if (confirmed)
        continue;
      if (g_strcmp0 (before, measured->decision) != 0 && !write_one (self, measured->pair, measured->decision, error))
        return FALSE;
      g_hash_table_remove (kept, measured->pair);
    }
  g_hash_table_iter_init (&iter, kept);
  while (g_hash_table_iter_next (&iter, &pair, NULL))
    if (!write_one (self, pair, NULL, error))
      return FALSE;
  return TRUE;
}

/* The whole kit for %NULL. */
static gboolean
judge_body (ShimRegister *self, const char *body, gboolean *was_all, GError **error)
{
  g_autoptr (GPtrArray) measurements = NULL, found = NULL;
  g_autoptr (GHashTable) kept = NULL;

  *was_all = TRUE;
  measurements = body != NULL ? shim_register_measurements_around (self, body, NULL, was_all, error)
                              : shim_register_measurements (self, NULL, error);
  if (measurements == NULL || (found = find_contradicted (measurements, error)) == NULL
      || (kept = read_kept (self, *was_all ? NULL : body, error)) == NULL)
    return FALSE;
  return write_found (self, found, *was_all ? NULL : body, kept, error);
}

static gboolean
judge_bodies (ShimRegister *self, GHashTable *bodies, GError **error)
{
  GHashTableIter iter;
  gpointer body;
  gboolean was_all = FALSE;

  if (g_hash_table_size (bodies) > MANY_BODIES)
    return judge_body (self, NULL, &was_all, error);
  g_hash_table_iter_init (&iter, bodies);
  while (!was_all && g_hash_table_iter_next (&iter, &body, NULL))
    if (!judge_body (self, body, &was_all, error))
      return FALSE;
  return TRUE;
}

/**
 * shim_register_judge:
 * @self: a register in a change, flushed
 * @error: return location
 *
 * Brings the table contradicted up to date, once per change: the kit model is no small sum.
 */
gboolean
shim_register_judge (ShimRegister *self, GError **error)
{
  g_autoptr (GHashTable) bodies = g_steal_pointer (&self->bodies_to_judge);
  gboolean all = self->judge_all, was_all;

  self->bodies_to_judge = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  self->judge_all = FALSE;
  if (all)
    return judge_body (self, NULL, &was_all, error)
           && shim_db_exec (self->db, "DELETE FROM outstanding WHERE what = 'contradicted'", error);
  return judge_bodies (self, bodies, error);
}
