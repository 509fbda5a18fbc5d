/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-kinds.h"
#include "shim-ops-mounts.h"
#include "shim-pair-choices.h"

/**
 * shim_pair_choices_free:
 * @self: (nullable): choices
 */
void
shim_pair_choices_free (ShimPairChoices *self)
{
  if (self == NULL)
    return;
  g_strfreev (self->job_ids);
  g_strfreev (self->job_names);
  g_strfreev (self->mounts);
  g_free (self);
}

static gboolean
read_jobs (ShimRegister *reg, ShimPairChoices *choices, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GStrvBuilder) ids = g_strv_builder_new (), names = g_strv_builder_new ();
  g_autoptr (GPtrArray) jobs = NULL;

  shim_query_add_order (query, "on_date", TRUE);
  jobs = shim_register_list (reg, SHIM_TYPE_JOB, query, error);
  if (jobs == NULL)
    return FALSE;
  for (guint i = 0; i < jobs->len; i++)
    {
      g_strv_builder_add (ids, shim_record_get_id (jobs->pdata[i]));
      g_strv_builder_add (names, SHIM_JOB (jobs->pdata[i])->name);
    }
  choices->job_ids = g_strv_builder_end (ids);
  choices->job_names = g_strv_builder_end (names);
  return TRUE;
}

/* The register knows many mounts; only those of its bodies are of use here. */
static gboolean
read_mounts (ShimRegister *reg, ShimPairChoices *choices, GError **error)
{
  g_autoptr (GStrvBuilder) names = g_strv_builder_new ();
  g_auto (GStrv) all = shim_ops_mounts_dup_names (reg, error);

  if (all == NULL)
    return FALSE;
  for (char **name = all; *name != NULL; name++)
    {
      g_autoptr (ShimQuery) bodies = shim_query_new ();
      gint64 n;

      shim_query_add_filter (bodies, "mount", *name);
      n = shim_register_count (reg, SHIM_TYPE_BODY, bodies, error);
      if (n < 0)
        return FALSE;
      if (n > 0)
        g_strv_builder_add (names, *name);
    }
  choices->mounts = g_strv_builder_end (names);
  return TRUE;
}

/* The register's thread. */
static gpointer
read_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimPairChoices) choices = g_new0 (ShimPairChoices, 1);

  return read_jobs (reg, choices, error) && read_mounts (reg, choices, error) ? g_steal_pointer (&choices) : NULL;
}

/**
 * shim_pair_choices_read_async:
 * @workspace: the register
 * @cancellable: (nullable): ends it early
 * @callback: called when they are read
 * @user_data: for @callback
 */
void
shim_pair_choices_read_async (ShimWorkspace *workspace, GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  shim_workspace_call_async (workspace, read_func, NULL, NULL, (GDestroyNotify) shim_pair_choices_free, cancellable, callback,
                             user_data);
}

/**
 * shim_pair_choices_read_finish:
 *
 * Returns: (transfer full) (nullable): the choices
 */
ShimPairChoices *
shim_pair_choices_read_finish (ShimWorkspace *workspace, GAsyncResult *result, GError **error)
{
  return shim_workspace_call_finish (workspace, result, error);
}
