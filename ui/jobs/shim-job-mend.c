/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>
#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-job-mend.h"
#include "shim-state-badge.h"
#include "shim-workspace-ops.h"

/* The way to put a line of the readiness list right, one click away. */

/**
 * shim_job_mend_label:
 * @line: a line of the readiness list
 *
 * Returns: (transfer none): what its button says
 */
const char *
shim_job_mend_label (const ShimNotReady *line)
{
  switch (shim_ops_jobs_mend (line))
    {
    case SHIM_MEND_OPEN_TEST:
      return _ ("_Test");
    case SHIM_MEND_KEY_IN:
      return _ ("_Key In…");
    case SHIM_MEND_OPEN_SLOTS:
      return _ ("See S_lots");
    case SHIM_MEND_OPEN_ITEM:
      return _ ("See It_em");
    case SHIM_MEND_ADD_ITEM:
      return _ ("Take Al_ong…");
    case SHIM_MEND_OPEN_PAIR:
    default:
      return _ ("See _Pair");
    }
}

/**
 * shim_job_mend_icon:
 * @line: a line of the readiness list
 *
 * Returns: (transfer none): name of a symbolic icon that says what kind of line it is
 */
const char *
shim_job_mend_icon (const ShimNotReady *line)
{
  switch (line->kind)
    {
    case SHIM_NOT_READY_UNTESTED:
      return shim_state_badge_icon (SHIM_PAIR_UNTESTED);
    case SHIM_NOT_READY_IN_TEST:
      return shim_state_badge_icon (SHIM_PAIR_IN_TEST);
    case SHIM_NOT_READY_DUE:
      return shim_state_badge_icon (SHIM_PAIR_DUE);
    case SHIM_NOT_READY_OUT_OF_REACH:
      return shim_state_badge_icon (SHIM_PAIR_OUT_OF_REACH);
    case SHIM_NOT_READY_NOT_KEYED_IN:
    case SHIM_NOT_READY_NO_SLOT:
      return "shim-slots-symbolic";
    case SHIM_NOT_READY_NO_BODY:
    case SHIM_NOT_READY_NO_LENS:
      return "shim-kit-symbolic";
    case SHIM_NOT_READY_HELD:
    case SHIM_NOT_READY_SERVICE:
      return "avatar-default-symbolic";
    case SHIM_NOT_READY_CONFLICT:
    default:
      return "dialog-warning-symbolic";
    }
}

/* --- pairs, which may have to be made first --- */

typedef struct
{
  char *body;
  char *lens;
  char *converter;
} PairKey;

static void
pair_key_free (PairKey *key)
{
  g_free (key->body);
  g_free (key->lens);
  g_free (key->converter);
  g_free (key);
}

/* The register's thread. */
static gpointer
find_pair_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  const PairKey *key = data;

  return shim_ops_test_find_pair (reg, key->body, key->lens, key->converter, TRUE, error);
}

static void
bench_found_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GtkWidget) widget = GTK_WIDGET (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecord) pair = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (pair != NULL)
    gtk_widget_activate_action (widget, "win.bench-pair", "s", pair->id);
  else
    shim_show_error (widget, _ ("The Test Was Not Opened"), error);
}

static void
bench_pair (GtkWidget *widget, ShimWorkspace *workspace, const ShimNotReady *line)
{
  PairKey *key;

  if (line->pair != NULL)
    {
      gtk_widget_activate_action (widget, "win.bench-pair", "s", line->pair);
      return;
    }
  key = g_new (PairKey, 1);
  *key = (PairKey) { g_strdup (line->body), g_strdup (line->lens), g_strdup (line->item) };
  shim_workspace_call_async (workspace, find_pair_func, key, (GDestroyNotify) pair_key_free, g_object_unref, NULL, bench_found_cb,
                             g_object_ref (widget));
}

/* --- keying in: first the person keys the value into the body, then says so --- */

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

static void
key_in (GtkWidget *widget, ShimWorkspace *workspace, const ShimNotReady *line)
{
  Proposing *self = g_new0 (Proposing, 1);

  self->body = g_strdup (line->body);
  self->sentence = g_strdup (line->sentence);
  self->keying = g_new0 (Keying, 1);
  self->keying->widget = g_object_ref (widget);
  self->keying->workspace = g_object_ref (workspace);
  self->keying->pair = g_strdup (line->pair);
  shim_workspace_propose_slot_async (workspace, line->pair, SHIM_SLOT_NEXT, NULL, proposed_cb, self);
}

static void
open_item (GtkWidget *widget, const ShimNotReady *line)
{
  const char *kind = line->body != NULL ? "body" : line->lens != NULL ? "lens" : "converter";
  const char *id = line->body != NULL ? line->body : line->lens != NULL ? line->lens : line->item;

  gtk_widget_activate_action (widget, "win.open-item", "(ss)", kind, id);
}

/**
 * shim_job_mend:
 * @widget: any widget of a job's page
 * @workspace: the register
 * @line: a line of the readiness list
 *
 * Leads to where the line is put right.
 */
void
shim_job_mend (GtkWidget *widget, ShimWorkspace *workspace, const ShimNotReady *line)
{
  g_return_if_fail (GTK_IS_WIDGET (widget));
  g_return_if_fail (line != NULL);

  switch (shim_ops_jobs_mend (line))
    {
    case SHIM_MEND_OPEN_TEST:
      bench_pair (widget, workspace, line);
      break;
    case SHIM_MEND_KEY_IN:
      key_in (widget, workspace, line);
      break;
    case SHIM_MEND_OPEN_SLOTS:
      gtk_widget_activate_action (widget, "win.open-slots", "s", line->body);
      break;
    case SHIM_MEND_OPEN_ITEM:
      open_item (widget, line);
      break;
    case SHIM_MEND_ADD_ITEM:
      gtk_widget_activate_action (widget, "job.take", NULL);
      break;
    case SHIM_MEND_OPEN_PAIR:
    default:
      if (line->pair != NULL)
        gtk_widget_activate_action (widget, "win.open-pair", "s", line->pair);
      break;
    }
}
