/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-pair-actions.h"
#include "shim-setting-spin.h"
#include "shim-write-down-dialog.h"

/* A setting that no test gave: found in the body, on last year's list, or told by a technician. */

struct _ShimWriteDownDialog
{
  AdwMessageDialog parent_instance;

  /* Template widgets */
  AdwActionRow *keyed_row;
  GtkSwitch *keyed_switch;
  GtkWidget *long_row;
  GtkSpinButton *long_spin;
  AdwEntryRow *note_row;
  AdwActionRow *setting_row;
  GtkSpinButton *setting_spin;

  /* Owned */
  GtkWidget *opener;
  ShimWorkspace *workspace;
  char *pair;
};

G_DEFINE_FINAL_TYPE (ShimWriteDownDialog, shim_write_down_dialog, ADW_TYPE_MESSAGE_DIALOG)

static void
prepare_spin (GtkSpinButton *spin, const ShimBody *body, gint64 now)
{
  const double low = body->range_min != SHIM_NO_INT ? (double) body->range_min : -20.0;
  const double high = body->range_max != SHIM_NO_INT ? (double) body->range_max : 20.0;

  gtk_spin_button_set_range (spin, low, high);
  gtk_spin_button_set_value (spin, now != SHIM_NO_INT ? (double) now : 0.0);
  shim_setting_spin_prepare (spin);
}

static void
response_cb (ShimWriteDownDialog *self, const char *response)
{
  ShimWriteDown *request;
  const char *note = gtk_editable_get_text (GTK_EDITABLE (self->note_row));

  if (!g_str_equal (response, "write"))
    return;
  gtk_spin_button_update (self->setting_spin);
  gtk_spin_button_update (self->long_spin);
  request = shim_write_down_new (self->pair, "copied");
  request->setting = gtk_spin_button_get_value_as_int (self->setting_spin);
  if (gtk_widget_get_visible (self->long_row))
    request->setting_long = gtk_spin_button_get_value_as_int (self->long_spin);
  if (gtk_widget_get_visible (GTK_WIDGET (self->keyed_row)) && gtk_switch_get_active (self->keyed_switch))
    request->slot = SHIM_SLOT_NEXT;
  request->note = *note != '\0' ? g_strdup (note) : NULL;
  shim_pair_write_down (self->opener, self->workspace, request);
}

static void
shim_write_down_dialog_dispose (GObject *object)
{
  ShimWriteDownDialog *self = SHIM_WRITE_DOWN_DIALOG (object);

  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_WRITE_DOWN_DIALOG);
  g_clear_object (&self->opener);
  g_clear_object (&self->workspace);
  g_clear_pointer (&self->pair, g_free);
  G_OBJECT_CLASS (shim_write_down_dialog_parent_class)->dispose (object);
}

static void
shim_write_down_dialog_class_init (ShimWriteDownDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_write_down_dialog_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/pair/shim-write-down-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimWriteDownDialog, keyed_row);
  gtk_widget_class_bind_template_child (widget_class, ShimWriteDownDialog, keyed_switch);
  gtk_widget_class_bind_template_child (widget_class, ShimWriteDownDialog, long_row);
  gtk_widget_class_bind_template_child (widget_class, ShimWriteDownDialog, long_spin);
  gtk_widget_class_bind_template_child (widget_class, ShimWriteDownDialog, note_row);
  gtk_widget_class_bind_template_child (widget_class, ShimWriteDownDialog, setting_row);
  gtk_widget_class_bind_template_child (widget_class, ShimWriteDownDialog, setting_spin);
}

static void
shim_write_down_dialog_init (ShimWriteDownDialog *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  g_signal_connect (self, "response", G_CALLBACK (response_cb), NULL);
}

/**
 * shim_write_down_dialog_show:
 * @widget: any widget of the window
 * @workspace: the register
 * @view: the pair
 *
 * Asks for a setting of the pair, and stores it.
 */
void
shim_write_down_dialog_show (GtkWidget *widget, ShimWorkspace *workspace, const ShimPairView *view)
{
  ShimWriteDownDialog *self
      = g_object_new (SHIM_TYPE_WRITE_DOWN_DIALOG, "transient-for", GTK_WINDOW (gtk_widget_get_root (widget)), NULL);
  const gboolean has_two = view->body->zoom_values == 2 && view->lens->focal_max_mm > view->lens->focal_min_mm;

  self->opener = g_object_ref (widget);
  self->workspace = g_object_ref (workspace);
  self->pair = g_strdup (shim_record_get_id (SHIM_RECORD (view->pair)));
  prepare_spin (self->setting_spin, view->body, view->now->value);
  prepare_spin (self->long_spin, view->body, view->now->value_long != SHIM_NO_INT ? view->now->value_long : view->now->value);
  gtk_widget_set_visible (self->long_row, has_two);
  if (has_two)
    adw_preferences_row_set_title (ADW_PREFERENCES_ROW (self->setting_row), _ ("Setting of the wide end"));
  gtk_widget_set_visible (GTK_WIDGET (self->keyed_row), view->body->slot_count != 0);
  gtk_window_present (GTK_WINDOW (self));
  gtk_widget_grab_focus (GTK_WIDGET (self->setting_spin));
}
