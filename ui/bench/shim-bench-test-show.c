/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <string.h>

#include "shim-bench-reading.h"
#include "shim-bench-test-private.h"
#include "shim-bench-text.h"
#include "shim-format.h"
#include "shim-frame-carried.h"

static void
show_title (ShimBenchTest *self)
{
  const ShimTestSummary *summary = self->summary;
  g_autofree char *focal = shim_format_focal (summary->test->focal_mm, summary->test->focal_mm);
  g_autofree char *distance = shim_format_distance (summary->test->distance_mm);
  g_autofree char *title = NULL;
  g_autofree char *subtitle = g_strdup_printf (_ ("%s at %s"), focal, distance);

  if (summary->converter != NULL)
    title =
        g_strdup_printf (_ ("%s, %s with %s"), summary->body->label, summary->lens->label, summary->converter->label);
  else
    title = g_strdup_printf (_ ("%s, %s"), summary->body->label, summary->lens->label);
  adw_window_title_set_title (self->title, title);
  adw_window_title_set_subtitle (self->title, subtitle);
}

/* The newest decision that rests on this test. */
static const ShimDecision *
decision_of_test (const ShimTestSummary *summary)
{
  for (guint i = 0; summary->decisions != NULL && i < summary->decisions->len; i++)
    {
      const ShimDecision *decision = g_ptr_array_index (summary->decisions, i);

      if (g_strcmp0 (decision->test, shim_record_get_id (SHIM_RECORD (summary->test))) == 0)
        return decision;
    }
  return NULL;
}

static void
show_response (ShimBenchTest *self)
{
  const ShimTestSummary *summary = self->summary;
  const ShimDecision *decision = decision_of_test (summary);
  ShimResponseView view = {
    .points = (const ShimResponsePoint *) (gpointer) summary->points->data,
    .n_points = summary->points->len,
    .response = &summary->response,
    .tolerance_mm = summary->tolerance_mm,
    .has_chosen = decision != NULL && decision->value != SHIM_NO_INT,
    .chosen = decision != NULL ? (int) decision->value : 0,
  };

  shim_response_chart_show (self->chart, &view);
}

static char *
remark_text (ShimBenchTest *self, const ShimFrameSummary *frame, const ShimMeasurement *measurement)
{
  g_autofree char *doubts = frame->doubts != NULL ? g_strjoinv ("\n", frame->doubts) : NULL;
  g_autofree char *carried = measurement != NULL ? shim_frame_carried_sentence (measurement) : NULL;
  g_autoptr (GString) text = g_string_new (NULL);
  const char *sentences[] = { NULL, frame->sentence, NULL, NULL, carried, doubts };

  if (frame->program != NULL)
    {
      sentences[2] = frame->counted == NULL ? frame->program->reason : NULL;
      sentences[3] = frame->program->warnings;
    }
  if (self->is_damaged)
    sentences[0] = _ ("The file is damaged: part of the photograph is missing. Copy it from the card again.");
  for (guint i = 0; i < G_N_ELEMENTS (sentences); i++)
    {
      if (sentences[i] == NULL || *sentences[i] == '\0' || strstr (text->str, sentences[i]) != NULL)
        continue;
      if (text->len > 0)
        g_string_append_c (text, '\n');
      g_string_append (text, sentences[i]);
    }
  return g_string_free (g_steal_pointer (&text), FALSE);
}

/**
 * _shim_bench_test_show_remark:
 * @self: a test
 * @remark: (nullable): what is to be said about the frame
 */
void
_shim_bench_test_show_remark (ShimBenchTest *self, const char *remark)
{
  gtk_label_set_label (self->remark_label, remark);
  gtk_widget_set_visible (self->remark_box, remark != NULL && *remark != '\0');
}

/* What somebody is moving just now stays where they hold it. */
static void
show_marks (ShimBenchTest *self, const ShimFrameSummary *frame, const ShimMeasurement *measurement)
{
  shim_photo_view_set_measurement (self->photo_view, measurement);
  if (self->measure_source != 0)
    return;
  shim_bench_reading_marks (frame->program, frame->eye, &self->settled);
  if (!shim_photo_marks_equal (&self->settled, shim_photo_view_get_marks (self->photo_view)))
    shim_photo_view_set_marks (self->photo_view, &self->settled);
}

/**
 * _shim_bench_test_show_frame:
 * @self: a test
 *
 * Shows the selected frame: its photograph, what is marked and measured on it, its blur curve, what is to be said
 * about it.
 */
void
_shim_bench_test_show_frame (ShimBenchTest *self)
{
  const ShimFrameSummary *frame = self->summary != NULL && self->frame != NULL
                                      ? shim_test_summary_find_frame (self->summary, self->frame, NULL)
                                      : NULL;
  g_autoptr (ShimMeasurement) measurement = NULL;
  g_autofree char *remark = NULL;
  gboolean is_first;

  if (frame == NULL)
    {
      shim_photo_view_set_path (self->photo_view, NULL);
      shim_photo_view_set_measurement (self->photo_view, NULL);
      shim_blur_curve_set_measurement (self->curve, NULL);
      _shim_bench_test_show_remark (self, NULL);
      return;
    }
  is_first = shim_photo_view_get_path (self->photo_view) == NULL;
  measurement = shim_bench_reading_measurement (frame->program);
  if (g_strcmp0 (shim_photo_view_get_path (self->photo_view), frame->frame->path) != 0)
    {
      self->on_evidence = self->is_damaged = FALSE;
      g_object_set (self->photo_view, "editable", TRUE, NULL);
      _shim_bench_test_stop_marks (self);
      shim_photo_view_set_path (self->photo_view, frame->frame->path);
    }
  if (self->on_evidence)
    _shim_bench_test_show_evidence (self);
  else
    show_marks (self, frame, measurement);
  if (is_first)
    shim_photo_view_zoom_ruler (self->photo_view);
  shim_blur_curve_set_measurement (self->curve, measurement);
  remark = remark_text (self, frame, measurement);
  _shim_bench_test_show_remark (self, remark);
  _shim_bench_test_show_other (self);
  _shim_bench_test_show_colours (self);
}

static void
slots_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GError) error = NULL;
  ShimSlotProposal *proposal = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  const ShimDecision *decision;
  ShimBenchTest *self;

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    return;
  self = SHIM_BENCH_TEST (user_data);
  decision = self->summary != NULL ? decision_of_test (self->summary) : NULL;
  if (proposal != NULL && decision != NULL)
    {
      g_autofree char *setting = shim_bench_text_setting (decision->value);
      g_autofree char *sentence = g_strdup_printf (_ ("Accepted: %s. %s"), setting, proposal->sentence);

      shim_test_panel_set_accepted (self->panel, sentence);
    }
  g_clear_pointer (&proposal, shim_slot_proposal_free);
}

/* Which setting is accepted, where it is kept and how many slots are left. */
static void
show_accepted (ShimBenchTest *self)
{
  shim_test_panel_set_accepted (self->panel, NULL);
  if (decision_of_test (self->summary) != NULL)
    shim_workspace_propose_slot_async (self->workspace, shim_record_get_id (SHIM_RECORD (self->summary->pair)),
                                       SHIM_SLOT_NEXT, self->cancellable, slots_cb, self);
}

/**
 * _shim_bench_test_show_summary:
 * @self: a test that was read
 *
 * Shows all of it.
 */
void
_shim_bench_test_show_summary (ShimBenchTest *self)
{
  g_autofree char *to_select = g_steal_pointer (&self->frame_to_select);

  show_title (self);
  shim_set_up_page_show (self->set_up_page, self->summary);
  shim_test_panel_show (self->panel, self->summary);
  shim_large_view_show (self->large_view, self->summary);
  show_response (self);
  show_accepted (self);
  shim_round_list_show (self->round_list, self->summary, to_select);
  _shim_bench_test_show_frame (self);
}
