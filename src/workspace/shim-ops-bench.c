/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-ops-bench.h"

/* What fits on a list to go on with; everything else is found through its pair. */
#define N_TESTS 12

/**
 * shim_test_items_free:
 * @self: (transfer full) (nullable): a test with what was tested
 */
void
shim_test_items_free (ShimTestItems *self)
{
  if (self == NULL)
    return;
  g_clear_object (&self->test);
  g_clear_object (&self->pair);
  g_clear_object (&self->body);
  g_clear_object (&self->lens);
  g_clear_object (&self->converter);
  g_free (self);
}

/**
 * shim_bench_choices_free:
 * @self: (transfer full) (nullable): choices
 */
void
shim_bench_choices_free (ShimBenchChoices *self)
{
  if (self == NULL)
    return;
  g_clear_pointer (&self->bodies, g_ptr_array_unref);
  g_clear_pointer (&self->lenses, g_ptr_array_unref);
  g_clear_pointer (&self->converters, g_ptr_array_unref);
  g_clear_pointer (&self->adapters, g_ptr_array_unref);
  g_clear_pointer (&self->tests, g_ptr_array_unref);
  g_free (self);
}

static GPtrArray *
by_label (ShimRegister *reg, GType type, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();

  shim_query_add_order (query, "label", FALSE);
  return shim_register_list (reg, type, query, error);
}

static ShimTestItems *
items_of_test (ShimRegister *reg, ShimTest *test, GError **error)
{
  g_autoptr (ShimTestItems) items = g_new0 (ShimTestItems, 1);

  items->test = g_object_ref (test);
  items->pair = (ShimPair *) shim_register_get (reg, SHIM_TYPE_PAIR, test->pair, error);
  if (items->pair == NULL)
    return NULL;
  items->body = (ShimBody *) shim_register_get (reg, SHIM_TYPE_BODY, items->pair->body, error);
  if (items->body == NULL)
    return NULL;
  items->lens = (ShimLens *) shim_register_get (reg, SHIM_TYPE_LENS, items->pair->lens, error);
  if (items->lens == NULL)
    return NULL;
  if (items->pair->converter != NULL)
    {
      items->converter =
          (ShimConverter *) shim_register_get (reg, SHIM_TYPE_CONVERTER, items->pair->converter, error);
      if (items->converter == NULL)
        return NULL;
    }
  return g_steal_pointer (&items);
}

static GPtrArray *
newest_tests (ShimRegister *reg, const char *pair, guint n_tests, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GPtrArray) tests = NULL;
  g_autoptr (GPtrArray) result = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_test_items_free);

  shim_query_add_order (query, "id", TRUE);
  shim_query_set_window (query, 0, n_tests);
  if (pair != NULL)
    shim_query_add_filter (query, "pair", pair);
  tests = shim_register_list (reg, SHIM_TYPE_TEST, query, error);
  if (tests == NULL)
    return NULL;
  for (guint i = 0; i < tests->len; i++)
    {
      ShimTestItems *items = items_of_test (reg, g_ptr_array_index (tests, i), error);

      if (items == NULL)
        return NULL;
      g_ptr_array_add (result, items);
    }
  return g_steal_pointer (&result);
}

/**
 * shim_ops_bench_choices:
 * @reg: a register
 * @pair: (nullable): id of a pair: only its tests
 * @n_tests: how many tests at most; 0 = all
 * @error: a #ShimStoreError
 *
 * Returns: (transfer full) (nullable): what a test can be begun or gone on with
 */
ShimBenchChoices *
shim_ops_bench_choices (ShimRegister *reg, const char *pair, guint n_tests, GError **error)
{
  g_autoptr (ShimBenchChoices) choices = g_new0 (ShimBenchChoices, 1);

  g_return_val_if_fail (reg != NULL, NULL);

  if ((choices->bodies = by_label (reg, SHIM_TYPE_BODY, error)) == NULL ||
      (choices->lenses = by_label (reg, SHIM_TYPE_LENS, error)) == NULL ||
      (choices->converters = by_label (reg, SHIM_TYPE_CONVERTER, error)) == NULL ||
      (choices->adapters = shim_register_list (reg, SHIM_TYPE_ADAPTER, NULL, error)) == NULL ||
      (choices->tests = newest_tests (reg, pair, n_tests, error)) == NULL)
    return NULL;
  return g_steal_pointer (&choices);
}

/**
 * shim_ops_bench_choices_func:
 * @reg: the register
 * @pair: (nullable): id of a pair: all its tests, and no others
 * @cancellable: (nullable): not used, this is quick
 * @error: a #ShimStoreError
 *
 * shim_ops_bench_choices() for shim_workspace_call_async().
 *
 * Returns: (transfer full) (nullable): #ShimBenchChoices
 */
gpointer
shim_ops_bench_choices_func (ShimRegister *reg, gpointer pair, GCancellable *cancellable, GError **error)
{
  return shim_ops_bench_choices (reg, pair, pair != NULL ? 0 : N_TESTS, error);
}
