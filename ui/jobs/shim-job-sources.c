/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-job-sources.h"
#include "shim-record-picker.h"
#include "shim-workspace-ops.h"

/* The two ways to fill a job at once: another job's kit, and serials. */

typedef struct
{
  GtkWidget *widget;
  ShimWorkspace *workspace;
  char *job;
  AdwMessageDialog *dialog;
  ShimRecordPicker *picker;
  GtkTextView *lines;
} Filling;

static void
filling_free (Filling *self)
{
  g_object_unref (self->widget);
  g_object_unref (self->workspace);
  g_free (self->job);
  g_free (self);
}

static Filling *
filling_new (GtkWidget *widget, ShimWorkspace *workspace, const char *job, const char *heading, const char *body, const char *verb)
{
  Filling *self = g_new0 (Filling, 1);

  self->widget = g_object_ref (widget);
  self->workspace = g_object_ref (workspace);
  self->job = g_strdup (job);
  self->dialog = ADW_MESSAGE_DIALOG (adw_message_dialog_new (GTK_WINDOW (gtk_widget_get_root (widget)), heading, body));
  adw_message_dialog_add_responses (self->dialog, "cancel", _ ("_Cancel"), "do", verb, NULL);
  adw_message_dialog_set_response_appearance (self->dialog, "do", ADW_RESPONSE_SUGGESTED);
  adw_message_dialog_set_response_enabled (self->dialog, "do", FALSE);
  adw_message_dialog_set_close_response (self->dialog, "cancel");
  return self;
}

/* --- another job's kit --- */

static void
copied_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GtkWidget) widget = GTK_WIDGET (user_data);
  g_autoptr (GError) error = NULL;

  if (shim_workspace_done_finish (SHIM_WORKSPACE (source), result, &error))
    shim_show_done (widget, _ ("The kit of the other job is taken along"));
  else
    shim_show_error (widget, _ ("The Kit Was Not Copied"), error);
}

static void
copy_response_cb (AdwMessageDialog *dialog, const char *response, Filling *self)
{
  const char *from = shim_record_picker_get_selected_id (self->picker);

  if (g_str_equal (response, "do") && from != NULL)
    shim_workspace_copy_job_items_async (self->workspace, self->job, from, NULL, copied_cb, g_object_ref (self->widget));
}

static void
picked_cb (Filling *self)
{
  adw_message_dialog_set_response_enabled (self->dialog, "do", shim_record_picker_get_selected_id (self->picker) != NULL);
}

/**
 * shim_job_copy_show:
 * @widget: any widget of the window
 * @workspace: the register
 * @job: id of the job that gets the kit
 *
 * Asks for another job and takes along what that one takes.
 */
void
shim_job_copy_show (GtkWidget *widget, ShimWorkspace *workspace, const char *job)
{
  Filling *self = filling_new (widget, workspace, job, _ ("Copy a Job’s Kit"),
                               _ ("What the other job takes is taken along here too. What is here stays."), _ ("_Take Along"));

  self->picker = g_object_new (SHIM_TYPE_RECORD_PICKER, "height-request", 280, "width-request", 380, NULL);
  /* A job that is over is the very one to copy. */
  shim_record_picker_set_archived (self->picker, TRUE);
  shim_record_picker_leave_out (self->picker, job);
  shim_record_picker_set_kind (self->picker, workspace, "job", "on_date", TRUE);
  adw_message_dialog_set_extra_child (self->dialog, GTK_WIDGET (self->picker));
  g_signal_connect_swapped (self->picker, "notify::selected-id", G_CALLBACK (picked_cb), self);
  g_signal_connect_data (self->dialog, "response", G_CALLBACK (copy_response_cb), self, (GClosureNotify) filling_free, 0);
  gtk_window_present (GTK_WINDOW (self->dialog));
}

/* --- serials --- */

static void
append_serials (GString *text, const char *heading, char **serials)
{
  if (serials == NULL || *serials == NULL)
    return;
  g_string_append_printf (text, "%s%s\n", text->len > 0 ? "\n\n" : "", heading);
  for (char **serial = serials; *serial != NULL; serial++)
    g_string_append_printf (text, "%s%s", serial != serials ? ", " : "", *serial);
}

/* (transfer full): how many were taken along, and how many of those asked for the job had. */
static char *
taken_text (const ShimPickResult *picked)
{
  g_autofree char *added = g_strdup_printf (ngettext ("%u item was taken along", "%u items were taken along", picked->n_added),
                                            picked->n_added);

  if (picked->n_there == 0)
    return g_steal_pointer (&added);
  return g_strdup_printf (_ ("%s; on the list already: %u"), added, picked->n_there);
}

/* What was not found must be seen: it is a list to walk with, not a passing word. */
static void
tell_result (GtkWidget *widget, const ShimPickResult *picked)
{
  g_autoptr (GString) missing = g_string_new (NULL);
  g_autofree char *taken = taken_text (picked);
  GtkWidget *dialog;

  append_serials (missing, _ ("Nothing in the register has these serials:"), picked->not_found);
  append_serials (missing, _ ("Several items share these serials; choose them by search:"), picked->ambiguous);
  if (missing->len == 0)
    {
      shim_show_done (widget, taken);
      return;
    }
  dialog = adw_message_dialog_new (GTK_WINDOW (gtk_widget_get_root (widget)), taken, missing->str);
  adw_message_dialog_add_response (ADW_MESSAGE_DIALOG (dialog), "close", _ ("_Close"));
  adw_message_dialog_set_default_response (ADW_MESSAGE_DIALOG (dialog), "close");
  adw_message_dialog_set_close_response (ADW_MESSAGE_DIALOG (dialog), "close");
  gtk_window_present (GTK_WINDOW (dialog));
}

static void
serials_taken_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GtkWidget) widget = GTK_WIDGET (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPickResult) picked = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (picked != NULL)
    tell_result (widget, picked);
  else
    shim_show_error (widget, _ ("The Items Were Not Taken Along"), error);
}

static char *
lines_text (Filling *self)
{
  GtkTextBuffer *buffer = gtk_text_view_get_buffer (self->lines);
  GtkTextIter start, end;

  gtk_text_buffer_get_bounds (buffer, &start, &end);
  return gtk_text_buffer_get_text (buffer, &start, &end, FALSE);
}

static void
serials_response_cb (AdwMessageDialog *dialog, const char *response, Filling *self)
{
  g_autofree char *lines = lines_text (self);

  if (g_str_equal (response, "do"))
    shim_workspace_add_serials_async (self->workspace, self->job, lines, NULL, serials_taken_cb, g_object_ref (self->widget));
}

static void
lines_changed_cb (Filling *self)
{
  g_autofree char *lines = lines_text (self);

  adw_message_dialog_set_response_enabled (self->dialog, "do", *g_strstrip (lines) != '\0');
}

/**
 * shim_job_serials_show:
 * @widget: any widget of the window
 * @workspace: the register
 * @job: id of the job that takes the items along
 *
 * Asks for serials, one a line, typed, scanned or pasted, and afterwards names those that are of nothing in the register.
 */
void
shim_job_serials_show (GtkWidget *widget, ShimWorkspace *workspace, const char *job)
{
  Filling *self = filling_new (widget, workspace, job, _ ("Items by Their Serials"),
                               _ ("One serial a line: typed, pasted or from a scanner."), _ ("_Take Along"));
  GtkWidget *scroller = gtk_scrolled_window_new ();

  self->lines = GTK_TEXT_VIEW (gtk_text_view_new ());
  gtk_text_view_set_monospace (self->lines, TRUE);
  /* Tab goes on to the buttons; a serial has none. */
  gtk_text_view_set_accepts_tab (self->lines, FALSE);
  gtk_text_view_set_left_margin (self->lines, 9);
  gtk_text_view_set_top_margin (self->lines, 9);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->lines), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Serials"), -1);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scroller), GTK_WIDGET (self->lines));
  gtk_scrolled_window_set_has_frame (GTK_SCROLLED_WINDOW (scroller), TRUE);
  gtk_widget_set_size_request (scroller, 380, 220);
  adw_message_dialog_set_extra_child (self->dialog, scroller);
  g_signal_connect_swapped (gtk_text_view_get_buffer (self->lines), "changed", G_CALLBACK (lines_changed_cb), self);
  g_signal_connect_data (self->dialog, "response", G_CALLBACK (serials_response_cb), self, (GClosureNotify) filling_free, 0);
  gtk_window_present (GTK_WINDOW (self->dialog));
  gtk_widget_grab_focus (GTK_WIDGET (self->lines));
}
