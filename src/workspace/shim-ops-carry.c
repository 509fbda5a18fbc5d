/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-ops-frames-private.h"

/* Marks that were set or corrected on one frame, for the other frames of its test. */

typedef struct
{
  ShimOnRegister run;
  gpointer run_data;
  const char *marked;
  GPtrArray *frames;           /* (element-type ShimFrame): those that follow */
  ShimLookPlan plan;
  guint index;
  const ShimLook *look;
  GPtrArray *readings;
  GError *error;
} Carry;

static gpointer
plan_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  Carry *carry = data;
  g_autoptr (ShimFrame) marked = (ShimFrame *) shim_register_get (reg, SHIM_TYPE_FRAME, carry->marked, error);
  g_autoptr (ShimRound) round = NULL;
  g_autoptr (ShimTestTree) tree = NULL;

  if (marked == NULL)
    return NULL;
  round = (ShimRound *) shim_register_get (reg, SHIM_TYPE_ROUND, marked->round, error);
  tree = round != NULL ? shim_register_test_tree (reg, round->test, error) : NULL;
  if (tree == NULL)
    return NULL;
  carry->frames = _shim_ops_find_followers (tree, carry->marked);
  if (carry->frames->len == 0)
    return GINT_TO_POINTER (TRUE);
  /* The marks of the same frame go for all of them. */
  return GINT_TO_POINTER (_shim_ops_make_plan (
    reg, round->test, shim_record_get_id (g_ptr_array_index (carry->frames, 0)), NULL, &carry->plan, error));
}

static gpointer
store_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  Carry *carry = data;
  const char *frame = shim_record_get_id (g_ptr_array_index (carry->frames, carry->index));
  g_autoptr (ShimReading) reading = _shim_ops_new_reading (reg, frame, "program", carry->look->measurement);

  if (!shim_register_begin (reg, _("Carry marks over to a frame"), error))
    return NULL;
  if (shim_register_insert (reg, SHIM_RECORD (reading), error))
    return shim_register_commit (reg, error) ? g_steal_pointer (&reading) : NULL;
  shim_register_rollback (reg);
  return NULL;
}

/* A photograph that is gone or is another one now keeps its reading. */
static void
looked (guint index, ShimLook *look, const GError *error, gpointer user_data)
{
  Carry *carry = user_data;
  const ShimFrame *frame = g_ptr_array_index (carry->frames, index);
  ShimReading *reading;

  if (carry->error != NULL || look == NULL || g_strcmp0 (look->sha256, frame->sha256) != 0)
    return;
  carry->index = index;
  carry->look = look;
  reading = carry->run (store_func, carry, NULL, &carry->error, carry->run_data);
  if (reading != NULL)
    g_ptr_array_add (carry->readings, reading);
}

GPtrArray *
_shim_ops_frames_carry (ShimOnRegister run, gpointer run_data, const char *frame, GCancellable *cancellable,
                        GError **error)
{
  Carry carry = { .run = run, .run_data = run_data, .marked = frame };
  const gboolean planned = run (plan_func, &carry, cancellable, &carry.error, run_data) != NULL;

  carry.readings = g_ptr_array_new_with_free_func (g_object_unref);
  if (planned && carry.plan.marks != NULL)
    {
      g_autofree const char **paths = g_new0 (const char *, carry.frames->len + 1);

      for (guint i = 0; i < carry.frames->len; i++)
        paths[i] = ((const ShimFrame *) g_ptr_array_index (carry.frames, i))->path;
      shim_look_take_many (paths, &carry.plan, looked, &carry, cancellable);
    }
  shim_look_plan_clear (&carry.plan);
  g_clear_pointer (&carry.frames, g_ptr_array_unref);
  if (carry.error != NULL)
    {
      g_propagate_error (error, carry.error);
      g_clear_pointer (&carry.readings, g_ptr_array_unref);
    }
  return carry.readings;
}

/**
 * shim_ops_frames_carry:
 * @reg: a register
 * @frame: id of a frame that was just marked
 * @cancellable: (nullable): ends it early; what is stored stays stored
 * @error: a #ShimStoreError
 *
 * Measures those other frames of its test again that have no marks of their own and for which the marks of @frame go: the
 * frames after it up to the next marked one, and those before it when none before it is marked.
 *
 * Returns: (transfer full) (element-type ShimReading) (nullable): the new readings; older ones stay
 */
GPtrArray *
shim_ops_frames_carry (ShimRegister *reg, const char *frame, GCancellable *cancellable, GError **error)
{
  g_return_val_if_fail (reg != NULL && frame != NULL, NULL);

  return _shim_ops_frames_carry (_shim_ops_run_here, reg, frame, cancellable, error);
}
