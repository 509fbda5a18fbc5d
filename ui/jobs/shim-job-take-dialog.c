/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-growing-list.h"
#include "shim-job-take-dialog.h"
#include "shim-kinds.h"
#include "shim-list-keys.h"
#include "shim-list-scroll.h"
#include "shim-record-list.h"
#include "shim-record-rows.h"
#include "shim-whole-rows.h"
#include "shim-workspace-ops.h"

#define N_KINDS 4

struct _ShimJobTakeDialog
{
  AdwWindow parent_instance;

  /* Template widgets */
  GtkListView *list;
  GtkSearchEntry *search_entry;
  GtkStack *stack;

  /* Owned */
  ShimWorkspace *workspace;
  GCancellable *cancellable;
  char *job;
  ShimRecordList *records[N_KINDS];
  GtkFlattenListModel *all;
  GHashTable *taken; /* ids of the items that the job takes along */
  GPtrArray *rows;   /* borrowed: the list items that are bound */
};

G_DEFINE_FINAL_TYPE (ShimJobTakeDialog, shim_job_take_dialog, ADW_TYPE_WINDOW)

static const char *const kind_names[N_KINDS] = { "body", "lens", "converter", "adapter" };

/* --- rows: those of a record, with a word at the end that says whether it is taken along --- */

static void
row_setup_cb (GtkSignalListItemFactory *factory, GtkListItem *item, gpointer user_data)
{
  GtkWidget *label = gtk_label_new (_ ("✓ Taken along"));

  gtk_widget_add_css_class (label, "caption");
  gtk_widget_add_css_class (label, "state-tuned");
  gtk_box_append (GTK_BOX (gtk_list_item_get_child (item)), label);
}

static void
update_row (ShimJobTakeDialog *self, GtkListItem *item)
{
  ShimRecord *record = gtk_list_item_get_item (item);

  gtk_widget_set_visible (gtk_widget_get_last_child (gtk_list_item_get_child (item)),
                          record->id != NULL && g_hash_table_contains (self->taken, record->id));
}

static void
row_record_changed_cb (ShimRecord *record, GParamSpec *pspec, GtkListItem *item)
{
  GtkWidget *list = gtk_widget_get_ancestor (gtk_list_item_get_child (item), SHIM_TYPE_JOB_TAKE_DIALOG);

  /* A record that was just asked for gets its id late. */
  if (list != NULL)
    update_row (SHIM_JOB_TAKE_DIALOG (list), item);
}

static void
row_bind_cb (GtkSignalListItemFactory *factory, GtkListItem *item, ShimJobTakeDialog *self)
{
  g_ptr_array_add (self->rows, item);
  g_signal_connect (gtk_list_item_get_item (item), "notify", G_CALLBACK (row_record_changed_cb), item);
  update_row (self, item);
}

static void
row_unbind_cb (GtkSignalListItemFactory *factory, GtkListItem *item, ShimJobTakeDialog *self)
{
  g_ptr_array_remove_fast (self->rows, item);
  g_signal_handlers_disconnect_by_func (gtk_list_item_get_item (item), row_record_changed_cb, item);
}

/* --- what the job has --- */

/* The register's thread. */
static gpointer
taken_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimQuery) query = shim_query_new ();

  shim_query_add_filter (query, "job", data);
  return shim_register_list (reg, SHIM_TYPE_JOB_ITEM, query, error);
}

static void
taken_read_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimJobTakeDialog) self = SHIM_JOB_TAKE_DIALOG (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) items = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (items == NULL || self->taken == NULL)
    return;
  g_hash_table_remove_all (self->taken);
  for (guint i = 0; i < items->len; i++)
    g_hash_table_add (self->taken, g_strdup (SHIM_JOB_ITEM (items->pdata[i])->item));
  for (guint i = 0; i < self->rows->len; i++)
    update_row (self, self->rows->pdata[i]);
}

static void
read_taken (ShimJobTakeDialog *self)
{
  shim_workspace_call_async (self->workspace, taken_func, g_strdup (self->job), g_free, (GDestroyNotify) g_ptr_array_unref,
                             self->cancellable, taken_read_cb, g_object_ref (self));
}

static void
stored_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimJobTakeDialog) self = SHIM_JOB_TAKE_DIALOG (user_data);
  g_autoptr (GError) error = NULL;

  if (!shim_workspace_done_finish (SHIM_WORKSPACE (source), result, &error))
    shim_show_error (GTK_WIDGET (self), _ ("The Change Was Not Stored"), error);
}

static void
toggle (ShimJobTakeDialog *self, guint position)
{
  g_autoptr (ShimRecord) record = g_list_model_get_item (G_LIST_MODEL (self->all), position);

  if (record == NULL || record->id == NULL)
    return;
  if (g_hash_table_contains (self->taken, record->id))
    shim_workspace_remove_job_item_async (self->workspace, self->job, record->id, NULL, stored_cb, g_object_ref (self));
  else
    shim_workspace_add_job_item_async (self->workspace, self->job, shim_record_get_kind (record)->name, record->id, NULL, stored_cb,
                                       g_object_ref (self));
}

static void
activated_cb (GtkListView *list, guint position, ShimJobTakeDialog *self)
{
  toggle (self, position);
}

static void
search_activate_cb (GtkSearchEntry *entry, ShimJobTakeDialog *self)
{
  /* Enter in the search means the one that was found; with several the person goes down and chooses. */
  if (g_list_model_get_n_items (G_LIST_MODEL (self->all)) == 1)
    toggle (self, 0);
  else
    gtk_widget_child_focus (GTK_WIDGET (self->list), GTK_DIR_TAB_FORWARD);
}

static void
stop_search_cb (ShimJobTakeDialog *self)
{
  gtk_window_close (GTK_WINDOW (self));
}

static void
search_changed_cb (GtkSearchEntry *entry, ShimJobTakeDialog *self)
{
  shim_list_show_first (self->list);
  for (guint i = 0; i < N_KINDS && self->records[i] != NULL; i++)
    shim_record_list_set_search (self->records[i], gtk_editable_get_text (GTK_EDITABLE (entry)));
}

static void
n_items_changed_cb (ShimJobTakeDialog *self)
{
  gboolean found = g_list_model_get_n_items (G_LIST_MODEL (self->all)) > 0;

  gtk_stack_set_visible_child_name (self->stack, found ? "list" : "nothing-found");
}

static void
shim_job_take_dialog_dispose (GObject *object)
{
  ShimJobTakeDialog *self = SHIM_JOB_TAKE_DIALOG (object);

  g_cancellable_cancel (self->cancellable);
  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_JOB_TAKE_DIALOG);
  g_clear_object (&self->all);
  for (guint i = 0; i < N_KINDS; i++)
    g_clear_object (&self->records[i]);
  g_clear_object (&self->cancellable);
  g_clear_object (&self->workspace);
  g_clear_pointer (&self->job, g_free);
  g_clear_pointer (&self->taken, g_hash_table_unref);
  G_OBJECT_CLASS (shim_job_take_dialog_parent_class)->dispose (object);
}

static void
shim_job_take_dialog_finalize (GObject *object)
{
  g_ptr_array_unref (SHIM_JOB_TAKE_DIALOG (object)->rows);
  G_OBJECT_CLASS (shim_job_take_dialog_parent_class)->finalize (object);
}

static void
shim_job_take_dialog_class_init (ShimJobTakeDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_job_take_dialog_dispose;
  G_OBJECT_CLASS (klass)->finalize = shim_job_take_dialog_finalize;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/jobs/shim-job-take-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimJobTakeDialog, list);
  gtk_widget_class_bind_template_child (widget_class, ShimJobTakeDialog, search_entry);
  gtk_widget_class_bind_template_child (widget_class, ShimJobTakeDialog, stack);
  gtk_widget_class_bind_template_callback (widget_class, activated_cb);
  gtk_widget_class_bind_template_callback (widget_class, search_activate_cb);
  gtk_widget_class_bind_template_callback (widget_class, search_changed_cb);
  gtk_widget_class_bind_template_callback (widget_class, stop_search_cb);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "window.close", NULL);
}

static void
shim_job_take_dialog_init (ShimJobTakeDialog *self)
{
  g_autoptr (GtkListItemFactory) factory = shim_record_rows_new (NULL);

  self->cancellable = g_cancellable_new ();
  self->taken = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  self->rows = g_ptr_array_new ();
  gtk_widget_init_template (GTK_WIDGET (self));
  shim_window_show_rows_whole (GTK_WINDOW (self));
  shim_list_keys_add (GTK_WIDGET (self->list));
  g_signal_connect (factory, "setup", G_CALLBACK (row_setup_cb), NULL);
  g_signal_connect (factory, "bind", G_CALLBACK (row_bind_cb), self);
  g_signal_connect (factory, "unbind", G_CALLBACK (row_unbind_cb), self);
  gtk_list_view_set_factory (self->list, factory);
}

/**
 * shim_job_take_dialog_new:
 * @parent: window it belongs to
 * @workspace: the register
 * @job: id of the job
 *
 * Returns: (transfer none): the dialog; show it with gtk_window_present()
 */
ShimJobTakeDialog *
shim_job_take_dialog_new (GtkWindow *parent, ShimWorkspace *workspace, const char *job)
{
  ShimJobTakeDialog *self = g_object_new (SHIM_TYPE_JOB_TAKE_DIALOG, "transient-for", parent, NULL);
  GListStore *lists = g_list_store_new (G_TYPE_LIST_MODEL);
  g_autoptr (GtkSelectionModel) selection = NULL;
  ShimGrowingList *growing;

  self->workspace = g_object_ref (workspace);
  self->job = g_strdup (job);
  for (guint i = 0; i < N_KINDS; i++)
    {
      g_autoptr (ShimQuery) query = shim_query_new ();

      shim_query_add_order (query, "label", FALSE);
      self->records[i] = shim_record_list_new (workspace, shim_kind_type_from_name (kind_names[i]), query);
      g_list_store_append (lists, self->records[i]);
    }
  self->all = gtk_flatten_list_model_new (G_LIST_MODEL (lists));
  g_signal_connect_object (self->all, "items-changed", G_CALLBACK (n_items_changed_cb), self, G_CONNECT_SWAPPED);
  growing = shim_growing_list_new (self->list);
  shim_growing_list_set_model (growing, G_LIST_MODEL (self->all));
  selection = GTK_SELECTION_MODEL (gtk_no_selection_new (G_LIST_MODEL (growing)));
  gtk_list_view_set_model (self->list, selection);
  g_signal_connect_object (workspace, "changed", G_CALLBACK (read_taken), self, G_CONNECT_SWAPPED);
  read_taken (self);
  gtk_widget_grab_focus (GTK_WIDGET (self->search_entry));
  return self;
}
