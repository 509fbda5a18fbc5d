/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>
#include <glib/gstdio.h>

#include "descendant.h"
#include "shim-gather-dialog.h"
#include "shim-kinds.h"
#include "shim-kit-place.h"
#include "shim-workspace.h"

/* Several photographs dropped on Kit: kit-drop FRAMES. */

static const char *frames_program;

static GFile *
photograph (const char *folder, const char *name, const char *body_model, const char *lens_model, const char *lens_serial)
{
  g_autofree char *body = g_strdup_printf ("--model=%s", body_model);
  g_autofree char *body_serial = g_strdup_printf ("--body-serial=%s-0041233", body_model);
  g_autofree char *path = g_build_filename (folder, name, NULL);
  g_autofree char *model = g_strdup_printf ("--lens-model=%s", lens_model);
  g_autofree char *serial = g_strdup_printf ("--lens-serial=%s", lens_serial);
  const char *argv[] = { frames_program,    "--width=160",   "--height=120",          "--no-noise", "--no-ruler", "--no-card",
                         "--make=Orrin",    body,            body_serial,             model,        serial,       path,
                         NULL };
  g_autoptr (GError) error = NULL;
  int status = 0;

  g_spawn_sync (NULL, (char **) argv, NULL, G_SPAWN_STDOUT_TO_DEV_NULL, NULL, NULL, NULL, NULL, &status, &error);
  g_assert_no_error (error);
  g_assert_true (g_spawn_check_wait_status (status, NULL));
  return g_file_new_for_path (path);
}

static void
drop (GtkWidget *kit, GSList *files)
{
  g_autoptr (GListModel) controllers = gtk_widget_observe_controllers (kit);
  GValue value = G_VALUE_INIT;
  gboolean taken = FALSE;

  g_value_init (&value, GDK_TYPE_FILE_LIST);
  g_value_set_boxed (&value, files);
  for (guint i = 0; i < g_list_model_get_n_items (controllers); i++)
    {
      g_autoptr (GtkEventController) controller = g_list_model_get_item (controllers, i);

      if (GTK_IS_DROP_TARGET (controller))
        g_signal_emit_by_name (controller, "drop", &value, 10.0, 10.0, &taken);
    }
  g_assert_true (taken);
  g_value_unset (&value);
}

static GtkWidget *
dialog_shown (void)
{
  g_autoptr (GListModel) windows = G_LIST_MODEL (g_object_ref (gtk_window_get_toplevels ()));

  for (guint i = 0; i < g_list_model_get_n_items (windows); i++)
    {
      g_autoptr (GtkWidget) window = g_list_model_get_item (windows, i);

      if (SHIM_IS_GATHER_DIALOG (window))
        return window;
    }
  return NULL;
}

typedef struct
{
  GType type;
  const char *mount;
} Wanted;

static gpointer
count_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  const Wanted *wanted = data;
  g_autoptr (ShimQuery) query = shim_query_new ();

  shim_query_add_filter (query, "mount", wanted->mount);
  return GINT_TO_POINTER (1 + (int) shim_register_count (reg, wanted->type, query, error));
}

static void
done_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  *(GAsyncResult **) user_data = g_object_ref (result);
}

static int
count (ShimWorkspace *workspace, GType type, const char *mount)
{
  Wanted wanted = { type, mount };
  GAsyncResult *pending = NULL;
  int n;

  shim_workspace_call_async (workspace, count_func, &wanted, NULL, NULL, NULL, done_cb, &pending);
  while (pending == NULL)
    g_main_context_iteration (NULL, TRUE);
  n = GPOINTER_TO_INT (shim_workspace_call_finish (workspace, pending, NULL)) - 1;
  g_object_unref (pending);
  return n;
}

/* The mount, which the photographs do not say, is asked once for a camera and all that was on it. */
static guint
choose_mounts (GtkWidget *dialog)
{
  GtkWidget *row;
  guint n = 0;

  while (descendant (dialog, GTK_TYPE_CHECK_BUTTON) == NULL)
    g_main_context_iteration (NULL, TRUE);
  for (row = descendant (dialog, ADW_TYPE_COMBO_ROW); row != NULL; row = gtk_widget_get_next_sibling (row))
    adw_combo_row_set_selected (ADW_COMBO_ROW (row), ++n);
  return n;
}

static void
test_drop (void)
{
  g_autofree char *folder = g_dir_make_tmp ("shimbook-drop-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (folder, "register.db", NULL);
  g_autoptr (GError) error = NULL;
  ShimWorkspace *workspace = shim_workspace_open (path, &error);
  GSList *files = NULL;
  GAsyncResult *pending = NULL;
  GtkWidget *window = adw_window_new (), *kit, *dialog;

  g_assert_no_error (error);
  files = g_slist_prepend (files, photograph (folder, "3.jpg", "O-2", "Orrin 50 mm f/1.8", "00101"));
  files = g_slist_prepend (files, photograph (folder, "2.jpg", "O-1", "Orrin 35 mm f/2.8", "00100"));
  files = g_slist_prepend (files, photograph (folder, "1.jpg", "O-1", "Orrin 35 mm f/2.8", "00100"));
  kit = shim_kit_place_new (workspace);
  adw_window_set_content (ADW_WINDOW (window), kit);
  gtk_window_present (GTK_WINDOW (window));
  drop (kit, files);
  dialog = dialog_shown ();
  g_assert_nonnull (dialog);
  g_assert_cmpuint (choose_mounts (dialog), ==, 2);
  gtk_widget_activate_action (dialog, "gather.add", NULL);
  while (dialog_shown () != NULL)
    g_main_context_iteration (NULL, TRUE);
  g_assert_cmpint (count (workspace, SHIM_TYPE_BODY, "A"), ==, 1);
  g_assert_cmpint (count (workspace, SHIM_TYPE_LENS, "A"), ==, 1);
  g_assert_cmpint (count (workspace, SHIM_TYPE_BODY, "AR"), ==, 1);
  g_assert_cmpint (count (workspace, SHIM_TYPE_LENS, "AR"), ==, 1);

  gtk_window_destroy (GTK_WINDOW (window));
  shim_workspace_close_async (workspace, done_cb, &pending);
  while (pending == NULL)
    g_main_context_iteration (NULL, TRUE);
  g_clear_object (&pending);
  g_object_unref (workspace);
  for (GSList *link = files; link != NULL; link = link->next)
    g_file_delete (link->data, NULL, NULL);
  g_slist_free_full (files, g_object_unref);
  g_unlink (path);
  g_rmdir (folder);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_assert_cmpint (argc, ==, 2);
  frames_program = argv[1];
  gtk_init ();
  adw_init ();
  g_test_add_func ("/window/kit/drop", test_drop);
  return g_test_run ();
}
