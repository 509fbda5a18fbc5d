/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <stdlib.h>

#include "shim-workspace-private.h"

/* Whether this program runs from where "meson install" puts it. */
static gboolean
is_installed (void)
{
  g_autofree char *program = g_file_read_link ("/proc/self/exe", NULL);
  g_autofree char *folder = program != NULL ? g_path_get_dirname (program) : NULL;
  g_autofree char *bindir = realpath (SHIM_BINDIR, NULL);

  return folder != NULL && g_strcmp0 (folder, bindir) == 0;
}

/**
 * shim_workspace_default_path:
 *
 * The environment variable SHIMBOOK_REGISTER names another one. A program that was not installed (one that runs from
 * its build folder) gets one of its own, so that trying things never touches the user's register.
 *
 * Returns: (transfer full): path of the user's register
 */
char *
shim_workspace_default_path (void)
{
  const char *named = g_getenv ("SHIMBOOK_REGISTER");

  if (named != NULL && *named != '\0')
    return g_canonicalize_filename (named, NULL);
  return g_build_filename (g_get_user_data_dir (), is_installed () ? "shimbook" : "shimbook-devel",
                           "register.shimbook", NULL);
}

typedef struct
{
  ShimRegister *writer;
  ShimRegister *reader;
} Opened;

static void
opened_free (Opened *opened)
{
  g_clear_pointer (&opened->reader, shim_register_free);
  g_clear_pointer (&opened->writer, shim_register_free);
  g_free (opened);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Opened, opened_free)

static Opened *
open_both (const char *path, GError **error)
{
  g_autoptr (Opened) opened = g_new0 (Opened, 1);

  opened->writer = shim_register_open (path, SHIM_REGISTER_CREATE, error);
  if (opened->writer == NULL)
    return NULL;
  opened->reader = shim_register_open (path, SHIM_REGISTER_READ_ONLY, error);
  if (opened->reader == NULL)
    return NULL;
  return g_steal_pointer (&opened);
}

static ShimWorkspace *
workspace_from_opened (Opened *opened)
{
  return _shim_workspace_new (g_steal_pointer (&opened->writer), g_steal_pointer (&opened->reader));
}

static void
open_thread (GTask *task, gpointer source, gpointer path, GCancellable *cancellable)
{
  GError *error = NULL;
  Opened *opened = open_both (path, &error);

  if (opened != NULL)
    g_task_return_pointer (task, opened, (GDestroyNotify) opened_free);
  else
    g_task_return_error (task, error);
}

/**
 * shim_workspace_open_async:
 * @path: (type filename): the register; made when it is not there
 * @cancellable: (nullable): not to wait any longer
 * @callback: called when it is open, or cannot be
 * @user_data: for @callback
 */
void
shim_workspace_open_async (const char *path, GCancellable *cancellable, GAsyncReadyCallback callback,
                           gpointer user_data)
{
  g_autoptr (GTask) task = NULL;

  g_return_if_fail (path != NULL);

  task = g_task_new (NULL, cancellable, callback, user_data);
  g_task_set_source_tag (task, shim_workspace_open_async);
  g_task_set_task_data (task, g_strdup (path), g_free);
  g_task_run_in_thread (task, open_thread);
}

/**
 * shim_workspace_open_finish:
 * @result: as handed to the callback
 * @error: a #ShimStoreError
 *
 * Returns: (transfer full) (nullable): the workspace, which lives in the calling thread's main context
 */
ShimWorkspace *
shim_workspace_open_finish (GAsyncResult *result, GError **error)
{
  g_autoptr (Opened) opened = NULL;

  g_return_val_if_fail (g_task_is_valid (result, NULL), NULL);

  opened = g_task_propagate_pointer (G_TASK (result), error);
  return opened != NULL ? workspace_from_opened (opened) : NULL;
}

/**
 * shim_workspace_open:
 * @path: (type filename): the register; made when it is not there
 * @error: a #ShimStoreError
 *
 * Waits for the disk; for tests and for programs without a window.
 *
 * Returns: (transfer full) (nullable): the workspace
 */
ShimWorkspace *
shim_workspace_open (const char *path, GError **error)
{
  g_autoptr (Opened) opened = NULL;

  g_return_val_if_fail (path != NULL, NULL);

  opened = open_both (path, error);
  return opened != NULL ? workspace_from_opened (opened) : NULL;
}
