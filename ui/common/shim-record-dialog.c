/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-record-dialog.h"
#include "shim-whole-rows.h"
#include "shim-workspace-ops.h"

struct _ShimRecordDialog
{
  AdwWindow parent_instance;

  /* Template widgets */
  AdwClamp *clamp;
  GtkLabel *intro;
  GtkLabel *problem;
  GtkBox *problem_box;
  GtkButton *save_button;

  /* Owned */
  ShimWorkspace *workspace;
  ShimRecord *before;

  /* Borrowed */
  ShimRecordForm *form;

  ShimStoreFunc store;
  gboolean may_close;
};

enum
{
  STORED,
  N_SIGNALS,
};

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (ShimRecordDialog, shim_record_dialog, ADW_TYPE_WINDOW)

static void
save_changes (ShimWorkspace *workspace, ShimRecord *before, ShimRecord *after, GAsyncReadyCallback callback, gpointer user_data)
{
  shim_workspace_save_async (workspace, before, after, NULL, callback, user_data);
}

static void
show_problem (ShimRecordDialog *self, const char *sentence)
{
  gtk_label_set_label (self->problem, sentence != NULL ? sentence : "");
  gtk_widget_set_visible (GTK_WIDGET (self->problem_box), sentence != NULL);
}

/* What is still missing is said, so that nobody wonders why nothing can be stored. */
static void
update_valid (ShimRecordDialog *self)
{
  show_problem (self, shim_record_form_get_problem (self->form));
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "dialog.store", shim_record_form_get_valid (self->form));
}

static gboolean
is_changed (ShimRecordDialog *self)
{
  return shim_record_form_has_mistakes (self->form)
         || !shim_record_equal (self->before, shim_record_form_get_record (self->form));
}

static gboolean
close_for_good (gpointer user_data)
{
  ShimRecordDialog *self = SHIM_RECORD_DIALOG (user_data);

  self->may_close = TRUE;
  gtk_window_close (GTK_WINDOW (self));
  return G_SOURCE_REMOVE;
}

/* The question is a child of this window and still on its way out: it must be gone first. */
static void
leave_cb (gpointer user_data)
{
  g_idle_add_full (G_PRIORITY_DEFAULT_IDLE, close_for_good, g_object_ref (user_data), g_object_unref);
}

static gboolean
shim_record_dialog_close_request (GtkWindow *window)
{
  ShimRecordDialog *self = SHIM_RECORD_DIALOG (window);

  if (self->may_close || !is_changed (self))
    return GTK_WINDOW_CLASS (shim_record_dialog_parent_class)->close_request (window);
  shim_confirm (GTK_WIDGET (self), _ ("Leave Without Storing?"), _ ("What you filled in would be lost."), _ ("_Leave"), TRUE,
                leave_cb, self, NULL);
  return GDK_EVENT_STOP;
}

static void
stored_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimRecordDialog) self = SHIM_RECORD_DIALOG (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecord) record = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (self->form == NULL)
    return; /* its window has gone meanwhile */
  gtk_widget_set_sensitive (GTK_WIDGET (self->clamp), TRUE);
  if (record == NULL)
    {
      update_valid (self);
      show_problem (self, error->message);
      return;
    }
  g_signal_emit (self, signals[STORED], 0, record);
  close_for_good (self);
}

static void
store_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimRecordDialog *self = SHIM_RECORD_DIALOG (widget);

  gtk_widget_set_sensitive (GTK_WIDGET (self->clamp), FALSE);
  gtk_widget_action_set_enabled (widget, "dialog.store", FALSE);
  self->store (self->workspace, self->before, shim_record_form_get_record (self->form), stored_cb, g_object_ref (self));
}

static void
shim_record_dialog_dispose (GObject *object)
{
  ShimRecordDialog *self = SHIM_RECORD_DIALOG (object);

  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_RECORD_DIALOG);
  self->form = NULL;
  g_clear_object (&self->workspace);
  g_clear_object (&self->before);
  G_OBJECT_CLASS (shim_record_dialog_parent_class)->dispose (object);
}

static void
shim_record_dialog_class_init (ShimRecordDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_record_dialog_dispose;
  GTK_WINDOW_CLASS (klass)->close_request = shim_record_dialog_close_request;
  signals[STORED] = g_signal_new ("stored", SHIM_TYPE_RECORD_DIALOG, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 1,
                                  SHIM_TYPE_RECORD);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/common/shim-record-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimRecordDialog, clamp);
  gtk_widget_class_bind_template_child (widget_class, ShimRecordDialog, intro);
  gtk_widget_class_bind_template_child (widget_class, ShimRecordDialog, problem);
  gtk_widget_class_bind_template_child (widget_class, ShimRecordDialog, problem_box);
  gtk_widget_class_bind_template_child (widget_class, ShimRecordDialog, save_button);
  gtk_widget_class_install_action (widget_class, "dialog.store", NULL, store_cb);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_s, GDK_CONTROL_MASK, "dialog.store", NULL);
}

static void
shim_record_dialog_init (ShimRecordDialog *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  shim_window_show_rows_whole (GTK_WINDOW (self));
  self->store = save_changes;
}

/**
 * shim_record_dialog_new:
 * @widget: any widget of the window it belongs to
 * @workspace: where it is stored
 * @title: what is done: "New Job"
 * @verb: with its mnemonic: "_Save"
 * @record: what to fill in; without an id it is a new one
 *
 * Returns: (transfer none): the dialog; give its form rows, then call shim_record_dialog_show()
 */
ShimRecordDialog *
shim_record_dialog_new (GtkWidget *widget, ShimWorkspace *workspace, const char *title, const char *verb, ShimRecord *record)
{
  ShimRecordDialog *self = g_object_new (SHIM_TYPE_RECORD_DIALOG, "transient-for", gtk_widget_get_root (widget), "title", title, NULL);

  self->workspace = g_object_ref (workspace);
  self->before = shim_record_copy (record);
  self->form = SHIM_RECORD_FORM (shim_record_form_new (record));
  gtk_button_set_label (self->save_button, verb);
  adw_clamp_set_child (self->clamp, GTK_WIDGET (self->form));
  g_signal_connect_object (self->form, "notify::problem", G_CALLBACK (update_valid), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->form, "notify::valid", G_CALLBACK (update_valid), self, G_CONNECT_SWAPPED);
  update_valid (self);
  return self;
}

/**
 * shim_record_dialog_get_form:
 * @self: a dialog
 *
 * Returns: (transfer none): its form
 */
ShimRecordForm *
shim_record_dialog_get_form (ShimRecordDialog *self)
{
  g_return_val_if_fail (SHIM_IS_RECORD_DIALOG (self), NULL);

  return self->form;
}

/**
 * shim_record_dialog_set_intro:
 * @self: a dialog
 * @sentence: what to know before filling it in
 */
void
shim_record_dialog_set_intro (ShimRecordDialog *self, const char *sentence)
{
  g_return_if_fail (SHIM_IS_RECORD_DIALOG (self));

  gtk_label_set_label (self->intro, sentence);
  gtk_widget_set_visible (GTK_WIDGET (self->intro), TRUE);
}

/**
 * shim_record_dialog_set_store:
 * @self: a dialog
 * @store: how it is stored; without the call as an item or job is
 */
void
shim_record_dialog_set_store (ShimRecordDialog *self, ShimStoreFunc store)
{
  g_return_if_fail (SHIM_IS_RECORD_DIALOG (self));

  self->store = store;
}

/**
 * shim_record_dialog_show:
 * @self: a dialog whose form has its rows
 *
 * Presents it with the cursor in its first row.
 */
void
shim_record_dialog_show (ShimRecordDialog *self)
{
  g_return_if_fail (SHIM_IS_RECORD_DIALOG (self));

  gtk_window_present (GTK_WINDOW (self));
  /* A window gives the focus to its first button when it appears. */
  gtk_widget_child_focus (GTK_WIDGET (self->form), GTK_DIR_TAB_FORWARD);
}
