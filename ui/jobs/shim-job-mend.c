/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>
#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-job-mend.h"
#include "shim-key-in.h"
#include "shim-pair-actions.h"
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

/**
 * shim_job_mend_can_be_left_out:
 * @line: a line of the readiness list
 *
 * Returns: whether it is about a pair that perhaps nobody uses
 */
gboolean
shim_job_mend_can_be_left_out (const ShimNotReady *line)
{
  return line->kind == SHIM_NOT_READY_UNTESTED;
}

/**
 * shim_job_mend_leave_out:
 * @widget: any widget of a job's page
 * @workspace: the register
 * @line: a line that can be left out
 *
 * Stores that nobody needs the pair, and offers to undo it.
 */
void
shim_job_mend_leave_out (GtkWidget *widget, ShimWorkspace *workspace, const ShimNotReady *line)
{
  g_return_if_fail (GTK_IS_WIDGET (widget));
  g_return_if_fail (line != NULL && shim_job_mend_can_be_left_out (line));

  shim_pair_set_needed (widget, workspace, line->body, line->lens, line->item, FALSE);
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
      shim_key_in (widget, workspace, line->body, line->pair, line->sentence);
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
