/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-job-editor.h"
#include "shim-record-dialog.h"

static void
stored_cb (ShimRecordDialog *dialog, ShimRecord *job, GtkWidget *widget)
{
  ShimJobFunc func = (ShimJobFunc) g_object_get_data (G_OBJECT (dialog), "shim-func");

  func (SHIM_JOB (job), widget);
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
  gboolean is_new = shim_record_get_id (SHIM_RECORD (job)) == NULL;
  ShimRecordDialog *dialog = shim_record_dialog_new (widget, workspace, is_new ? _ ("New Job") : _ ("Change the Job"), _ ("_Save"),
                                                     SHIM_RECORD (job));

  shim_record_form_add_group (shim_record_dialog_get_form (dialog), "", fields);
  if (func != NULL)
    {
      g_object_set_data (G_OBJECT (dialog), "shim-func", (gpointer) func);
      g_signal_connect_object (dialog, "stored", G_CALLBACK (stored_cb), widget, 0);
    }
  shim_record_dialog_show (dialog);
}
