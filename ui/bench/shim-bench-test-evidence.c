/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-bench-reading.h"
#include "shim-bench-test-private.h"
#include "shim-frame-measure.h"

/* A photograph that is gone can still be reviewed on the strip that was kept of it. The strip has its own corner, so
 * all places move by as much; nothing can be marked or measured on it. */

static ShimPoint
moved (ShimPoint px, const ShimRect *cut)
{
  return (ShimPoint){ px.x - cut->x, px.y - cut->y };
}

static void
move_measurement (ShimMeasurement *m, const ShimRect *cut)
{
  m->strip_a_px = moved (m->strip_a_px, cut);
  m->strip_b_px = moved (m->strip_b_px, cut);
  m->target_px = moved (m->target_px, cut);
  m->sharp_px = moved (m->sharp_px, cut);
}

static void
show (ShimBenchTest *self, const ShimFrameSummary *frame, GBytes *evidence, const ShimRect *cut)
{
  g_autoptr (ShimMeasurement) measurement = shim_bench_reading_measurement (frame->program);
  ShimPhotoMarks marks;

  shim_bench_reading_marks (frame->program, frame->eye, &marks);
  for (int mark = 0; mark < SHIM_N_MARKS; mark++)
    if (shim_photo_marks_has (&marks, mark))
      shim_photo_marks_set (&marks, mark, moved (shim_photo_marks_get (&marks, mark), cut));
  if (measurement != NULL)
    move_measurement (measurement, cut);
  g_object_set (self->photo_view, "editable", FALSE, NULL);
  shim_photo_view_set_measurement (self->photo_view, measurement);
  shim_photo_view_set_marks (self->photo_view, &marks);
  shim_photo_view_show_jpeg (self->photo_view, evidence);
  shim_photo_view_zoom_ruler (self->photo_view);
}

static void
frame_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimFrame) frame = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  const ShimFrameSummary *shown;
  ShimBenchTest *self;
  ShimRect cut;

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    return;
  self = SHIM_BENCH_TEST (user_data);
  if (frame == NULL || frame->evidence == NULL || self->summary == NULL || !self->on_evidence ||
      g_strcmp0 (shim_record_get_id (SHIM_RECORD (frame)), self->frame) != 0 ||
      !shim_frame_evidence_rect (frame->evidence, &cut, NULL, NULL))
    return;
  shown = shim_test_summary_find_frame (self->summary, self->frame, NULL);
  if (shown != NULL)
    show (self, shown, frame->evidence, &cut);
}

/**
 * _shim_bench_test_show_evidence:
 * @self: a test whose photograph cannot be shown
 *
 * Shows what was kept of the selected frame.
 */
void
_shim_bench_test_show_evidence (ShimBenchTest *self)
{
  if (self->frame != NULL)
    shim_workspace_get_async (self->workspace, SHIM_TYPE_FRAME, self->frame, self->cancellable, frame_cb, self);
}
