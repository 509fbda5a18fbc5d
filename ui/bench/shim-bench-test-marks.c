/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-test-private.h"
#include "shim-dialogs.h"

/* Nudging by key moves a mark many times: measured is what it comes to rest at. */
#define REST_MS 500

typedef struct
{
  ShimBenchTest *self; /* a reference */
  char *frame;
  GCancellable *cancellable;
} Measuring;

static void
measuring_free (Measuring *measuring)
{
  g_object_unref (measuring->self);
  g_free (measuring->frame);
  g_object_unref (measuring->cancellable);
  g_free (measuring);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Measuring, measuring_free)

static Measuring *
measuring_new (ShimBenchTest *self)
{
  Measuring *measuring = g_new0 (Measuring, 1);

  measuring->self = g_object_ref (self);
  measuring->frame = g_strdup (self->frame);
  if (self->measuring_cancellable == NULL)
    self->measuring_cancellable = g_cancellable_new ();
  measuring->cancellable = g_object_ref (self->measuring_cancellable);
  self->n_measuring++;
  _shim_bench_test_show_busy (self);
  return measuring;
}

static void
carried_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (Measuring) measuring = user_data;
  g_autoptr (GError) error = NULL;
  GPtrArray *readings = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  if (readings == NULL)
    shim_show_error (GTK_WIDGET (measuring->self), _ ("The Marks Were Not Carried Over to the Other Frames"), error);
  g_clear_pointer (&readings, g_ptr_array_unref);
  _shim_bench_test_refresh (measuring->self);
}

/* What is marked on one frame goes for the others of the test too. */
static void
marked_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (Measuring) measuring = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimReading) reading = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);
  ShimBenchTest *self = measuring->self;
  const char *frame = measuring->frame;

  _shim_bench_test_refresh (self);
  measuring->self->n_measuring--;
  _shim_bench_test_show_busy (measuring->self);
  if (reading == NULL && !g_cancellable_is_cancelled (measuring->cancellable))
    shim_show_error (GTK_WIDGET (self), _ ("The Frame Was Not Measured Again"), error);
  else
    shim_workspace_carry_marks_async (SHIM_WORKSPACE (source), frame, self->cancellable, carried_cb,
                                      g_steal_pointer (&measuring));
}

static void
read_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (Measuring) measuring = user_data;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimReading) reading = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  measuring->self->n_measuring--;
  _shim_bench_test_show_busy (measuring->self);
  if (reading == NULL && !g_cancellable_is_cancelled (measuring->cancellable))
    shim_show_error (GTK_WIDGET (measuring->self), _ ("The Frame Was Not Measured Again"), error);
  _shim_bench_test_refresh (measuring->self);
}

static gboolean
same_place (ShimPoint a, ShimPoint b)
{
  return fabs (a.x - b.x) < 1e-6 && fabs (a.y - b.y) < 1e-6;
}

static gboolean
measured_marks_moved (const ShimPhotoMarks *from, const ShimPhotoMarks *to)
{
  ShimPhotoMarks before = *from, after = *to;

  before.has_eye = after.has_eye = FALSE;
  return !shim_photo_marks_equal (&before, &after);
}

static gboolean
eye_moved (const ShimPhotoMarks *from, const ShimPhotoMarks *to)
{
  return to->has_eye && (!from->has_eye || !same_place (from->eye_px, to->eye_px));
}

/* By the program: where target line and strip lie now. By eye: where the person sees the sharp line. Both are kept.
 */
static gboolean
rest_cb (gpointer user_data)
{
  ShimBenchTest *self = user_data;
  const ShimPhotoMarks *marks = shim_photo_view_get_marks (self->photo_view);

  self->measure_source = 0;
  if (self->frame == NULL)
    return G_SOURCE_REMOVE;
  if (measured_marks_moved (&self->settled, marks))
    {
      ShimMeasureRequest request;

      shim_measure_request_init (&request);
      shim_photo_marks_fill_request (marks, &request);
      shim_workspace_remeasure_async (self->workspace, self->frame, &request, self->cancellable, marked_cb,
                                      measuring_new (self));
    }
  if (eye_moved (&self->settled, marks))
    {
      Measuring *measuring = measuring_new (self);
      ShimEyeMarks eye = { .target_px = marks->target_px, .sharp_px = marks->eye_px, .se_mm = NAN };

      shim_workspace_read_by_eye_async (self->workspace, self->frame, &eye, measuring->cancellable, read_cb,
                                        measuring);
    }
  self->settled = *marks;
  return G_SOURCE_REMOVE;
}

static void
marks_changed_cb (ShimPhotoView *view, gboolean settled, ShimBenchTest *self)
{
  g_clear_handle_id (&self->measure_source, g_source_remove);
  if (settled)
    self->measure_source = g_timeout_add (REST_MS, rest_cb, self);
}

/**
 * _shim_bench_test_init_marks:
 * @self: a test being made
 */
void
_shim_bench_test_init_marks (ShimBenchTest *self)
{
  shim_photo_marks_init (&self->settled);
  g_signal_connect (self->photo_view, "marks-changed", G_CALLBACK (marks_changed_cb), self);
}

/**
 * _shim_bench_test_cancel_marks:
 * @self: a test
 *
 * Gives up measuring again; the reading before stays.
 */
void
_shim_bench_test_cancel_marks (ShimBenchTest *self)
{
  if (self->measuring_cancellable != NULL)
    g_cancellable_cancel (self->measuring_cancellable);
  g_clear_object (&self->measuring_cancellable);
}

/**
 * _shim_bench_test_stop_marks:
 * @self: a test that is left, or another frame of it that is shown
 */
void
_shim_bench_test_stop_marks (ShimBenchTest *self)
{
  g_clear_handle_id (&self->measure_source, g_source_remove);
}
