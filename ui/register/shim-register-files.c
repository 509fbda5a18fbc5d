/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-register-files.h"

/* The register as a file: another one is opened, a backup is made. */

static void
backed_up_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GtkWidget) widget = user_data;
  g_autoptr (GError) error = NULL;

  if (shim_workspace_done_finish (SHIM_WORKSPACE (source), result, &error))
    shim_show_toast (widget, _ ("The register was backed up"));
  else
    shim_show_error (widget, _ ("The Register Was Not Backed Up"), error);
}

/* The register's thread. */
static gpointer
back_up_func (ShimRegister *reg, gpointer path, GCancellable *cancellable, GError **error)
{
  /* The file chooser has already asked whether to replace a file that is there. */
  return GINT_TO_POINTER (shim_register_backup (reg, path, TRUE, error));
}

static void
back_up_chosen_cb (GListModel *files, gpointer user_data)
{
  GtkWidget *widget = GTK_WIDGET (user_data);
  g_autoptr (GFile) file = g_list_model_get_item (files, 0);

  if (g_file_peek_path (file) == NULL)
    shim_show_toast (widget, _ ("A backup can only be written to this computer"));
  else
    shim_workspace_call_async (g_object_get_data (G_OBJECT (widget), "shim-backup-workspace"), back_up_func, g_file_get_path (file),
                               g_free, NULL, NULL, backed_up_cb, g_object_ref (widget));
}

/**
 * shim_register_back_up_choose:
 * @widget: a window
 * @workspace: the register
 *
 * Asks where to, and backs the register up.
 */
void
shim_register_back_up_choose (GtkWidget *widget, ShimWorkspace *workspace)
{
  g_autoptr (GDateTime) now = g_date_time_new_now_local ();
  g_autofree char *name = g_date_time_format (now, "shimbook-%Y-%m-%d.register");

  g_object_set_data_full (G_OBJECT (widget), "shim-backup-workspace", g_object_ref (workspace), g_object_unref);
  shim_choose_save (widget, _ ("Back Up the Register"), name, back_up_chosen_cb, widget);
}

static void
open_chosen_cb (GListModel *files, gpointer user_data)
{
  g_autoptr (GFile) file = g_list_model_get_item (files, 0);

  if (g_file_peek_path (file) != NULL)
    gtk_widget_activate_action (GTK_WIDGET (user_data), "app.open-register", "^ay", g_file_peek_path (file));
  else
    shim_show_toast (GTK_WIDGET (user_data), _ ("Only files on this computer can be read"));
}

/**
 * shim_register_open_choose:
 * @widget: a window
 * @workspace: (nullable): its register
 *
 * Asks for another register, which gets a window of its own.
 */
void
shim_register_open_choose (GtkWidget *widget, ShimWorkspace *workspace)
{
  shim_choose_register (widget, _ ("Open Another Register"), workspace != NULL ? shim_workspace_get_path (workspace) : NULL,
                        open_chosen_cb, widget);
}
