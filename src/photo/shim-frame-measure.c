/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-first-look.h"
#include "shim-frame-carry.h"
#include "shim-frame-measure-private.h"
#include "shim-luma-reader.h"
#include "shim-measure.h"
#include "shim-measure-strip.h"
#include "shim-own-measure.h"
#include "shim-photo-error.h"
#include "shim-photo-private.h"
#include "shim-turn.h"

/* Luma kept in memory while the ruler is looked for: all of it up to 36 megapixels, of larger pictures the middle.
 * With what else it takes, measuring stays below 60 MB. */
#define KEEP_BYTES ((gsize) 36 * 1000 * 1000)

static ShimRect
clip_to_picture (const ShimPhoto *photo, ShimRect rect)
{
  int x1 = CLAMP (rect.x + rect.width, 0, photo->width);
  int y1 = CLAMP (rect.y + rect.height, 0, photo->height);

  rect.x = CLAMP (rect.x, 0, photo->width);
  rect.y = CLAMP (rect.y, 0, photo->height);
  rect.width = x1 - rect.x;
  rect.height = y1 - rect.y;
  return rect;
}

static ShimMeasurement *
refuse_outside (void)
{
  return shim_measurement_refuse (shim_measurement_new (), SHIM_REFUSAL_NO_RULER,
                                  "The strip lies outside the picture. Draw it along the tick edge of the ruler.");
}

/* Measures on one piece, decoded unless @look has kept it; request and result in the stored frame. With @seen, the best
 * refusal so far, only asks whether the piece tells the side (%NULL without error when it does not). */
static ShimMeasurement *
measure_piece (ShimPhoto *photo, const ShimRect *rect, const ShimFirstLook *look, const ShimMeasureRequest *request,
               const ShimStripGuess *guess, const ShimMeasurement *seen, GCancellable *cancellable, GError **error)
{
  ShimRect inside = clip_to_picture (photo, *rect);
  g_autoptr (ShimLumaBlock) block = NULL;
  ShimLuma luma;

  if (inside.width <= 0 || inside.height <= 0)
    return seen != NULL ? NULL : refuse_outside ();
  if (look == NULL || !shim_first_look_get_luma (look, &inside, &luma))
    {
      block = shim_luma_read_rect (photo, &inside, cancellable, error);
      if (block == NULL)
        return NULL;
      luma = block->luma;
    }
  return seen != NULL ? shim_measure_side (&luma, request, guess, seen) : shim_measure_luma (&luma, request, guess);
}

/* None of the candidates could be measured: whether one of them tells at least on which side the sharp line lies. Returns
 * %FALSE on error. */
static gboolean
name_side (ShimPhoto *photo, const ShimFirstLook *look, GArray *candidates, const ShimMeasureRequest *request,
           ShimMeasurement **best, GCancellable *cancellable, GError **error)
{
  for (guint i = 0; i < candidates->len; i++)
    {
      const ShimStripGuess *guess = &g_array_index (candidates, ShimStripGuess, i);
      g_autoptr (GError) failed = NULL;
      ShimMeasurement *side = measure_piece (photo, &guess->rect, look, request, guess, *best, cancellable, &failed);

      if (failed != NULL)
        {
          g_propagate_error (error, g_steal_pointer (&failed));
          return FALSE;
        }
      if (side == NULL)
        continue;
      shim_measurement_free (*best);
      *best = side;
      break;
    }
  return TRUE;
}

/* The strip was given, and nothing could be measured on it. Returns %FALSE on error. */
static gboolean
name_side_of_strip (ShimPhoto *photo, const ShimMeasureRequest *request, ShimMeasurement **best, GCancellable *cancellable,
                    GError **error)
{
  g_autoptr (GError) failed = NULL;
  ShimMeasurement *side;
  ShimRect rect;

  if (!shim_measure_wants_side (*best) || !shim_measure_side_rect (request, photo->width, photo->height, &rect))
    return TRUE;
  side = measure_piece (photo, &rect, NULL, request, NULL, *best, cancellable, &failed);
  if (failed != NULL)
    {
      g_propagate_error (error, g_steal_pointer (&failed));
      return FALSE;
    }
  if (side != NULL)
    {
      shim_measurement_free (*best);
      *best = side;
    }
  return TRUE;
}

/* The strip is given. Rows that mostly hold nothing of the ruler are decoded only when it turns out to go on there. */
static ShimMeasurement *
measure_strip (ShimPhoto *photo, const ShimRect *rect, const ShimMeasureRequest *request, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimLumaBlock) block = shim_luma_begin_rect (photo, rect, shim_measure_first_rows (request, rect), cancellable, error);
  g_autoptr (ShimMeasurement) measurement = NULL;

  if (block == NULL)
    return NULL;
  measurement = shim_measure_luma (&block->luma, request, NULL);
  if (block->luma.rect.height == rect->height || !shim_measure_wants_rest (request, measurement))
    return g_steal_pointer (&measurement);
  return shim_luma_read_rest (block, error) ? shim_measure_luma (&block->luma, request, NULL) : NULL;
}

/* The printed target says by itself where its strip is. */
static ShimMeasurement *
measure_own_target (ShimPhoto *photo, const ShimFirstLook *look, const ShimOwnTarget *target, const ShimMeasureRequest *request,
                    GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimLumaBlock) block = NULL;
  ShimLuma luma;

  if (shim_first_look_get_luma (look, &target->rect, &luma))
    return shim_own_measure (&luma, request, target);
  block = shim_luma_read_rect (photo, &target->rect, cancellable, error);
  return block != NULL ? shim_own_measure (&block->luma, request, target) : NULL;
}

/* Nothing is known of where the ruler is: look at the whole picture, then closely at the likeliest places. */
static ShimMeasurement *
measure_found (ShimPhoto *photo, const ShimMeasureRequest *request, gboolean two_threads, GCancellable *cancellable,
               GError **error)
{
  g_autoptr (ShimFirstLook) look = shim_first_look (photo, two_threads, KEEP_BYTES, cancellable, error);
  g_autoptr (GArray) candidates = NULL;
  g_autoptr (ShimMeasurement) best = NULL;
  ShimOwnTarget target;

  if (look == NULL)
    return NULL;
  if (shim_own_target_find (shim_first_look_get_reduced (look), photo->width, photo->height, &target))
    return measure_own_target (photo, look, &target, request, cancellable, error);
  candidates = shim_survey_find_for (shim_first_look_get_survey (look), request, SHIM_MEASURE_CANDIDATES);
  for (guint i = 0; i < candidates->len && (best == NULL || !shim_measure_is_settled (best)); i++)
    {
      const ShimStripGuess *guess = &g_array_index (candidates, ShimStripGuess, i);
      g_autoptr (ShimMeasurement) measurement = NULL;

      measurement = measure_piece (photo, &guess->rect, look, request, guess, NULL, cancellable, error);
      if (measurement == NULL)
        return NULL;
      if (best == NULL || shim_measure_tells_more (measurement, best))
        {
          g_clear_pointer (&best, shim_measurement_free);
          best = g_steal_pointer (&measurement);
        }
    }
  /* Nothing more is decoded for a frame that was measured. */
  if (best != NULL && shim_measure_wants_side (best)
      && !name_side (photo, look, candidates, request, &best, cancellable, error))
    return NULL;
  if (best != NULL)
    return g_steal_pointer (&best);
  return shim_measurement_refuse (shim_measurement_new (), SHIM_REFUSAL_NO_RULER,
                                  "No ruler was found in the picture. Draw the strip along its tick edge.");
}

/* A strip that was drawn by hand keeps out what lies beside it, for good and ill: where nothing came of it, looks about it as if it
 * were no more than a click on the ruler. Returns %FALSE on error. */
static gboolean
look_about_strip (ShimPhoto *photo, const ShimMeasureRequest *request, gboolean two_threads, ShimMeasurement **best,
                  GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimMeasurement) found = NULL;
  ShimMeasureRequest about;

  if (!shim_measure_wants_side (*best) || !shim_measure_strip_as_click (request, &about))
    return TRUE;
  found = measure_found (photo, &about, two_threads, cancellable, error);
  if (found == NULL)
    return FALSE;
  if (shim_measure_tells_more (found, *best) && shim_measure_strip_agrees (request, found))
    {
      shim_measurement_free (*best);
      *best = g_steal_pointer (&found);
    }
  return TRUE;
}

/* (private): what is known of @photo in the end, in the stored frame: @request (nullable), then its metadata. */
void
_shim_frame_prepare (const ShimPhoto *photo, const ShimMeasureRequest *request, ShimMeasureRequest *known)
{
  if (request != NULL)
    *known = *request;
  else
    shim_measure_request_init (known);
  shim_metadata_fill_request (photo->metadata, known);
  shim_turn_request_to_stored (photo, known);
}

/* (private): measures by what _shim_frame_prepare() made; the result is upright. @decoded (nullable) is a piece that
 * is decoded already, in which the strip may lie. */
ShimMeasurement *
_shim_frame_measure_known (ShimPhoto *photo, const ShimMeasureRequest *known, const ShimLumaBlock *decoded,
                           gboolean two_threads, GCancellable *cancellable, GError **error)
{
  ShimMeasurement *measurement;
  ShimRect rect;
  ShimLuma luma;

  if (!known->has_strip)
    measurement = measure_found (photo, known, two_threads, cancellable, error);
  else if (!shim_measure_rect (known, photo->width, photo->height, &rect))
    measurement = refuse_outside ();
  else if (decoded != NULL && shim_luma_block_get_part (decoded, &rect, &luma))
    measurement = shim_measure_luma (&luma, known, NULL);
  else
    measurement = measure_strip (photo, &rect, known, cancellable, error);
  if (measurement != NULL && known->has_strip
      && (!look_about_strip (photo, known, two_threads, &measurement, cancellable, error)
          || !name_side_of_strip (photo, known, &measurement, cancellable, error)))
    g_clear_pointer (&measurement, shim_measurement_free);
  if (measurement != NULL)
    shim_turn_measurement_to_upright (photo, measurement);
  return measurement;
}

static ShimMeasurement *
measure_photo (ShimPhoto *photo, const ShimMeasureRequest *request, gboolean two_threads, GCancellable *cancellable,
               GError **error)
{
  ShimMeasureRequest known;

  _shim_frame_prepare (photo, request, &known);
  return _shim_frame_measure_known (photo, &known, NULL, two_threads, cancellable, error);
}

/* With an anchor, its marks are carried over. */
static ShimMeasurement *
measure_path (const char *path, const ShimMeasureRequest *request, const ShimFrameAnchor *anchor,
              gboolean two_threads, ShimMetadata **metadata, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimPhoto) photo = shim_photo_open (path, error);

  if (metadata != NULL)
    *metadata = photo != NULL ? shim_metadata_copy (photo->metadata) : NULL;
  if (photo == NULL)
    return NULL;
  if (anchor != NULL)
    return shim_frame_measure_carried (photo, anchor, request, cancellable, error);
  return measure_photo (photo, request, two_threads, cancellable, error);
}

/**
 * shim_frame_measure_photo:
 * @photo: a photograph
 * @request: (nullable): what is known, in coordinates of the upright picture; %NULL = nothing
 * @cancellable: (nullable): polled for each block of rows
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * Measures one frame: metadata fill in what @request leaves out, and of the picture no more is decoded than the
 * measurement needs: with a strip given that piece alone, else the luma of the whole once. Uses a second core while
 * it looks for the ruler.
 *
 * Returns: (transfer full) (nullable): the measurement, which may be a refusal; %NULL when the file cannot be read
 */
ShimMeasurement *
shim_frame_measure_photo (ShimPhoto *photo, const ShimMeasureRequest *request, GCancellable *cancellable,
                          GError **error)
{
  g_return_val_if_fail (photo != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  return measure_photo (photo, request, TRUE, cancellable, error);
}

/**
 * shim_frame_measure:
 * @path: a photograph
 * @request: (nullable): what is known, in coordinates of the upright picture; %NULL = nothing
 * @metadata: (out) (optional) (nullable) (transfer full): what the photograph says about itself; set whenever the
 *   file could be opened
 * @cancellable: (nullable): polled for each block of rows
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * As shim_frame_measure_photo(), from a file.
 *
 * Returns: (transfer full) (nullable): the measurement, which may be a refusal; %NULL when the file cannot be read
 */
ShimMeasurement *
shim_frame_measure (const char *path, const ShimMeasureRequest *request, ShimMetadata **metadata,
                    GCancellable *cancellable, GError **error)
{
  g_return_val_if_fail (path != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  return measure_path (path, request, NULL, TRUE, metadata, cancellable, error);
}

/**
 * shim_frame_result_free:
 * @self: (nullable) (transfer full): a result
 */
void
shim_frame_result_free (ShimFrameResult *self)
{
  if (self == NULL)
    return;
  g_clear_pointer (&self->measurement, shim_measurement_free);
  shim_metadata_free (self->metadata);
  g_clear_error (&self->error);
  g_free (self);
}

/* What all the workers of one call share. */
typedef struct
{
  const char *const *paths;
  const ShimMeasureRequest *request;
  const ShimFrameAnchor *anchor;
  GPtrArray *results;
  guint n_done;
  ShimFrameProgressFunc progress;
  gpointer user_data;
  GCancellable *cancellable;
  GMutex lock;
} Batch;

static ShimFrameResult *
measure_one (const Batch *batch, const char *path)
{
  ShimFrameResult *result = g_new0 (ShimFrameResult, 1);

  if (g_cancellable_set_error_if_cancelled (batch->cancellable, &result->error))
    return result;
  result->measurement = measure_path (path, batch->request, batch->anchor, FALSE, &result->metadata,
                                      batch->cancellable, &result->error);
  if (result->measurement == NULL && result->error->domain == SHIM_PHOTO_ERROR)
    result->measurement = shim_measurement_refuse (shim_measurement_new (), SHIM_REFUSAL_UNREADABLE, "%s",
                                                   result->error->message);
  return result;
}

static void
work (gpointer data, gpointer user_data)
{
  guint index = GPOINTER_TO_UINT (data) - 1;
  Batch *batch = user_data;
  ShimFrameResult *result = measure_one (batch, batch->paths[index]);

  g_mutex_lock (&batch->lock);
  batch->results->pdata[index] = result;
  batch->n_done++;
  if (batch->progress != NULL)
    batch->progress (index, batch->n_done, batch->results->len, result, batch->user_data);
  g_mutex_unlock (&batch->lock);
}

/* Those from @first on. */
static void
run_batch (Batch *batch, guint first)
{
  /* A pool that shares GLib's threads cannot fail to be made. */
  GThreadPool *pool = g_thread_pool_new (work, batch, (int) g_get_num_processors (), FALSE, NULL);

  for (guint i = first; i < batch->results->len; i++)
    g_thread_pool_push (pool, GUINT_TO_POINTER (i + 1), NULL);
  g_thread_pool_free (pool, FALSE, TRUE);
}

static void
batch_init (Batch *batch)
{
  guint n_files = batch->paths != NULL ? g_strv_length ((char **) batch->paths) : 0;

  batch->results = g_ptr_array_new_full (n_files, (GDestroyNotify) shim_frame_result_free);
  g_ptr_array_set_size (batch->results, (int) n_files);
  g_mutex_init (&batch->lock);
}

/**
 * shim_frame_measure_many:
 * @paths: (array zero-terminated=1): photographs
 * @request: (nullable): what is known of all of them, in coordinates of the upright picture
 * @progress: (nullable) (scope call): called as each is done
 * @user_data: for @progress
 * @cancellable: (nullable): files not begun end with G_IO_ERROR_CANCELLED
 *
 * Measures many frames on all cores; each takes one core, so memory grows with the cores, not with the frames.
 * Blocks.
 *
 * Returns: (transfer full) (element-type ShimFrameResult): a result for each file, in the order of @paths
 */
GPtrArray *
shim_frame_measure_many (const char *const *paths, const ShimMeasureRequest *request, ShimFrameProgressFunc progress,
                         gpointer user_data, GCancellable *cancellable)
{
  Batch batch = { .paths = paths, .request = request, .progress = progress, .user_data = user_data,
                  .cancellable = cancellable };

  batch_init (&batch);
  run_batch (&batch, 0);
  g_mutex_clear (&batch.lock);
  return batch.results;
}

/* (nullable): the first frame with its marks, for the others; without marks there is nothing to carry over. */
static ShimFrameAnchor *
anchor_of_first (const Batch *batch)
{
  const ShimFrameResult *first = batch->results->pdata[0];
  g_autoptr (GBytes) evidence = NULL;

  if (first->measurement == NULL || first->measurement->refusal == SHIM_REFUSAL_UNREADABLE)
    return NULL;
  evidence = shim_frame_evidence (batch->paths[0], first->measurement, batch->cancellable, NULL);
  return evidence != NULL ? shim_frame_anchor_new (evidence, first->measurement, NULL) : NULL;
}

/**
 * shim_frame_measure_series:
 * @paths: (array zero-terminated=1): photographs of one set-up
 * @request: (nullable): what is known; strip, click and target line are those of the first
 * @progress: (nullable) (scope call): called as each is done
 * @user_data: for @progress
 * @cancellable: (nullable): files not begun end with G_IO_ERROR_CANCELLED
 *
 * As shim_frame_measure_many(), but what is marked or found on the first frame is carried over to the others by how
 * far the picture moved. Where the first shows no ruler, the others are measured as if each were alone, with @request.
 *
 * Returns: (transfer full) (element-type ShimFrameResult): a result for each file, in the order of @paths
 */
GPtrArray *
shim_frame_measure_series (const char *const *paths, const ShimMeasureRequest *request,
                           ShimFrameProgressFunc progress, gpointer user_data, GCancellable *cancellable)
{
  Batch batch = { .paths = paths, .request = request, .progress = progress, .user_data = user_data,
                  .cancellable = cancellable };
  g_autoptr (ShimFrameAnchor) anchor = NULL;
  ShimMeasureRequest others;

  batch_init (&batch);
  if (batch.results->len > 0)
    work (GUINT_TO_POINTER (1), &batch);
  if (batch.results->len > 1 && (anchor = anchor_of_first (&batch)) != NULL)
    {
      shim_measure_request_init (&others);
      if (request != NULL)
        others = *request;
      others.has_strip = others.has_click = others.has_target = FALSE;
      batch.anchor = anchor;
      batch.request = &others;
    }
  run_batch (&batch, 1);
  g_mutex_clear (&batch.lock);
  return batch.results;
}
