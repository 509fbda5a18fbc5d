/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-reading.h"
#include "shim-bench-test-private.h"
#include "shim-bench-text.h"

/* Two frames side by side, at the same place of the ruler and the same zoom: what moves one moves the other. Places
 * are told from the target line, since the camera may have been nudged between two rounds. */

static ShimPoint
origin_of (ShimPhotoView *view)
{
  const ShimPhotoMarks *marks = shim_photo_view_get_marks (view);

  return marks->has_target ? marks->target_px : (ShimPoint){ 0.0, 0.0 };
}

static void
follow (ShimBenchTest *self, ShimPhotoView *leader, ShimPhotoView *follower)
{
  ShimPoint centre, from, to;

  if (self->following || !gtk_widget_get_visible (self->other_box) ||
      shim_photo_view_get_zoom (leader) == 0.0)
    return;
  centre = shim_photo_view_get_centre (leader);
  from = origin_of (leader);
  to = origin_of (follower);
  self->following = TRUE;
  shim_photo_view_show_place (follower, (ShimPoint){ centre.x - from.x + to.x, centre.y - from.y + to.y },
                              shim_photo_view_get_zoom (leader));
  self->following = FALSE;
}

static void
view_changed_cb (ShimPhotoView *view, ShimBenchTest *self)
{
  follow (self, view, view == self->photo_view ? self->other_view : self->photo_view);
}

/* The frame that speaks for its round: the counted one nearest to the round's mean. */
static const ShimFrameSummary *
typical_frame (const ShimRoundSummary *round)
{
  const ShimFrameSummary *best = NULL;

  for (guint i = 0; i < round->frames->len; i++)
    {
      const ShimFrameSummary *frame = g_ptr_array_index (round->frames, i);
      double away_mm =
          frame->counted != NULL ? fabs (frame->counted->offset_mm - round->stats.mean_mm) : INFINITY;

      if (best == NULL || (best->counted == NULL && frame->counted != NULL) ||
          (best->counted != NULL && away_mm < fabs (best->counted->offset_mm - round->stats.mean_mm)))
        best = frame;
    }
  return best;
}

/* What is looked at before, or before the test had done anything: its first round. */
static const ShimFrameSummary *
other_frame (ShimBenchTest *self)
{
  guint selected = gtk_drop_down_get_selected (self->other_drop_down);
  const ShimFrameSummary *before;

  if (self->summary == NULL || self->summary->rounds->len == 0)
    return NULL;
  before = self->other_frame != NULL ? shim_test_summary_find_frame (self->summary, self->other_frame, NULL) : NULL;
  if (before != NULL && (selected == 0 || selected > self->summary->rounds->len))
    return before;
  return typical_frame (g_ptr_array_index (self->summary->rounds,
                                           selected > 0 && selected <= self->summary->rounds->len ? selected - 1 : 0));
}

/* The frame looked at before, or any of the rounds: before and after. */
static void
fill_choices (ShimBenchTest *self)
{
  guint n_rounds = self->summary != NULL ? self->summary->rounds->len : 0;
  guint selected = gtk_drop_down_get_selected (self->other_drop_down);
  g_autoptr (GtkStringList) choices = NULL;
  GListModel *now = gtk_drop_down_get_model (self->other_drop_down);

  if (now != NULL && g_list_model_get_n_items (now) == n_rounds + 1)
    return;
  choices = gtk_string_list_new (NULL);
  gtk_string_list_append (choices, _ ("Looked at before"));
  for (guint i = 0; i < n_rounds; i++)
    gtk_string_list_take (choices, shim_bench_text_round (g_ptr_array_index (self->summary->rounds, i), i + 1));
  self->following = TRUE;
  gtk_drop_down_set_model (self->other_drop_down, G_LIST_MODEL (choices));
  gtk_drop_down_set_selected (self->other_drop_down, selected <= n_rounds ? selected : 0);
  self->following = FALSE;
}

static void
show_caption (ShimBenchTest *self, GtkLabel *label, const char *frame)
{
  const ShimRoundSummary *round = NULL;
  const ShimFrameSummary *shown =
      frame != NULL ? shim_test_summary_find_frame (self->summary, frame, &round) : NULL;
  g_autofree char *setting = NULL;
  g_autofree char *text = NULL;
  guint number = 0, frame_number = 0;

  if (shown == NULL || !g_ptr_array_find (self->summary->rounds, round, &number) ||
      !g_ptr_array_find (round->frames, shown, &frame_number))
    {
      gtk_label_set_label (label, "");
      return;
    }
  setting = shim_bench_text_setting (round->round->setting);
  text = round->is_reference ? g_strdup_printf (_ ("Round %u, frame %u, reference"), number + 1, frame_number + 1)
                             : g_strdup_printf (_ ("Round %u, frame %u, setting %s"), number + 1, frame_number + 1, setting);
  gtk_label_set_label (label, text);
}

/**
 * _shim_bench_test_show_other:
 * @self: a test
 *
 * Shows another frame beside the one that is looked at, where that is wanted: the one looked at before, or that
 * which speaks for a round.
 */
void
_shim_bench_test_show_other (ShimBenchTest *self)
{
  const ShimFrameSummary *other;
  g_autoptr (ShimMeasurement) measurement = NULL;
  ShimPhotoMarks marks;
  gboolean wanted;

  fill_choices (self);
  other = other_frame (self);
  wanted = gtk_toggle_button_get_active (self->compare_button) && other != NULL;
  gtk_widget_set_visible (self->other_box, wanted);
  gtk_widget_set_visible (GTK_WIDGET (self->caption_label), wanted);
  if (!wanted)
    {
      shim_photo_view_set_path (self->other_view, NULL);
      return;
    }
  show_caption (self, self->caption_label, self->frame);
  show_caption (self, self->other_caption_label, shim_record_get_id (SHIM_RECORD (other->frame)));
  measurement = shim_bench_reading_measurement (other->program);
  shim_bench_reading_marks (other->program, other->eye, &marks);
  shim_photo_view_set_measurement (self->other_view, measurement);
  shim_photo_view_set_marks (self->other_view, &marks);
  shim_photo_view_set_path (self->other_view, other->frame->path);
  follow (self, self->photo_view, self->other_view);
}

/**
 * _shim_bench_test_init_compare:
 * @self: a test being made
 */
void
_shim_bench_test_init_compare (ShimBenchTest *self)
{
  g_signal_connect (self->photo_view, "view-changed", G_CALLBACK (view_changed_cb), self);
  g_signal_connect (self->other_view, "view-changed", G_CALLBACK (view_changed_cb), self);
}
