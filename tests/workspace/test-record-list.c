/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-record-list.h"
#include "workspace-fixture.h"

#define N_LENSES 10000

static gpointer
fill_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  if (!shim_register_begin (reg, "Fill", error))
    return NULL;
  for (guint i = 0; i < GPOINTER_TO_UINT (data); i++)
    {
      g_autofree char *label = g_strdup_printf ("Velle %05u", i);
      g_autofree char *serial = g_strdup_printf ("%07u", 2 * i);
      g_autoptr (ShimLens) lens = test_lens_new (label, serial);

      if (!shim_register_insert (reg, SHIM_RECORD (lens), error))
        return NULL;
    }
  return GINT_TO_POINTER (shim_register_commit (reg, error));
}

static void
fill (ShimWorkspace *workspace, guint n)
{
  WorkspaceWait wait = { NULL };
  g_autoptr (GError) error = NULL;

  shim_workspace_call_async (workspace, fill_func, GUINT_TO_POINTER (n), NULL, NULL, NULL, workspace_wait_cb, &wait);
  workspace_finish (workspace, &wait, &error);
  g_assert_no_error (error);
}

static gpointer
rename_func (ShimRegister *reg, gpointer id, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimRecord) lens = shim_register_get (reg, SHIM_TYPE_LENS, id, error);

  g_object_set (lens, "note", "Renamed", NULL);
  return GINT_TO_POINTER (shim_register_update (reg, lens, error));
}

static gpointer
remove_func (ShimRegister *reg, gpointer id, GCancellable *cancellable, GError **error)
{
  return GINT_TO_POINTER (shim_register_remove (reg, SHIM_TYPE_LENS, id, error));
}

static void
change (ShimWorkspace *workspace, ShimRegisterFunc func, const char *id)
{
  WorkspaceWait wait = { NULL };
  g_autoptr (GError) error = NULL;

  shim_workspace_call_async (workspace, func, g_strdup (id), g_free, NULL, NULL, workspace_wait_cb, &wait);
  workspace_finish (workspace, &wait, &error);
  g_assert_no_error (error);
}

static gboolean
is_loaded (gpointer list)
{
  return !shim_record_list_is_loading (list);
}

typedef struct
{
  guint n_signals;
  guint position;
  guint removed;
  guint added;
} Seen;

static void
items_changed_cb (GListModel *model, guint position, guint removed, guint added, Seen *seen)
{
  seen->n_signals++;
  seen->position = position;
  seen->removed = removed;
  seen->added = added;
}

static gboolean
has_seen (gpointer seen)
{
  return ((Seen *) seen)->n_signals > 0;
}

static ShimRecordList *
lens_list (ShimWorkspace *workspace)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  ShimRecordList *list;

  shim_query_add_order (query, "label", FALSE);
  list = shim_record_list_new (workspace, SHIM_TYPE_LENS, query);
  workspace_run_until (is_loaded, list);
  return list;
}

static void
test_rows (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimRecordList) list = NULL;
  const guint rows[] = { 0, 1, 31, 32, 33, N_LENSES / 2, N_LENSES - 1 };
  guint position;

  fill (fixture->workspace, N_LENSES);
  list = lens_list (fixture->workspace);
  g_assert_cmpuint (g_list_model_get_n_items (G_LIST_MODEL (list)), ==, N_LENSES);
  g_assert_true (g_list_model_get_item_type (G_LIST_MODEL (list)) == SHIM_TYPE_LENS);
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autoptr (ShimLens) lens = g_list_model_get_item (G_LIST_MODEL (list), rows[i]);
      g_autoptr (ShimLens) again = g_list_model_get_item (G_LIST_MODEL (list), rows[i]);
      g_autofree char *label = g_strdup_printf ("Velle %05u", rows[i]);

      g_assert_cmpstr (lens->label, ==, label);
      /* Who holds a row holds the same as everybody else. */
      g_assert_true (lens == again);
      g_assert_true (shim_record_list_find (list, shim_record_get_id (SHIM_RECORD (lens)), &position));
      g_assert_cmpuint (position, ==, rows[i]);
      g_assert_cmpstr (shim_record_list_get_id (list, rows[i]), ==, shim_record_get_id (SHIM_RECORD (lens)));
    }
  g_assert_null (g_list_model_get_item (G_LIST_MODEL (list), N_LENSES));
  g_assert_false (shim_record_list_find (list, "nobody", NULL));
}

/* The first rows come by themselves, and no row of them is told of twice when the rest comes. */
static void
test_first_screen (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (ShimRecordList) list = NULL;
  Seen seen = { 0 };

  fill (fixture->workspace, 1000);
  shim_query_add_order (query, "label", FALSE);
  list = shim_record_list_new (fixture->workspace, SHIM_TYPE_LENS, query);
  g_signal_connect (list, "items-changed", G_CALLBACK (items_changed_cb), &seen);
  workspace_run_until (has_seen, &seen);
  g_assert_cmpuint (seen.added, ==, 32);
  g_assert_true (shim_record_list_is_loading (list));
  workspace_run_until (is_loaded, list);
  g_assert_cmpuint (seen.n_signals, ==, 2);
  g_assert_cmpuint (seen.position, ==, 32);
  g_assert_cmpuint (seen.removed, ==, 0);
  g_assert_cmpuint (seen.added, ==, 1000 - 32);
  /* The same question again is none. */
  shim_record_list_set_query (list, query);
  g_assert_false (shim_record_list_is_loading (list));
}

/* The whole list from top to bottom, as if scrolled: every row once, in order, while few stay alive. */
static void
test_scroll (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimRecordList) list = NULL;
  gpointer first;

  fill (fixture->workspace, N_LENSES);
  list = lens_list (fixture->workspace);
  first = g_list_model_get_item (G_LIST_MODEL (list), 0);
  g_object_add_weak_pointer (first, &first);
  g_object_unref (first);
  for (guint i = 0; i < N_LENSES; i++)
    {
      g_autoptr (ShimLens) lens = g_list_model_get_item (G_LIST_MODEL (list), i);
      g_autofree char *serial = g_strdup_printf ("%07u", 2 * i);

      g_assert_cmpstr (lens->serial, ==, serial);
    }
  g_assert_null (first);
}

static void
test_search (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimRecordList) list = NULL;
  g_autoptr (ShimLens) found = NULL;

  fill (fixture->workspace, 300);
  list = lens_list (fixture->workspace);
  shim_record_list_set_search (list, "vel");
  shim_record_list_set_search (list, "velle 0012");
  g_assert_true (shim_record_list_is_loading (list));
  workspace_run_until (is_loaded, list);
  /* Labels 00120 to 00129, and the serials 0000012 and 0000120 to 0000128: every other number. */
  g_assert_cmpuint (g_list_model_get_n_items (G_LIST_MODEL (list)), ==, 10 + 1 + 5);
  found = g_list_model_get_item (G_LIST_MODEL (list), 9);
  g_assert_cmpstr (found->label, ==, "Velle 00123");
  shim_record_list_set_search (list, NULL);
  workspace_run_until (is_loaded, list);
  g_assert_cmpuint (g_list_model_get_n_items (G_LIST_MODEL (list)), ==, 300);
}

/* Only what differs is named, and who holds a row sees it change. */
static void
test_follows (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimRecordList) list = NULL;
  g_autoptr (ShimLens) held = NULL;
  g_autoptr (ShimLens) next = NULL;
  g_autofree char *id = NULL;
  Seen seen = { 0 };
  guint position;

  fill (fixture->workspace, 200);
  list = lens_list (fixture->workspace);
  g_signal_connect (list, "items-changed", G_CALLBACK (items_changed_cb), &seen);
  held = g_list_model_get_item (G_LIST_MODEL (list), 100);
  g_assert_true (shim_record_list_find (list, shim_record_get_id (SHIM_RECORD (held)), NULL));
  change (fixture->workspace, rename_func, shim_record_get_id (SHIM_RECORD (held)));
  while (held->note == NULL)
    g_main_context_iteration (NULL, TRUE);
  g_assert_cmpstr (held->note, ==, "Renamed");
  g_assert_cmpuint (seen.n_signals, ==, 0);
  /* The same rows were read anew: they are found as before. */
  workspace_run_until (is_loaded, list);
  g_assert_true (shim_record_list_find (list, shim_record_get_id (SHIM_RECORD (held)), &position));
  g_assert_cmpuint (position, ==, 100);

  id = g_strdup (shim_record_list_get_id (list, 50));
  change (fixture->workspace, remove_func, id);
  workspace_run_until (has_seen, &seen);
  g_assert_cmpuint (seen.n_signals, ==, 1);
  g_assert_cmpuint (seen.position, ==, 50);
  g_assert_cmpuint (seen.removed, ==, 1);
  g_assert_cmpuint (seen.added, ==, 0);
  next = g_list_model_get_item (G_LIST_MODEL (list), 50);
  g_assert_cmpstr (next->label, ==, "Velle 00051");
}

static void
test_closed (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (ShimRecordList) list = NULL;
  g_autoptr (ShimRecord) row = NULL;
  WorkspaceWait closed = { NULL };

  fill (fixture->workspace, 20);
  list = lens_list (fixture->workspace);
  shim_workspace_close_async (fixture->workspace, workspace_wait_cb, &closed);
  workspace_wait_for (&closed);
  g_clear_object (&closed.result);
  row = g_list_model_get_item (G_LIST_MODEL (list), 7);
  g_assert_cmpstr (shim_record_get_id (row), ==, shim_record_list_get_id (list, 7));
  shim_record_list_set_search (list, "velle");
  g_assert_false (shim_record_list_is_loading (list));
}

static void
problem_cb (ShimWorkspace *workspace, const GError *error, gpointer told)
{
  g_ptr_array_add (told, g_strdup (error->message));
}

static gboolean
is_told (gpointer told)
{
  return ((GPtrArray *) told)->len > 0;
}

/* Another program spoils the register under the list: that is said, once for all that cannot be read now. */
static void
test_unreadable (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (GPtrArray) told = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (ShimRecordList) list = NULL, another = NULL;

  fill (fixture->workspace, 1);
  g_signal_connect (fixture->workspace, "problem", G_CALLBACK (problem_cb), told);
  list = lens_list (fixture->workspace);
  g_assert_cmpuint (told->len, ==, 0);
  workspace_fixture_spoil (fixture);
  another = lens_list (fixture->workspace);
  workspace_run_until (is_told, told);
  while (g_main_context_iteration (NULL, FALSE) || !is_loaded (list) || !is_loaded (another))
    ;
  g_assert_cmpuint (told->len, ==, 1);
}

#define ADD(name, func)                                                                                              \
  g_test_add ("/workspace/record-list/" name, WorkspaceFixture, NULL, workspace_fixture_set_up, func,                \
              workspace_fixture_tear_down)

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  ADD ("rows", test_rows);
  ADD ("first-screen", test_first_screen);
  ADD ("scroll", test_scroll);
  ADD ("search", test_search);
  ADD ("follows", test_follows);
  ADD ("closed", test_closed);
  ADD ("unreadable", test_unreadable);
  return g_test_run ();
}
