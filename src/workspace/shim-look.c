/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-frame-carry.h"
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

/**
 * shim_look_plan_clear:
 * @self: a plan; what it owns is freed
 */
void
shim_look_plan_clear (ShimLookPlan *self)
{
  g_clear_pointer (&self->marks, shim_measurement_free);
  g_clear_pointer (&self->marked_path, g_free);
  g_clear_pointer (&self->marked_evidence, g_bytes_unref);
}

/* (nullable): the frame whose marks are carried over. Without a picture of it nothing can be compared. */
static ShimFrameAnchor *
open_anchor (const ShimLookPlan *plan, GCancellable *cancellable)
{
  g_autoptr (GBytes) evidence = NULL;

  if (plan->marks == NULL)
    return NULL;
  if (plan->marked_evidence != NULL)
    evidence = g_bytes_ref (plan->marked_evidence);
  else
    evidence = shim_frame_evidence (plan->marked_path, plan->marks, cancellable, NULL);
  return evidence != NULL ? shim_frame_anchor_new (evidence, plan->marks, NULL) : NULL;
}

/* The marks as they lie on the other frame. */
static ShimMeasurement *
measure_unmoved (ShimPhoto *photo, const ShimLookPlan *plan, const ShimMeasureRequest *given, GCancellable *cancellable,
                 GError **error)
{
  ShimMeasureRequest request = *given;
  ShimMeasurement *measurement;

  if (!request.has_strip && !request.has_click)
    {
      request.has_strip = TRUE;
      request.strip_a_px = plan->marks->strip_a_px;
      request.strip_b_px = plan->marks->strip_b_px;
    }
  if (!request.has_target && isfinite (plan->marks->target_px.x))
    {
      request.has_target = TRUE;
      request.target_px = plan->marks->target_px;
    }
  measurement = shim_frame_measure_photo (photo, &request, cancellable, error);
  if (measurement != NULL)
    {
      measurement->marks = SHIM_MARKS_CARRIED;
      shim_measurement_warn (measurement, "Nothing is left of the photograph that was marked, so that its marks were "
                                          "carried over unmoved. See that the target line is in its place.");
    }
  return measurement;
}

static ShimMeasurement *
measure_once (ShimPhoto *photo, const ShimLookPlan *plan, const ShimFrameAnchor *anchor,
              const ShimMeasureRequest *request, GCancellable *cancellable, GError **error)
{
  if (anchor != NULL)
    return shim_frame_measure_carried (photo, anchor, request, cancellable, error);
  if (plan->marks != NULL)
    return measure_unmoved (photo, plan, request, cancellable, error);
  return shim_frame_measure_photo (photo, request, cancellable, error);
}

static ShimMeasurement *
measure (ShimPhoto *photo, const ShimLookPlan *plan, const ShimFrameAnchor *anchor, GCancellable *cancellable,
         GError **error)
{
  const ShimMetadata *metadata = shim_photo_get_metadata (photo);
  ShimMeasureRequest request = plan->request;
  ShimMeasurement *measurement;

  if (isnan (metadata->focal_length_mm))
    fill_in (&request.focal_mm, plan->focal_mm);
  if (isnan (metadata->f_number))
    fill_in (&request.f_number, plan->f_number);
  measurement = measure_once (photo, plan, anchor, &request, cancellable, error);
  if (measurement == NULL || measurement->refusal != SHIM_REFUSAL_NEEDS_GEOMETRY || isfinite (request.distance_mm)
      || isnan (plan->distance_mm))
    return measurement;
  request.distance_mm = plan->distance_mm;
  shim_measurement_free (measurement);
  return measure_once (photo, plan, anchor, &request, cancellable, error);
}

typedef struct
{
  const char *path;
  GCancellable *cancellable;
  char *sha256;
  GError *error;
} Checksum;

/* A thread. */
static gpointer
add_up (gpointer data)
{
  Checksum *self = data;

  self->sha256 = shim_frame_checksum (self->path, self->cancellable, &self->error);
  return NULL;
}

/* The checksum takes about as long as finding the ruler does: both at once, for a person waits for the first frame. */
static ShimMeasurement *
measure_and_add_up (ShimPhoto *photo, const char *path, const ShimLookPlan *plan, const ShimFrameAnchor *anchor,
                    GCancellable *cancellable, char **sha256, GError **error)
{
  Checksum checksum = { .path = path, .cancellable = cancellable };
  GThread *thread = g_thread_new ("checksum", add_up, &checksum);
  g_autoptr (ShimMeasurement) measurement = measure (photo, plan, anchor, cancellable, error);

  g_thread_join (thread);
  *sha256 = checksum.sha256;
  if (measurement == NULL)
    {
      g_clear_error (&checksum.error);
      return NULL;
    }
  if (checksum.error != NULL)
    {
      g_propagate_error (error, checksum.error);
      return NULL;
    }
  return g_steal_pointer (&measurement);
}

static ShimLook *
take (const char *path, const ShimLookPlan *plan, const ShimFrameAnchor *anchor, GCancellable *cancellable,
      GError **error)
{
  g_autoptr (ShimPhoto) photo = shim_photo_open (path, error);
  g_autoptr (ShimLook) look = NULL;

  if (photo == NULL)
    return NULL;
  look = g_new0 (ShimLook, 1);
  look->path = g_canonicalize_filename (path, NULL);
  look->metadata = shim_metadata_copy (shim_photo_get_metadata (photo));
  look->measurement =
      measure_and_add_up (photo, path, plan, anchor, cancellable, &look->sha256, error);
  if (look->measurement == NULL)
    return NULL;
  if (isfinite (look->measurement->strip_a_px.x))
    look->evidence = shim_frame_evidence (path, look->measurement, cancellable, NULL);
  return g_steal_pointer (&look);
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
  g_autoptr (ShimFrameAnchor) anchor = NULL;

  g_return_val_if_fail (path != NULL && plan != NULL, NULL);

  anchor = open_anchor (plan, cancellable);
  return take (path, plan, anchor, cancellable, error);
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
  const ShimFrameAnchor *anchor;
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
    taken->look = take (batch->paths[taken->index], batch->plan, batch->anchor, batch->cancellable, &taken->error);
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
  g_autoptr (ShimFrameAnchor) anchor = open_anchor (plan, cancellable);
  Batch batch = { .paths = paths, .plan = plan, .anchor = anchor, .cancellable = cancellable,
                  .taken = g_async_queue_new () };
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
