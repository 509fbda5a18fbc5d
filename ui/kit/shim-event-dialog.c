/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-event-dialog.h"
#include "shim-kinds.h"
#include "shim-record-form.h"
#include "shim-workspace-ops.h"

/* One dialog at a time; it lives as long as its window. */
typedef struct
{
  GtkWidget *widget;
  ShimWorkspace *workspace;
  AdwMessageDialog *dialog;
  ShimRecordForm *form;
} EventDialog;

static void
event_dialog_free (EventDialog *self)
{
  g_object_unref (self->widget);
  g_object_unref (self->workspace);
  g_free (self);
}

static void
noted_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GtkWidget) widget = GTK_WIDGET (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecord) event = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (event == NULL)
    shim_show_error (widget, _ ("The event was not noted"), error);
  else if (SHIM_EVENT (event)->casts_doubt)
    shim_show_done (widget, _ ("Noted. Its pairs are due for a new test"));
  else
    shim_show_done (widget, _ ("Noted"));
}

static void
response_cb (AdwMessageDialog *dialog, const char *response, EventDialog *self)
{
  if (g_str_equal (response, "note"))
    shim_workspace_note_event_async (self->workspace, SHIM_EVENT (shim_record_form_get_record (self->form)), NULL, noted_cb,
                                     g_object_ref (self->widget));
}

static void
valid_changed_cb (ShimRecordForm *form, GParamSpec *pspec, EventDialog *self)
{
  adw_message_dialog_set_response_enabled (self->dialog, "note", shim_record_form_get_valid (self->form));
}

/**
 * shim_event_dialog_show:
 * @widget: any widget of the window
 * @workspace: where it is noted
 * @item_kind: "body", "lens" or "converter"
 * @item: its id
 * @item_name: what the crew calls it
 *
 * Asks what happened to an item and notes it.
 */
void
shim_event_dialog_show (GtkWidget *widget, ShimWorkspace *workspace, const char *item_kind, const char *item,
                        const char *item_name)
{
  static const char *const fields[] = { "kind", "happened_on", "who", "note", NULL };
  g_autoptr (ShimEvent) event = shim_event_new ();
  g_autoptr (GDateTime) now = g_date_time_new_now_utc ();
  g_autofree char *today = g_date_time_format (now, "%Y-%m-%d");
  g_autofree char *stamp = g_date_time_format (now, "%Y-%m-%dT%H:%M:%SZ");
  EventDialog *self = g_new0 (EventDialog, 1);

  g_object_set (event, "item-kind", item_kind, "item", item, "happened-on", today, "noted-at", stamp, NULL);
  self->widget = g_object_ref (widget);
  self->workspace = g_object_ref (workspace);
  self->dialog = ADW_MESSAGE_DIALOG (adw_message_dialog_new (GTK_WINDOW (gtk_widget_get_root (widget)), item_name,
                                                             _ ("What happened to it, and when? Service, a knock, new firmware and "
                                                                "a reset cast doubt on its values.")));
  adw_message_dialog_add_responses (self->dialog, "cancel", _ ("_Cancel"), "note", _ ("_Note"), NULL);
  adw_message_dialog_set_response_appearance (self->dialog, "note", ADW_RESPONSE_SUGGESTED);
  adw_message_dialog_set_default_response (self->dialog, "note");
  adw_message_dialog_set_close_response (self->dialog, "cancel");
  adw_message_dialog_set_response_enabled (self->dialog, "note", FALSE);

  self->form = SHIM_RECORD_FORM (shim_record_form_new (SHIM_RECORD (event)));
  shim_record_form_add_group (self->form, "", fields);
  adw_message_dialog_set_extra_child (self->dialog, GTK_WIDGET (self->form));
  g_signal_connect (self->form, "notify::valid", G_CALLBACK (valid_changed_cb), self);
  g_signal_connect_data (self->dialog, "response", G_CALLBACK (response_cb), self, (GClosureNotify) event_dialog_free, 0);
  gtk_window_present (GTK_WINDOW (self->dialog));
}
