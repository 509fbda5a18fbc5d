/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-register-reads.h"
#include "shim-sheet-save.h"

/* The register's thread reads what is on the sheet, a thread of its own writes the file: pages of a large kit take a while, and
 * nobody else should wait for them. */

/* What a kit sheet can be saved as; the name stands in the menus. */
static const struct
{
  const char *format;
  const char *ending;
  ShimPaper paper;
} formats[] = {
  { "pdf-a4", ".pdf", SHIM_PAPER_A4 },
  { "pdf-letter", ".pdf", SHIM_PAPER_LETTER },
  { "csv", ".csv", SHIM_PAPER_A4 },
  { "json", ".json", SHIM_PAPER_A4 },
};

#define CHOICE_KEY "shim-sheet-choice"

typedef struct
{
  GtkWidget *widget;
  ShimWorkspace *workspace;
  char *job;
  const char *ending;
  ShimPaper paper;
  char *path;
  ShimKitSheet *sheet;
} Saving;

static void
saving_free (Saving *self)
{
  g_clear_object (&self->widget);
  g_clear_object (&self->workspace);
  g_free (self->job);
  g_free (self->path);
  g_clear_pointer (&self->sheet, shim_kit_sheet_free);
  g_free (self);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Saving, saving_free)

static void
written_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (Saving) self = user_data;
  g_autoptr (GError) error = NULL;
  g_autofree char *name = g_path_get_basename (self->path);
  g_autofree char *sentence = g_strdup_printf (_ ("The kit sheet was saved as “%s”"), name);

  if (g_task_propagate_boolean (G_TASK (result), &error))
    shim_show_toast (self->widget, sentence);
  else
    shim_show_error (self->widget, _ ("The Kit Sheet Was Not Saved"), error);
}

/* A thread of its own. */
static void
write_func (GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  const Saving *self = data;
  GError *error = NULL;

  if (shim_kit_sheet_write (self->sheet, self->paper, self->path, &error))
    g_task_return_boolean (task, TRUE);
  else
    g_task_return_error (task, error);
}

static void
sheet_made_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (Saving) self = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (GTask) task = NULL;

  self->sheet = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  if (self->sheet == NULL)
    {
      shim_show_error (self->widget, _ ("The Kit Sheet Was Not Saved"), error);
      return;
    }
  task = g_task_new (source, NULL, written_cb, self);
  g_task_set_task_data (task, g_steal_pointer (&self), NULL);
  g_task_run_in_thread (task, write_func);
}

/* The register's thread. */
static gpointer
sheet_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimJobKit) kit = shim_register_job_kit (reg, data, error);
  g_autoptr (GDateTime) now = g_date_time_new_now_local ();

  return kit != NULL ? shim_kit_sheet_new (kit, now) : NULL;
}

/**
 * shim_sheet_write:
 * @widget: any widget of the window, which says when it is done
 * @workspace: the register
 * @job: (nullable): id of the job; %NULL = the whole kit
 * @path: (type filename): where to; its ending says what is written
 * @paper: for pages
 *
 * Writes a kit sheet while the window goes on.
 */
void
shim_sheet_write (GtkWidget *widget, ShimWorkspace *workspace, const char *job, const char *path, ShimPaper paper)
{
  Saving *self;

  g_return_if_fail (GTK_IS_WIDGET (widget));
  g_return_if_fail (SHIM_IS_WORKSPACE (workspace));
  g_return_if_fail (path != NULL);

  self = g_new0 (Saving, 1);
  self->widget = g_object_ref (widget);
  self->path = g_strdup (path);
  self->paper = paper;
  shim_workspace_call_async (workspace, sheet_func, g_strdup (job), g_free, (GDestroyNotify) shim_kit_sheet_free, NULL, sheet_made_cb,
                             self);
}

static void
chosen_cb (GListModel *files, gpointer user_data)
{
  GtkWidget *widget = GTK_WIDGET (user_data);
  const Saving *choice = g_object_get_data (G_OBJECT (widget), CHOICE_KEY);
  g_autoptr (GFile) file = g_list_model_get_item (files, 0);
  g_autofree char *chosen = g_file_get_path (file);
  g_autofree char *path = g_strconcat (chosen, g_str_has_suffix (chosen, choice->ending) ? NULL : choice->ending, NULL);

  shim_sheet_write (widget, choice->workspace, choice->job, path, choice->paper);
}

/* A name that every file system takes. */
static char *
file_name_for (const char *title, const char *ending)
{
  g_autofree char *name = g_strconcat (title, ending, NULL);

  return g_strdelimit (g_steal_pointer (&name), "/\\:*?\"<>|\n\r\t", '-');
}

/**
 * shim_sheet_save:
 * @widget: any widget of the window; the choice of the file ends with it
 * @workspace: the register
 * @job: (nullable): id of the job; %NULL = the whole kit
 * @title: what the file is called to start with
 * @format: "pdf-a4", "pdf-letter", "csv" or "json"
 *
 * Asks where to, and writes the kit sheet there.
 */
void
shim_sheet_save (GtkWidget *widget, ShimWorkspace *workspace, const char *job, const char *title, const char *format)
{
  g_return_if_fail (GTK_IS_WIDGET (widget));
  g_return_if_fail (SHIM_IS_WORKSPACE (workspace));

  for (guint i = 0; i < G_N_ELEMENTS (formats); i++)
    if (g_str_equal (formats[i].format, format))
      {
        Saving *choice = g_new0 (Saving, 1);
        g_autofree char *name = file_name_for (title, formats[i].ending);

        choice->workspace = g_object_ref (workspace);
        choice->job = g_strdup (job);
        choice->ending = formats[i].ending;
        choice->paper = formats[i].paper;
        /* It lives until the next choice on the same widget: the file chooser may be closed without a word. */
        g_object_set_data_full (G_OBJECT (widget), CHOICE_KEY, choice, (GDestroyNotify) saving_free);
        shim_choose_save (widget, _ ("Save the Kit Sheet"), name, chosen_cb, widget);
      }
}
