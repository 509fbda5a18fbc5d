/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-frame-measure.h"
#include "shim-look.h"

/**
 * shim_look_free:
 * @self: (nullable): a look
 */
void
shim_look_free (ShimLook *self)
{
  if (self == NULL)
    return;
  g_free (self->path);
  g_free (self->sha256);
  shim_metadata_free (self->metadata);
  shim_measurement_free (self->measurement);
  g_clear_pointer (&self->evidence, g_bytes_unref);
  g_free (self);
}

static void
fill_in (double *value, double fallback)
{
  if (isnan (*value))
    *value = fallback;
}

static void
drop_marks (ShimMeasureRequest *request)
{
  request->has_strip = FALSE;
  request->has_target = FALSE;
  request->strip_width_px = NAN;
}

/* Marks carried over from another frame that do not lie on the ruler here say that the camera moved, or that there is
 * no ruler here. */
static gboolean
marks_are_off (const ShimMeasurement *measurement)
{
  return measurement->refusal == SHIM_REFUSAL_MOVED || measurement->refusal == SHIM_REFUSAL_NO_RULER
         || measurement->refusal == SHIM_REFUSAL_TOO_FEW_TICKS;
}

/* Without the marks the program finds ruler and target by itself, or it does not: then the first refusal says more.
 */
static void
try_without_marks (ShimPhoto *photo, ShimMeasureRequest *request, ShimMeasurement **measurement,
                   GCancellable *cancellable)
{
  g_autoptr (ShimMeasurement) anew = NULL;

  drop_marks (request);
  anew = shim_frame_measure_photo (photo, request, cancellable, NULL);
  if (anew == NULL || anew->refusal != SHIM_REFUSAL_NONE)
    return;
  shim_measurement_warn (
      anew,
      "The marks of the frame before did not fit any more: the camera or the ruler moved. They were found anew.");
  shim_measurement_free (*measurement);
  *measurement = g_steal_pointer (&anew);
}

static ShimMeasurement *
measure (ShimPhoto *photo, const ShimLookPlan *plan, GCancellable *cancellable, GError **error)
{
  const ShimMetadata *metadata = shim_photo_get_metadata (photo);
  ShimMeasureRequest request = plan->request;
  g_autoptr (ShimMeasurement) measurement = NULL;

  if (isnan (metadata->focal_length_mm))
    fill_in (&request.focal_mm, plan->focal_mm);
  if (isnan (metadata->f_number))
    fill_in (&request.f_number, plan->f_number);
  measurement = shim_frame_measure_photo (photo, &request, cancellable, error);
  if (measurement == NULL)
    return NULL;
  if (measurement->refusal == SHIM_REFUSAL_NEEDS_GEOMETRY && isnan (request.distance_mm)
      && isfinite (plan->distance_mm))
    {
      request.distance_mm = plan->distance_mm;
      shim_measurement_free (measurement);
      measurement = shim_frame_measure_photo (photo, &request, cancellable, error);
    }
  if (measurement != NULL && plan->marks_carried && marks_are_off (measurement))
    try_without_marks (photo, &request, &measurement, cancellable);
  return g_steal_pointer (&measurement);
}

/**
 * shim_look_take:
 * @path: (type filename): a photograph
 * @plan: how
 * @cancellable: (nullable): ends it early
 * @error: a #ShimPhotoError when the file is no readable picture, or %G_IO_ERROR_CANCELLED
 *
 * Reads a photograph's metadata, measures it and cuts out the evidence. Slow (a second for a large picture); any
 * thread.
 *
 * Returns: (transfer full) (nullable): the look; a frame that cannot be measured is a look with a refusal
 */
ShimLook *
shim_look_take (const char *path, const ShimLookPlan *plan, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimPhoto) photo = NULL;
  g_autoptr (ShimLook) look = NULL;

  g_return_val_if_fail (path != NULL && plan != NULL, NULL);

  photo = shim_photo_open (path, error);
  if (photo == NULL)
    return NULL;
  look = g_new0 (ShimLook, 1);
  look->path = g_canonicalize_filename (path, NULL);
  look->metadata = shim_metadata_copy (shim_photo_get_metadata (photo));
  look->sha256 = shim_frame_checksum (path, cancellable, error);
  if (look->sha256 == NULL)
    return NULL;
  look->measurement = measure (photo, plan, cancellable, error);
  if (look->measurement == NULL)
    return NULL;
  if (isfinite (look->measurement->strip_a_px.x))
    look->evidence = shim_frame_evidence (path, look->measurement, cancellable, NULL);
  return g_steal_pointer (&look);
}

/* --- many at once --- */

typedef struct
{
  guint index;
  ShimLook *look;
  GError *error;
} Taken;

typedef struct
{
  const char *const *paths;
  const ShimLookPlan *plan;
  GCancellable *cancellable;
  GAsyncQueue *taken;
} Batch;

/* A thread of the pool. */
static void
take_one (gpointer data, gpointer user_data)
{
  Batch *batch = user_data;
  Taken *taken = g_new0 (Taken, 1);

  taken->index = GPOINTER_TO_UINT (data) - 1;
  if (!g_cancellable_set_error_if_cancelled (batch->cancellable, &taken->error))
    taken->look = shim_look_take (batch->paths[taken->index], batch->plan, batch->cancellable, &taken->error);
  g_async_queue_push (batch->taken, taken);
}

static void
hand_out (Taken *taken, ShimLookFunc func, gpointer user_data)
{
  func (taken->index, taken->look, taken->error, user_data);
  shim_look_free (taken->look);
  g_clear_error (&taken->error);
  g_free (taken);
}

/**
 * shim_look_take_many:
 * @paths: (array zero-terminated=1): photographs
 * @plan: how
 * @func: called for each, in their order, as soon as it and all before it are done
 * @user_data: for @func
 * @cancellable: (nullable): the rest then fail with %G_IO_ERROR_CANCELLED
 *
 * On all processors. Waits until the last is done.
 */
void
shim_look_take_many (const char *const *paths, const ShimLookPlan *plan, ShimLookFunc func, gpointer user_data,
                     GCancellable *cancellable)
{
  const guint n = g_strv_length ((char **) paths);
  Batch batch = { .paths = paths, .plan = plan, .cancellable = cancellable, .taken = g_async_queue_new () };
  g_autofree Taken **waiting = g_new0 (Taken *, n + 1);
  GThreadPool *pool;
  guint next = 0;

  g_return_if_fail (plan != NULL && func != NULL);

  /* A pool that shares GLib's threads cannot fail to be made. */
  pool = g_thread_pool_new (take_one, &batch, (int) g_get_num_processors (), FALSE, NULL);
  for (guint i = 0; i < n; i++)
    g_thread_pool_push (pool, GUINT_TO_POINTER (i + 1), NULL);
  while (next < n)
    {
      Taken *taken = g_async_queue_pop (batch.taken);

      waiting[taken->index] = taken;
      for (; next < n && waiting[next] != NULL; next++)
        hand_out (waiting[next], func, user_data);
    }
  g_thread_pool_free (pool, FALSE, TRUE);
  g_async_queue_unref (batch.taken);
}
