/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>
#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-kit-photo.h"
#include "shim-ops.h"
#include "shim-workspace-ops.h"

/* From a photograph to the body and the lens that took it. */
typedef struct
{
  GtkWidget *widget;
  ShimKitPhotoFunc func;
  gpointer user_data;
  ShimProposal *proposal;
  gboolean only_new;
} Asking;

static void
asking_free (Asking *asking)
{
  g_clear_pointer (&asking->proposal, shim_proposal_free);
  g_object_unref (asking->widget);
  g_free (asking);
}

static void
response_cb (AdwMessageDialog *dialog, const char *response, Asking *asking)
{
  if (g_str_equal (response, "body"))
    asking->func (SHIM_RECORD (asking->proposal->body), asking->user_data);
  else if (g_str_equal (response, "lens"))
    asking->func (SHIM_RECORD (asking->proposal->lens), asking->user_data);
}

static void
describe (GString *text, const char *what, ShimRecord *record, gboolean known)
{
  const char *name = record != NULL ? shim_ops_kit_item_name (record) : NULL;

  if (record == NULL)
    g_string_append_printf (text, _ ("%s: the photograph does not say.\n"), what);
  else if (known)
    g_string_append_printf (text, _ ("%s: %s, already in the kit.\n"), what, name);
  else
    g_string_append_printf (text, _ ("%s: %s, not in the kit yet.\n"), what, name);
}

static void
add_answer (AdwMessageDialog *dialog, const char *id, gboolean known, const char *show, const char *add)
{
  const char *standard = adw_message_dialog_get_default_response (dialog);

  adw_message_dialog_add_response (dialog, id, known ? show : add);
  if (known || standard != NULL)
    return;
  adw_message_dialog_set_response_appearance (dialog, id, ADW_RESPONSE_SUGGESTED);
  adw_message_dialog_set_default_response (dialog, id);
}

static void
ask (Asking *asking)
{
  ShimProposal *proposal = asking->proposal;
  g_autoptr (GString) text = g_string_new (NULL);
  AdwMessageDialog *dialog;

  describe (text, _ ("Body"), SHIM_RECORD (proposal->body), proposal->body_is_known);
  describe (text, _ ("Lens"), SHIM_RECORD (proposal->lens), proposal->lens_is_known);
  for (guint i = 0; proposal->doubts != NULL && proposal->doubts[i] != NULL; i++)
    g_string_append_printf (text, "\n%s", proposal->doubts[i]);
  if (proposal->body != NULL && !proposal->body_is_known && proposal->lens != NULL && !proposal->lens_is_known)
    g_string_append (text, _ ("\n\nWhen one of the two is stored, the other is offered."));
  dialog = ADW_MESSAGE_DIALOG (adw_message_dialog_new (GTK_WINDOW (gtk_widget_get_root (asking->widget)),
                                                       _ ("Taken With"), text->str));
  adw_message_dialog_add_response (dialog, "close", _ ("_Close"));
  if (proposal->body != NULL)
    add_answer (dialog, "body", proposal->body_is_known, _ ("Show the _Body"), _ ("Add the _Body…"));
  if (proposal->lens != NULL)
    add_answer (dialog, "lens", proposal->lens_is_known, _ ("Show the _Lens"), _ ("Add the _Lens…"));
  adw_message_dialog_set_close_response (dialog, "close");
  g_signal_connect_data (dialog, "response", G_CALLBACK (response_cb), asking, (GClosureNotify) asking_free, 0);
  gtk_window_present (GTK_WINDOW (dialog));
}

static gboolean
is_all_known (const ShimProposal *proposal)
{
  return (proposal->body == NULL || proposal->body_is_known) && (proposal->lens == NULL || proposal->lens_is_known);
}

static void
proposed_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  Asking *asking = user_data;
  g_autoptr (GError) error = NULL;

  asking->proposal = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  if (asking->proposal != NULL && !(asking->only_new && is_all_known (asking->proposal)))
    {
      ask (asking);
      return;
    }
  if (asking->proposal == NULL)
    shim_show_error (asking->widget, _ ("The Photograph Was Not Read"), error);
  asking_free (asking);
}

/**
 * shim_kit_photo_propose:
 * @widget: any widget of the window
 * @workspace: the register
 * @file: a photograph
 * @only_new: whether to ask only when there is something that is not in the kit yet
 * @func: called with the body or the lens that the person chooses to look at
 * @user_data: for @func; must outlive the dialog
 *
 * Reads who took a photograph and asks what to do with it.
 */
void
shim_kit_photo_propose (GtkWidget *widget, ShimWorkspace *workspace, GFile *file, gboolean only_new,
                        ShimKitPhotoFunc func, gpointer user_data)
{
  g_autofree char *path = g_file_get_path (file);
  Asking *asking;

  if (path == NULL)
    {
      shim_show_toast (widget, _ ("Only files on this computer can be read"));
      return;
    }
  asking = g_new0 (Asking, 1);
  asking->widget = g_object_ref (widget);
  asking->only_new = only_new;
  asking->func = func;
  asking->user_data = user_data;
  shim_workspace_propose_async (workspace, path, NULL, proposed_cb, asking);
}
