/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-kinds.h"
#include "shim-reveal-archived.h"
#include "shim-workspace-ops.h"

static void
read_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GtkWidget) place = GTK_WIDGET (user_data);
  g_autoptr (ShimRecord) record = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, NULL);
  gboolean archived = FALSE;

  if (record == NULL || gtk_widget_get_root (place) == NULL)
    return;
  g_object_get (record, "archived", &archived, NULL);
  if (archived)
    g_object_set (place, "show-archived", TRUE, NULL);
}

/**
 * shim_reveal_archived:
 * @place: a place with a property "show-archived"
 * @workspace: its register
 * @kind: a kind of record that can be archived
 * @id: of one that is to be shown
 *
 * Lets the place show what is archived where this record is: it would not be in its list otherwise.
 */
void
shim_reveal_archived (GtkWidget *place, ShimWorkspace *workspace, const char *kind, const char *id)
{
  g_return_if_fail (GTK_IS_WIDGET (place));

  shim_workspace_get_async (workspace, shim_kind_type_from_name (kind), id, NULL, read_cb, g_object_ref (place));
}
