/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "shim-store-error.h"
#include "shim-workspace-error.h"
#include "workspace-fixture.h"

static gpointer
add_lens_func (ShimRegister *reg, gpointer label, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimLens) lens = test_lens_new (label, NULL);

  return GINT_TO_POINTER (shim_register_insert (reg, SHIM_RECORD (lens), error));
}

static gpointer
count_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  return GINT_TO_POINTER (shim_register_count (reg, SHIM_TYPE_LENS, NULL, error));
}

static void
add_lens (ShimWorkspace *workspace, const char *label)
{
  WorkspaceWait wait = { NULL };
  g_autoptr (GError) error = NULL;

  shim_workspace_call_async (workspace, add_lens_func, g_strdup (label), g_free, NULL, NULL, workspace_wait_cb,
                             &wait);
  workspace_finish (workspace, &wait, &error);
  g_assert_no_error (error);
}

static guint
count_lenses (ShimWorkspace *workspace)
{
  WorkspaceWait wait = { NULL };
  g_autoptr (GError) error = NULL;
  guint n;

  shim_workspace_call_async (workspace, count_func, NULL, NULL, NULL, NULL, workspace_wait_cb, &wait);
  n = GPOINTER_TO_UINT (workspace_finish (workspace, &wait, &error));
  g_assert_no_error (error);
  return n;
}

/* --- order --- */

static gpointer
note_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  return data;
}

static void
note_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  GArray *seen = user_data;
  const guint value = GPOINTER_TO_UINT (shim_workspace_call_finish (SHIM_WORKSPACE (source), result, NULL));

  g_array_append_val (seen, value);
}

static gboolean
has_hundred (gpointer seen)
{
  return ((GArray *) seen)->len == 100;
}

static void
test_order (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (GArray) seen = g_array_new (FALSE, FALSE, sizeof (guint));
  gboolean busy;

  for (guint i = 1; i <= 100; i++)
    shim_workspace_call_async (fixture->workspace, note_func, GUINT_TO_POINTER (i), NULL, NULL, NULL, note_cb, seen);
  g_object_get (fixture->workspace, "busy", &busy, NULL);
  g_assert_true (busy);
  workspace_run_until (has_hundred, seen);
  for (guint i = 1; i <= 100; i++)
    g_assert_cmpuint (g_array_index (seen, guint, i - 1), ==, i);
  g_object_get (fixture->workspace, "busy", &busy, NULL);
  g_assert_false (busy);
}

/* --- changes --- */

static void
count_cb (guint *counter)
{
  ++*counter;
}

static gboolean
has_counted (gpointer counter)
{
  return *(guint *) counter > 0;
}

static gboolean
have_both_counted (gpointer counters)
{
  return ((guint *) counters)[0] > 0 && ((guint *) counters)[1] > 0;
}

static void
test_changed_after_result (WorkspaceFixture *fixture, gconstpointer data)
{
  guint n_changed = 0;

  g_signal_connect_swapped (fixture->workspace, "changed", G_CALLBACK (count_cb), &n_changed);
  add_lens (fixture->workspace, "Velle 50");
  /* The result comes first. */
  g_assert_cmpuint (n_changed, ==, 0);
  workspace_run_until (has_counted, &n_changed);
  g_assert_cmpuint (n_changed, ==, 1);
  /* Reading changes nothing. */
  g_assert_cmpuint (count_lenses (fixture->workspace), ==, 1);
  while (g_main_context_iteration (NULL, FALSE))
    ;
  g_assert_cmpuint (n_changed, ==, 1);
}

static void
test_two_workspaces (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimWorkspace) other = shim_workspace_open (fixture->path, &error);
  guint counters[2] = { 0, 0 };

  g_assert_no_error (error);
  g_signal_connect_swapped (fixture->workspace, "changed", G_CALLBACK (count_cb), &counters[0]);
  g_signal_connect_swapped (other, "changed", G_CALLBACK (count_cb), &counters[1]);
  add_lens (other, "Velle 85");
  workspace_run_until (have_both_counted, counters);
  g_assert_cmpuint (count_lenses (fixture->workspace), ==, 1);
  counters[0] = counters[1] = 0;
  add_lens (fixture->workspace, "Velle 35");
  workspace_run_until (have_both_counted, counters);
  g_assert_cmpuint (count_lenses (other), ==, 2);
}

/* --- undo --- */

static void
undo (ShimWorkspace *workspace, gboolean redo, char **summary, GError **error)
{
  WorkspaceWait wait = { NULL };

  if (redo)
    shim_workspace_redo_async (workspace, NULL, workspace_wait_cb, &wait);
  else
    shim_workspace_undo_async (workspace, NULL, workspace_wait_cb, &wait);
  *summary = workspace_finish (workspace, &wait, error);
}

static void
test_undo (WorkspaceFixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *undone = NULL;
  g_autofree char *redone = NULL;
  g_autofree char *nothing = NULL;
  g_autofree char *announced = NULL;
  guint n_changed = 0;

  g_assert_false (shim_workspace_get_can_undo (fixture->workspace));
  g_assert_null (shim_workspace_get_undo_summary (fixture->workspace));
  g_signal_connect_swapped (fixture->workspace, "changed", G_CALLBACK (count_cb), &n_changed);
  add_lens (fixture->workspace, "Velle 50");
  workspace_run_until (has_counted, &n_changed);
  g_assert_true (shim_workspace_get_can_undo (fixture->workspace));
  announced = g_strdup (shim_workspace_get_undo_summary (fixture->workspace));

  undo (fixture->workspace, FALSE, &undone, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (undone, ==, announced);
  g_assert_cmpuint (count_lenses (fixture->workspace), ==, 0);
  n_changed = 0;
  while (!shim_workspace_get_can_redo (fixture->workspace))
    g_main_context_iteration (NULL, TRUE);
  g_assert_false (shim_workspace_get_can_undo (fixture->workspace));

  undo (fixture->workspace, TRUE, &redone, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (count_lenses (fixture->workspace), ==, 1);
  undo (fixture->workspace, TRUE, &nothing, &error);
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOTHING);
  g_assert_null (nothing);
}

/* --- cancelling --- */

/* Waits on the register's thread until the test lets it go on. */
typedef struct
{
  GMutex mutex;
  GCond cond;
  gboolean started;
  gboolean go_on;
} Gate;

static gpointer
gate_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  Gate *gate = data;

  g_mutex_lock (&gate->mutex);
  gate->started = TRUE;
  g_cond_broadcast (&gate->cond);
  while (!gate->go_on)
    g_cond_wait (&gate->cond, &gate->mutex);
  g_mutex_unlock (&gate->mutex);
  return GINT_TO_POINTER (TRUE);
}

static void
gate_wait (Gate *gate)
{
  g_mutex_lock (&gate->mutex);
  while (!gate->started)
    g_cond_wait (&gate->cond, &gate->mutex);
  g_mutex_unlock (&gate->mutex);
}

static void
gate_open (Gate *gate)
{
  g_mutex_lock (&gate->mutex);
  gate->go_on = TRUE;
  g_cond_broadcast (&gate->cond);
  g_mutex_unlock (&gate->mutex);
}

static void
test_cancel_waiting (WorkspaceFixture *fixture, gconstpointer data)
{
  Gate gate = { .started = FALSE };
  WorkspaceWait first = { NULL }, second = { NULL };
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (GError) error = NULL;

  shim_workspace_call_async (fixture->workspace, gate_func, &gate, NULL, NULL, NULL, workspace_wait_cb, &first);
  shim_workspace_call_async (fixture->workspace, add_lens_func, g_strdup ("Never"), g_free, NULL, cancellable,
                             workspace_wait_cb, &second);
  gate_wait (&gate);
  g_cancellable_cancel (cancellable);
  gate_open (&gate);
  g_assert_nonnull (workspace_finish (fixture->workspace, &first, &error));
  g_assert_no_error (error);
  g_assert_null (workspace_finish (fixture->workspace, &second, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  g_assert_cmpuint (count_lenses (fixture->workspace), ==, 0);
}

/* Counts again and again, until it is interrupted. */
static gpointer
endless_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  Gate *gate = data;

  g_mutex_lock (&gate->mutex);
  gate->started = TRUE;
  g_cond_broadcast (&gate->cond);
  g_mutex_unlock (&gate->mutex);
  while (!g_cancellable_set_error_if_cancelled (cancellable, error))
    if (shim_register_count (reg, SHIM_TYPE_LENS, NULL, error) < 0)
      break;
  return NULL;
}

static void
test_cancel_running (WorkspaceFixture *fixture, gconstpointer data)
{
  Gate gate = { .started = FALSE };
  WorkspaceWait wait = { NULL };
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (GError) error = NULL;

  shim_workspace_call_async (fixture->workspace, endless_func, &gate, NULL, NULL, cancellable, workspace_wait_cb,
                             &wait);
  gate_wait (&gate);
  g_cancellable_cancel (cancellable);
  g_assert_null (workspace_finish (fixture->workspace, &wait, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  /* The call after it is not hit. */
  add_lens (fixture->workspace, "Velle 50");
  g_assert_cmpuint (count_lenses (fixture->workspace), ==, 1);
}

/* --- closing --- */

static void
test_close_while_busy (WorkspaceFixture *fixture, gconstpointer data)
{
  WorkspaceWait waits[10] = { { NULL } }, closed = { NULL }, late = { NULL };
  g_autoptr (GError) error = NULL;
  g_autoptr (GError) open_error = NULL;
  g_autoptr (ShimRegister) reg = NULL;

  for (guint i = 0; i < G_N_ELEMENTS (waits); i++)
    shim_workspace_call_async (fixture->workspace, add_lens_func, g_strdup_printf ("Velle %u", i), g_free, NULL, NULL,
                               workspace_wait_cb, &waits[i]);
  shim_workspace_close_async (fixture->workspace, workspace_wait_cb, &closed);
  shim_workspace_call_async (fixture->workspace, add_lens_func, g_strdup ("Late"), g_free, NULL, NULL,
                             workspace_wait_cb, &late);
  g_assert_true (shim_workspace_close_finish (fixture->workspace, workspace_wait_for (&closed), &error));
  g_clear_object (&closed.result);
  /* What was asked before is done and was reported before the closing was. */
  for (guint i = 0; i < G_N_ELEMENTS (waits); i++)
    {
      g_assert_nonnull (waits[i].result);
      g_assert_nonnull (workspace_finish (fixture->workspace, &waits[i], &error));
      g_assert_no_error (error);
    }
  g_assert_null (workspace_finish (fixture->workspace, &late, &error));
  g_assert_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_CLOSED);

  reg = shim_register_open (fixture->path, SHIM_REGISTER_READ_ONLY, &open_error);
  g_assert_no_error (open_error);
  g_assert_cmpint (shim_register_count (reg, SHIM_TYPE_LENS, NULL, NULL), ==, G_N_ELEMENTS (waits));
}

/* Dropped without closing: what was asked for is done all the same, since every call holds the workspace. */
static void
test_drop (WorkspaceFixture *fixture, gconstpointer data)
{
  WorkspaceWait wait = { NULL };
  ShimWorkspace *workspace = fixture->workspace;
  g_autoptr (GAsyncResult) result = NULL;

  shim_workspace_call_async (workspace, add_lens_func, g_strdup ("Velle 50"), g_free, NULL, NULL, workspace_wait_cb,
                             &wait);
  g_clear_object (&fixture->workspace);
  result = workspace_wait_for (&wait);
  g_assert_nonnull (shim_workspace_call_finish (workspace, result, NULL));
}

static void
test_open_async (WorkspaceFixture *fixture, gconstpointer data)
{
  WorkspaceWait wait = { NULL };
  g_autofree char *path = g_build_filename (fixture->folder, "deeper", "register.shimbook", NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimWorkspace) workspace = NULL;
  g_autoptr (ShimWorkspace) none = NULL;
  g_autofree char *letter = g_build_filename (fixture->folder, "letter.txt", NULL);

  shim_workspace_open_async (path, NULL, workspace_wait_cb, &wait);
  workspace = shim_workspace_open_finish (workspace_wait_for (&wait), &error);
  g_assert_no_error (error);
  g_assert_cmpstr (shim_workspace_get_path (workspace), ==, path);
  g_clear_object (&wait.result);

  /* Something else than a register is left alone. */
  g_assert_true (g_file_set_contents (letter, "Dear Sir or Madam, this is a letter.", -1, NULL));
  shim_workspace_open_async (letter, NULL, workspace_wait_cb, &wait);
  none = shim_workspace_open_finish (workspace_wait_for (&wait), &error);
  g_assert_null (none);
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_A_REGISTER);
  g_clear_object (&wait.result);
}

/* A program that was not installed keeps away from the user's register. */
static void
test_default_path (void)
{
  g_autofree char *path = NULL;
  g_autofree char *named = NULL;

  g_unsetenv ("SHIMBOOK_REGISTER");
  path = shim_workspace_default_path ();
  g_assert_nonnull (strstr (path, G_DIR_SEPARATOR_S "shimbook-devel" G_DIR_SEPARATOR_S "register.shimbook"));
  g_setenv ("SHIMBOOK_REGISTER", "/tmp/other.shimbook", TRUE);
  named = shim_workspace_default_path ();
  g_assert_cmpstr (named, ==, "/tmp/other.shimbook");
  g_unsetenv ("SHIMBOOK_REGISTER");
}

#define ADD(name, func) \
  g_test_add ("/workspace/" name, WorkspaceFixture, NULL, workspace_fixture_set_up, func, workspace_fixture_tear_down)

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  ADD ("order", test_order);
  ADD ("changed/after-result", test_changed_after_result);
  ADD ("changed/two-workspaces", test_two_workspaces);
  ADD ("undo", test_undo);
  ADD ("cancel/waiting", test_cancel_waiting);
  ADD ("cancel/running", test_cancel_running);
  ADD ("close/while-busy", test_close_while_busy);
  ADD ("close/drop", test_drop);
  ADD ("open/async", test_open_async);
  g_test_add_func ("/workspace/open/default-path", test_default_path);
  return g_test_run ();
}
