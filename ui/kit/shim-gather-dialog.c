/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-gather-dialog.h"
#include "shim-kinds.h"
#include "shim-ops-gather.h"
#include "shim-ops-mounts.h"
#include "shim-whole-rows.h"
#include "shim-workspace-ops.h"

/* More files that could not be read than these help nobody; the count says how many there are. */
#define UNREAD_SHOWN 6

struct _ShimGatherDialog
{
  AdwWindow parent_instance;

  /* Template widgets */
  AdwPreferencesGroup *group;
  AdwPreferencesGroup *mount_group;
  GtkStack *stack;

  /* Owned */
  ShimWorkspace *workspace;
  GtkWidget *opener;
  GCancellable *cancellable;
  ShimGathering *gathering;
  GtkSizeGroup *prefixes; /* so that all titles begin at one place */
  GPtrArray *checks; /* of GtkCheckButton, borrowed; NULL for a known item */
  GPtrArray *mount_rows; /* of AdwComboRow, borrowed, by system; NULL where the photographs say the mount */
};

G_DEFINE_FINAL_TYPE (ShimGatherDialog, shim_gather_dialog, ADW_TYPE_WINDOW)

static gboolean
is_chosen (ShimGatherDialog *self, guint i)
{
  return self->checks->pdata[i] != NULL && gtk_check_button_get_active (self->checks->pdata[i]);
}

static const char *
chosen_mount (ShimGatherDialog *self, const ShimGathered *item)
{
  AdwComboRow *row = self->mount_rows->pdata[item->system];
  GtkStringObject *chosen = row != NULL ? adw_combo_row_get_selected_item (row) : NULL;

  return chosen != NULL && adw_combo_row_get_selected (row) > 0 ? gtk_string_object_get_string (chosen) : NULL;
}

/* What is stored needs a mount, and there must be something to store. */
static void
update_add (ShimGatherDialog *self)
{
  guint n = 0, n_without = 0;

  for (guint i = 0; self->gathering != NULL && i < self->gathering->items->len; i++)
    if (is_chosen (self, i))
      {
        const ShimGathered *item = self->gathering->items->pdata[i];

        n++;
        n_without += shim_gathered_lacks_mount (item) && chosen_mount (self, item) == NULL;
      }
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "gather.add", n > 0 && n_without == 0);
}

static char *
describe (const ShimGathered *item)
{
  g_autofree char *serial = NULL;
  g_autoptr (GString) text = g_string_new (_ (shim_record_get_kind (item->record)->label));

  g_object_get (item->record, "serial", &serial, NULL);
  g_string_append_printf (text, " · %s", serial != NULL ? serial : _ ("no serial number in the photograph"));
  g_string_append_printf (text, ngettext (" · in %u photograph", " · in %u photographs", item->n_photos), item->n_photos);
  if (item->is_known)
    g_string_append_printf (text, " · %s", _ ("already in the kit"));
  return g_string_free (g_steal_pointer (&text), FALSE);
}

static void
add_row (ShimGatherDialog *self, const char *title, const char *subtitle, GtkWidget *prefix)
{
  GtkWidget *row = adw_action_row_new ();
  g_autofree char *escaped_title = g_markup_escape_text (title, -1), *escaped = g_markup_escape_text (subtitle, -1);

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), escaped_title);
  adw_action_row_set_subtitle (ADW_ACTION_ROW (row), escaped);
  gtk_widget_set_valign (prefix, GTK_ALIGN_CENTER);
  gtk_size_group_add_widget (self->prefixes, prefix);
  adw_action_row_add_prefix (ADW_ACTION_ROW (row), prefix);
  if (GTK_IS_CHECK_BUTTON (prefix))
    adw_action_row_set_activatable_widget (ADW_ACTION_ROW (row), prefix);
  adw_preferences_group_add (self->group, row);
}

static void
add_item (ShimGatherDialog *self, const ShimGathered *item)
{
  const char *name = shim_ops_kit_item_name (item->record);
  g_autofree char *text = describe (item);
  GtkWidget *check;

  if (item->is_known)
    {
      g_ptr_array_add (self->checks, NULL);
      add_row (self, name, text, gtk_image_new_from_icon_name ("emblem-ok-symbolic"));
      return;
    }
  check = gtk_check_button_new ();
  gtk_check_button_set_active (GTK_CHECK_BUTTON (check), TRUE);
  gtk_accessible_update_property (GTK_ACCESSIBLE (check), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  g_signal_connect_object (check, "toggled", G_CALLBACK (update_add), self, G_CONNECT_SWAPPED);
  g_ptr_array_add (self->checks, check);
  add_row (self, name, text, check);
}

static void
add_unread (ShimGatherDialog *self)
{
  const GPtrArray *unread = self->gathering->unread;
  g_autofree char *title = g_strdup_printf (ngettext ("%u file was not read", "%u files were not read", unread->len), unread->len);

  for (guint i = 0; i < MIN (unread->len, UNREAD_SHOWN); i++)
    add_row (self, i == 0 ? title : "", unread->pdata[i], gtk_image_new_from_icon_name ("dialog-warning-symbolic"));
}

/* Photographs of two makes of camera ask for two mounts. */
static char *
mount_title (ShimGatherDialog *self, guint system)
{
  const GPtrArray *items = self->gathering->items;
  const char *name = NULL;
  guint n = 0;

  for (guint i = 0; i < items->len; i++)
    {
      const ShimGathered *item = items->pdata[i];

      n += item->system == system;
      if (item->system == system && name == NULL)
        name = shim_ops_kit_item_name (item->record);
    }
  if (self->gathering->n_systems < 2)
    return g_strdup (_ ("Mount"));
  return n < 2 ? g_strdup_printf (_ ("Mount of %s"), name) : g_strdup_printf (_ ("Mount of %s and what was on it"), name);
}

static void
add_mount_row (ShimGatherDialog *self, guint system, GListModel *mounts)
{
  GtkWidget *row = adw_combo_row_new ();
  g_autofree char *title = mount_title (self, system);
  g_autofree char *escaped = g_markup_escape_text (title, -1);

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), escaped);
  adw_combo_row_set_model (ADW_COMBO_ROW (row), mounts);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, title, -1);
  g_signal_connect_object (row, "notify::selected", G_CALLBACK (update_add), self, G_CONNECT_SWAPPED);
  adw_preferences_group_add (self->mount_group, row);
  self->mount_rows->pdata[system] = row;
}

static void
show_gathering (ShimGatherDialog *self, GListModel *mounts)
{
  const GPtrArray *items = self->gathering->items;
  gboolean any_lacks_mount = FALSE;
  g_autofree char *text = NULL;

  g_ptr_array_set_size (self->mount_rows, (int) self->gathering->n_systems);
  for (guint i = 0; i < items->len; i++)
    {
      const ShimGathered *item = items->pdata[i];

      add_item (self, item);
      if (!shim_gathered_lacks_mount (item))
        continue;
      any_lacks_mount = TRUE;
      if (self->mount_rows->pdata[item->system] == NULL)
        add_mount_row (self, item->system, mounts);
    }
  add_unread (self);
  text = g_strdup_printf (ngettext ("%u photograph was read.", "%u photographs were read.", self->gathering->n_photos),
                          self->gathering->n_photos);
  if (items->len == 0)
    adw_preferences_group_set_title (self->group, _ ("No Photograph Names a Body or a Lens"));
  adw_preferences_group_set_description (self->group, text);
  gtk_widget_set_visible (GTK_WIDGET (self->mount_group), any_lacks_mount);
  gtk_stack_set_visible_child_name (self->stack, "items");
  update_add (self);
}

typedef struct
{
  ShimGathering *gathering;
  char **mounts;
} Answer;

static void
answer_free (Answer *answer)
{
  shim_gathering_free (answer->gathering);
  g_strfreev (answer->mounts);
  g_free (answer);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Answer, answer_free)

/* The register's thread. */
static gpointer
gather_func (ShimRegister *reg, gpointer paths, GCancellable *cancellable, GError **error)
{
  g_autoptr (Answer) answer = g_new0 (Answer, 1);

  answer->gathering = shim_ops_gather (reg, paths, cancellable, error);
  if (answer->gathering == NULL || (answer->mounts = shim_ops_mounts_dup_names (reg, error)) == NULL)
    return NULL;
  return g_steal_pointer (&answer);
}

static void
gathered_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimGatherDialog) self = SHIM_GATHER_DIALOG (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (Answer) answer = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  g_autoptr (GtkStringList) mounts = NULL;

  if (self->stack == NULL || g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    return;
  if (answer == NULL)
    {
      shim_show_error (self->opener, _ ("The Photographs Were Not Read"), error);
      gtk_window_close (GTK_WINDOW (self));
      return;
    }
  mounts = gtk_string_list_new (NULL);
  gtk_string_list_append (mounts, _ ("Choose"));
  gtk_string_list_splice (mounts, 1, 0, (const char *const *) answer->mounts);
  self->gathering = g_steal_pointer (&answer->gathering);
  show_gathering (self, G_LIST_MODEL (mounts));
}

/* --- storing --- */

static void
stored_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimGatherDialog) self = SHIM_GATHER_DIALOG (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimImportResult) outcome = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  g_autofree char *sentence = NULL;

  if (outcome == NULL || !outcome->stored)
    {
      if (outcome != NULL && outcome->problems->len > 0)
        g_set_error (&error, G_IO_ERROR, G_IO_ERROR_FAILED, _ ("%s Take the tick from what stands in the way, and add it by hand."),
                     ((ShimImportProblem *) outcome->problems->pdata[0])->sentence);
      gtk_widget_set_sensitive (GTK_WIDGET (self), TRUE);
      shim_show_error (GTK_WIDGET (self), _ ("Nothing Was Stored"), error);
      return;
    }
  sentence = g_strdup_printf (ngettext ("%u item added; fill in on its page what the photographs do not say",
                                        "%u items added; fill in on their pages what the photographs do not say", outcome->n_added),
                              outcome->n_added);
  shim_show_done (self->opener, sentence);
  gtk_window_close (GTK_WINDOW (self));
}

static void
add_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimGatherDialog *self = SHIM_GATHER_DIALOG (widget);
  g_autoptr (GPtrArray) records = g_ptr_array_new_with_free_func (g_object_unref);

  for (guint i = 0; i < self->gathering->items->len; i++)
    {
      const ShimGathered *item = self->gathering->items->pdata[i];

      if (is_chosen (self, i))
        g_ptr_array_add (records, shim_gathered_dup_new (item, chosen_mount (self, item)));
    }
  gtk_widget_set_sensitive (widget, FALSE);
  shim_workspace_import_async (self->workspace, records, SHIM_IMPORT_DEFAULT, NULL, stored_cb, g_object_ref (self));
}

static void
shim_gather_dialog_dispose (GObject *object)
{
  ShimGatherDialog *self = SHIM_GATHER_DIALOG (object);

  g_cancellable_cancel (self->cancellable);
  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_GATHER_DIALOG);
  g_clear_object (&self->cancellable);
  g_clear_object (&self->prefixes);
  g_clear_object (&self->opener);
  g_clear_object (&self->workspace);
  g_clear_pointer (&self->checks, g_ptr_array_unref);
  g_clear_pointer (&self->mount_rows, g_ptr_array_unref);
  g_clear_pointer (&self->gathering, shim_gathering_free);
  G_OBJECT_CLASS (shim_gather_dialog_parent_class)->dispose (object);
}

static void
shim_gather_dialog_class_init (ShimGatherDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_gather_dialog_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/kit/shim-gather-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimGatherDialog, group);
  gtk_widget_class_bind_template_child (widget_class, ShimGatherDialog, mount_group);
  gtk_widget_class_bind_template_child (widget_class, ShimGatherDialog, stack);
  gtk_widget_class_install_action (widget_class, "gather.add", NULL, add_cb);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
}

static void
shim_gather_dialog_init (ShimGatherDialog *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  shim_window_show_rows_whole (GTK_WINDOW (self));
  self->cancellable = g_cancellable_new ();
  self->prefixes = gtk_size_group_new (GTK_SIZE_GROUP_HORIZONTAL);
  self->checks = g_ptr_array_new ();
  self->mount_rows = g_ptr_array_new ();
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "gather.add", FALSE);
}

/**
 * shim_gather_dialog_show:
 * @widget: any widget of the window
 * @workspace: where the items go
 * @paths: (array zero-terminated=1): photographs
 *
 * Reads who took them, and offers to add what is new.
 */
void
shim_gather_dialog_show (GtkWidget *widget, ShimWorkspace *workspace, const char *const *paths)
{
  ShimGatherDialog *self = g_object_new (SHIM_TYPE_GATHER_DIALOG, "transient-for", GTK_WINDOW (gtk_widget_get_root (widget)), NULL);

  self->workspace = g_object_ref (workspace);
  self->opener = g_object_ref (widget);
  shim_workspace_call_async (workspace, gather_func, g_strdupv ((char **) paths), (GDestroyNotify) g_strfreev,
                             (GDestroyNotify) answer_free, self->cancellable, gathered_cb, g_object_ref (self));
  gtk_window_present (GTK_WINDOW (self));
}
