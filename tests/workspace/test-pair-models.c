/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <stdio.h>

#include "shim-ops.h"
#include "shim-pair-grid.h"
#include "shim-pair-list.h"
#include "shim-workspace-ops.h"
#include "workspace-fixture.h"

/* 70 lenses and 40 bodies, every third lens with another mount; a value for lens i on body k where 7 divides i + k
 * and it fits. */
#define N_LENSES 70
#define N_BODIES 40

static gboolean
is_valued (guint lens, guint body)
{
  return (lens + body) % 7 == 0 && lens % 3 != 0;
}

static gint64
value_of (guint lens, guint body)
{
  return (gint64) ((lens + 3 * body) % 41) - 20;
}

static gboolean
add_pair (ShimRegister *reg, const char *body, const char *lens, gint64 value, GError **error)
{
  g_autoptr (ShimPair) pair = shim_ops_test_find_pair (reg, body, lens, NULL, TRUE, error);
  g_autoptr (ShimDecision) decision = NULL;
  ShimAccept accept;

  if (pair == NULL)
    return FALSE;
  shim_accept_init (&accept);
  accept.pair = shim_record_get_id (SHIM_RECORD (pair));
  accept.value = value;
  accept.origin = "copied";
  accept.slot = SHIM_SLOT_NONE;
  decision = shim_ops_accept (reg, &accept, NULL, error);
  return decision != NULL;
}

static gboolean
add_kit (ShimRegister *reg, GPtrArray *bodies, GPtrArray *lenses)
{
  for (guint k = 0; k < N_BODIES; k++)
    {
      g_autofree char *label = g_strdup_printf ("Body %02u", k);
      g_autoptr (ShimBody) body = test_body_new (label, NULL);

      g_ptr_array_add (bodies, test_add (reg, body));
    }
  for (guint i = 0; i < N_LENSES; i++)
    {
      g_autofree char *label = g_strdup_printf ("Lens %02u", i);
      g_autoptr (ShimLens) lens = test_lens_new (label, NULL);

      g_object_set (lens, "mount", i % 3 == 0 ? "K" : "F", NULL);
      g_ptr_array_add (lenses, test_add (reg, lens));
    }
  return TRUE;
}

static gpointer
fill_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  g_autoptr (GPtrArray) bodies = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GPtrArray) lenses = g_ptr_array_new_with_free_func (g_free);

  if (!shim_register_begin (reg, "Fill", error) || !add_kit (reg, bodies, lenses))
    return NULL;
  for (guint i = 0; i < N_LENSES; i++)
    for (guint k = 0; k < N_BODIES; k++)
      if (is_valued (i, k)
          && !add_pair (reg, g_ptr_array_index (bodies, k), g_ptr_array_index (lenses, i), value_of (i, k), error))
        return NULL;
  return GINT_TO_POINTER (shim_register_commit (reg, error));
}

static void
set_up (WorkspaceFixture *self, gconstpointer data)
{
  WorkspaceWait wait = { NULL };
  g_autoptr (GError) error = NULL;

  workspace_fixture_set_up (self, data);
  shim_workspace_call_async (self->workspace, fill_func, NULL, NULL, NULL, NULL, workspace_wait_cb, &wait);
  workspace_finish (self->workspace, &wait, &error);
  g_assert_no_error (error);
}

static gboolean
is_loaded (gpointer grid)
{
  return !shim_record_list_is_loading (shim_pair_grid_get_lenses (grid))
         && !shim_record_list_is_loading (shim_pair_grid_get_bodies (grid));
}

static void
test_grid (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimPairGrid) grid = shim_pair_grid_new (fixture->workspace);

  workspace_run_until (is_loaded, grid);
  for (guint i = 0; i < N_LENSES; i++)
    for (guint k = 0; k < N_BODIES; k++)
      {
        const ShimPairNow *cell = shim_pair_grid_get_cell (grid, i, k);

        g_assert_cmpstr (cell->lens, ==, shim_record_list_get_id (shim_pair_grid_get_lenses (grid), i));
        g_assert_cmpstr (cell->body, ==, shim_record_list_get_id (shim_pair_grid_get_bodies (grid), k));
        g_assert_cmpint (shim_pair_grid_get_fit (grid, i, k), ==, i % 3 == 0 ? SHIM_FIT_NO : SHIM_FIT_DIRECT);
        if (is_valued (i, k))
          g_assert_cmpint (cell->value, ==, value_of (i, k));
        else
          g_assert_cmpint (cell->state, ==, SHIM_PAIR_UNTESTED);
        g_assert_true ((cell->pair != NULL) == is_valued (i, k));
      }
  g_assert_null (shim_pair_grid_get_cell (grid, N_LENSES, 0));
  g_assert_null (shim_pair_grid_get_cell (grid, 0, N_BODIES));
}

static void
count_cb (guint *counter)
{
  ++*counter;
}

static gboolean
is_filtered (gpointer grid)
{
  return is_loaded (grid)
         && g_list_model_get_n_items (G_LIST_MODEL (shim_pair_grid_get_lenses (grid))) < N_LENSES;
}

static void
test_grid_follows (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimPairGrid) grid = shim_pair_grid_new (fixture->workspace);
  g_autoptr (GError) error = NULL;
  WorkspaceWait wait = { NULL };
  ShimAccept accept;
  guint n_changed = 0;

  workspace_run_until (is_loaded, grid);
  while (g_main_context_iteration (NULL, FALSE))
    ;
  g_signal_connect_swapped (grid, "cells-changed", G_CALLBACK (count_cb), &n_changed);
  shim_accept_init (&accept);
  accept.pair = shim_pair_grid_get_cell (grid, 7, 0)->pair;
  accept.value = 11;
  accept.origin = "copied";
  accept.slot = SHIM_SLOT_NONE;
  g_assert_nonnull (accept.pair);
  shim_workspace_accept_async (fixture->workspace, &accept, NULL, workspace_wait_cb, &wait);
  g_object_unref (workspace_finish (fixture->workspace, &wait, &error));
  g_assert_no_error (error);
  while (n_changed == 0)
    g_main_context_iteration (NULL, TRUE);
  g_assert_cmpint (shim_pair_grid_get_cell (grid, 7, 0)->value, ==, 11);

  shim_pair_grid_set_filter (grid, &(ShimPairFilter) { .lens_mount = "K" });
  workspace_run_until (is_filtered, grid);
  g_assert_cmpuint (g_list_model_get_n_items (G_LIST_MODEL (shim_pair_grid_get_lenses (grid))), ==,
                    (N_LENSES + 2) / 3);
  g_assert_cmpint (shim_pair_grid_get_fit (grid, 1, 0), ==, SHIM_FIT_NO);
}

/* Rows and columns without a pair in the state go, other pairs in those that stay step back. */
static void
test_grid_states (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimPairGrid) grid = shim_pair_grid_new (fixture->workspace);
  guint n_wanted = 0, n_tuned = 0;

  workspace_run_until (is_loaded, grid);
  shim_pair_grid_set_filter (grid, &(ShimPairFilter) { .states = 1u << SHIM_PAIR_DUE | 1u << SHIM_PAIR_TUNED });
  workspace_run_until (is_filtered, grid);
  for (guint i = 0; i < g_list_model_get_n_items (G_LIST_MODEL (shim_pair_grid_get_lenses (grid))); i++)
    for (guint k = 0; k < g_list_model_get_n_items (G_LIST_MODEL (shim_pair_grid_get_bodies (grid))); k++)
      {
        n_wanted += shim_pair_grid_is_wanted (grid, i, k);
        n_tuned += shim_pair_grid_get_cell (grid, i, k)->value != SHIM_NO_INT;
      }
  g_assert_cmpuint (n_wanted, >, 0);
  g_assert_cmpuint (n_wanted, ==, n_tuned);
  /* Untested are also those that nobody touched: nothing goes. */
  shim_pair_grid_set_filter (grid, &(ShimPairFilter) { .states = 1u << SHIM_PAIR_UNTESTED });
  workspace_run_until (is_loaded, grid);
  while (g_list_model_get_n_items (G_LIST_MODEL (shim_pair_grid_get_lenses (grid))) < N_LENSES)
    g_main_context_iteration (NULL, TRUE);
}

static gboolean
is_counted (gpointer list)
{
  return !shim_pair_list_is_loading (list);
}

static void
test_list (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimPairList) list = shim_pair_list_new (fixture->workspace, NULL);
  g_autoptr (ShimPairItem) first = NULL;
  ShimPairFilter filter = { NULL };
  guint n = 0, n_of_body = 0, body_index = 0, seen = 0;

  for (guint i = 0; i < N_LENSES; i++)
    for (guint k = 0; k < N_BODIES; k++)
      n += is_valued (i, k) ? 1 : 0;
  workspace_run_until (is_counted, list);
  g_assert_cmpuint (g_list_model_get_n_items (G_LIST_MODEL (list)), ==, n);
  for (guint i = 0; i < n; i++)
    {
      g_autoptr (ShimPairItem) item = g_list_model_get_item (G_LIST_MODEL (list), i);
      const ShimPairNow *now = shim_pair_item_get_now (item);
      guint lens = 0, body = 0;

      g_assert_cmpint (sscanf (shim_pair_item_get_lens (item)->label, "Lens %u", &lens), ==, 1);
      g_assert_cmpint (sscanf (shim_pair_item_get_body (item)->label, "Body %u", &body), ==, 1);
      g_assert_true (is_valued (lens, body));
      g_assert_cmpint (now->value, ==, value_of (lens, body));
      seen += 1 + lens * N_BODIES + body;
    }
  /* All different: the sum over all pairs. */
  for (guint i = 0; i < N_LENSES; i++)
    for (guint k = 0; k < N_BODIES; k++)
      seen -= is_valued (i, k) ? 1 + i * N_BODIES + k : 0;
  g_assert_cmpuint (seen, ==, 0);

  first = g_list_model_get_item (G_LIST_MODEL (list), 0);
  filter.body = shim_pair_item_get_now (first)->body;
  g_assert_null (shim_pair_item_get_converter (first));
  shim_pair_list_set_filter (list, &filter);
  workspace_run_until (is_counted, list);
  g_assert_cmpint (sscanf (shim_pair_item_get_body (first)->label, "Body %u", &body_index), ==, 1);
  for (guint i = 0; i < N_LENSES; i++)
    n_of_body += is_valued (i, body_index) ? 1 : 0;
  g_assert_cmpuint (g_list_model_get_n_items (G_LIST_MODEL (list)), ==, n_of_body);
}

typedef struct
{
  guint n_signals;
  guint position;
  guint removed;
  guint added;
} Told;

static void
items_changed_cb (GListModel *list, guint position, guint removed, guint added, Told *told)
{
  *told = (Told){ told->n_signals + 1, position, removed, added };
}

static gboolean
is_told (gpointer told)
{
  return ((Told *) told)->n_signals > 0;
}

static gpointer
not_needed_func (ShimRegister *reg, gpointer id, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimRecord) pair = shim_register_get (reg, SHIM_TYPE_PAIR, id, error);

  g_object_set (pair, "not-needed", TRUE, NULL);
  return GINT_TO_POINTER (shim_register_update (reg, pair, error));
}

/* A change of one pair is told as a change of one row, and the other rows keep their objects. */
static void
test_list_follows (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimPairList) list = shim_pair_list_new (fixture->workspace, NULL);
  g_autoptr (ShimPairItem) first = NULL, second = NULL, first_now = NULL, second_now = NULL;
  WorkspaceWait wait = { NULL };
  Told told = { 0 };

  workspace_run_until (is_counted, list);
  first = g_list_model_get_item (G_LIST_MODEL (list), 0);
  second = g_list_model_get_item (G_LIST_MODEL (list), 1);
  g_signal_connect (list, "items-changed", G_CALLBACK (items_changed_cb), &told);
  shim_workspace_call_async (fixture->workspace, not_needed_func, shim_pair_item_get_now (second)->pair, NULL, NULL, NULL,
                             workspace_wait_cb, &wait);
  workspace_finish (fixture->workspace, &wait, NULL);
  workspace_run_until (is_told, &told);
  g_assert_cmpuint (told.n_signals, ==, 1);
  g_assert_cmpuint (told.position, ==, 1);
  g_assert_cmpuint (told.removed, ==, 1);
  g_assert_cmpuint (told.added, ==, 1);
  first_now = g_list_model_get_item (G_LIST_MODEL (list), 0);
  second_now = g_list_model_get_item (G_LIST_MODEL (list), 1);
  g_assert_true (first_now == first);
  g_assert_true (second_now != second);
  g_assert_cmpint (shim_pair_item_get_now (second_now)->state, ==, SHIM_PAIR_NOT_NEEDED);
}

static void
problem_cb (ShimWorkspace *workspace, const GError *error, gpointer n_problems)
{
  ++*(guint *) n_problems;
}

static gboolean
is_counted_up (gpointer n_problems)
{
  return *(guint *) n_problems > 0;
}

/* Rows that are scrolled to when they cannot be read any more are rows of nothing, and it is said. */
static void
test_list_unreadable (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimPairList) list = shim_pair_list_new (fixture->workspace, NULL);
  g_autoptr (ShimPairItem) last = NULL;
  guint n_problems = 0;

  workspace_run_until (is_counted, list);
  g_signal_connect (fixture->workspace, "problem", G_CALLBACK (problem_cb), &n_problems);
  workspace_fixture_spoil (fixture);
  last = g_list_model_get_item (G_LIST_MODEL (list), g_list_model_get_n_items (G_LIST_MODEL (list)) - 1);
  g_assert_cmpstr (shim_pair_item_get_now (last)->pair, ==, NULL);
  workspace_run_until (is_counted_up, &n_problems);
  g_assert_cmpuint (n_problems, ==, 1);
}

#define ADD(name, func)                                                                                              \
  g_test_add ("/workspace/pairs/" name, WorkspaceFixture, NULL, set_up, func, workspace_fixture_tear_down)

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  ADD ("grid", test_grid);
  ADD ("grid-follows", test_grid_follows);
  ADD ("grid-states", test_grid_states);
  ADD ("list", test_list);
  ADD ("list-follows", test_list_follows);
  ADD ("list-unreadable", test_list_unreadable);
  return g_test_run ();
}
