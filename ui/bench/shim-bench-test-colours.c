/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-bench-reading.h"
#include "shim-bench-test-private.h"
#include "shim-frame-measure.h"

/* The colours by themselves, on request: where their sharp lines lie apart, the lens focuses them at different
 * distances. They are looked at anew each time and not stored. */

typedef struct
{
  char *path;
  ShimMeasurement *measurement;
} Look;

static void
look_free (gpointer data)
{
  Look *look = data;

  g_free (look->path);
  shim_measurement_free (look->measurement);
  g_free (look);
}

static void
channels_free (gpointer data)
{
  ShimMeasurement **channels = data;

  for (int i = 0; i < 3; i++)
    shim_measurement_free (channels[i]);
  g_free (channels);
}

/* On a thread of its own. */
static void
look_thread (GTask *task, gpointer source, gpointer task_data, GCancellable *cancellable)
{
  const Look *look = task_data;
  const ShimMeasurement *m = look->measurement;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPhoto) photo = shim_photo_open (look->path, &error);
  ShimMeasurement **channels = g_new0 (ShimMeasurement *, 3);
  ShimMeasureRequest request;

  shim_measure_request_init (&request);
  request.has_target = TRUE;
  request.target_px = m->target_px;
  request.strip_width_px = m->strip_width_px;
  request.tick_mm = m->tick_mm;
  request.angle_deg = m->angle_deg;
  request.far_side = m->far_side;
  request.focal_mm = m->focal_mm;
  request.f_number = m->f_number;
  request.distance_mm = m->distance_mm;
  request.coc_mm = m->coc_mm;
  if (photo != NULL && shim_frame_measure_channels (photo, &request, m, channels, cancellable, &error))
    {
      g_task_return_pointer (task, channels, channels_free);
      return;
    }
  channels_free (channels);
  g_task_return_error (task, g_steal_pointer (&error));
}

static void
looked_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  ShimBenchTest *self = SHIM_BENCH_TEST (source);
  g_autofree char *frame = user_data;
  g_autoptr (GError) error = NULL;
  ShimMeasurement **channels = g_task_propagate_pointer (G_TASK (result), &error);

  if (channels == NULL)
    return;
  /* Another frame may be shown by now. */
  if (g_strcmp0 (frame, self->frame) == 0 && self->curve != NULL && shim_blur_curve_wants_colours (self->curve))
    shim_blur_curve_set_channels (self->curve, (const ShimMeasurement *const *) channels);
  channels_free (channels);
}

/**
 * _shim_bench_test_show_colours:
 * @self: a test
 *
 * Shows the colours of the selected frame by themselves, where that is wanted.
 */
void
_shim_bench_test_show_colours (ShimBenchTest *self)
{
  const ShimFrameSummary *frame = self->summary != NULL && self->frame != NULL
                                      ? shim_test_summary_find_frame (self->summary, self->frame, NULL)
                                      : NULL;
  g_autoptr (ShimMeasurement) measurement = frame != NULL ? shim_bench_reading_measurement (frame->program) : NULL;
  g_autoptr (GTask) task = NULL;
  Look *look;

  shim_blur_curve_set_channels (self->curve, NULL);
  if (!shim_blur_curve_wants_colours (self->curve) || measurement == NULL ||
      measurement->refusal != SHIM_REFUSAL_NONE || self->on_evidence)
    return;
  look = g_new0 (Look, 1);
  look->path = g_strdup (frame->frame->path);
  look->measurement = g_steal_pointer (&measurement);
  task = g_task_new (self, self->cancellable, looked_cb, g_strdup (self->frame));
  g_task_set_task_data (task, look, look_free);
  g_task_run_in_thread (task, look_thread);
}
