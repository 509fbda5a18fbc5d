/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-pair-grid.h"
#include "workspace-fixture.h"

/* What a person waits for in Kit and Pairs, with a demo's kit and with a store-room's. Prints each in milliseconds and as a ratio; fails on
 * nothing, since machines differ. */

typedef struct
{
  const char *name;
  guint n_bodies;
  guint n_lenses;
} Size;

static gpointer
fill_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  const Size *size = data;

  if (!shim_register_begin (reg, "Fill", error))
    return NULL;
  for (guint i = 0; i < size->n_bodies; i++)
    {
      g_autofree char *label = g_strdup_printf ("Orrin %05u", i);
      g_autofree char *serial = g_strdup_printf ("%07u", i);
      g_autoptr (ShimBody) body = test_body_new (label, serial);

      if (!shim_register_insert (reg, SHIM_RECORD (body), error))
        return NULL;
    }
  for (guint i = 0; i < size->n_lenses; i++)
    {
      g_autofree char *label = g_strdup_printf ("Velle %05u", i);
      g_autofree char *serial = g_strdup_printf ("%07u", 3 * i);
      g_autoptr (ShimLens) lens = test_lens_new (label, serial);

      if (!shim_register_insert (reg, SHIM_RECORD (lens), error))
        return NULL;
    }
  return GINT_TO_POINTER (shim_register_commit (reg, error));
}

static gboolean
list_is_loaded (gpointer list)
{
  return !shim_record_list_is_loading (list);
}

static gboolean
grid_is_loaded (gpointer grid)
{
  return list_is_loaded (shim_pair_grid_get_lenses (grid)) && list_is_loaded (shim_pair_grid_get_bodies (grid));
}

static void
look_at_screen (GListModel *list)
{
  for (guint i = 0; i < MIN (30, g_list_model_get_n_items (list)); i++)
    g_object_unref (g_list_model_get_item (list, i));
}

enum
{
  OPEN,
  LIST,
  SEARCH,
  GRID,
  N_TIMES,
};

static const char *const names[] = { "open the register", "list and first screen of lenses", "search as typed", "first screen of pairs" };

static void
measure (WorkspaceFixture *fixture, double times_ms[N_TIMES])
{
  gint64 marks[N_TIMES + 1];
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecordList) list = NULL;
  g_autoptr (ShimPairGrid) grid = NULL;
  g_autoptr (ShimQuery) query = shim_query_new ();

  g_clear_object (&fixture->workspace);
  marks[OPEN] = g_get_monotonic_time ();
  fixture->workspace = shim_workspace_open (fixture->path, &error);
  g_assert_no_error (error);
  marks[LIST] = g_get_monotonic_time ();
  shim_query_add_order (query, "label", FALSE);
  list = shim_record_list_new (fixture->workspace, SHIM_TYPE_LENS, query);
  workspace_run_until (list_is_loaded, list);
  look_at_screen (G_LIST_MODEL (list));
  marks[SEARCH] = g_get_monotonic_time ();
  shim_record_list_set_search (list, "velle 0000");
  workspace_run_until (list_is_loaded, list);
  look_at_screen (G_LIST_MODEL (list));
  marks[GRID] = g_get_monotonic_time ();
  grid = shim_pair_grid_new (fixture->workspace);
  workspace_run_until (grid_is_loaded, grid);
  for (guint row = 0; row < 30; row++)
    for (guint column = 0; column < 12; column++)
      shim_pair_grid_get_cell (grid, row, column);
  marks[N_TIMES] = g_get_monotonic_time ();
  for (guint i = 0; i < N_TIMES; i++)
    times_ms[i] = (marks[i + 1] - marks[i]) / 1000.0;
}

static void
run (const Size *size, double best_ms[N_TIMES])
{
  WorkspaceFixture fixture = { NULL };
  WorkspaceWait wait = { NULL };
  g_autoptr (GError) error = NULL;

  workspace_fixture_set_up (&fixture, NULL);
  shim_workspace_call_async (fixture.workspace, fill_func, (gpointer) size, NULL, NULL, NULL, workspace_wait_cb, &wait);
  workspace_finish (fixture.workspace, &wait, &error);
  g_assert_no_error (error);
  for (guint i = 0; i < N_TIMES; i++)
    best_ms[i] = G_MAXDOUBLE;
  for (guint turn = 0; turn < 5; turn++)
    {
      double times_ms[N_TIMES];

      measure (&fixture, times_ms);
      for (guint i = 0; i < N_TIMES; i++)
        best_ms[i] = MIN (best_ms[i], times_ms[i]);
    }
  while (g_main_context_iteration (NULL, FALSE))
    ;
  workspace_fixture_tear_down (&fixture, NULL);
}

int
main (int argc, char *argv[])
{
  const Size demo = { "demo", 3, 9 }, large = { "store-room", 2000, 20000 };
  double demo_ms[N_TIMES], large_ms[N_TIMES];

  run (&demo, demo_ms);
  run (&large, large_ms);
  for (guint i = 0; i < N_TIMES; i++)
    g_print ("%-34s %7.2f ms  %7.2f ms  ratio %.1f\n", names[i], demo_ms[i], large_ms[i], large_ms[i] / demo_ms[i]);
  return 0;
}
