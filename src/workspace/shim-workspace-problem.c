/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-workspace-private.h"

/* What could not be read while nobody waits for an answer: rows of a list, cells of a table. */

/* All lists fail for one reason, and again at each look: it is told once in so long. */
#define TELL_AGAIN_US (60 * G_USEC_PER_SEC)

static guint problem_signal;
static GQuark told_quark;

/**
 * _shim_workspace_install_problem:
 *
 * Installs the signal "problem".
 */
void
_shim_workspace_install_problem (void)
{
  told_quark = g_quark_from_static_string ("shim-workspace-problem-told");
  /**
   * ShimWorkspace::problem:
   * @self: a workspace
   * @error: why a part of the register could not be read
   *
   * Something that is to be shown could not be read. The same reason is told once a minute at most.
   */
  problem_signal = g_signal_new ("problem", SHIM_TYPE_WORKSPACE, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_ERROR);
}

typedef struct
{
  ShimWorkspace *workspace;
  GError *error;
} Telling;

static void
telling_free (gpointer data)
{
  Telling *self = data;

  g_object_unref (self->workspace);
  g_error_free (self->error);
  g_free (self);
}

static gboolean
tell_cb (gpointer data)
{
  Telling *self = data;

  if (!shim_workspace_is_closed (self->workspace))
    g_signal_emit (self->workspace, problem_signal, 0, self->error);
  return G_SOURCE_REMOVE;
}

typedef struct
{
  char *reason;
  gint64 at_us;
} Told;

static void
told_free (gpointer data)
{
  g_free (((Told *) data)->reason);
  g_free (data);
}

static gboolean
was_told (ShimWorkspace *self, const char *reason)
{
  const Told *told = g_object_get_qdata (G_OBJECT (self), told_quark);

  return told != NULL && g_str_equal (told->reason, reason) && g_get_monotonic_time () - told->at_us < TELL_AGAIN_US;
}

static void
keep_told (ShimWorkspace *self, const char *reason)
{
  Told *told = g_new0 (Told, 1);

  told->reason = g_strdup (reason);
  told->at_us = g_get_monotonic_time ();
  g_object_set_qdata_full (G_OBJECT (self), told_quark, told, told_free);
}

/**
 * _shim_workspace_report:
 * @self: a workspace
 * @error: (nullable): what became of reading; %NULL = all went well
 *
 * Tells whoever shows the register that it cannot be read. They are told later: a list may be asking for its rows just now.
 */
void
_shim_workspace_report (ShimWorkspace *self, const GError *error)
{
  g_autoptr (GSource) source = NULL;
  Telling *telling;

  if (error == NULL || g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED) || shim_workspace_is_closed (self)
      || was_told (self, error->message))
    return;
  keep_told (self, error->message);
  telling = g_new0 (Telling, 1);
  telling->workspace = g_object_ref (self);
  telling->error = g_error_copy (error);
  source = g_idle_source_new ();
  g_source_set_callback (source, tell_cb, telling, telling_free);
  g_source_attach (source, _shim_workspace_get_context (self));
}
