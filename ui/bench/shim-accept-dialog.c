/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-accept-dialog.h"
#include "shim-bench-text.h"
#include "shim-dialogs.h"
#include "shim-pair-now.h"
#include "shim-setting-spin.h"
#include "shim-whole-rows.h"

struct _ShimAcceptDialog
{
  AdwMessageDialog parent_instance;

  ShimWorkspace *workspace;
  ShimTestSummary *summary;
  GtkWidget *shown_from; /* for messages once the dialog is gone */
  GCancellable *cancellable;
  GPtrArray *slots; /* ShimSlot */
  GArray *numbers;  /* gint64: the slot of each choice */

  /* template widgets */
  GtkDropDown *end_drop_down;
  GtkWidget *end_row;
  GtkLabel *residual_label;
  GtkAdjustment *setting_adjustment;
  GtkSpinButton *setting_spin;
  GtkDropDown *slot_drop_down;
  GtkLabel *slot_label;
};

G_DEFINE_FINAL_TYPE (ShimAcceptDialog, shim_accept_dialog, ADW_TYPE_MESSAGE_DIALOG)

enum
{
  ACCEPTED,
  N_SIGNALS,
};

static guint signals[N_SIGNALS];

static gint64
chosen_slot (ShimAcceptDialog *self)
{
  guint index = gtk_drop_down_get_selected (self->slot_drop_down);

  return index < self->numbers->len ? g_array_index (self->numbers, gint64, index) : SHIM_SLOT_NONE;
}

static const ShimSlot *
slot_of_number (ShimAcceptDialog *self, gint64 number)
{
  for (guint i = 0; self->slots != NULL && i < self->slots->len; i++)
    {
      const ShimSlot *slot = g_ptr_array_index (self->slots, i);

      if (slot->number == number)
        return slot;
    }
  return NULL;
}

static gboolean
holds_another_pair (ShimAcceptDialog *self, gint64 number)
{
  const ShimSlot *slot = slot_of_number (self, number);

  return slot != NULL && slot->state != SHIM_SLOT_FREE && slot->pair != NULL &&
         g_strcmp0 (slot->pair, shim_record_get_id (SHIM_RECORD (self->summary->pair))) != 0;
}

static void
show_residual (ShimAcceptDialog *self)
{
  int setting = gtk_spin_button_get_value_as_int (self->setting_spin);
  double se = NAN, residual = shim_response_at (&self->summary->response, setting, &se, NULL);
  g_autofree char *offset = NULL;
  g_autofree char *tolerance = shim_bench_text_length (self->summary->tolerance_mm);
  g_autofree char *text = NULL;

  if (isnan (residual))
    text = g_strdup (_ ("With one setting measured, what this one leaves over is not known."));
  else
    {
      offset = shim_bench_text_offset (residual, se);
      text = g_strdup_printf (_ ("The offset expected with it is %s; ± %s is accepted."), offset, tolerance);
    }
  gtk_label_set_label (self->residual_label, text);
}

static void
proposed_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GError) error = NULL;
  ShimSlotProposal *proposal = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  ShimAcceptDialog *self;

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    return;
  self = SHIM_ACCEPT_DIALOG (user_data);
  if (proposal == NULL)
    {
      gtk_label_set_label (self->slot_label, error->message);
      return;
    }
  gtk_label_set_label (self->slot_label, proposal->overwrites != NULL ? proposal->overwrites : proposal->sentence);
  shim_slot_proposal_free (proposal);
}

static void
changed_cb (GtkSpinButton *spin, ShimAcceptDialog *self)
{
  show_residual (self);
}

static void
slot_selected_cb (GtkDropDown *drop_down, GParamSpec *pspec, ShimAcceptDialog *self)
{
  gint64 number = chosen_slot (self);

  if (number == SHIM_SLOT_NONE)
    {
      gtk_label_set_label (self->slot_label, _ ("It is noted, and stays on the list of what is to be keyed in."));
      return;
    }
  shim_workspace_propose_slot_async (self->workspace, shim_record_get_id (SHIM_RECORD (self->summary->pair)), number,
                                     self->cancellable, proposed_cb, self);
}

static char *
slot_title (const ShimSlot *slot)
{
  g_autofree char *value = NULL;

  if (slot->state == SHIM_SLOT_FREE || slot->lens_label == NULL)
    return g_strdup_printf (_ ("Slot %d: free"), (int) slot->number);
  if (slot->state == SHIM_SLOT_LOST)
    return g_strdup_printf (_ ("Slot %d: %s, lost"), (int) slot->number, slot->lens_label);
  value = shim_bench_text_setting (slot->value);
  return g_strdup_printf (_ ("Slot %d: %s, %s"), (int) slot->number, slot->lens_label, value);
}

static void
add_choice (ShimAcceptDialog *self, GtkStringList *titles, gint64 number, const char *title)
{
  g_array_append_val (self->numbers, number);
  gtk_string_list_append (titles, title);
}

static void
slots_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GError) error = NULL;
  GPtrArray *slots = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  g_autoptr (GtkStringList) titles = gtk_string_list_new (NULL);
  ShimAcceptDialog *self;

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    return;
  self = SHIM_ACCEPT_DIALOG (user_data);
  g_clear_pointer (&self->slots, g_ptr_array_unref);
  self->slots = slots;
  add_choice (self, titles, SHIM_SLOT_NEXT, _ ("Its own, or the next free"));
  for (guint i = 0; slots != NULL && i < slots->len; i++)
    {
      g_autofree char *title = slot_title (g_ptr_array_index (slots, i));

      add_choice (self, titles, ((ShimSlot *) g_ptr_array_index (slots, i))->number, title);
    }
  if (self->summary->lens->own_table > 0)
    add_choice (self, titles, SHIM_SLOT_IN_LENS, _ ("Inside the lens"));
  add_choice (self, titles, SHIM_SLOT_NONE, _ ("Not keyed in yet"));
  gtk_drop_down_set_model (self->slot_drop_down, G_LIST_MODEL (titles));
  gtk_drop_down_set_selected (self->slot_drop_down, 0);
  slot_selected_cb (self->slot_drop_down, NULL, self);
}

static void
accepted_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimAcceptDialog) self = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimDecision) decision = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  g_autofree char *setting = NULL;
  g_autofree char *sentence = NULL;

  if (decision == NULL)
    {
      shim_show_error (self->shown_from, _ ("The Setting Was Not Accepted"), error);
      return;
    }
  setting = shim_bench_text_setting (decision->value);
  if (shim_test_summary_has_decision (self->summary, shim_record_get_id (SHIM_RECORD (decision))))
    {
      sentence = g_strdup_printf (_ ("Setting %s was accepted already; nothing was stored"), setting);
      shim_show_toast (self->shown_from, sentence);
      return;
    }
  sentence = g_strdup_printf (_ ("Setting %s accepted"), setting);
  g_signal_emit (self, signals[ACCEPTED], 0, sentence);
}

static void
shim_accept_dialog_response (AdwMessageDialog *dialog, const char *response)
{
  static const char *const ends[] = { "all", "wide", "long" };
  ShimAcceptDialog *self = SHIM_ACCEPT_DIALOG (dialog);
  ShimAccept request;

  if (!g_str_equal (response, "accept"))
    return;
  shim_accept_init (&request);
  request.test = shim_record_get_id (SHIM_RECORD (self->summary->test));
  request.value = gtk_spin_button_get_value_as_int (self->setting_spin);
  request.slot = chosen_slot (self);
  /* The dialog has named the pair that would lose its slot. */
  request.overwrite = holds_another_pair (self, request.slot);
  if (gtk_widget_get_visible (self->end_row))
    request.end = ends[MIN (gtk_drop_down_get_selected (self->end_drop_down), G_N_ELEMENTS (ends) - 1)];
  shim_workspace_accept_async (self->workspace, &request, NULL, accepted_cb, g_object_ref (self));
}

static void
shim_accept_dialog_dispose (GObject *object)
{
  ShimAcceptDialog *self = SHIM_ACCEPT_DIALOG (object);

  if (self->cancellable != NULL)
    g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
  g_clear_object (&self->workspace);
  g_clear_object (&self->shown_from);
  g_clear_pointer (&self->summary, shim_test_summary_unref);
  g_clear_pointer (&self->slots, g_ptr_array_unref);
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_ACCEPT_DIALOG);
  G_OBJECT_CLASS (shim_accept_dialog_parent_class)->dispose (object);
}

static void
shim_accept_dialog_finalize (GObject *object)
{
  g_array_unref (SHIM_ACCEPT_DIALOG (object)->numbers);
  G_OBJECT_CLASS (shim_accept_dialog_parent_class)->finalize (object);
}

static void
shim_accept_dialog_class_init (ShimAcceptDialogClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_accept_dialog_dispose;
  G_OBJECT_CLASS (klass)->finalize = shim_accept_dialog_finalize;
  ADW_MESSAGE_DIALOG_CLASS (klass)->response = shim_accept_dialog_response;
  signals[ACCEPTED] = g_signal_new ("accepted", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                    G_TYPE_NONE, 1, G_TYPE_STRING);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/bench/shim-accept-dialog.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimAcceptDialog, end_drop_down);
  gtk_widget_class_bind_template_child (widget_class, ShimAcceptDialog, end_row);
  gtk_widget_class_bind_template_child (widget_class, ShimAcceptDialog, residual_label);
  gtk_widget_class_bind_template_child (widget_class, ShimAcceptDialog, setting_adjustment);
  gtk_widget_class_bind_template_child (widget_class, ShimAcceptDialog, setting_spin);
  gtk_widget_class_bind_template_child (widget_class, ShimAcceptDialog, slot_drop_down);
  gtk_widget_class_bind_template_child (widget_class, ShimAcceptDialog, slot_label);
  gtk_widget_class_bind_template_callback (widget_class, changed_cb);
  gtk_widget_class_bind_template_callback (widget_class, slot_selected_cb);
}

static void
shim_accept_dialog_init (ShimAcceptDialog *self)
{
  self->cancellable = g_cancellable_new ();
  self->numbers = g_array_new (FALSE, FALSE, sizeof (gint64));
  gtk_widget_init_template (GTK_WIDGET (self));
  shim_window_show_rows_whole (GTK_WINDOW (self));
  shim_setting_spin_prepare (self->setting_spin);
}

/* What the advice says to accept, else what the line says, else where the camera stands. */
static int
proposed_setting (const ShimTestSummary *summary)
{
  if (summary->advice.action != SHIM_ADVICE_ACCEPT && summary->response.state >= SHIM_RESPONSE_CLEAR)
    return summary->response.best_setting;
  return summary->advice.setting;
}

/**
 * shim_accept_dialog_new:
 * @parent: the widget it is asked from
 * @workspace: the register
 * @summary: the test
 *
 * Returns: a dialog to present
 */
ShimAcceptDialog *
shim_accept_dialog_new (GtkWidget *parent, ShimWorkspace *workspace, ShimTestSummary *summary)
{
  GtkRoot *root = gtk_widget_get_root (parent);
  ShimAcceptDialog *self = g_object_new (SHIM_TYPE_ACCEPT_DIALOG, "transient-for", root, NULL);
  gboolean is_zoom = summary->lens->focal_max_mm > summary->lens->focal_min_mm;

  self->workspace = g_object_ref (workspace);
  self->summary = shim_test_summary_ref (summary);
  self->shown_from = g_object_ref (parent);
  gtk_adjustment_set_lower (self->setting_adjustment, summary->range.min);
  gtk_adjustment_set_upper (self->setting_adjustment, summary->range.max);
  gtk_spin_button_set_value (self->setting_spin, proposed_setting (summary));
  gtk_widget_set_visible (self->end_row, is_zoom && summary->body->zoom_values == 2);
  show_residual (self);
  shim_workspace_slots_async (workspace, shim_record_get_id (SHIM_RECORD (summary->body)), self->cancellable,
                              slots_cb, self);
  return self;
}
