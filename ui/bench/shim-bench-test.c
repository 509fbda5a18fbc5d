/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-accept-dialog.h"
#include "shim-bench-test-private.h"
#include "shim-record-save.h"
#include "shim-dialogs.h"
#include "shim-format.h"

G_DEFINE_FINAL_TYPE (ShimBenchTest, shim_bench_test, GTK_TYPE_WIDGET)

/* Reading */

static gboolean
has_frames (const ShimTestSummary *summary)
{
  for (guint i = 0; i < summary->rounds->len; i++)
    if (((ShimRoundSummary *) g_ptr_array_index (summary->rounds, i))->frames->len > 0)
      return TRUE;
  return FALSE;
}

static void
summary_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GError) error = NULL;
  ShimTestSummary *summary = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  ShimBenchTest *self;
  gboolean had_frames;

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    return;
  self = SHIM_BENCH_TEST (user_data);
  if (summary == NULL)
    {
      shim_show_error (GTK_WIDGET (self), _ ("The Test Cannot Be Shown"), error);
      return;
    }
  had_frames = self->summary != NULL && has_frames (self->summary);
  /* So that the keys of the bench are at hand. */
  if (self->summary == NULL && gtk_widget_get_mapped (GTK_WIDGET (self)))
    gtk_widget_grab_focus (self->add_button);
  if (self->summary == NULL)
    gtk_stack_set_visible_child_name (self->stack, has_frames (summary) ? "review" : "set-up");
  else if (!had_frames && has_frames (summary) &&
           g_strcmp0 (gtk_stack_get_visible_child_name (self->stack), "set-up") == 0)
    gtk_stack_set_visible_child_name (self->stack, "review");
  g_clear_pointer (&self->summary, shim_test_summary_unref);
  self->summary = summary;
  if (!self->adding)
    g_clear_pointer (&self->round_in_hand, g_free);
  _shim_bench_test_show_summary (self);
}

/**
 * _shim_bench_test_refresh:
 * @self: a test
 *
 * Reads the test anew and shows it.
 */
void
_shim_bench_test_refresh (ShimBenchTest *self)
{
  if (self->workspace != NULL && self->test != NULL)
    shim_workspace_test_summary_async (self->workspace, self->test, self->cancellable, summary_cb, self);
}

static void
changed_cb (ShimWorkspace *workspace, ShimBenchTest *self)
{
  _shim_bench_test_refresh (self);
}

/* What a person does */

static void
frame_selected_cb (ShimRoundList *list, const char *frame, ShimBenchTest *self)
{
  if (g_strcmp0 (self->frame, frame) == 0)
    return;
  g_free (self->other_frame);
  self->other_frame = self->frame;
  self->frame = g_strdup (frame);
  _shim_bench_test_show_frame (self);
}

static void
use_set_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimBenchTest) self = user_data;
  g_autoptr (GError) error = NULL;

  if (!shim_workspace_done_finish (SHIM_WORKSPACE (source), result, &error))
    shim_show_error (GTK_WIDGET (self), _ ("This Could Not Be Stored"), error);
  _shim_bench_test_refresh (self);
}

static void
use_changed_cb (ShimRoundList *list, const char *frame, gboolean use, ShimBenchTest *self)
{
  shim_workspace_set_use_async (self->workspace, frame, use, NULL, NULL, use_set_cb, g_object_ref (self));
}

static void
accepted_cb (ShimAcceptDialog *dialog, const char *sentence, ShimBenchTest *self)
{
  shim_show_done (GTK_WIDGET (self), sentence);
  _shim_bench_test_refresh (self);
}

static void
accept_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimBenchTest *self = SHIM_BENCH_TEST (widget);
  ShimAcceptDialog *dialog;

  if (self->summary == NULL)
    return;
  dialog = shim_accept_dialog_new (widget, self->workspace, self->summary);
  g_signal_connect_object (dialog, "accepted", G_CALLBACK (accepted_cb), self, 0);
  gtk_window_present (GTK_WINDOW (dialog));
}

static void
save_record_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  ShimBenchTest *self = SHIM_BENCH_TEST (widget);

  if (self->summary != NULL)
    shim_record_save (widget, self->workspace, self->summary);
}

static void
add_frames_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  _shim_bench_test_choose_frames (SHIM_BENCH_TEST (widget));
}

static void
watch_toggled_cb (GtkToggleButton *button, ShimBenchTest *self)
{
  _shim_bench_test_watch_toggled (self);
}

static void
colours_cb (ShimBlurCurve *curve, GParamSpec *pspec, ShimBenchTest *self)
{
  _shim_bench_test_show_colours (self);
}

static void
compare_toggled_cb (GtkToggleButton *button, ShimBenchTest *self)
{
  _shim_bench_test_show_other (self);
}

static void
other_selected_cb (GtkDropDown *drop_down, GParamSpec *pspec, ShimBenchTest *self)
{
  if (!self->following)
    _shim_bench_test_show_other (self);
}

static void
zoom_fit_cb (GtkButton *button, ShimBenchTest *self)
{
  shim_photo_view_zoom_fit (self->photo_view);
}

static void
zoom_ruler_cb (GtkButton *button, ShimBenchTest *self)
{
  shim_photo_view_zoom_ruler (self->photo_view);
}

static void
zoom_1_cb (GtkButton *button, ShimBenchTest *self)
{
  shim_photo_view_zoom_to (self->photo_view, 1.0);
}

static void
zoom_4_cb (GtkButton *button, ShimBenchTest *self)
{
  shim_photo_view_zoom_to (self->photo_view, 4.0);
}

static void
mark_eye_cb (GtkButton *button, ShimBenchTest *self)
{
  gtk_widget_activate_action (GTK_WIDGET (self->photo_view), "photo.mark-eye", NULL);
}

static void
mark_target_cb (GtkButton *button, ShimBenchTest *self)
{
  gtk_widget_activate_action (GTK_WIDGET (self->photo_view), "photo.mark-target", NULL);
}

static void
zoom_changed_cb (ShimPhotoView *view, GParamSpec *pspec, ShimBenchTest *self)
{
  g_autofree char *percent = shim_format_number (shim_photo_view_get_zoom (view) * 100.0, 0);
  g_autofree char *text = g_strdup_printf (_ ("\u2066%s %%\u2069"), percent);

  gtk_label_set_label (self->zoom_label, shim_photo_view_get_zoom (view) > 0.0 ? text : "");
}

static void
photo_failed_cb (ShimPhotoView *view, const char *sentence, ShimBenchTest *self)
{
  g_autofree char *remark = g_strdup_printf (_ ("%s What was kept of the frame is shown instead."), sentence);

  _shim_bench_test_show_remark (self, remark);
  self->on_evidence = TRUE;
  _shim_bench_test_show_evidence (self);
}

static void
photo_damaged_cb (ShimPhotoView *view, ShimBenchTest *self)
{
  self->is_damaged = TRUE;
  _shim_bench_test_show_frame (self);
}

/* What is on its way */

/**
 * _shim_bench_test_show_busy:
 * @self: a test
 *
 * Says what is being measured, if anything is.
 */
void
_shim_bench_test_show_busy (ShimBenchTest *self)
{
  g_autofree char *text = NULL;

  if (self->busy_bar == NULL)
    return;
  if (self->n_wanted > self->n_added)
    {
      text = self->n_wanted == 1
                 ? g_strdup (_ ("Measuring the frame…"))
                 : g_strdup_printf (_ ("Measuring frame %u of %u…"), self->n_added + 1, self->n_wanted);
      shim_busy_bar_show (self->busy_bar, text, (double) self->n_added / self->n_wanted);
    }
  else if (self->n_measuring > 0)
    shim_busy_bar_show (self->busy_bar, _ ("Measuring again…"), NAN);
  else
    shim_busy_bar_hide (self->busy_bar);
}

static void
cancelled_cb (ShimBusyBar *bar, ShimBenchTest *self)
{
  _shim_bench_test_cancel_frames (self);
  _shim_bench_test_cancel_marks (self);
}

static void
cancel_cb (GtkWidget *widget, const char *action, GVariant *parameter)
{
  cancelled_cb (NULL, SHIM_BENCH_TEST (widget));
}

/* The widget */

static void
shim_bench_test_dispose (GObject *object)
{
  ShimBenchTest *self = SHIM_BENCH_TEST (object);

  shim_bench_test_leave (self);
  shim_bench_test_set_workspace (self, NULL);
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_BENCH_TEST);
  G_OBJECT_CLASS (shim_bench_test_parent_class)->dispose (object);
}

static void
shim_bench_test_finalize (GObject *object)
{
  g_ptr_array_unref (SHIM_BENCH_TEST (object)->refused);
  G_OBJECT_CLASS (shim_bench_test_parent_class)->finalize (object);
}

static void
bind_children (GtkWidgetClass *widget_class)
{
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, add_button);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, busy_bar);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, caption_label);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, chart);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, compare_button);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, curve);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, header);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, large_view);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, other_box);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, other_caption_label);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, other_drop_down);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, other_view);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, overlay);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, paned);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, panel);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, photo_view);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, remark_box);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, remark_label);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, round_list);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, set_up_page);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, spinner);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, stack);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, title);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, tool_box);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, watch_button);
  gtk_widget_class_bind_template_child (widget_class, ShimBenchTest, zoom_label);
}

static void
shim_bench_test_class_init (ShimBenchTestClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_bench_test_dispose;
  G_OBJECT_CLASS (klass)->finalize = shim_bench_test_finalize;
  gtk_widget_class_install_action (widget_class, "bench.accept", NULL, accept_cb);
  gtk_widget_class_install_action (widget_class, "bench.add-frames", NULL, add_frames_cb);
  gtk_widget_class_install_action (widget_class, "bench.cancel", NULL, cancel_cb);
  gtk_widget_class_install_action (widget_class, "bench.save-record", NULL, save_record_cb);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_o, GDK_CONTROL_MASK, "bench.add-frames", NULL);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_s, GDK_CONTROL_MASK, "bench.save-record", NULL);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_Escape, 0, "bench.cancel", NULL);
  g_type_ensure (SHIM_TYPE_BLUR_CURVE);
  g_type_ensure (SHIM_TYPE_BUSY_BAR);
  g_type_ensure (SHIM_TYPE_LARGE_VIEW);
  g_type_ensure (SHIM_TYPE_PHOTO_VIEW);
  g_type_ensure (SHIM_TYPE_RESPONSE_CHART);
  g_type_ensure (SHIM_TYPE_ROUND_LIST);
  g_type_ensure (SHIM_TYPE_SET_UP_PAGE);
  g_type_ensure (SHIM_TYPE_TEST_PANEL);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/bench/shim-bench-test.ui");
  bind_children (widget_class);
  gtk_widget_class_bind_template_callback (widget_class, cancelled_cb);
  gtk_widget_class_bind_template_callback (widget_class, compare_toggled_cb);
  gtk_widget_class_bind_template_callback (widget_class, mark_eye_cb);
  gtk_widget_class_bind_template_callback (widget_class, mark_target_cb);
  gtk_widget_class_bind_template_callback (widget_class, other_selected_cb);
  gtk_widget_class_bind_template_callback (widget_class, watch_toggled_cb);
  gtk_widget_class_bind_template_callback (widget_class, zoom_1_cb);
  gtk_widget_class_bind_template_callback (widget_class, zoom_4_cb);
  gtk_widget_class_bind_template_callback (widget_class, zoom_fit_cb);
  gtk_widget_class_bind_template_callback (widget_class, zoom_ruler_cb);
}

static void
shim_bench_test_init (ShimBenchTest *self)
{
  self->refused = g_ptr_array_new_with_free_func (g_free);
  g_queue_init (&self->waiting);
  gtk_widget_init_template (GTK_WIDGET (self));
  g_object_bind_property (self->photo_view, "hover-reading", self->curve, "hover-reading", G_BINDING_BIDIRECTIONAL);
  g_object_bind_property (self->photo_view, "loading", self->spinner, "spinning", G_BINDING_SYNC_CREATE);
  g_object_bind_property (self->photo_view, "loading", self->spinner, "visible", G_BINDING_SYNC_CREATE);
  g_signal_connect (self->curve, "notify::colours", G_CALLBACK (colours_cb), self);
  g_signal_connect (self->photo_view, "notify::zoom", G_CALLBACK (zoom_changed_cb), self);
  g_signal_connect (self->photo_view, "failed", G_CALLBACK (photo_failed_cb), self);
  g_signal_connect (self->photo_view, "damaged", G_CALLBACK (photo_damaged_cb), self);
  g_signal_connect (self->round_list, "frame-selected", G_CALLBACK (frame_selected_cb), self);
  g_signal_connect (self->round_list, "use-changed", G_CALLBACK (use_changed_cb), self);
  _shim_bench_test_init_frames (self);
  _shim_bench_test_init_marks (self);
  _shim_bench_test_init_compare (self);
  _shim_bench_test_show_remark (self, NULL);
}

/**
 * shim_bench_test_new:
 *
 * Returns: a widget without a test
 */
GtkWidget *
shim_bench_test_new (void)
{
  return g_object_new (SHIM_TYPE_BENCH_TEST, NULL);
}

/**
 * shim_bench_test_set_workspace:
 * @self: a widget without a test
 * @workspace: (nullable): the register
 */
void
shim_bench_test_set_workspace (ShimBenchTest *self, ShimWorkspace *workspace)
{
  g_return_if_fail (SHIM_IS_BENCH_TEST (self));

  if (self->workspace != NULL)
    g_clear_signal_handler (&self->changed_handler, self->workspace);
  g_set_object (&self->workspace, workspace);
  if (self->round_list != NULL)
    shim_round_list_set_workspace (self->round_list, workspace);
  if (workspace != NULL)
    self->changed_handler = g_signal_connect (workspace, "changed", G_CALLBACK (changed_cb), self);
}

/**
 * shim_bench_test_open:
 * @self: a widget with a workspace
 * @test: id of the test to show
 */
void
shim_bench_test_open (ShimBenchTest *self, const char *test)
{
  g_return_if_fail (SHIM_IS_BENCH_TEST (self));
  g_return_if_fail (test != NULL);

  if (g_strcmp0 (self->test, test) != 0)
    {
      shim_bench_test_leave (self);
      self->test = g_strdup (test);
      self->cancellable = g_cancellable_new ();
    }
  _shim_bench_test_refresh (self);
}

/**
 * shim_bench_test_leave:
 * @self: a widget
 *
 * Forgets the test; it stays in the register and can be opened again.
 */
void
shim_bench_test_leave (ShimBenchTest *self)
{
  g_return_if_fail (SHIM_IS_BENCH_TEST (self));

  if (self->cancellable != NULL)
    g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
  _shim_bench_test_stop_frames (self);
  _shim_bench_test_stop_marks (self);
  _shim_bench_test_cancel_marks (self);
  g_clear_pointer (&self->summary, shim_test_summary_unref);
  g_clear_pointer (&self->test, g_free);
  g_clear_pointer (&self->frame, g_free);
  g_clear_pointer (&self->other_frame, g_free);
  g_clear_pointer (&self->frame_to_select, g_free);
  /* The list forgets its selection too: the same test may be opened next, and its frame counts as chosen anew. */
  if (self->round_list != NULL)
    shim_round_list_show (self->round_list, NULL, NULL);
  if (self->photo_view != NULL)
    _shim_bench_test_show_frame (self);
}

/**
 * shim_bench_test_get_test:
 * @self: a widget
 *
 * Returns: (nullable): id of the test shown
 */
const char *
shim_bench_test_get_test (ShimBenchTest *self)
{
  g_return_val_if_fail (SHIM_IS_BENCH_TEST (self), NULL);

  return self->test;
}
