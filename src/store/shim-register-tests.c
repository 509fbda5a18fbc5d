/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "shim-register-private.h"
#include "shim-register-reads.h"
#include "shim-row.h"

/* A test with its rounds, frames, readings and verdicts. */

#define COUNTS(alias) " AND NOT EXISTS (SELECT 1 FROM retracted WHERE retracted.row = " alias ".id)"

static void
frame_free (gpointer data)
{
  ShimTestFrame *frame = data;

  g_clear_object (&frame->frame);
  g_clear_object (&frame->program);
  g_clear_object (&frame->eye);
  g_clear_object (&frame->verdict);
  g_free (frame);
}

static void
round_free (gpointer data)
{
  ShimTestRound *round = data;

  g_clear_object (&round->round);
  g_ptr_array_unref (round->frames);
  g_free (round);
}

void
shim_test_tree_free (ShimTestTree *self)
{
  if (self == NULL)
    return;
  g_clear_object (&self->test);
  g_ptr_array_unref (self->rounds);
  g_clear_pointer (&self->decisions, g_ptr_array_unref);
  g_free (self);
}

/* Records of one kind whose "from … where … order" part is given; ?1 is the test's id. */
static GPtrArray *
read_all (ShimRegister *self, GType type, const char *from, const char *test, GError **error)
{
  g_autofree char *columns = shim_row_columns (shim_kind_for_type (type), "x", FALSE);
  g_autofree char *sql = g_strdup_printf ("SELECT %s FROM %s", columns, from);
  g_autoptr (GPtrArray) list = g_ptr_array_new_with_free_func (g_object_unref);
  g_autoptr (ShimStatement) statement = shim_db_prepare (self->db, sql, error);
  ShimStep last;

  if (statement == NULL)
    return NULL;
  shim_statement_bind_text (statement, 1, test);
  shim_row_read_list (statement, type, list, &last, error);
  return last == SHIM_STEP_DONE ? g_steal_pointer (&list) : NULL;
}

static gboolean
add_rounds (ShimRegister *self, ShimTestTree *tree, GHashTable *rounds, GError **error)
{
  g_autoptr (GPtrArray) list = read_all (self, SHIM_TYPE_ROUND, "round AS x WHERE x.test = ?1" COUNTS ("x")
                                         " ORDER BY x.started_at, x.id", SHIM_RECORD (tree->test)->id, error);

  for (guint i = 0; list != NULL && i < list->len; i++)
    {
      ShimTestRound *round = g_new0 (ShimTestRound, 1);

      round->round = g_object_ref (list->pdata[i]);
      round->frames = g_ptr_array_new_with_free_func (frame_free);
      g_ptr_array_add (tree->rounds, round);
      g_hash_table_insert (rounds, SHIM_RECORD (round->round)->id, round);
    }
  return list != NULL;
}

static gboolean
add_frames (ShimRegister *self, ShimTestTree *tree, GHashTable *rounds, GHashTable *frames, GError **error)
{
  g_autoptr (GPtrArray) list = read_all (self, SHIM_TYPE_FRAME, "round AS r JOIN frame AS x ON x.round = r.id WHERE r.test = ?1"
                                         COUNTS ("x") " ORDER BY x.id", SHIM_RECORD (tree->test)->id, error);

  for (guint i = 0; list != NULL && i < list->len; i++)
    {
      ShimTestRound *round = g_hash_table_lookup (rounds, SHIM_FRAME (list->pdata[i])->round);
      ShimTestFrame *frame;

      if (round == NULL)
        continue;
      frame = g_new0 (ShimTestFrame, 1);
      frame->frame = g_object_ref (list->pdata[i]);
      g_ptr_array_add (round->frames, frame);
      g_hash_table_insert (frames, SHIM_RECORD (frame->frame)->id, frame);
    }
  return list != NULL;
}

#define OF_FRAMES "round AS r JOIN frame AS f ON f.round = r.id JOIN "

/* Oldest first, so that the newest one stays. */
static gboolean
add_readings (ShimRegister *self, ShimTestTree *tree, GHashTable *frames, GError **error)
{
  g_autoptr (GPtrArray) list = read_all (self, SHIM_TYPE_READING, OF_FRAMES "reading AS x ON x.frame = f.id WHERE r.test = ?1"
                                         COUNTS ("x") " ORDER BY x.read_at, x.id", SHIM_RECORD (tree->test)->id, error);

  for (guint i = 0; list != NULL && i < list->len; i++)
    {
      ShimReading *reading = list->pdata[i];
      ShimTestFrame *frame = g_hash_table_lookup (frames, reading->frame);

      if (frame != NULL)
        g_set_object (strcmp (reading->method, "eye") == 0 ? &frame->eye : &frame->program, reading);
    }
  return list != NULL;
}

static gboolean
add_verdicts (ShimRegister *self, ShimTestTree *tree, GHashTable *frames, GError **error)
{
  g_autoptr (GPtrArray) list = read_all (self, SHIM_TYPE_VERDICT, OF_FRAMES "verdict AS x ON x.frame = f.id WHERE r.test = ?1"
                                         COUNTS ("x") " ORDER BY x.decided_at, x.id", SHIM_RECORD (tree->test)->id, error);

  for (guint i = 0; list != NULL && i < list->len; i++)
    {
      ShimTestFrame *frame = g_hash_table_lookup (frames, SHIM_VERDICT (list->pdata[i])->frame);

      if (frame != NULL)
        g_set_object (&frame->verdict, list->pdata[i]);
    }
  return list != NULL;
}

ShimTestTree *
shim_register_test_tree (ShimRegister *self, const char *test, GError **error)
{
  g_autoptr (ShimTestTree) tree = NULL;
  g_autoptr (GHashTable) rounds = g_hash_table_new (g_str_hash, g_str_equal);
  g_autoptr (GHashTable) frames = g_hash_table_new (g_str_hash, g_str_equal);

  g_return_val_if_fail (self != NULL && test != NULL, NULL);

  tree = g_new0 (ShimTestTree, 1);
  tree->rounds = g_ptr_array_new_with_free_func (round_free);
  tree->test = (ShimTest *) shim_register_fetch (self, SHIM_TYPE_TEST, test, FALSE, error);
  if (tree->test == NULL || !add_rounds (self, tree, rounds, error) || !add_frames (self, tree, rounds, frames, error)
      || !add_readings (self, tree, frames, error) || !add_verdicts (self, tree, frames, error))
    return NULL;
  tree->decisions = read_all (self, SHIM_TYPE_DECISION, "decision AS x WHERE x.test = ?1" COUNTS ("x")
                              " ORDER BY x.decided_at DESC, x.id DESC", test, error);
  return tree->decisions != NULL ? g_steal_pointer (&tree) : NULL;
}

ShimRecord *
shim_register_find_frame (ShimRegister *self, const char *test, const char *sha256, GError **error)
{
  g_autofree char *columns = shim_row_columns (shim_kind_for_type (SHIM_TYPE_FRAME), "x", FALSE);
  g_autofree char *sql = NULL;
  g_autoptr (ShimStatement) statement = NULL;

  g_return_val_if_fail (self != NULL && test != NULL && sha256 != NULL, NULL);

  sql = g_strdup_printf ("SELECT %s FROM frame AS x JOIN round AS r ON r.id = x.round"
                         " WHERE x.sha256 = ?1 AND r.test = ?2" COUNTS ("x") COUNTS ("r"), columns);
  statement = shim_db_prepare (self->db, sql, error);
  if (statement == NULL)
    return NULL;
  shim_statement_bind_text (statement, 1, sha256);
  shim_statement_bind_text (statement, 2, test);
  return shim_statement_step (statement, error) == SHIM_STEP_ROW ? shim_row_read (statement, SHIM_TYPE_FRAME) : NULL;
}
