/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-find-dialog.h"
#include "shim-history-dialog.h"
#include "shim-list-keys.h"
#include "shim-register-files.h"
#include "shim-register-merge.h"
#include "shim-register-restore.h"
#include "shim-target-page.h"
#include "shim-preferences.h"
#include "shim-settings.h"
#include "shim-whole-rows.h"
#include "shim-window.h"
#include "shim-window-places.h"

struct _ShimWindow
{
  AdwApplicationWindow parent_instance;

  /* Template widgets */
  GtkListBox *places;
  GtkLabel *register_label;
  GtkStack *stack;

  /* Owned */
  ShimWorkspace *workspace;
  gboolean closing;

  /* Borrowed */
  GSettings *settings;
};

G_DEFINE_FINAL_TYPE (ShimWindow, shim_window, ADW_TYPE_APPLICATION_WINDOW)

static GtkWidget *
place_row_new (const ShimPlace *place)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  GtkWidget *row = gtk_list_box_row_new ();
  const char *label = _ (place->label);

  gtk_box_append (GTK_BOX (box), gtk_image_new_from_icon_name (place->icon));
  gtk_box_append (GTK_BOX (box), gtk_label_new (label));
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), box);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
  return row;
}

static void
show_place (ShimWindow *self, const char *name)
{
  for (guint i = 0; i < shim_n_places; i++)
    if (g_str_equal (shim_places[i].name, name))
      gtk_list_box_select_row (self->places, gtk_list_box_get_row_at_index (self->places, (int) i));
}

static GtkWidget *
place_widget (ShimWindow *self, const char *name)
{
  return gtk_stack_get_child_by_name (self->stack, name);
}

static void
place_selected_cb (GtkListBox *list, GtkListBoxRow *row, ShimWindow *self)
{
  int index = row != NULL ? gtk_list_box_row_get_index (row) : -1;

  if (index < 0 || self->workspace == NULL)
    return;
  gtk_stack_set_visible_child_name (self->stack, shim_places[index].name);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "win.search", shim_places[index].search != NULL);
  if (self->settings != NULL)
    g_settings_set_string (self->settings, "place", shim_places[index].name);
}

/* Who comes by key wants to go on by key: the cursor goes along. */
static void
place_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimWindow *self = SHIM_WINDOW (widget);
  const char *name = g_variant_get_string (parameter, NULL);
  GtkWidget *place = place_widget (self, name);

  show_place (self, name);
  if (place != NULL && !gtk_widget_grab_focus (place))
    gtk_widget_child_focus (place, GTK_DIR_TAB_FORWARD);
}

static void
find_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimWindow *self = SHIM_WINDOW (widget);

  if (self->workspace != NULL)
    gtk_window_present (shim_find_dialog_new (GTK_WINDOW (self), self->workspace));
}

static void
search_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimWindow *self = SHIM_WINDOW (widget);
  const char *name = gtk_stack_get_visible_child_name (self->stack);

  for (guint i = 0; i < shim_n_places; i++)
    if (g_strcmp0 (shim_places[i].name, name) == 0 && shim_places[i].search != NULL)
      shim_places[i].search (place_widget (self, name));
}

static void
open_item_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimWindow *self = SHIM_WINDOW (widget);
  const char *kind, *id;

  if (self->workspace == NULL)
    return;
  g_variant_get (parameter, "(&s&s)", &kind, &id);
  show_place (self, "kit");
  shim_places_open_item (place_widget (self, "kit"), kind, id);
}

static void
open_pair_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimWindow *self = SHIM_WINDOW (widget);

  if (self->workspace == NULL)
    return;
  show_place (self, "pairs");
  shim_places_open_pair (place_widget (self, "pairs"), g_variant_get_string (parameter, NULL));
}

static void
bench_pair_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimWindow *self = SHIM_WINDOW (widget);

  if (self->workspace == NULL)
    return;
  show_place (self, "bench");
  shim_places_bench_pair (place_widget (self, "bench"), g_variant_get_string (parameter, NULL));
}

static void
bench_test_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimWindow *self = SHIM_WINDOW (widget);

  if (self->workspace == NULL)
    return;
  show_place (self, "bench");
  shim_places_bench_test (place_widget (self, "bench"), g_variant_get_string (parameter, NULL));
}

static void
open_slots_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimWindow *self = SHIM_WINDOW (widget);

  if (self->workspace == NULL)
    return;
  show_place (self, "slots");
  shim_places_open_slots (place_widget (self, "slots"), g_variant_get_string (parameter, NULL));
}

/* The parameter is the item, id and name; without an id all is meant. */
static void
history_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimWindow *self = SHIM_WINDOW (widget);
  const char *item, *name;

  if (self->workspace == NULL)
    return;
  g_variant_get (parameter, "(&s&s)", &item, &name);
  gtk_window_present (shim_history_dialog_new (GTK_WINDOW (self), self->workspace, *item != '\0' ? item : NULL, name));
}

static void
merge_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  shim_register_merge_choose (widget, SHIM_WINDOW (widget)->workspace);
}

static void
restore_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  shim_register_restore_choose (widget, SHIM_WINDOW (widget)->workspace);
}

static void
open_register_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  shim_register_open_choose (widget, SHIM_WINDOW (widget)->workspace);
}

static void
open_job_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimWindow *self = SHIM_WINDOW (widget);

  if (self->workspace == NULL)
    return;
  show_place (self, "jobs");
  shim_places_open_job (place_widget (self, "jobs"), g_variant_get_string (parameter, NULL));
}

static void
undone_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimWindow) self = SHIM_WINDOW (user_data);
  g_autoptr (GError) error = NULL;

  if (!shim_workspace_done_finish (SHIM_WORKSPACE (source), result, &error))
    shim_show_error (GTK_WIDGET (self), _ ("This Could Not Be Undone"), error);
}

static void
undo_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimWindow *self = SHIM_WINDOW (widget);

  shim_workspace_undo_async (self->workspace, NULL, undone_cb, g_object_ref (self));
}

static void
redo_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimWindow *self = SHIM_WINDOW (widget);

  shim_workspace_redo_async (self->workspace, NULL, undone_cb, g_object_ref (self));
}

static void
back_up_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  shim_register_back_up_choose (widget, SHIM_WINDOW (widget)->workspace);
}

static void
target_chosen_cb (GListModel *files, gpointer user_data)
{
  g_autoptr (GFile) file = g_list_model_get_item (files, 0);
  g_autofree char *path = g_file_get_path (file);
  g_autoptr (GError) error = NULL;

  if (shim_target_page_write (shim_settings_paper (), path, &error))
    shim_show_toast (user_data, _ ("The target was written; print it at actual size"));
  else
    shim_show_error (user_data, _ ("The Target Was Not Written"), error);
}

static void
print_target_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  shim_choose_save (widget, _ ("Print a Target"), _ ("shimbook-target.pdf"), target_chosen_cb, widget);
}

static void
preferences_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  gtk_window_present (GTK_WINDOW (shim_preferences_new (GTK_WINDOW (widget))));
}

static void
apply_due_after (ShimWindow *self)
{
  if (self->workspace != NULL)
    shim_workspace_set_max_age (self->workspace, shim_settings_due_after_days ());
}

static void
update_actions (ShimWindow *self)
{
  gboolean open = self->workspace != NULL;

  gtk_widget_action_set_enabled (GTK_WIDGET (self), "win.undo", open && shim_workspace_get_can_undo (self->workspace));
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "win.redo", open && shim_workspace_get_can_redo (self->workspace));
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "win.back-up", open);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "win.merge", open);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "win.restore", open);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "win.find", open);
}

static void
problem_cb (ShimWindow *self, const GError *error)
{
  shim_show_error (GTK_WIDGET (self), _ ("The Register Could Not Be Read"), error);
}

/**
 * shim_window_set_workspace:
 * @self: a window
 * @workspace: the register to show
 */
void
shim_window_set_workspace (ShimWindow *self, ShimWorkspace *workspace)
{
  g_autofree char *name = NULL;
  g_autofree char *place = NULL;

  g_return_if_fail (SHIM_IS_WINDOW (self));
  g_return_if_fail (self->workspace == NULL);

  self->workspace = g_object_ref (workspace);
  g_signal_connect_object (workspace, "notify::can-undo", G_CALLBACK (update_actions), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (workspace, "notify::can-redo", G_CALLBACK (update_actions), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (workspace, "problem", G_CALLBACK (problem_cb), self, G_CONNECT_SWAPPED);
  apply_due_after (self);
  if (self->settings != NULL)
    g_signal_connect_object (self->settings, "changed::due-after-days", G_CALLBACK (apply_due_after), self, G_CONNECT_SWAPPED);
  for (guint i = 0; i < shim_n_places; i++)
    gtk_stack_add_named (self->stack, shim_places[i].create (workspace), shim_places[i].name);

  name = g_path_get_basename (shim_workspace_get_path (workspace));
  gtk_label_set_label (self->register_label, name);
  gtk_widget_set_tooltip_text (GTK_WIDGET (self->register_label), shim_workspace_get_path (workspace));
  place = self->settings != NULL ? g_settings_get_string (self->settings, "place") : g_strdup ("kit");
  show_place (self, place);
  update_actions (self);
}

/**
 * shim_window_get_workspace:
 * @self: a window
 *
 * Returns: (nullable) (transfer none): the register it shows
 */
ShimWorkspace *
shim_window_get_workspace (ShimWindow *self)
{
  g_return_val_if_fail (SHIM_IS_WINDOW (self), NULL);

  return self->workspace;
}

static GtkWidget *
open_button_new (void)
{
  GtkWidget *button = gtk_button_new_with_mnemonic (_ ("_Open Another Register…"));

  gtk_actionable_set_action_name (GTK_ACTIONABLE (button), "win.open-register");
  gtk_widget_set_halign (button, GTK_ALIGN_CENTER);
  gtk_widget_add_css_class (button, "pill");
  return button;
}

/**
 * shim_window_show_open_error:
 * @self: a window without a register
 * @error: why the register could not be opened
 */
void
shim_window_show_open_error (ShimWindow *self, const GError *error)
{
  GtkWidget *box, *page, *bar;
  g_autofree char *sentence = NULL;

  g_return_if_fail (SHIM_IS_WINDOW (self));

  box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  /* The window's buttons are on the bar of the place, and there is none. */
  bar = g_object_new (ADW_TYPE_HEADER_BAR, "title-widget", adw_window_title_new ("", ""), "show-start-title-buttons", FALSE, NULL);
  sentence = g_markup_escape_text (error->message, -1);
  page = g_object_new (ADW_TYPE_STATUS_PAGE,
                       "icon-name", "dialog-warning-symbolic",
                       "title", _ ("The Register Was Not Opened"),
                       "description", sentence,
                       "child", open_button_new (),
                       "vexpand", TRUE,
                       NULL);
  gtk_box_append (GTK_BOX (box), bar);
  gtk_box_append (GTK_BOX (box), page);
  gtk_stack_add_named (self->stack, box, "error");
  gtk_stack_set_visible_child (self->stack, box);
  gtk_widget_set_sensitive (GTK_WIDGET (self->places), FALSE);
}

static void
closed_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimWindow) self = SHIM_WINDOW (user_data);
  g_autoptr (GError) error = NULL;

  if (!shim_workspace_close_finish (SHIM_WORKSPACE (source), result, &error))
    g_warning ("the register did not close cleanly: %s", error->message);
  gtk_window_destroy (GTK_WINDOW (self));
}

static gboolean
shim_window_close_request (GtkWindow *window)
{
  ShimWindow *self = SHIM_WINDOW (window);

  if (self->settings != NULL && !self->closing)
    {
      int width, height;

      gtk_window_get_default_size (window, &width, &height);
      g_settings_set_int (self->settings, "window-width", MAX (width, 640));
      g_settings_set_int (self->settings, "window-height", MAX (height, 480));
      g_settings_set_boolean (self->settings, "window-maximized", gtk_window_is_maximized (window));
    }
  if (self->workspace == NULL)
    return GDK_EVENT_PROPAGATE;
  if (!self->closing)
    {
      /* What is still to be stored is stored first; the window only leaves the screen. */
      self->closing = TRUE;
      gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
      shim_workspace_close_async (self->workspace, closed_cb, g_object_ref (self));
    }
  return GDK_EVENT_STOP;
}

static void
shim_window_dispose (GObject *object)
{
  ShimWindow *self = SHIM_WINDOW (object);

  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_WINDOW);
  g_clear_object (&self->workspace);
  G_OBJECT_CLASS (shim_window_parent_class)->dispose (object);
}

static void
shim_window_class_init (ShimWindowClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_window_dispose;
  GTK_WINDOW_CLASS (klass)->close_request = shim_window_close_request;

  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/shim-window.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimWindow, places);
  gtk_widget_class_bind_template_child (widget_class, ShimWindow, register_label);
  gtk_widget_class_bind_template_child (widget_class, ShimWindow, stack);
  gtk_widget_class_bind_template_callback (widget_class, place_selected_cb);

  gtk_widget_class_install_action (widget_class, "win.place", "s", place_cb);
  gtk_widget_class_install_action (widget_class, "win.search", NULL, search_cb);
  gtk_widget_class_install_action (widget_class, "win.open-item", "(ss)", open_item_cb);
  gtk_widget_class_install_action (widget_class, "win.open-pair", "s", open_pair_cb);
  gtk_widget_class_install_action (widget_class, "win.bench-pair", "s", bench_pair_cb);
  gtk_widget_class_install_action (widget_class, "win.bench-test", "s", bench_test_cb);
  gtk_widget_class_install_action (widget_class, "win.open-slots", "s", open_slots_cb);
  gtk_widget_class_install_action (widget_class, "win.open-job", "s", open_job_cb);
  gtk_widget_class_install_action (widget_class, "win.find", NULL, find_cb);
  gtk_widget_class_install_action (widget_class, "win.history", "(ss)", history_cb);
  gtk_widget_class_install_action (widget_class, "win.merge", NULL, merge_cb);
  gtk_widget_class_install_action (widget_class, "win.open-register", NULL, open_register_cb);
  gtk_widget_class_install_action (widget_class, "win.restore", NULL, restore_cb);
  gtk_widget_class_install_action (widget_class, "win.undo", NULL, undo_cb);
  gtk_widget_class_install_action (widget_class, "win.redo", NULL, redo_cb);
  gtk_widget_class_install_action (widget_class, "win.back-up", NULL, back_up_cb);
  gtk_widget_class_install_action (widget_class, "win.preferences", NULL, preferences_cb);
  gtk_widget_class_install_action (widget_class, "win.print-target", NULL, print_target_cb);
}

static void
shim_window_init (ShimWindow *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  shim_window_show_rows_whole (GTK_WINDOW (self));
  shim_list_keys_add (GTK_WIDGET (self->places));
  self->settings = shim_settings_get ();
  if (self->settings != NULL)
    {
      gtk_window_set_default_size (GTK_WINDOW (self), g_settings_get_int (self->settings, "window-width"),
                                   g_settings_get_int (self->settings, "window-height"));
      if (g_settings_get_boolean (self->settings, "window-maximized"))
        gtk_window_maximize (GTK_WINDOW (self));
    }
  for (guint i = 0; i < shim_n_places; i++)
    gtk_list_box_append (self->places, place_row_new (&shim_places[i]));
  update_actions (self);
}

/**
 * shim_window_new:
 * @application: the application
 *
 * Returns: (transfer none): a window that still waits for its register
 */
ShimWindow *
shim_window_new (GtkApplication *application)
{
  return g_object_new (SHIM_TYPE_WINDOW, "application", application, NULL);
}
