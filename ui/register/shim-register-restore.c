/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-format.h"
#include "shim-register-restore.h"

/* Back to a backup: first it is said what it holds, then it takes the register's place. */

typedef struct
{
  GtkWidget *widget;
  ShimWorkspace *workspace;
  char *path;
} Restoring;

static void
restoring_free (Restoring *self)
{
  g_object_unref (self->widget);
  g_object_unref (self->workspace);
  g_free (self->path);
  g_free (self);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Restoring, restoring_free)

static void
restored_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (Restoring) self = user_data;
  g_autoptr (GError) error = NULL;
  g_autofree char *kept = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  g_autofree char *name = NULL, *text = NULL;

  if (kept == NULL)
    {
      shim_show_error (self->widget, _ ("The Backup Was Not Put Back"), error);
      return;
    }
  name = g_path_get_basename (kept);
  text = g_strdup_printf (_ ("The backup was put back; what it replaced is kept as “%s”"), name);
  shim_show_toast (self->widget, text);
}

/* The register's thread. Gives where the replaced one was kept. */
static gpointer
restore_func (ShimRegister *reg, gpointer path, GCancellable *cancellable, GError **error)
{
  char *kept = NULL;

  shim_register_restore (reg, path, &kept, error);
  return kept;
}

static void
confirmed_cb (gpointer user_data)
{
  const Restoring *self = user_data;
  Restoring *going = g_new (Restoring, 1);

  *going = (Restoring) { g_object_ref (self->widget), g_object_ref (self->workspace), NULL };
  shim_workspace_call_async (self->workspace, restore_func, g_strdup (self->path), g_free, g_free, NULL, restored_cb, going);
}

static char *
describe (const ShimBackupInfo *info)
{
  g_autofree char *at = shim_format_time (info->changed_at);
  g_autofree char *bodies = g_strdup_printf (ngettext ("%d body", "%d bodies", (gulong) info->n_bodies), (int) info->n_bodies);
  g_autofree char *lenses = g_strdup_printf (ngettext ("%d lens", "%d lenses", (gulong) info->n_lenses), (int) info->n_lenses);
  g_autofree char *settings
      = g_strdup_printf (ngettext ("%d decided setting", "%d decided settings", (gulong) info->n_decisions), (int) info->n_decisions);

  return g_strdup_printf (_ ("%sIt was changed last at %s and holds %s, %s and %s.\n\nIt takes the place of the register that is "
                             "open, in all windows. A copy of that one is kept beside it first, so that nothing is lost."),
                          info->is_same ? "" : _ ("This is a backup of another register than the one that is open.\n\n"), at, bodies,
                          lenses, settings);
}

static void
looked_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (Restoring) self = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimBackupInfo) info = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (info == NULL)
    shim_show_error (self->widget, _ ("The Backup Was Not Put Back"), error);
  else
    {
      g_autofree char *body = describe (info);
      GtkWidget *widget = self->widget;

      shim_confirm (widget, _ ("Put This Backup Back?"), body, _ ("_Put Back"), TRUE, confirmed_cb, g_steal_pointer (&self),
                    (GDestroyNotify) restoring_free);
    }
}

/* The register's thread. */
static gpointer
look_func (ShimRegister *reg, gpointer path, GCancellable *cancellable, GError **error)
{
  return shim_register_look_at_backup (reg, path, error);
}

static void
chosen_cb (GListModel *files, gpointer user_data)
{
  g_autoptr (GFile) file = g_list_model_get_item (files, 0);
  GtkWidget *widget = GTK_WIDGET (user_data);
  Restoring *self;

  if (g_file_peek_path (file) == NULL)
    {
      shim_show_toast (widget, _ ("Only files on this computer can be read"));
      return;
    }
  self = g_new (Restoring, 1);
  *self = (Restoring) { g_object_ref (widget), g_object_ref (g_object_get_data (G_OBJECT (widget), "shim-restore-workspace")),
                        g_file_get_path (file) };
  shim_workspace_call_async (self->workspace, look_func, g_strdup (self->path), g_free, (GDestroyNotify) shim_backup_info_free, NULL,
                             looked_cb, self);
}

/**
 * shim_register_restore_choose:
 * @widget: a window
 * @workspace: the register whose place the backup takes
 *
 * Asks for a backup, says what it holds, and puts it back.
 */
void
shim_register_restore_choose (GtkWidget *widget, ShimWorkspace *workspace)
{
  g_object_set_data_full (G_OBJECT (widget), "shim-restore-workspace", g_object_ref (workspace), g_object_unref);
  shim_choose_register (widget, _ ("Put a Backup Back"), shim_workspace_get_path (workspace), chosen_cb, widget);
}
