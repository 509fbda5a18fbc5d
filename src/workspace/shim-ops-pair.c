/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-lens-reach.h"
#include "shim-ops-pair.h"
#include "shim-optics.h"

/**
 * shim_pair_view_free:
 * @self: (transfer full) (nullable): a view of a pair
 */
void
shim_pair_view_free (ShimPairView *self)
{
  if (self == NULL)
    return;
  g_clear_object (&self->pair);
  g_clear_object (&self->body);
  g_clear_object (&self->lens);
  g_clear_object (&self->converter);
  g_clear_pointer (&self->now, shim_pair_now_free);
  g_clear_pointer (&self->prediction, shim_pair_prediction_free);
  g_clear_pointer (&self->newest, shim_test_summary_unref);
  g_clear_pointer (&self->tests, g_ptr_array_unref);
  g_clear_pointer (&self->decisions, g_ptr_array_unref);
  g_clear_pointer (&self->doubts, g_ptr_array_unref);
  g_free (self);
}

static gboolean
read_items (ShimRegister *reg, ShimPairView *view, GError **error)
{
  view->body = (ShimBody *) shim_register_get (reg, SHIM_TYPE_BODY, view->pair->body, error);
  if (view->body == NULL)
    return FALSE;
  view->lens = (ShimLens *) shim_register_get (reg, SHIM_TYPE_LENS, view->pair->lens, error);
  if (view->lens == NULL)
    return FALSE;
  if (view->pair->converter == NULL)
    return TRUE;
  view->converter = (ShimConverter *) shim_register_get (reg, SHIM_TYPE_CONVERTER, view->pair->converter, error);
  return view->converter != NULL;
}

static gboolean
has_a_frame (const ShimTestSummary *summary)
{
  for (guint i = 0; i < summary->rounds->len; i++)
    if (((const ShimRoundSummary *) g_ptr_array_index (summary->rounds, i))->frames->len > 0)
      return TRUE;
  return FALSE;
}

static gboolean
read_tests (ShimRegister *reg, ShimPairView *view, const char *pair, const ShimModel *model, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();

  shim_query_add_order (query, "id", TRUE);
  shim_query_add_filter (query, "pair", pair);
  view->tests = shim_register_list (reg, SHIM_TYPE_TEST, query, error);
  if (view->tests == NULL)
    return FALSE;
  for (guint i = 0; i < view->tests->len && view->newest == NULL; i++)
    {
      ShimRecord *test = g_ptr_array_index (view->tests, i);
      g_autoptr (ShimTestSummary) summary = shim_ops_test_summary (reg, model, shim_record_get_id (test), error);

      if (summary == NULL)
        return FALSE;
      if (has_a_frame (summary))
        view->newest = g_steal_pointer (&summary);
    }
  return TRUE;
}

static const ShimModelPair *
find_measured (const ShimModel *model, const char *pair)
{
  GPtrArray *pairs = shim_model_get_pairs (model);

  for (guint i = 0; i < pairs->len; i++)
    {
      const ShimModelPair *measured = g_ptr_array_index (pairs, i);

      if (g_strcmp0 (measured->pair, pair) == 0)
        return measured;
    }
  return NULL;
}

/* For the focal length and distance it was tested at; for a pair never tested, where a test would begin. */
static gboolean
predict (ShimRegister *reg, ShimPairView *view, const ShimModel *others, GError **error)
{
  g_autoptr (GError) problem = NULL;
  double focal_mm = shim_lens_middle_mm (view->lens);
  double distance_mm = shim_optics_test_distance_mm (focal_mm);

  if (view->newest != NULL)
    {
      focal_mm = view->newest->test->focal_mm;
      distance_mm = view->newest->test->distance_mm;
    }
  view->prediction = shim_ops_model_predict (reg, others, view->pair->body, view->pair->lens, view->pair->converter,
                                             focal_mm, distance_mm, &problem);
  if (problem == NULL)
    return TRUE;
  g_propagate_error (error, g_steal_pointer (&problem));
  return FALSE;
}

/* What a pair that was measured is compared with comes from the others alone. */
static gboolean
compare_with_others (ShimRegister *reg, ShimPairView *view, ShimModel *model, const char *pair, GError **error)
{
  const ShimModelPair *measured = find_measured (model, pair);
  g_autoptr (ShimModel) others =
      measured != NULL ? shim_model_without (model, pair, error) : shim_model_ref (model);

  if (others == NULL || !predict (reg, view, others, error))
    return FALSE;
  view->is_checked = measured != NULL && view->prediction != NULL && !isnan (measured->fit.studentized);
  view->contradicts = view->is_checked && measured->fit.contradicts;
  return TRUE;
}

/**
 * shim_ops_pair_view:
 * @reg: a register
 * @pair: id of a pair
 * @error: a #ShimStoreError
 *
 * Returns: (transfer full) (nullable): all that its page shows
 */
ShimPairView *
shim_ops_pair_view (ShimRegister *reg, const char *pair, GError **error)
{
  g_autoptr (ShimPairView) view = g_new0 (ShimPairView, 1);
  g_autoptr (ShimModel) model = NULL;

  g_return_val_if_fail (reg != NULL && pair != NULL, NULL);

  view->pair = (ShimPair *) shim_register_get (reg, SHIM_TYPE_PAIR, pair, error);
  if (view->pair == NULL || !read_items (reg, view, error))
    return NULL;
  model = shim_ops_model_around (reg, view->pair->body, view->pair->lens, NULL, error);
  if (model == NULL || (view->now = shim_register_pair_now (reg, pair, error)) == NULL ||
      (view->decisions = shim_register_decisions (reg, pair, error)) == NULL ||
      (view->doubts = shim_register_doubts (reg, pair, error)) == NULL)
    return NULL;
  if (!read_tests (reg, view, pair, model, error) || !compare_with_others (reg, view, model, pair, error))
    return NULL;
  return g_steal_pointer (&view);
}

/**
 * shim_ops_pair_view_func:
 * @reg: the register
 * @pair: id of a pair
 * @cancellable: (nullable): not used
 * @error: a #ShimStoreError
 *
 * shim_ops_pair_view() for shim_workspace_call_async().
 *
 * Returns: (transfer full) (nullable): #ShimPairView
 */
gpointer
shim_ops_pair_view_func (ShimRegister *reg, gpointer pair, GCancellable *cancellable, GError **error)
{
  return shim_ops_pair_view (reg, pair, error);
}
