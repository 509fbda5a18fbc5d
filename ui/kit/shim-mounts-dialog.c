/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-format.h"
#include "shim-item-editor.h"
#include "shim-kinds.h"
#include "shim-mounts-dialog.h"
#include "shim-record-list.h"
#include "shim-whole-rows.h"

/* The mounts that the register knows, with their flange distances: looked at, changed and added to. */

struct _ShimMountsDialog
{
  AdwWindow parent_instance;

  /* Template widgets */
  GtkListBox *list;

  /* Owned */
  ShimWorkspace *workspace;
  ShimRecordList *mounts;
};

G_DEFINE_FINAL_TYPE (ShimMountsDialog, shim_mounts_dialog, ADW_TYPE_WINDOW)

static void
update_row (ShimMount *mount, GParamSpec *pspec, AdwActionRow *row)
{
  g_autofree char *title = g_markup_escape_text (mount->name != NULL ? mount->name : "", -1);
  g_autofree char *distance = isnan (mount->flange_mm) ? NULL : shim_format_number (mount->flange_mm, 2);
  g_autoptr (GString) under = g_string_new (NULL);
  g_autofree char *escaped = NULL;

  if (distance != NULL)
    g_string_append_printf (under, _ ("Flange distance %s mm"), distance);
  else
    g_string_append (under, _ ("Flange distance not known"));
  g_string_append_printf (under, " · %s", mount->electronic ? _ ("carries lens data") : _ ("carries no lens data"));
  if (mount->note != NULL)
    g_string_append_printf (under, " · %s", mount->note);
  escaped = g_markup_escape_text (under->str, -1);
  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), title);
  adw_action_row_set_subtitle (row, escaped);
}

static GtkWidget *
row_new (gpointer item, gpointer user_data)
{
  GtkWidget *row = adw_action_row_new ();

  gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), TRUE);
  g_object_set_data_full (G_OBJECT (row), "shim-mount", g_object_ref (item), g_object_unref);
  g_signal_connect_object (item, "notify", G_CALLBACK (update_row), row, 0);
  update_row (item, NULL, ADW_ACTION_ROW (row));
  return row;
}

static void
activated_cb (GtkListBox *list, GtkListBoxRow *row, ShimMountsDialog *self)
{
  shim_item_editor_show (GTK_WIDGET (self), self->workspace, g_object_get_data (G_OBJECT (row), "shim-mount"), NULL);
}

static void
add_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  g_autoptr (ShimMount) mount = shim_mount_new ();

  shim_item_editor_show (widget, SHIM_MOUNTS_DIALOG (widget)->workspace, SHIM_RECORD (mount), NULL);
}

static void
shim_mounts_dialog_dispose (GObject *object)
{
  ShimMountsDialog *self = SHIM_MOUNTS_DIALOG (object);

  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_MOUNTS_DIALOG);
  g_clear_object (&self->mounts);
  g_clear_object (&self->workspace);
  G_OBJECT_CLASS (shim_mounts_dialog_parent_class)->dispose (object);
}

static void
shim_mounts_dialog_class_init (ShimMountsDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_mounts_dialog_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/kit/shim-mounts-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimMountsDialog, list);
  gtk_widget_class_bind_template_callback (widget_class, activated_cb);
  gtk_widget_class_install_action (widget_class, "mounts.add", NULL, add_cb);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
}

static void
shim_mounts_dialog_init (ShimMountsDialog *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  shim_window_show_rows_whole (GTK_WINDOW (self));
}

/**
 * shim_mounts_dialog_show:
 * @widget: any widget of the window
 * @workspace: whose mounts
 */
void
shim_mounts_dialog_show (GtkWidget *widget, ShimWorkspace *workspace)
{
  ShimMountsDialog *self = g_object_new (SHIM_TYPE_MOUNTS_DIALOG, "transient-for", GTK_WINDOW (gtk_widget_get_root (widget)), NULL);
  g_autoptr (ShimQuery) query = shim_query_new ();

  self->workspace = g_object_ref (workspace);
  shim_query_add_order (query, "name", FALSE);
  self->mounts = shim_record_list_new (workspace, SHIM_TYPE_MOUNT, query);
  gtk_list_box_bind_model (self->list, G_LIST_MODEL (self->mounts), row_new, NULL, NULL);
  gtk_window_present (GTK_WINDOW (self));
}
