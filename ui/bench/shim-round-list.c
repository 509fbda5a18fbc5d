/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-text.h"
#include "shim-format.h"
#include "shim-frame-row.h"
#include "shim-round-list.h"

/* Nobody takes more frames than this at one setting; there, settings farther apart tell more. */
#define MOST_MISSING 20

struct _ShimRoundList
{
  GtkWidget parent_instance;

  ShimWorkspace *workspace;
  ShimTestSummary *summary;
  char *selected; /* id of the frame */
  gboolean showing;

  /* template widgets */
  GtkLabel *empty_label;
  GtkLabel *figures_label;
  GtkListBox *frames_list;
  GtkWidget *header;
  GtkDropDown *rounds_drop_down;
};

G_DEFINE_FINAL_TYPE (ShimRoundList, shim_round_list, GTK_TYPE_WIDGET)

enum
{
  FRAME_SELECTED,
  USE_CHANGED,
  N_SIGNALS,
};

static guint signals[N_SIGNALS];

static const ShimRoundSummary *
shown_round (ShimRoundList *self)
{
  guint index = gtk_drop_down_get_selected (self->rounds_drop_down);

  if (self->summary == NULL || index >= self->summary->rounds->len)
    return NULL;
  return g_ptr_array_index (self->summary->rounds, index);
}

static void
append_approaches (GString *text, const ShimRoundStats *stats)
{
  g_autofree char *gap = NULL;

  if (isnan (stats->approach_gap_mm))
    return;
  gap = shim_bench_text_offset (stats->approach_gap_mm, stats->approach_gap_se_mm);
  g_string_append_c (text, '\n');
  g_string_append_printf (text,
                          stats->approaches_differ ? _ ("Focused from far the offset is %s larger than from near: "
                                                        "refocus always from the same side.")
                                                   : _ ("Focused from far and from near agree (difference %s)."),
                          gap);
}

/* Settled is a round whose mean is known to half a step: then a neighbouring setting cannot be meant. */
static void
append_missing (GString *text, const ShimTestSummary *summary, const ShimRoundStats *stats)
{
  const double half_step_mm = fabs (summary->expected_step_mm) / 2.0;
  const double scatter_mm = summary->pooled.df > 0.0 ? summary->pooled.sd_mm : stats->scatter_mm;
  guint wanted;

  if (!(half_step_mm > 0.0) || !(scatter_mm > 0.0))
    return;
  wanted = shim_round_frames_for_half_width (scatter_mm, half_step_mm, 0.95);
  if (wanted <= stats->n_used || wanted - stats->n_used > MOST_MISSING)
    return;
  g_string_append_c (text, '\n');
  g_string_append_printf (text,
                          ngettext ("%u more frame would settle it to half a step.",
                                    "%u more frames would settle it to half a step.", wanted - stats->n_used),
                          wanted - stats->n_used);
}

static char *
figures_text (const ShimTestSummary *summary, const ShimRoundSummary *round)
{
  const ShimRoundStats *stats = &round->stats;
  g_autoptr (GString) text = g_string_new (NULL);
  g_autofree char *mean = NULL;
  g_autofree char *scatter = NULL;

  if (stats->n_used == 0)
    return g_strdup (round->frames->len == 0 ? "" : _ ("No frame of this round counts."));
  mean = shim_bench_text_offset (stats->mean_mm, stats->se_mm);
  g_string_append_printf (text, ngettext ("Mean %s from %u frame", "Mean %s from %u frames", stats->n_used), mean,
                          stats->n_used);
  if (!isnan (stats->scatter_mm))
    {
      scatter = shim_format_number (stats->scatter_mm, 1);
      g_string_append_printf (text, _ (", scatter %s mm"), scatter);
    }
  if (stats->n_stray > 0)
    {
      g_string_append (text, ". ");
      g_string_append_printf (text, ngettext ("%u stray", "%u strays", stats->n_stray), stats->n_stray);
    }
  append_approaches (text, stats);
  append_missing (text, summary, stats);
  return g_string_free (g_steal_pointer (&text), FALSE);
}

static void
use_changed_cb (ShimFrameRow *row, gboolean use, ShimRoundList *self)
{
  g_signal_emit (self, signals[USE_CHANGED], 0, shim_frame_row_get_frame (row), use);
}

static void
show_frames (ShimRoundList *self)
{
  const ShimRoundSummary *round = shown_round (self);
  guint n_frames = round != NULL ? round->frames->len : 0;
  g_autofree char *figures = round != NULL ? figures_text (self->summary, round) : g_strdup ("");
  GtkListBoxRow *row;

  self->showing = TRUE;
  for (guint i = 0; i < n_frames; i++)
    {
      const ShimFrameSummary *frame = g_ptr_array_index (round->frames, i);

      row = gtk_list_box_get_row_at_index (self->frames_list, (int) i);
      if (row == NULL)
        {
          row = GTK_LIST_BOX_ROW (shim_frame_row_new ());
          g_signal_connect (row, "use-changed", G_CALLBACK (use_changed_cb), self);
          gtk_list_box_append (self->frames_list, GTK_WIDGET (row));
        }
      shim_frame_row_show (SHIM_FRAME_ROW (row), frame, i + 1);
      shim_frame_row_load (SHIM_FRAME_ROW (row), self->workspace);
      if (g_strcmp0 (shim_frame_row_get_frame (SHIM_FRAME_ROW (row)), self->selected) == 0)
        gtk_list_box_select_row (self->frames_list, row);
    }
  while ((row = gtk_list_box_get_row_at_index (self->frames_list, (int) n_frames)) != NULL)
    gtk_list_box_remove (self->frames_list, GTK_WIDGET (row));
  gtk_label_set_label (self->figures_label, figures);
  gtk_widget_set_visible (GTK_WIDGET (self->figures_label), *figures != '\0');
  gtk_widget_set_visible (GTK_WIDGET (self->frames_list), n_frames > 0);
  gtk_widget_set_visible (GTK_WIDGET (self->empty_label), n_frames == 0);
  self->showing = FALSE;
}

static void
select_frame (ShimRoundList *self, const char *frame)
{
  if (g_strcmp0 (self->selected, frame) == 0)
    return;
  g_free (self->selected);
  self->selected = g_strdup (frame);
  g_signal_emit (self, signals[FRAME_SELECTED], 0, self->selected);
}

static void
row_selected_cb (GtkListBox *list, GtkListBoxRow *row, ShimRoundList *self)
{
  if (!self->showing && row != NULL)
    select_frame (self, shim_frame_row_get_frame (SHIM_FRAME_ROW (row)));
}

static void
round_selected_cb (GtkDropDown *drop_down, GParamSpec *pspec, ShimRoundList *self)
{
  const ShimRoundSummary *round = shown_round (self);

  if (self->showing)
    return;
  show_frames (self);
  if (round != NULL && round->frames->len > 0)
    {
      const ShimFrameSummary *last = g_ptr_array_index (round->frames, round->frames->len - 1);

      shim_round_list_select_frame (self, shim_record_get_id (SHIM_RECORD (last->frame)));
    }
}

static gboolean
toggle_use_cb (GtkWidget *widget, GVariant *args, gpointer user_data)
{
  GtkListBoxRow *row = gtk_list_box_get_selected_row (SHIM_ROUND_LIST (widget)->frames_list);

  if (row == NULL)
    return FALSE;
  shim_frame_row_toggle_use (SHIM_FRAME_ROW (row));
  return TRUE;
}

static void
shim_round_list_dispose (GObject *object)
{
  ShimRoundList *self = SHIM_ROUND_LIST (object);

  g_clear_pointer (&self->summary, shim_test_summary_unref);
  g_clear_pointer (&self->selected, g_free);
  g_clear_object (&self->workspace);
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_ROUND_LIST);
  G_OBJECT_CLASS (shim_round_list_parent_class)->dispose (object);
}

static void
shim_round_list_class_init (ShimRoundListClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_round_list_dispose;
  signals[FRAME_SELECTED] = g_signal_new ("frame-selected", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL,
                                          NULL, NULL, G_TYPE_NONE, 1, G_TYPE_STRING);
  signals[USE_CHANGED] = g_signal_new ("use-changed", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                       NULL, G_TYPE_NONE, 2, G_TYPE_STRING, G_TYPE_BOOLEAN);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Delete, 0, toggle_use_cb, NULL);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_KP_Delete, 0, toggle_use_cb, NULL);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/bench/shim-round-list.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimRoundList, empty_label);
  gtk_widget_class_bind_template_child (widget_class, ShimRoundList, figures_label);
  gtk_widget_class_bind_template_child (widget_class, ShimRoundList, frames_list);
  gtk_widget_class_bind_template_child (widget_class, ShimRoundList, header);
  gtk_widget_class_bind_template_child (widget_class, ShimRoundList, rounds_drop_down);
  gtk_widget_class_bind_template_callback (widget_class, round_selected_cb);
  gtk_widget_class_bind_template_callback (widget_class, row_selected_cb);
}

static void
shim_round_list_init (ShimRoundList *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/**
 * shim_round_list_new:
 *
 * Returns: an empty list
 */
GtkWidget *
shim_round_list_new (void)
{
  return g_object_new (SHIM_TYPE_ROUND_LIST, NULL);
}

/**
 * shim_round_list_set_workspace:
 * @self: a list
 * @workspace: (nullable): the register its tests come from
 */
void
shim_round_list_set_workspace (ShimRoundList *self, ShimWorkspace *workspace)
{
  g_return_if_fail (SHIM_IS_ROUND_LIST (self));

  g_set_object (&self->workspace, workspace);
}

/* The round of a frame, else the last one. */
static guint
round_index (ShimTestSummary *summary, const char *frame)
{
  const ShimRoundSummary *round = NULL;
  guint index;

  if (frame != NULL && shim_test_summary_find_frame (summary, frame, &round) != NULL &&
      g_ptr_array_find (summary->rounds, round, &index))
    return index;
  return summary->rounds->len > 0 ? summary->rounds->len - 1 : GTK_INVALID_LIST_POSITION;
}

/**
 * shim_round_list_show:
 * @self: a list
 * @summary: (nullable): the test
 * @frame: (nullable): id of the frame to select; %NULL keeps the one that is selected, and else takes the last
 */
void
shim_round_list_show (ShimRoundList *self, ShimTestSummary *summary, const char *frame)
{
  g_autoptr (GtkStringList) titles = gtk_string_list_new (NULL);
  g_autofree char *wanted = g_strdup (frame != NULL ? frame : self->selected);

  g_return_if_fail (SHIM_IS_ROUND_LIST (self));

  g_clear_pointer (&self->summary, shim_test_summary_unref);
  self->summary = summary != NULL ? shim_test_summary_ref (summary) : NULL;
  for (guint i = 0; summary != NULL && i < summary->rounds->len; i++)
    gtk_string_list_take (titles, shim_bench_text_round (g_ptr_array_index (summary->rounds, i), i + 1));
  self->showing = TRUE;
  gtk_drop_down_set_model (self->rounds_drop_down, G_LIST_MODEL (titles));
  if (summary != NULL)
    gtk_drop_down_set_selected (self->rounds_drop_down, round_index (summary, wanted));
  gtk_widget_set_visible (self->header, summary != NULL && summary->rounds->len > 0);
  self->showing = FALSE;
  if (summary == NULL || wanted == NULL || shim_test_summary_find_frame (summary, wanted, NULL) == NULL)
    g_clear_pointer (&self->selected, g_free);
  show_frames (self);
  if (self->selected == NULL)
    round_selected_cb (self->rounds_drop_down, NULL, self);
  else
    shim_round_list_select_frame (self, wanted);
}

/**
 * shim_round_list_get_selected:
 * @self: a list
 *
 * Returns: (nullable): id of the selected frame
 */
const char *
shim_round_list_get_selected (ShimRoundList *self)
{
  g_return_val_if_fail (SHIM_IS_ROUND_LIST (self), NULL);

  return self->selected;
}

/**
 * shim_round_list_select_frame:
 * @self: a list that shows a test
 * @frame: id of one of its frames
 */
void
shim_round_list_select_frame (ShimRoundList *self, const char *frame)
{
  g_return_if_fail (SHIM_IS_ROUND_LIST (self));

  if (self->summary == NULL)
    return;
  self->showing = TRUE;
  gtk_drop_down_set_selected (self->rounds_drop_down, round_index (self->summary, frame));
  self->showing = FALSE;
  select_frame (self, frame);
  show_frames (self);
}
