/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-job-editor.h"
#include "shim-job-page.h"
#include "shim-jobs-place.h"
#include "shim-record-picker.h"
#include "shim-reveal-archived.h"
#include "shim-sheet-save.h"

struct _ShimJobsPlace
{
  GtkBox parent_instance;

  /* Template widgets */
  ShimRecordPicker *picker;
  GtkStack *stack;

  /* Owned */
  ShimWorkspace *workspace;
  gboolean show_archived;

  /* Borrowed */
  ShimJobPage *page;
};

enum
{
  PROP_SHOW_ARCHIVED = 1,
};

G_DEFINE_FINAL_TYPE (ShimJobsPlace, shim_jobs_place, GTK_TYPE_BOX)

static void
selected_cb (ShimJobsPlace *self)
{
  const char *id = shim_record_picker_get_selected_id (self->picker);

  if (self->page == NULL)
    return;
  if (id == NULL)
    {
      gtk_stack_set_visible_child_name (self->stack, shim_record_picker_is_empty (self->picker) ? "none" : "choose");
      return;
    }
  shim_job_page_set_job (self->page, id);
  gtk_stack_set_visible_child (self->stack, GTK_WIDGET (self->page));
}

static void
stored_cb (ShimJob *job, gpointer user_data)
{
  shim_record_picker_select (SHIM_JOBS_PLACE (user_data)->picker, shim_record_get_id (SHIM_RECORD (job)));
}

static void
new_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  g_autoptr (ShimJob) job = shim_job_new ();

  shim_job_editor_show (widget, SHIM_JOBS_PLACE (widget)->workspace, job, stored_cb);
}

static void
whole_kit_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  shim_sheet_save (widget, SHIM_JOBS_PLACE (widget)->workspace, NULL, _ ("Kit Sheet, Whole Kit"),
                   g_variant_get_string (parameter, NULL));
}

/**
 * shim_jobs_place_search:
 * @self: the place
 *
 * Puts the cursor into the search.
 */
void
shim_jobs_place_search (ShimJobsPlace *self)
{
  g_return_if_fail (SHIM_IS_JOBS_PLACE (self));

  shim_record_picker_search (self->picker);
}

/**
 * shim_jobs_place_open:
 * @self: the place
 * @job: id of the job to show
 */
void
shim_jobs_place_open (ShimJobsPlace *self, const char *job)
{
  g_return_if_fail (SHIM_IS_JOBS_PLACE (self));

  shim_record_picker_select (self->picker, job);
  if (!self->show_archived)
    shim_reveal_archived (GTK_WIDGET (self), self->workspace, "job", job);
}

/* Where one goes on by key: the list, or the first step while there is nothing at all. */
static gboolean
shim_jobs_place_grab_focus (GtkWidget *widget)
{
  ShimJobsPlace *self = SHIM_JOBS_PLACE (widget);

  if (g_str_equal (gtk_stack_get_visible_child_name (self->stack), "none"))
    return gtk_widget_child_focus (GTK_WIDGET (self->stack), GTK_DIR_TAB_FORWARD);
  return gtk_widget_grab_focus (GTK_WIDGET (self->picker));
}

static void
shim_jobs_place_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  g_value_set_boolean (value, SHIM_JOBS_PLACE (object)->show_archived);
}

static void
shim_jobs_place_set_property (GObject *object, guint id, const GValue *value, GParamSpec *pspec)
{
  ShimJobsPlace *self = SHIM_JOBS_PLACE (object);

  self->show_archived = g_value_get_boolean (value);
  shim_record_picker_set_archived (self->picker, self->show_archived);
}

static void
shim_jobs_place_dispose (GObject *object)
{
  ShimJobsPlace *self = SHIM_JOBS_PLACE (object);

  self->page = NULL;
  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_JOBS_PLACE);
  g_clear_object (&self->workspace);
  G_OBJECT_CLASS (shim_jobs_place_parent_class)->dispose (object);
}

static void
shim_jobs_place_class_init (ShimJobsPlaceClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->dispose = shim_jobs_place_dispose;
  object_class->get_property = shim_jobs_place_get_property;
  object_class->set_property = shim_jobs_place_set_property;
  widget_class->grab_focus = shim_jobs_place_grab_focus;
  g_object_class_install_property (object_class, PROP_SHOW_ARCHIVED,
                                   g_param_spec_boolean ("show-archived", NULL, NULL, FALSE,
                                                         G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS));
  g_type_ensure (SHIM_TYPE_RECORD_PICKER);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/jobs/shim-jobs-place.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimJobsPlace, picker);
  gtk_widget_class_bind_template_child (widget_class, ShimJobsPlace, stack);
  gtk_widget_class_bind_template_callback (widget_class, selected_cb);
  gtk_widget_class_install_action (widget_class, "jobs.new", NULL, new_cb);
  gtk_widget_class_install_action (widget_class, "jobs.whole-kit", "s", whole_kit_cb);
  gtk_widget_class_install_property_action (widget_class, "jobs.show-archived", "show-archived");
}

static void
shim_jobs_place_init (ShimJobsPlace *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/**
 * shim_jobs_place_new:
 * @workspace: the register to show
 *
 * Returns: (transfer floating): the place Jobs
 */
GtkWidget *
shim_jobs_place_new (ShimWorkspace *workspace)
{
  ShimJobsPlace *self = g_object_new (SHIM_TYPE_JOBS_PLACE, NULL);

  self->workspace = g_object_ref (workspace);
  self->page = SHIM_JOB_PAGE (shim_job_page_new (workspace));
  gtk_stack_add_child (self->stack, GTK_WIDGET (self->page));
  shim_record_picker_set_kind (self->picker, workspace, "job", "on_date", TRUE);
  return GTK_WIDGET (self);
}
