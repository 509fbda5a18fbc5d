/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-event-dialog.h"
#include "shim-format.h"
#include "shim-kinds.h"
#include "shim-ops-kit.h"
#include "shim-record-dialog.h"
#include "shim-workspace-ops.h"

/* Whether its values are in doubt follows from what happened; the form does not ask for it. */
static void
note (ShimWorkspace *workspace, ShimRecord *before, ShimRecord *after, GAsyncReadyCallback callback, gpointer user_data)
{
  g_object_set (after, "casts-doubt", (gint64) shim_ops_kit_casts_doubt (SHIM_EVENT (after)->kind), NULL);
  shim_workspace_note_event_async (workspace, SHIM_EVENT (after), NULL, callback, user_data);
}

static void
noted_cb (ShimRecordDialog *dialog, ShimRecord *event, GtkWidget *widget)
{
  shim_show_done (widget, SHIM_EVENT (event)->casts_doubt ? _ ("Noted. Its pairs are due for a new test") : _ ("Noted"));
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
  g_autofree char *stamp = g_date_time_format (now, "%Y-%m-%dT%H:%M:%SZ");
  g_autofree char *today = shim_format_day (stamp);
  g_autofree char *title = g_strdup_printf (_ ("Event: %s"), item_name);
  ShimRecordDialog *dialog;

  g_object_set (event, "item-kind", item_kind, "item", item, "happened-on", today, "noted-at", stamp, NULL);
  dialog = shim_record_dialog_new (widget, workspace, title, _ ("_Note"), SHIM_RECORD (event));
  shim_record_dialog_set_intro (dialog, _ ("What happened to it, and when? A knock, water, service and new firmware make its pairs "
                                           "due; after a reset the same values are keyed in again."));
  shim_record_form_add_group (shim_record_dialog_get_form (dialog), "", fields);
  shim_record_dialog_set_store (dialog, note);
  g_signal_connect_object (dialog, "stored", G_CALLBACK (noted_cb), widget, 0);
  shim_record_dialog_show (dialog);
}
