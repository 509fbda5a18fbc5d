/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-register-merge.h"

/* Another register is taken over: first it is said what would happen, then it happens. */

/* More contradictions than these are read in the history. */
#define CONFLICTS_SHOWN 6

typedef struct
{
  GtkWidget *widget;
  ShimWorkspace *workspace;
  char *path;
  gboolean dry_run;
} Merging;

static void
merging_free (Merging *self)
{
  g_object_unref (self->widget);
  g_object_unref (self->workspace);
  g_free (self->path);
  g_free (self);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Merging, merging_free)

static Merging *
merging_new (GtkWidget *widget, ShimWorkspace *workspace, const char *path, gboolean dry_run)
{
  Merging *self = g_new (Merging, 1);

  *self = (Merging) { g_object_ref (widget), g_object_ref (workspace), g_strdup (path), dry_run };
  return self;
}

typedef struct
{
  char *path;
  gboolean dry_run;
} Asking;

static void
asking_free (Asking *asking)
{
  g_free (asking->path);
  g_free (asking);
}

/* The register's thread. */
static gpointer
merge_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  const Asking *asking = data;

  return shim_register_merge (reg, asking->path, asking->dry_run, error);
}

static void
add_conflict (GString *text, const ShimMergeConflict *conflict)
{
  g_string_append_printf (text,
                          conflict->kept_theirs ? _ ("\n%s, %s: here “%s”, there “%s”; what is there is newer and taken over")
                                                : _ ("\n%s, %s: here “%s”, there “%s”; what is here is newer and stays"),
                          conflict->title, conflict->field != NULL ? conflict->field : "–",
                          conflict->ours != NULL ? conflict->ours : "–", conflict->theirs != NULL ? conflict->theirs : "–");
}

static char *
describe (const ShimMergeReport *report)
{
  g_autoptr (GString) text = g_string_new (NULL);

  g_string_append_printf (text,
                          _ ("Of its entries (items, tests, settings and so on) %u are new here, %u change what is here, and %u are the same "
                             "in both."),
                          report->added, report->updated, report->unchanged);
  for (guint i = 0; i < MIN (report->conflicts->len, CONFLICTS_SHOWN); i++)
    add_conflict (text, report->conflicts->pdata[i]);
  if (report->conflicts->len > CONFLICTS_SHOWN)
    g_string_append_printf (text, ngettext ("\nand %u more contradiction", "\nand %u more contradictions",
                                            report->conflicts->len - CONFLICTS_SHOWN),
                            report->conflicts->len - CONFLICTS_SHOWN);
  g_string_append (text, _ ("\n\nThe other register stays as it is, and one undo takes all of it back."));
  return g_string_free (g_steal_pointer (&text), FALSE);
}

static void merge (Merging *self);

static void
confirmed_cb (gpointer user_data)
{
  const Merging *self = user_data;

  merge (merging_new (self->widget, self->workspace, self->path, FALSE));
}

static void
merged_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (Merging) self = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimMergeReport) report = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (gtk_widget_get_root (self->widget) == NULL && !GTK_IS_WINDOW (self->widget))
    return;
  if (report == NULL)
    shim_show_error (self->widget, _ ("The Other Register Was Not Taken Over"), error);
  else if (!self->dry_run)
    shim_show_done (self->widget, _ ("The other register was taken over"));
  else if (report->added + report->updated == 0)
    shim_show_toast (self->widget, _ ("The other register has nothing that is not here already"));
  else
    {
      g_autofree char *body = describe (report);
      GtkWidget *widget = self->widget;

      shim_confirm (widget, _ ("Take Over This Register?"), body, _ ("_Take Over"), FALSE, confirmed_cb, g_steal_pointer (&self),
                    (GDestroyNotify) merging_free);
    }
}

/* Takes @self. */
static void
merge (Merging *self)
{
  Asking *asking = g_new (Asking, 1);

  *asking = (Asking) { g_strdup (self->path), self->dry_run };
  shim_workspace_call_async (self->workspace, merge_func, asking, (GDestroyNotify) asking_free, (GDestroyNotify) shim_merge_report_free,
                             NULL, merged_cb, self);
}

static void
chosen_cb (GListModel *files, gpointer user_data)
{
  g_autoptr (GFile) file = g_list_model_get_item (files, 0);
  g_autofree char *path = g_file_get_path (file);
  GtkWidget *widget = GTK_WIDGET (user_data);

  if (path != NULL)
    merge (merging_new (widget, g_object_get_data (G_OBJECT (widget), "shim-merge-workspace"), path, TRUE));
}

/**
 * shim_register_merge_choose:
 * @widget: a window
 * @workspace: the register that takes the other one over
 *
 * Asks for another register, says what would happen, and takes it over.
 */
void
shim_register_merge_choose (GtkWidget *widget, ShimWorkspace *workspace)
{
  g_object_set_data_full (G_OBJECT (widget), "shim-merge-workspace", g_object_ref (workspace), g_object_unref);
  shim_choose_register (widget, _ ("Take Over Another Register"), shim_workspace_get_path (workspace), chosen_cb, widget);
}
