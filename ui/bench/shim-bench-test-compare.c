/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-bench-reading.h"
#include "shim-bench-test-private.h"

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

  if (self->following || !gtk_widget_get_visible (GTK_WIDGET (self->other_view)) ||
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

/**
 * _shim_bench_test_show_other:
 * @self: a test
 *
 * Shows the frame that was looked at before beside the one that is looked at, where that is wanted.
 */
void
_shim_bench_test_show_other (ShimBenchTest *self)
{
  const ShimFrameSummary *other = self->summary != NULL && self->other_frame != NULL
                                      ? shim_test_summary_find_frame (self->summary, self->other_frame, NULL)
                                      : NULL;
  gboolean wanted = gtk_toggle_button_get_active (self->compare_button) && other != NULL;
  g_autoptr (ShimMeasurement) measurement = NULL;
  ShimPhotoMarks marks;

  gtk_widget_set_visible (GTK_WIDGET (self->other_view), wanted);
  if (!wanted)
    {
      shim_photo_view_set_path (self->other_view, NULL);
      return;
    }
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
