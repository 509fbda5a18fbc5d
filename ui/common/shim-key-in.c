/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>
#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-key-in.h"
#include "shim-workspace-ops.h"

/* Keying in: first the person keys the value into the body, then says so. */

typedef struct
{
  GtkWidget *widget;
  ShimWorkspace *workspace;
  char *pair;
  gint64 number;
} Keying;

static void
keying_free (Keying *self)
{
  g_object_unref (self->widget);
  g_object_unref (self->workspace);
  g_free (self->pair);
  g_free (self);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Keying, keying_free)

static void
keyed_in_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GtkWidget) widget = GTK_WIDGET (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (GObject) entry = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (entry != NULL)
    shim_show_done (widget, _ ("Noted as keyed in"));
  else
    shim_show_error (widget, _ ("The Change Was Not Stored"), error);
}

static void
keying_response_cb (AdwMessageDialog *dialog, const char *response, Keying *self)
{
  if (g_str_equal (response, "done"))
    shim_workspace_key_in_async (self->workspace, self->pair, self->number, FALSE, NULL, keyed_in_cb, g_object_ref (self->widget));
}

static void
ask_keyed_in (Keying *self, const char *sentence, const char *proposed)
{
  g_autofree char *body = g_strdup_printf ("%s\n\n%s", sentence, proposed);
  GtkWidget *dialog = adw_message_dialog_new (GTK_WINDOW (gtk_widget_get_root (self->widget)), _ ("Key the Value In"), body);

  adw_message_dialog_add_responses (ADW_MESSAGE_DIALOG (dialog), "cancel", _ ("_Not Yet"), "done", _ ("_Keyed In"), NULL);
  adw_message_dialog_set_response_appearance (ADW_MESSAGE_DIALOG (dialog), "done", ADW_RESPONSE_SUGGESTED);
  adw_message_dialog_set_default_response (ADW_MESSAGE_DIALOG (dialog), "done");
  adw_message_dialog_set_close_response (ADW_MESSAGE_DIALOG (dialog), "cancel");
  g_signal_connect_data (dialog, "response", G_CALLBACK (keying_response_cb), self, (GClosureNotify) keying_free, 0);
  gtk_window_present (GTK_WINDOW (dialog));
}

typedef struct
{
  Keying *keying;
  char *body;
  char *sentence;
} Proposing;

static void
proposing_free (Proposing *self)
{
  g_clear_pointer (&self->keying, keying_free);
  g_free (self->body);
  g_free (self->sentence);
  g_free (self);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Proposing, proposing_free)

static void
proposed_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (Proposing) self = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimSlotProposal) proposal = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (proposal == NULL)
    {
      shim_show_error (self->keying->widget, _ ("No Slot Could Be Proposed"), error);
      return;
    }
  if (proposal->number == SHIM_SLOT_NONE)
    {
      /* Nothing free: what to give up is decided where all slots are seen. */
      gtk_widget_activate_action (self->keying->widget, "win.open-slots", "s", self->body);
      return;
    }
  self->keying->number = proposal->number;
  ask_keyed_in (g_steal_pointer (&self->keying), self->sentence, proposal->sentence);
}

/**
 * shim_key_in:
 * @widget: any widget of the window
 * @workspace: the register
 * @body: id of the pair's body
 * @pair: id of a pair whose setting is decided but not keyed in
 * @sentence: what that setting is
 *
 * Proposes a slot, waits until the person has keyed the setting into the body, and stores that. Where no slot is free it leads to the
 * slots of the body.
 */
void
shim_key_in (GtkWidget *widget, ShimWorkspace *workspace, const char *body, const char *pair, const char *sentence)
{
  Proposing *self;

  g_return_if_fail (GTK_IS_WIDGET (widget));
  g_return_if_fail (pair != NULL && sentence != NULL);

  self = g_new0 (Proposing, 1);
  self->body = g_strdup (body);
  self->sentence = g_strdup (sentence);
  self->keying = g_new0 (Keying, 1);
  self->keying->widget = g_object_ref (widget);
  self->keying->workspace = g_object_ref (workspace);
  self->keying->pair = g_strdup (pair);
  shim_workspace_propose_slot_async (workspace, pair, SHIM_SLOT_NEXT, NULL, proposed_cb, self);
}
