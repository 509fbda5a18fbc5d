/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <gio/gio.h>

#include "shim-dialogs.h"
#include "shim-ops-record.h"
#include "shim-record-save.h"
#include "shim-settings.h"

/* The record of a test as a document: everything that led to the setting, with the strips as evidence. */

#define CHOICE_KEY "shim-record-choice"

typedef struct
{
  ShimWorkspace *workspace;
  char *test;
} Choice;

static void
choice_free (Choice *choice)
{
  g_object_unref (choice->workspace);
  g_free (choice->test);
  g_free (choice);
}

typedef struct
{
  char *test;
  char *path;
  ShimPaper paper;
} Document;

static void
document_free (Document *document)
{
  g_free (document->test);
  g_free (document->path);
  g_free (document);
}

/* The register's thread; a record has a few pages, so it is written there as well. */
static gpointer
write_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  const Document *document = data;
  g_autoptr (GDateTime) now = g_date_time_new_now_local ();
  g_autoptr (ShimTestRecord) record = shim_ops_test_record (reg, document->test, now, error);

  return GINT_TO_POINTER (record != NULL && shim_test_record_write_pdf (record, document->paper, document->path, error));
}

static void
written_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GtkWidget) widget = GTK_WIDGET (user_data);
  g_autoptr (GError) error = NULL;

  if (shim_workspace_done_finish (SHIM_WORKSPACE (source), result, &error))
    shim_show_toast (widget, _ ("The test record was saved"));
  else
    shim_show_error (widget, _ ("The Test Record Was Not Saved"), error);
}

static void
chosen_cb (GListModel *files, gpointer user_data)
{
  GtkWidget *widget = GTK_WIDGET (user_data);
  const Choice *choice = g_object_get_data (G_OBJECT (widget), CHOICE_KEY);
  g_autoptr (GFile) file = g_list_model_get_item (files, 0);
  Document *document = g_new0 (Document, 1);

  document->test = g_strdup (choice->test);
  document->path = g_file_get_path (file);
  document->paper = shim_settings_paper ();
  shim_workspace_call_async (choice->workspace, write_func, document, (GDestroyNotify) document_free, NULL, NULL, written_cb,
                             g_object_ref (widget));
}

/**
 * shim_record_save:
 * @widget: any widget of the window; the choice of the file ends with it
 * @workspace: the register
 * @summary: the test
 *
 * Asks where to, and writes the record of the test there as PDF.
 */
void
shim_record_save (GtkWidget *widget, ShimWorkspace *workspace, const ShimTestSummary *summary)
{
  g_autofree char *name = g_strdup_printf ("%s, %s.pdf", summary->body->label, summary->lens->label);
  Choice *choice = g_new0 (Choice, 1);

  choice->workspace = g_object_ref (workspace);
  choice->test = g_strdup (shim_record_get_id (SHIM_RECORD (summary->test)));
  /* It lives until the next choice on the same widget: the file chooser may be closed without a word. */
  g_object_set_data_full (G_OBJECT (widget), CHOICE_KEY, choice, (GDestroyNotify) choice_free);
  g_strdelimit (name, "/\\:*?\"<>|\n\r\t", '-');
  shim_choose_save (widget, _ ("Save the Test Record"), name, chosen_cb, widget);
}
