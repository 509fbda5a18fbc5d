/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-format.h"
#include "shim-job-editor.h"
#include "shim-job-mend.h"
#include "shim-job-page.h"
#include "shim-job-sources.h"
#include "shim-job-take-dialog.h"
#include "shim-sheet-save.h"
#include "shim-workspace-ops.h"

/* Rows are widgets: a job of thousands shows so many at a time. */
#define ROWS_AT_A_TIME 100

struct _ShimJobPage
{
  GtkBox parent_instance;

  /* Template widgets */
  GtkButton *archive_button;
  AdwPreferencesGroup *kit_group;
  GtkLabel *note;
  AdwPreferencesGroup *ready_group;
  GtkScrolledWindow *scrolled;
  GtkLabel *subtitle;
  GtkLabel *title;

  /* Owned */
  ShimWorkspace *workspace;
  GCancellable *cancellable;
  char *job;
  ShimJobKit *kit;
  GPtrArray *not_ready;  /* element-type ShimNotReady */
  GPtrArray *kit_rows;   /* borrowed: what stands in kit_group */
  GPtrArray *ready_rows; /* borrowed: what stands in ready_group */
  guint n_kit_shown;
  guint n_ready_shown;
};

G_DEFINE_FINAL_TYPE (ShimJobPage, shim_job_page, GTK_TYPE_BOX)

static void show_kit (ShimJobPage *self);
static void show_not_ready (ShimJobPage *self);

static void
clear_rows (AdwPreferencesGroup *group, GPtrArray *rows)
{
  for (guint i = 0; i < rows->len; i++)
    adw_preferences_group_remove (group, rows->pdata[i]);
  g_ptr_array_set_size (rows, 0);
}

static void
add_row (AdwPreferencesGroup *group, GPtrArray *rows, GtkWidget *row)
{
  adw_preferences_group_add (group, row);
  g_ptr_array_add (rows, row);
}

static GtkWidget *
row_new (const char *title, const char *subtitle)
{
  GtkWidget *row = adw_action_row_new ();
  g_autofree char *escaped_title = g_markup_escape_text (title, -1);
  g_autofree char *escaped_subtitle = g_markup_escape_text (subtitle != NULL ? subtitle : "", -1);

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), escaped_title);
  adw_action_row_set_subtitle (ADW_ACTION_ROW (row), escaped_subtitle);
  return row;
}

static void
more_ready_cb (ShimJobPage *self)
{
  self->n_ready_shown += ROWS_AT_A_TIME;
  show_not_ready (self);
}

static void
more_kit_cb (ShimJobPage *self)
{
  self->n_kit_shown += ROWS_AT_A_TIME;
  show_kit (self);
}

static GtkWidget *
more_row_new (ShimJobPage *self, guint n_left, GCallback callback)
{
  g_autofree char *title = g_strdup_printf (ngettext ("%u more", "%u more", n_left), n_left);
  GtkWidget *row = row_new (title, _ ("Show more of them"));

  gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), TRUE);
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), gtk_image_new_from_icon_name ("view-more-symbolic"));
  g_signal_connect_swapped (row, "activated", callback, self);
  return row;
}

/* --- what is not ready --- */

static void
mend_cb (GtkButton *button, ShimJobPage *self)
{
  guint index = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "shim-index"));

  shim_job_mend (GTK_WIDGET (self), self->workspace, self->not_ready->pdata[index]);
}

static void
leave_out_cb (GtkButton *button, ShimJobPage *self)
{
  guint index = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "shim-index"));

  shim_job_mend_leave_out (GTK_WIDGET (self), self->workspace, self->not_ready->pdata[index]);
}

static GtkWidget *
line_button_new (ShimJobPage *self, guint index, const char *label, GCallback clicked_cb)
{
  const ShimNotReady *line = self->not_ready->pdata[index];
  GtkWidget *button = gtk_button_new_with_mnemonic (label);

  gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, line->sentence, -1);
  g_object_set_data (G_OBJECT (button), "shim-index", GUINT_TO_POINTER (index));
  g_signal_connect (button, "clicked", clicked_cb, self);
  return button;
}

static GtkWidget *
not_ready_row_new (ShimJobPage *self, guint index)
{
  const ShimNotReady *line = self->not_ready->pdata[index];
  GtkWidget *row = row_new (line->sentence, NULL);
  GtkWidget *button = line_button_new (self, index, shim_job_mend_label (line), G_CALLBACK (mend_cb));

  adw_action_row_add_prefix (ADW_ACTION_ROW (row), gtk_image_new_from_icon_name (shim_job_mend_icon (line)));
  if (shim_job_mend_can_be_left_out (line))
    adw_action_row_add_suffix (ADW_ACTION_ROW (row), line_button_new (self, index, _ ("_Not Needed"), G_CALLBACK (leave_out_cb)));
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), button);
  adw_action_row_set_activatable_widget (ADW_ACTION_ROW (row), button);
  return row;
}

static guint
n_items (ShimJobPage *self)
{
  return self->kit->bodies->len + self->kit->lenses->len + self->kit->converters->len + self->kit->adapters->len;
}

static void
show_not_ready (ShimJobPage *self)
{
  guint n = self->not_ready->len, n_shown = MIN (n, self->n_ready_shown);
  g_autofree char *title = n > 0 ? g_strdup_printf (_ ("Not Ready: %u"), n) : g_strdup (_ ("Ready"));

  clear_rows (self->ready_group, self->ready_rows);
  adw_preferences_group_set_title (self->ready_group, title);
  gtk_widget_set_visible (GTK_WIDGET (self->ready_group), n_items (self) > 0);
  for (guint i = 0; i < n_shown; i++)
    add_row (self->ready_group, self->ready_rows, not_ready_row_new (self, i));
  if (n_shown < n)
    add_row (self->ready_group, self->ready_rows, more_row_new (self, n - n_shown, G_CALLBACK (more_ready_cb)));
  if (n == 0)
    {
      GtkWidget *row = row_new (_ ("Everything is ready"), _ ("Every pair of this job is tuned and keyed in."));

      adw_action_row_add_prefix (ADW_ACTION_ROW (row), gtk_image_new_from_icon_name ("shim-state-tuned-symbolic"));
      add_row (self->ready_group, self->ready_rows, row);
    }
}

/* --- the kit --- */

static ShimRecord *
item_at (ShimJobPage *self, guint index)
{
  GPtrArray *lists[] = { self->kit->bodies, self->kit->lenses, self->kit->converters, self->kit->adapters };

  for (guint i = 0; i < G_N_ELEMENTS (lists); i++)
    {
      if (index < lists[i]->len)
        return lists[i]->pdata[index];
      index -= lists[i]->len;
    }
  return NULL;
}

static void
stored_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimJobPage) self = SHIM_JOB_PAGE (user_data);
  g_autoptr (GError) error = NULL;

  if (!shim_workspace_done_finish (SHIM_WORKSPACE (source), result, &error))
    shim_show_error (GTK_WIDGET (self), _ ("The Change Was Not Stored"), error);
}

static void
leave_cb (GtkButton *button, ShimJobPage *self)
{
  ShimRecord *item = item_at (self, GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "shim-index")));

  shim_workspace_remove_job_item_async (self->workspace, self->job, item->id, NULL, stored_cb, g_object_ref (self));
}

static void
item_activated_cb (AdwActionRow *row, ShimJobPage *self)
{
  ShimRecord *item = item_at (self, GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (row), "shim-index")));

  gtk_widget_activate_action (GTK_WIDGET (self), "win.open-item", "(ss)", shim_record_get_kind (item)->name, item->id);
}

static void
append_known (GString *text, const char *part)
{
  if (part != NULL && *part != '\0')
    g_string_append_printf (text, " · %s", part);
}

static GtkWidget *
item_row_new (ShimJobPage *self, guint index)
{
  ShimRecord *item = item_at (self, index);
  g_autofree char *label = NULL, *serial = NULL, *maker = NULL, *model = NULL, *holder = NULL, *name = NULL, *product = NULL;
  g_autoptr (GString) under = g_string_new (_ (shim_record_get_kind (item)->label));
  GtkWidget *row, *button = gtk_button_new_from_icon_name ("list-remove-symbolic");

  g_object_get (item, "label", &label, "serial", &serial, NULL);
  if (!SHIM_IS_ADAPTER (item))
    g_object_get (item, "maker", &maker, "model", &model, "holder", &holder, NULL);
  product = shim_format_product (maker, model);
  append_known (under, product);
  append_known (under, serial);
  append_known (under, holder);
  row = row_new (label, under->str);
  gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), TRUE);
  g_object_set_data (G_OBJECT (row), "shim-index", GUINT_TO_POINTER (index));
  g_signal_connect (row, "activated", G_CALLBACK (item_activated_cb), self);

  name = g_strdup_printf (_ ("Leave %s at home"), label);
  gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
  gtk_widget_add_css_class (button, "flat");
  gtk_widget_set_tooltip_text (button, name);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  g_object_set_data (G_OBJECT (button), "shim-index", GUINT_TO_POINTER (index));
  g_signal_connect (button, "clicked", G_CALLBACK (leave_cb), self);
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), button);
  return row;
}

static void
show_kit (ShimJobPage *self)
{
  guint n = n_items (self), n_shown = MIN (n, self->n_kit_shown);
  g_autofree char *title = n > 0 ? g_strdup_printf (_ ("Kit: %u"), n) : g_strdup (_ ("Kit"));

  clear_rows (self->kit_group, self->kit_rows);
  adw_preferences_group_set_title (self->kit_group, title);
  for (guint i = 0; i < n_shown; i++)
    add_row (self->kit_group, self->kit_rows, item_row_new (self, i));
  if (n_shown < n)
    add_row (self->kit_group, self->kit_rows, more_row_new (self, n - n_shown, G_CALLBACK (more_kit_cb)));
  if (n == 0)
    add_row (self->kit_group, self->kit_rows,
             row_new (_ ("Nothing yet"), _ ("Choose bodies and lenses by search, paste their serials, or copy another job’s kit.")));
}

/* --- head --- */

static char *
days_text (const ShimJob *job)
{
  if (job->on_date != NULL && job->until_date != NULL)
    return g_strdup_printf (_ ("%s to %s"), job->on_date, job->until_date);
  return g_strdup (job->on_date != NULL ? job->on_date : _ ("No date yet"));
}

static void
show_head (ShimJobPage *self)
{
  const ShimJob *job = self->kit->job;
  g_autofree char *days = days_text (job);
  g_autofree char *taken_by = job->holder != NULL ? g_strdup_printf (_ ("taken by %s"), job->holder) : NULL;
  g_autoptr (GString) under = g_string_new (days);

  append_known (under, job->place);
  append_known (under, taken_by);
  if (job->archived)
    append_known (under, _ ("archived"));
  gtk_label_set_label (self->title, job->name);
  gtk_label_set_label (self->subtitle, under->str);
  gtk_label_set_label (self->note, job->note != NULL ? job->note : "");
  gtk_widget_set_visible (GTK_WIDGET (self->note), job->note != NULL);
  gtk_button_set_label (self->archive_button, job->archived ? _ ("_Bring Back") : _ ("_Archive"));
}

/* --- reading --- */

typedef struct
{
  ShimJobKit *kit;
  GPtrArray *not_ready;
} JobView;

static void
job_view_free (JobView *view)
{
  g_clear_pointer (&view->kit, shim_job_kit_free);
  g_clear_pointer (&view->not_ready, g_ptr_array_unref);
  g_free (view);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (JobView, job_view_free)

/* The register's thread. */
static gpointer
view_func (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error)
{
  ShimJobKit *kit = shim_register_job_kit (reg, data, error);
  JobView *view;

  if (kit == NULL)
    return NULL;
  view = g_new (JobView, 1);
  *view = (JobView) { kit, shim_job_kit_readiness (kit) };
  return view;
}

static void
view_read_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimJobPage) self = SHIM_JOB_PAGE (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (JobView) view = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (view == NULL)
    {
      shim_show_error (GTK_WIDGET (self), _ ("The Job Could Not Be Read"), error);
      return;
    }
  if (self->job == NULL)
    return;
  g_clear_pointer (&self->kit, shim_job_kit_free);
  g_clear_pointer (&self->not_ready, g_ptr_array_unref);
  self->kit = g_steal_pointer (&view->kit);
  self->not_ready = g_steal_pointer (&view->not_ready);
  show_head (self);
  show_not_ready (self);
  show_kit (self);
}

static void
reload (ShimJobPage *self)
{
  if (self->job == NULL)
    return;
  g_cancellable_cancel (self->cancellable);
  g_object_unref (self->cancellable);
  self->cancellable = g_cancellable_new ();
  shim_workspace_call_async (self->workspace, view_func, g_strdup (self->job), g_free, (GDestroyNotify) job_view_free,
                             self->cancellable, view_read_cb, g_object_ref (self));
}

/**
 * shim_job_page_set_job:
 * @self: a page
 * @job: id of the job to show
 */
void
shim_job_page_set_job (ShimJobPage *self, const char *job)
{
  g_return_if_fail (SHIM_IS_JOB_PAGE (self));
  g_return_if_fail (job != NULL);

  if (g_strcmp0 (job, self->job) != 0)
    {
      self->n_kit_shown = self->n_ready_shown = ROWS_AT_A_TIME;
      gtk_adjustment_set_value (gtk_scrolled_window_get_vadjustment (self->scrolled), 0.0);
    }
  g_free (self->job);
  self->job = g_strdup (job);
  reload (self);
}

/* --- actions --- */

static void
change_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimJobPage *self = SHIM_JOB_PAGE (widget);

  if (self->kit != NULL)
    shim_job_editor_show (widget, self->workspace, self->kit->job, NULL);
}

static void
archive_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimJobPage *self = SHIM_JOB_PAGE (widget);

  if (self->kit != NULL)
    shim_workspace_set_archived_async (self->workspace, "job", self->job, !self->kit->job->archived, NULL, stored_cb,
                                       g_object_ref (self));
}

static void
sheet_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimJobPage *self = SHIM_JOB_PAGE (widget);
  g_autofree char *title = NULL;

  if (self->kit == NULL)
    return;
  title = g_strdup_printf (_ ("Kit Sheet, %s"), self->kit->job->name);
  shim_sheet_save (widget, self->workspace, self->job, title, g_variant_get_string (parameter, NULL));
}

static void
take_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimJobPage *self = SHIM_JOB_PAGE (widget);

  gtk_window_present (GTK_WINDOW (shim_job_take_dialog_new (GTK_WINDOW (gtk_widget_get_root (widget)), self->workspace, self->job)));
}

static void
serials_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  shim_job_serials_show (widget, SHIM_JOB_PAGE (widget)->workspace, SHIM_JOB_PAGE (widget)->job);
}

static void
copy_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  shim_job_copy_show (widget, SHIM_JOB_PAGE (widget)->workspace, SHIM_JOB_PAGE (widget)->job);
}

static void
shim_job_page_dispose (GObject *object)
{
  ShimJobPage *self = SHIM_JOB_PAGE (object);

  g_cancellable_cancel (self->cancellable);
  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_JOB_PAGE);
  g_clear_object (&self->cancellable);
  g_clear_object (&self->workspace);
  g_clear_pointer (&self->job, g_free);
  g_clear_pointer (&self->kit, shim_job_kit_free);
  g_clear_pointer (&self->not_ready, g_ptr_array_unref);
  g_clear_pointer (&self->kit_rows, g_ptr_array_unref);
  g_clear_pointer (&self->ready_rows, g_ptr_array_unref);
  G_OBJECT_CLASS (shim_job_page_parent_class)->dispose (object);
}

static void
shim_job_page_class_init (ShimJobPageClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_job_page_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/jobs/shim-job-page.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimJobPage, archive_button);
  gtk_widget_class_bind_template_child (widget_class, ShimJobPage, kit_group);
  gtk_widget_class_bind_template_child (widget_class, ShimJobPage, note);
  gtk_widget_class_bind_template_child (widget_class, ShimJobPage, ready_group);
  gtk_widget_class_bind_template_child (widget_class, ShimJobPage, scrolled);
  gtk_widget_class_bind_template_child (widget_class, ShimJobPage, subtitle);
  gtk_widget_class_bind_template_child (widget_class, ShimJobPage, title);
  gtk_widget_class_install_action (widget_class, "job.change", NULL, change_cb);
  gtk_widget_class_install_action (widget_class, "job.archive", NULL, archive_cb);
  gtk_widget_class_install_action (widget_class, "job.sheet", "s", sheet_cb);
  gtk_widget_class_install_action (widget_class, "job.take", NULL, take_cb);
  gtk_widget_class_install_action (widget_class, "job.serials", NULL, serials_cb);
  gtk_widget_class_install_action (widget_class, "job.copy", NULL, copy_cb);
}

static void
shim_job_page_init (ShimJobPage *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->cancellable = g_cancellable_new ();
  self->kit_rows = g_ptr_array_new ();
  self->ready_rows = g_ptr_array_new ();
}

/**
 * shim_job_page_new:
 * @workspace: where the jobs are
 *
 * Returns: (transfer floating): a page that shows nothing yet
 */
GtkWidget *
shim_job_page_new (ShimWorkspace *workspace)
{
  ShimJobPage *self = g_object_new (SHIM_TYPE_JOB_PAGE, NULL);

  self->workspace = g_object_ref (workspace);
  g_signal_connect_object (workspace, "changed", G_CALLBACK (reload), self, G_CONNECT_SWAPPED);
  return GTK_WIDGET (self);
}
