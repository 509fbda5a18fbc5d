/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-text.h"
#include "shim-dialogs.h"
#include "shim-format.h"
#include "shim-ops-pair.h"
#include "shim-pair-actions.h"
#include "shim-pair-evidence.h"
#include "shim-pair-history.h"
#include "shim-pair-page.h"
#include "shim-response-chart.h"

struct _ShimPairPage
{
  AdwBin parent_instance;

  ShimWorkspace *workspace;
  gulong changed_handler;
  GCancellable *cancellable; /* of the view on its way */
  char *pair;                /* id */
  ShimPairView *view;
  ShimPairActions *actions;

  /* template widgets */
  ShimResponseChart *chart;
  GtkFlowBox *evidence_box;
  GtkWidget *evidence_group;
  GtkWidget *history_group;
  GtkListBox *history_list;
  GtkLabel *measured_label;
  AdwActionRow *measured_row;
  GtkLabel *predicted_label;
  AdwActionRow *predicted_row;
  GtkLabel *residual_label;
  AdwActionRow *residual_row;
  GtkWidget *response_group;
  GtkLabel *setting_label;
  AdwActionRow *setting_row;
  GtkLabel *state_label;
  AdwActionRow *state_row;
  AdwWindowTitle *title;
};

G_DEFINE_FINAL_TYPE (ShimPairPage, shim_pair_page, ADW_TYPE_BIN)

enum
{
  LEAVE,
  N_SIGNALS,
};

static guint signals[N_SIGNALS];

static void
leave_clicked_cb (GtkButton *button, ShimPairPage *self)
{
  g_signal_emit (self, signals[LEAVE], 0);
}

static void
new_test_clicked_cb (GtkButton *button, ShimPairPage *self)
{
  if (self->pair != NULL)
    gtk_widget_activate_action (GTK_WIDGET (self), "win.bench-pair", "s", self->pair);
}

static void
open_test_clicked_cb (GtkButton *button, ShimPairPage *self)
{
  if (self->view != NULL && self->view->newest != NULL)
    gtk_widget_activate_action (GTK_WIDGET (self), "win.bench-test", "s",
                                shim_record_get_id (SHIM_RECORD (self->view->newest->test)));
}

/* Now */

static char *
reasons_text (ShimDueReasons reasons)
{
  g_autoptr (GString) text = g_string_new (NULL);

  for (guint bit = 0; bit < 31; bit++)
    {
      ShimDueReasons reason = reasons & (1u << bit);

      if (reason == 0)
        continue;
      if (text->len > 0)
        g_string_append_c (text, ' ');
      g_string_append (text, _ (shim_due_reason_to_sentence (reason)));
    }
  return g_string_free (g_steal_pointer (&text), FALSE);
}

static gboolean
is_copied (const ShimPairView *view)
{
  for (guint i = 0; i < view->decisions->len; i++)
    {
      ShimDecision *decision = g_ptr_array_index (view->decisions, i);

      if (g_strcmp0 (shim_record_get_id (SHIM_RECORD (decision)), view->now->decision) == 0)
        return g_strcmp0 (decision->origin, "copied") == 0;
    }
  return FALSE;
}

/* A value that was copied ages from the day that it was written down, but nobody tested it then. */
static char *
tested_text (const ShimPairView *view)
{
  g_autofree char *age = isnan (view->now->age_days) ? NULL : shim_format_age_days ((gint64) view->now->age_days);

  if (age == NULL)
    return g_strdup (view->newest != NULL ? _ ("Tested, but no setting stands.") : _ ("Never tested."));
  if (is_copied (view))
    return g_strdup_printf (_ ("Copied from elsewhere, not tested here: %s."), age);
  return g_strdup_printf (_ ("Tested: %s."), age);
}

static void
show_state (ShimPairPage *self, const ShimPairView *view)
{
  const ShimPairNow *now = view->now;
  g_autofree char *reasons = reasons_text (now->reasons);
  g_autofree char *tested = tested_text (view);
  g_autofree char *subtitle = *reasons != '\0' ? g_strdup_printf ("%s %s", tested, reasons) : g_strdup (tested);

  gtk_label_set_label (self->state_label, shim_pair_state_to_label (now->state));
  adw_action_row_set_subtitle (self->state_row, subtitle);
}

static char *
slot_text (const ShimPairNow *now)
{
  if (now->value == SHIM_NO_INT)
    return g_strdup (_ ("No setting is decided yet."));
  if (now->slot == SHIM_NO_INT)
    return g_strdup (_ ("Not keyed in yet."));
  if (now->slot == 0)
    return g_strdup (_ ("Kept inside the lens."));
  if (now->slot_state == SHIM_SLOT_LOST)
    return g_strdup_printf (_ ("Was in slot %d until the body was reset; key it in again."),
                            (int) now->slot);
  if (now->slot_state == SHIM_SLOT_OVERWRITTEN)
    return g_strdup_printf (_ ("Slot %d holds another lens now; key it in again."), (int) now->slot);
  if (now->slot_value != now->value)
    return g_strdup_printf (_ ("Slot %d still holds an older value; key it in again."), (int) now->slot);
  return g_strdup_printf (_ ("Keyed into slot %d."), (int) now->slot);
}

static void
show_setting (ShimPairPage *self, const ShimPairNow *now)
{
  g_autofree char *wide = shim_bench_text_setting (now->value);
  g_autofree char *long_end = shim_bench_text_setting (now->value_long);
  g_autofree char *slot = slot_text (now);
  g_autofree char *subtitle = now->conflict ? g_strdup_printf (_ ("%s Another copy of this model needs another value, and this body "
                                                                  "cannot tell them apart."),
                                                               slot)
                                            : g_strdup (slot);
  g_autofree char *both = NULL;

  if (now->value_long != SHIM_NO_INT)
    both = g_strdup_printf (_ ("wide %s, long %s"), wide, long_end);
  gtk_label_set_label (self->setting_label, both != NULL ? both : wide);
  adw_action_row_set_subtitle (self->setting_row, subtitle);
}

static void
show_residual (ShimPairPage *self, const ShimPairNow *now)
{
  g_autofree char *residual =
      isnan (now->residual_mm) ? g_strdup ("–") : shim_bench_text_offset (now->residual_mm, now->residual_se_mm);
  g_autofree char *tolerance = shim_bench_text_length (now->tolerance_mm);
  g_autofree char *subtitle =
      isnan (now->tolerance_mm) ? g_strdup ("") : g_strdup_printf (_ ("± %s is accepted."), tolerance);

  gtk_label_set_label (self->residual_label, residual);
  adw_action_row_set_subtitle (self->residual_row, subtitle);
}

/* Measurement beside prediction */

static void
show_measured (ShimPairPage *self, const ShimTestSummary *newest)
{
  g_autofree char *wanted = NULL;
  g_autofree char *label = NULL;

  if (newest == NULL || newest->response.state < SHIM_RESPONSE_UNCLEAR || isnan (newest->response.zero.at))
    {
      gtk_label_set_label (self->measured_label, "–");
      adw_action_row_set_subtitle (self->measured_row,
                                   newest != NULL ? newest->advice_sentence : _ ("No test has a frame yet."));
      return;
    }
  wanted = shim_format_signed (newest->response.zero.at, 1);
  label = isnan (newest->response.zero.se) ? g_strdup (wanted)
                                           : g_strdup_printf ("%s ± %.1f", wanted, newest->response.zero.se);
  gtk_label_set_label (self->measured_label, label);
  adw_action_row_set_subtitle (self->measured_row, newest->advice_sentence);
}

static void
show_predicted (ShimPairPage *self, const ShimPairView *view)
{
  const ShimPairPrediction *prediction = view->prediction;
  g_autofree char *wanted = NULL;
  g_autofree char *label = NULL;
  g_autofree char *sentence = NULL;

  if (prediction == NULL)
    {
      gtk_label_set_label (self->predicted_label, "–");
      adw_action_row_set_subtitle (self->predicted_row,
                                   _ ("Too few other pairs of this body and this lens are measured."));
      return;
    }
  wanted = shim_format_signed (prediction->wanted, 1);
  label = g_strdup_printf ("%s ± %.1f", wanted, prediction->se_steps);
  gtk_label_set_label (self->predicted_label, label);
  if (view->is_checked)
    sentence =
        g_strdup_printf ("%s %s", prediction->sentence,
                         view->contradicts
                             ? _ ("The other pairs contradict this measurement: look for a slip, or test anew.")
                             : _ ("The other pairs agree with this measurement."));
  adw_action_row_set_subtitle (self->predicted_row, sentence != NULL ? sentence : prediction->sentence);
}

static void
show_chart (ShimPairPage *self, const ShimPairView *view)
{
  const ShimTestSummary *newest = view->newest;
  ShimResponseView response;

  gtk_widget_set_visible (self->response_group, newest != NULL);
  if (newest == NULL)
    return;
  response = (ShimResponseView){
    .points = (const ShimResponsePoint *) (gpointer) newest->points->data,
    .n_points = newest->points->len,
    .response = &newest->response,
    .tolerance_mm = newest->tolerance_mm,
    .has_chosen = view->now->value != SHIM_NO_INT,
    .chosen = view->now->value != SHIM_NO_INT ? (int) view->now->value : 0,
  };
  shim_response_chart_show (self->chart, &response);
}

static void
show (ShimPairPage *self)
{
  const ShimPairView *view = self->view;
  g_autofree char *lens = view->converter != NULL
                              ? g_strdup_printf (_ ("%s with %s"), view->lens->label, view->converter->label)
                              : g_strdup (view->lens->label);

  adw_window_title_set_title (self->title, lens);
  adw_window_title_set_subtitle (self->title, view->body->label);
  show_state (self, view);
  show_setting (self, view->now);
  show_residual (self, view->now);
  show_measured (self, view->newest);
  show_predicted (self, view);
  show_chart (self, view);
  shim_pair_history_fill (self->history_list, view);
  gtk_widget_set_visible (self->history_group, gtk_list_box_get_row_at_index (self->history_list, 0) != NULL);
  gtk_widget_set_visible (self->evidence_group, view->newest != NULL);
  shim_pair_evidence_fill (self->evidence_box, view->newest, self->workspace);
}

static void
view_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GError) error = NULL;
  ShimPairView *view = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  ShimPairPage *self;

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    return;
  self = SHIM_PAIR_PAGE (user_data);
  if (view == NULL)
    {
      shim_show_error (GTK_WIDGET (self), _ ("The Pair Cannot Be Shown"), error);
      return;
    }
  shim_pair_actions_show (self->actions, view);
  g_clear_pointer (&self->view, shim_pair_view_free);
  self->view = view;
  show (self);
}

static void
refresh (ShimPairPage *self)
{
  if (self->cancellable != NULL)
    g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
  if (self->pair == NULL)
    return;
  self->cancellable = g_cancellable_new ();
  shim_workspace_call_async (self->workspace, shim_ops_pair_view_func, g_strdup (self->pair), g_free,
                             (GDestroyNotify) shim_pair_view_free, self->cancellable, view_cb, self);
}

static void
changed_cb (ShimWorkspace *workspace, ShimPairPage *self)
{
  refresh (self);
}

static void
shim_pair_page_dispose (GObject *object)
{
  ShimPairPage *self = SHIM_PAIR_PAGE (object);

  g_clear_pointer (&self->pair, g_free);
  if (self->cancellable != NULL)
    g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
  if (self->workspace != NULL)
    g_clear_signal_handler (&self->changed_handler, self->workspace);
  g_clear_object (&self->workspace);
  g_clear_pointer (&self->actions, shim_pair_actions_free);
  g_clear_pointer (&self->view, shim_pair_view_free);
  /* AdwBin would let go of a child once more that went with the template. */
  adw_bin_set_child (ADW_BIN (object), NULL);
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_PAIR_PAGE);
  G_OBJECT_CLASS (shim_pair_page_parent_class)->dispose (object);
}

static void
shim_pair_page_class_init (ShimPairPageClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_pair_page_dispose;
  signals[LEAVE] =
      g_signal_new ("leave", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  g_type_ensure (SHIM_TYPE_RESPONSE_CHART);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/pair/shim-pair-page.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, chart);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, evidence_box);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, evidence_group);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, history_group);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, history_list);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, measured_label);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, measured_row);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, predicted_label);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, predicted_row);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, residual_label);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, residual_row);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, response_group);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, setting_label);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, setting_row);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, state_label);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, state_row);
  gtk_widget_class_bind_template_child (widget_class, ShimPairPage, title);
  gtk_widget_class_bind_template_callback (widget_class, leave_clicked_cb);
  gtk_widget_class_bind_template_callback (widget_class, new_test_clicked_cb);
  gtk_widget_class_bind_template_callback (widget_class, open_test_clicked_cb);
}

static void
shim_pair_page_init (ShimPairPage *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/**
 * shim_pair_page_new:
 * @workspace: the register
 *
 * Returns: a page that shows no pair yet
 */
GtkWidget *
shim_pair_page_new (ShimWorkspace *workspace)
{
  ShimPairPage *self = g_object_new (SHIM_TYPE_PAIR_PAGE, NULL);

  g_set_object (&self->workspace, workspace);
  self->actions = shim_pair_actions_new (GTK_WIDGET (self), workspace);
  self->changed_handler = g_signal_connect (workspace, "changed", G_CALLBACK (changed_cb), self);
  return GTK_WIDGET (self);
}

/**
 * shim_pair_page_show:
 * @self: a page
 * @pair: id of the pair to show
 */
void
shim_pair_page_show (ShimPairPage *self, const char *pair)
{
  g_return_if_fail (SHIM_IS_PAIR_PAGE (self));
  g_return_if_fail (pair != NULL);

  g_free (self->pair);
  self->pair = g_strdup (pair);
  refresh (self);
}
