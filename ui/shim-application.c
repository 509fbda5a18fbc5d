/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-application.h"
#include "shim-dialogs.h"
#include "shim-window.h"
#include "shim-workspace.h"

struct _ShimApplication
{
  AdwApplication parent_instance;

  char *register_path;
};

G_DEFINE_FINAL_TYPE (ShimApplication, shim_application, ADW_TYPE_APPLICATION)

static const GOptionEntry options[] = {
  { "register", 'r', 0, G_OPTION_ARG_FILENAME, NULL, N_ ("Open this register instead of your own"), N_ ("FILE") },
  { "new-window", 'w', 0, G_OPTION_ARG_NONE, NULL, N_ ("Open one more window"), NULL },
  { "version", 'v', 0, G_OPTION_ARG_NONE, NULL, N_ ("Print the version and end"), NULL },
  { NULL },
};

static void
workspace_opened_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimWindow) window = SHIM_WINDOW (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimWorkspace) workspace = shim_workspace_open_finish (result, &error);

  if (workspace != NULL)
    shim_window_set_workspace (window, workspace);
  else
    shim_window_show_open_error (window, error);
}

static void
open_window (ShimApplication *self)
{
  ShimWindow *window = shim_window_new (GTK_APPLICATION (self));
  g_autofree char *path = self->register_path != NULL ? g_strdup (self->register_path) : shim_workspace_default_path ();

  gtk_window_present (GTK_WINDOW (window));
  shim_workspace_open_async (path, NULL, workspace_opened_cb, g_object_ref (window));
}

static void
shim_application_activate (GApplication *application)
{
  GtkWindow *window = gtk_application_get_active_window (GTK_APPLICATION (application));

  if (window != NULL)
    gtk_window_present (window);
  else
    open_window (SHIM_APPLICATION (application));
}

static int
shim_application_command_line (GApplication *application, GApplicationCommandLine *command_line)
{
  ShimApplication *self = SHIM_APPLICATION (application);
  GVariantDict *dict = g_application_command_line_get_options_dict (command_line);
  const char *path = NULL;

  if (g_variant_dict_lookup (dict, "register", "^&ay", &path))
    {
      g_autoptr (GFile) file = g_application_command_line_create_file_for_arg (command_line, path);
      g_autofree char *absolute = g_file_get_path (file);

      if (g_strcmp0 (self->register_path, absolute) != 0 && gtk_application_get_active_window (GTK_APPLICATION (self)) != NULL)
        {
          g_free (self->register_path);
          self->register_path = g_steal_pointer (&absolute);
          open_window (self);
          return 0;
        }
      g_free (self->register_path);
      self->register_path = g_steal_pointer (&absolute);
    }
  if (g_variant_dict_contains (dict, "new-window"))
    open_window (self);
  else
    g_application_activate (application);
  return 0;
}

static int
shim_application_handle_local_options (GApplication *application, GVariantDict *dict)
{
  if (!g_variant_dict_contains (dict, "version"))
    return -1;
  g_print ("shimbook %s\n", SHIM_VERSION);
  return 0;
}

static void
quit_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  GList *windows;

  /* Closing window by window lets each register be closed in order. */
  while ((windows = gtk_application_get_windows (GTK_APPLICATION (user_data))) != NULL)
    {
      GtkWindow *window = windows->data;

      gtk_window_close (window);
      if (windows == gtk_application_get_windows (GTK_APPLICATION (user_data)))
        break;
    }
}

static void
new_window_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  open_window (SHIM_APPLICATION (user_data));
}

/* A window comes only when there is something to show in it; the register that is open stays as it is. */
static void
other_opened_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimApplication) self = SHIM_APPLICATION (user_data);
  GtkWindow *asking = gtk_application_get_active_window (GTK_APPLICATION (self));
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimWorkspace) workspace = shim_workspace_open_finish (result, &error);

  g_application_release (G_APPLICATION (self));
  if (workspace != NULL)
    {
      ShimWindow *window = shim_window_new (GTK_APPLICATION (self));

      shim_window_set_workspace (window, workspace);
      gtk_window_present (GTK_WINDOW (window));
    }
  else if (asking != NULL)
    shim_show_error (GTK_WIDGET (asking), _ ("The Register Was Not Opened"), error);
}

static void
open_register_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  g_application_hold (G_APPLICATION (user_data));
  shim_workspace_open_async (g_variant_get_bytestring (parameter), NULL, other_opened_cb, g_object_ref (user_data));
}

static void
help_launched_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GtkApplication) application = user_data;
  GtkWindow *window = gtk_application_get_active_window (application);
  g_autoptr (GError) error = NULL;

  if (g_app_info_launch_default_for_uri_finish (result, &error) || window == NULL)
    return;
  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_NOT_SUPPORTED))
    {
      g_clear_error (&error);
      g_set_error_literal (&error, G_IO_ERROR, G_IO_ERROR_NOT_SUPPORTED,
                           _ ("No program that shows help pages is installed. Install the help viewer of your desktop; on GNOME it is the "
                              "package “yelp”."));
    }
  shim_show_error (GTK_WIDGET (window), _ ("The Help Cannot Be Shown"), error);
}

static void
help_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  g_app_info_launch_default_for_uri_async ("help:shimbook", NULL, NULL, help_launched_cb, g_object_ref (user_data));
}

static void
about_cb (GSimpleAction *action, GVariant *parameter, gpointer user_data)
{
  GtkApplication *application = GTK_APPLICATION (user_data);

  adw_show_about_window (gtk_application_get_active_window (application),
                         "application-name", _ ("Shimbook"),
                         "application-icon", SHIM_APP_ID,
                         "developer-name", _ ("The Shimbook developers"),
                         "version", SHIM_VERSION,
                         "license-type", GTK_LICENSE_GPL_3_0,
                         "comments", _ ("Adjusting is not repairing. Read the maker’s manual first, and leave to a qualified "
                                        "technician what the numbers say is beyond adjustment."),
                         NULL);
}

static void
shim_application_startup (GApplication *application)
{
  static const GActionEntry actions[] = {
    { .name = "quit", .activate = quit_cb },
    { .name = "new-window", .activate = new_window_cb },
    { .name = "open-register", .activate = open_register_cb, .parameter_type = "ay" },
    { .name = "help", .activate = help_cb },
    { .name = "about", .activate = about_cb },
  };
  static const struct
  {
    const char *action;
    const char *keys[3];
  } accels[] = {
    { "app.quit", { "<Control>q" } },
    { "app.new-window", { "<Control>n" } },
    { "app.help", { "F1" } },
    { "window.close", { "<Control>w" } },
    { "win.undo", { "<Control>z" } },
    { "win.redo", { "<Control><Shift>z", "<Control>y" } },
    { "win.search", { "<Control>f" } },
    { "win.find", { "<Control>k", "<Control><Shift>f" } },
    { "win.history(('',''))", { "<Control>h" } },
    { "win.open-register", { "<Control><Shift>o" } },
    { "win.preferences", { "<Control>comma" } },
    { "win.show-help-overlay", { "<Control>question" } },
    { "win.place::kit", { "<Alt>1" } },
    { "win.place::pairs", { "<Alt>2" } },
    { "win.place::bench", { "<Alt>3" } },
    { "win.place::slots", { "<Alt>4" } },
    { "win.place::jobs", { "<Alt>5" } },
  };

  G_APPLICATION_CLASS (shim_application_parent_class)->startup (application);
  g_action_map_add_action_entries (G_ACTION_MAP (application), actions, G_N_ELEMENTS (actions), application);
  for (guint i = 0; i < G_N_ELEMENTS (accels); i++)
    gtk_application_set_accels_for_action (GTK_APPLICATION (application), accels[i].action, accels[i].keys);
}

static void
shim_application_finalize (GObject *object)
{
  g_free (SHIM_APPLICATION (object)->register_path);
  G_OBJECT_CLASS (shim_application_parent_class)->finalize (object);
}

static void
shim_application_class_init (ShimApplicationClass *klass)
{
  GApplicationClass *application_class = G_APPLICATION_CLASS (klass);

  G_OBJECT_CLASS (klass)->finalize = shim_application_finalize;
  application_class->activate = shim_application_activate;
  application_class->command_line = shim_application_command_line;
  application_class->handle_local_options = shim_application_handle_local_options;
  application_class->startup = shim_application_startup;
}

static void
shim_application_init (ShimApplication *self)
{
  g_application_add_main_option_entries (G_APPLICATION (self), options);
}

/**
 * shim_application_new:
 *
 * Returns: (transfer full): the application; one process serves all windows of a session
 */
ShimApplication *
shim_application_new (void)
{
  return g_object_new (SHIM_TYPE_APPLICATION,
                       "application-id", SHIM_APP_ID,
                       "flags", G_APPLICATION_HANDLES_COMMAND_LINE,
                       "resource-base-path", "/org/shimbook/Shimbook",
                       NULL);
}
