/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-register-pairs.h"
#include "shim-register-private.h"
#include "shim-row.h"

/* What belongs to one pair or item, and what the kit model wants of all. */

#define COUNTS(alias) " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = " alias ".id)"

/* Records of one kind; ?1 is @key. */
static GPtrArray *
read_where (ShimRegister *self, GType type, const char *where, const char *key, GError **error)
{
  const ShimKind *kind = shim_kind_for_type (type);
  g_autofree char *columns = shim_row_columns (kind, "x", FALSE);
  g_autofree char *sql = g_strdup_printf ("SELECT %s FROM \"%s\" AS x WHERE %s", columns, kind->name, where);
  g_autoptr (GPtrArray) list = g_ptr_array_new_with_free_func (g_object_unref);
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, sql, error);
  ShimStep last;

  if (statement == NULL)
    return NULL;
  shim_statement_bind_text (statement, 1, key);
  shim_row_read_list (statement, type, list, &last, error);
  return last == SHIM_STEP_DONE ? g_steal_pointer (&list) : NULL;
}

GPtrArray *
shim_register_decisions (ShimRegister *self, const char *pair, GError **error)
{
  g_return_val_if_fail (self != NULL && pair != NULL, NULL);

  return read_where (self, SHIM_TYPE_DECISION, "x.pair = ?1" COUNTS ("x") " ORDER BY x.decided_at DESC, x.id DESC", pair, error);
}

GPtrArray *
shim_register_events (ShimRegister *self, const char *item, GError **error)
{
  g_return_val_if_fail (self != NULL && item != NULL, NULL);

  return read_where (self, SHIM_TYPE_EVENT, "x.item = ?1" COUNTS ("x") " ORDER BY x.happened_on DESC, x.noted_at DESC, x.id DESC",
                     item, error);
}

GPtrArray *
shim_register_doubts (ShimRegister *self, const char *pair, GError **error)
{
  g_return_val_if_fail (self != NULL && pair != NULL, NULL);

  if (!shim_register_flush (self, error))
    return NULL;
  return read_where (self, SHIM_TYPE_EVENT,
                     "x.id IN (SELECT e.id FROM pair_now AS n JOIN event AS e ON e.item IN (n.body, n.lens, n.converter)"
                     " WHERE n.pair = ?1 AND e.casts_doubt = 1 AND e.taken_back = 0"
                     " AND (e.happened_on > date (ifnull (n.tested_at, n.decided_at), 'localtime')"
                     "      OR (e.happened_on = date (ifnull (n.tested_at, n.decided_at), 'localtime')"
                     "          AND e.noted_at >= ifnull (n.tested_at, n.decided_at))))" COUNTS ("x")
                     " ORDER BY x.happened_on DESC, x.noted_at DESC, x.id DESC",
                     pair, error);
}

ShimRecord *
shim_register_find_pair (ShimRegister *self, const char *body, const char *lens, const char *converter, GError **error)
{
  g_autofree char *columns = shim_row_columns (shim_kind_for_type (SHIM_TYPE_PAIR), "x", FALSE);
  g_autofree char *sql = NULL;
  g_autoptr (ShimStatement) statement = NULL;

  g_return_val_if_fail (self != NULL && body != NULL && lens != NULL, NULL);

  sql = g_strdup_printf ("SELECT %s FROM pair AS x WHERE x.body = ?1 AND x.lens = ?2 AND ifnull (x.converter, '') = ifnull (?3, '')"
                         COUNTS ("x"), columns);
  statement = shim_db_prepare (self->db, sql, error);
  if (statement == NULL)
    return NULL;
  shim_statement_bind_text (statement, 1, body);
  shim_statement_bind_text (statement, 2, lens);
  shim_statement_bind_text (statement, 3, converter);
  return shim_statement_step (statement, error) == SHIM_STEP_ROW ? shim_row_read (statement, SHIM_TYPE_PAIR) : NULL;
}

void
shim_pair_measurement_free (ShimPairMeasurement *self)
{
  if (self == NULL)
    return;
  g_free (self->pair);
  g_free (self->body);
  g_free (self->lens);
  g_free (self->converter);
  g_free (self->decision);
  g_free (self);
}

/* The newest measured decision of a pair, which as a rule is the one that pair_now names; CROSS JOIN keeps SQLite from starting at the
 * far larger table of decisions. Found by its id once, it is read by its row number, which costs far less than finding it again. */
#define IS_MEASURED                                                                                                    \
  " m.origin = 'measured' AND m.end <> 'table' AND m.residual_mm IS NOT NULL AND m.value IS NOT NULL"
#define MEASUREMENTS_SQL                                                                                               \
  "SELECT n.pair, n.body, n.lens, n.converter, d.id, d.value, d.residual_mm, d.residual_se_mm, d.focal_mm,"            \
  " d.distance_mm, d.slope_mm_per_step"                                                                                \
  " FROM pair_now AS n CROSS JOIN decision AS d ON d.rowid = ifnull ("                                                 \
  "  (SELECT m.rowid FROM decision AS m WHERE m.id = n.decision AND" IS_MEASURED "),"                                  \
  "  (SELECT m.rowid FROM decision AS m WHERE m.pair = n.pair AND" IS_MEASURED COUNTS ("m")                            \
  "   ORDER BY m.decided_at DESC, m.id DESC LIMIT 1))"                                                                 \
  " WHERE n.decision IS NOT NULL"

/* Readings further away than one body and one lens say little about this body; leaving them out keeps the model small. */
#define NEAR_BODY " AND n.lens IN (SELECT k.lens FROM pair_now AS k WHERE k.body = ?1"
#define NEAR_BODY_AND_LENS NEAR_BODY " UNION ALL SELECT ?2"

/* So many are explained together in a moment. */
#define MANY 2000
#define IS_MANY_SQL                                                                                                    \
  "SELECT count(*) > " G_STRINGIFY (MANY) " FROM (SELECT 1 FROM pair_now WHERE decision IS NOT NULL LIMIT " G_STRINGIFY (MANY) " + 1)"

static ShimPairMeasurement *
read_measurement (ShimStatement *row)
{
  ShimPairMeasurement *measurement = g_new0 (ShimPairMeasurement, 1);

  measurement->pair = shim_statement_dup_text (row, 0);
  measurement->body = shim_statement_dup_text (row, 1);
  measurement->lens = shim_statement_dup_text (row, 2);
  measurement->converter = shim_statement_dup_text (row, 3);
  measurement->decision = shim_statement_dup_text (row, 4);
  measurement->value = shim_statement_get_int (row, 5);
  measurement->residual_mm = shim_statement_get_real (row, 6);
  measurement->residual_se_mm = shim_statement_get_real (row, 7);
  measurement->focal_mm = shim_statement_get_real (row, 8);
  measurement->distance_mm = shim_statement_get_real (row, 9);
  measurement->slope_mm_per_step = shim_statement_get_real (row, 10);
  return measurement;
}

static GPtrArray *
read_measurements (ShimRegister *self, const char *sql, const char *body, const char *lens, GError **error)
{
  g_autoptr (GPtrArray) list = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_pair_measurement_free);
  g_autoptr (ShimStatement) statement = NULL;
  ShimStep step;

  if (!shim_register_flush (self, error))
    return NULL;
  statement = shim_db_prepare (self->db, sql, error);
  if (statement == NULL)
    return NULL;
  if (body != NULL)
    shim_statement_bind_text (statement, 1, body);
  if (lens != NULL)
    shim_statement_bind_text (statement, 2, lens);
  while ((step = shim_statement_step (statement, error)) == SHIM_STEP_ROW)
    g_ptr_array_add (list, read_measurement (statement));
  return step == SHIM_STEP_DONE ? g_steal_pointer (&list) : NULL;
}

GPtrArray *
shim_register_measurements (ShimRegister *self, const char *body, GError **error)
{
  g_return_val_if_fail (self != NULL, NULL);

  return read_measurements (self, body != NULL ? MEASUREMENTS_SQL NEAR_BODY ")" : MEASUREMENTS_SQL, body, NULL, error);
}

GPtrArray *
shim_register_measurements_of (ShimRegister *self, const char *body, GError **error)
{
  g_return_val_if_fail (self != NULL && body != NULL, NULL);

  return read_measurements (self, MEASUREMENTS_SQL " AND n.body = ?1", body, NULL, error);
}

GPtrArray *
shim_register_measurements_around (ShimRegister *self, const char *body, const char *lens, gboolean *is_all, GError **error)
{
  gint64 is_many;

  g_return_val_if_fail (self != NULL && body != NULL && is_all != NULL, NULL);

  if (!shim_register_flush (self, error) || !shim_db_get_int (self->db, IS_MANY_SQL, &is_many, error))
    return NULL;
  *is_all = !is_many;
  if (*is_all)
    return shim_register_measurements (self, NULL, error);
  if (lens == NULL)
    return shim_register_measurements (self, body, error);
  return read_measurements (self, MEASUREMENTS_SQL NEAR_BODY_AND_LENS ")", body, lens, error);
}
