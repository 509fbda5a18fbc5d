/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-job-editor.h"
#include "shim-record-form.h"
#include "shim-workspace-ops.h"

/* Lives as long as its dialog, and once more as long as the storing takes. */
typedef struct
{
  GtkWidget *widget;
  ShimWorkspace *workspace;
  ShimJobFunc func;
  AdwMessageDialog *dialog;
  ShimRecordForm *form;
} JobEditor;

static JobEditor *
job_editor_new (GtkWidget *widget, ShimWorkspace *workspace, ShimJobFunc func)
{
  JobEditor *self = g_new0 (JobEditor, 1);

  self->widget = g_object_ref (widget);
  self->workspace = g_object_ref (workspace);
  self->func = func;
  return self;
}

static void
job_editor_free (JobEditor *self)
{
  g_object_unref (self->widget);
  g_object_unref (self->workspace);
  g_free (self);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (JobEditor, job_editor_free)

static void
saved_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (JobEditor) self = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecord) job = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (job == NULL)
    shim_show_error (self->widget, _ ("The Job Was Not Stored"), error);
  else if (self->func != NULL)
    self->func (SHIM_JOB (job), self->widget);
}

static void
response_cb (AdwMessageDialog *dialog, const char *response, JobEditor *self)
{
  if (g_str_equal (response, "save"))
    shim_workspace_save_async (self->workspace, shim_record_form_get_record (self->form), NULL, saved_cb,
                               job_editor_new (self->widget, self->workspace, self->func));
}

static void
update_save (JobEditor *self)
{
  adw_message_dialog_set_response_enabled (self->dialog, "save", shim_record_form_get_valid (self->form));
}

/**
 * shim_job_editor_show:
 * @widget: any widget of the window
 * @workspace: where the job is stored
 * @job: the job; without an id it is a new one
 * @func: (nullable): called with the stored job and @widget
 *
 * Asks for name, days, place and who takes the kit.
 */
void
shim_job_editor_show (GtkWidget *widget, ShimWorkspace *workspace, ShimJob *job, ShimJobFunc func)
{
  static const char *const fields[] = { "name", "on_date", "until_date", "place", "holder", "note", NULL };
  JobEditor *self = job_editor_new (widget, workspace, func);
  gboolean is_new = shim_record_get_id (SHIM_RECORD (job)) == NULL;

  self->dialog = ADW_MESSAGE_DIALOG (adw_message_dialog_new (GTK_WINDOW (gtk_widget_get_root (widget)),
                                                             is_new ? _ ("New Job") : _ ("Change the Job"), NULL));
  adw_message_dialog_add_responses (self->dialog, "cancel", _ ("_Cancel"), "save", _ ("_Save"), NULL);
  adw_message_dialog_set_response_appearance (self->dialog, "save", ADW_RESPONSE_SUGGESTED);
  adw_message_dialog_set_default_response (self->dialog, "save");
  adw_message_dialog_set_close_response (self->dialog, "cancel");

  self->form = SHIM_RECORD_FORM (shim_record_form_new (SHIM_RECORD (job)));
  gtk_widget_set_size_request (GTK_WIDGET (self->form), 380, -1);
  shim_record_form_add_group (self->form, "", fields);
  adw_message_dialog_set_extra_child (self->dialog, GTK_WIDGET (self->form));
  g_signal_connect_swapped (self->form, "notify::valid", G_CALLBACK (update_save), self);
  g_signal_connect_data (self->dialog, "response", G_CALLBACK (response_cb), self, (GClosureNotify) job_editor_free, 0);
  update_save (self);
  gtk_window_present (GTK_WINDOW (self->dialog));
  gtk_widget_child_focus (GTK_WIDGET (self->form), GTK_DIR_TAB_FORWARD);
}
