/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "shim-first-look.h"
#include "shim-luma-reader.h"
#include "shim-photo-private.h"
#include "shim-pixels.h"

/* Looking for the ruler costs about as much as decoding: done beside it in a second thread, it costs no time. And a
 * second decoding down to the ruler would cost a third of the first: as much of the picture as fits into the memory
 * granted is kept instead. */

/* Rows handed over at once, and how many such blocks go round between the two threads. */
#define BLOCK_ROWS 32
#define N_BLOCKS 6

typedef struct
{
  int y0;
  int n_rows;
  guint8 *px;
} Block;

struct _ShimFirstLook
{
  ShimSurvey *survey;
  ShimReducedLuma *reduced;
  int picture_width;
  int picture_height;
  ShimRect kept;
  guint8 *px;
  guint16 luma_steps[64];

  /* Between the two threads. Blocks are used again and again: fresh memory is dear. */
  Block blocks[N_BLOCKS];
  GAsyncQueue *empty;
  GAsyncQueue *full;
};

/* The middle of the picture, of the picture's shape, that fits. */
static ShimRect
rect_to_keep (int width, int height, gsize keep_bytes)
{
  double share = MIN (sqrt ((double) keep_bytes / ((double) width * height)), 1.0);
  ShimRect rect = { 0, 0, (int) (width * share), (int) (height * share) };

  rect.x = (width - rect.width) / 2;
  rect.y = (height - rect.height) / 2;
  return rect;
}

static void
keep_rows (ShimFirstLook *self, int y0, int n_rows, const guint8 *px, gsize stride)
{
  int first = MAX (y0, self->kept.y);
  int end = MIN (y0 + n_rows, self->kept.y + self->kept.height);

  for (int y = first; y < end && self->px != NULL; y++)
    memcpy (self->px + (gsize) (y - self->kept.y) * self->kept.width, px + (gsize) (y - y0) * stride + self->kept.x,
            (gsize) self->kept.width);
}

static gboolean
survey_here (int y0, int n_rows, const guint8 *px, gsize stride, gpointer user_data)
{
  ShimFirstLook *self = user_data;

  keep_rows (self, y0, n_rows, px, stride);
  shim_survey_add_rows (self->survey, y0, n_rows, px, stride);
  shim_reduced_luma_add_rows (self->reduced, n_rows, px, stride);
  return TRUE;
}

static gboolean
survey_there (int y0, int n_rows, const guint8 *px, gsize stride, gpointer user_data)
{
  ShimFirstLook *self = user_data;
  Block *block = g_async_queue_pop (self->empty);

  keep_rows (self, y0, n_rows, px, stride);
  block->y0 = y0;
  block->n_rows = n_rows;
  for (int i = 0; i < n_rows; i++)
    memcpy (block->px + (gsize) i * self->picture_width, px + (gsize) i * stride, (gsize) self->picture_width);
  g_async_queue_push (self->full, block);
  return TRUE;
}

/* Ends at a block without rows. */
static gpointer
survey_thread (gpointer data)
{
  ShimFirstLook *self = data;
  Block *block;

  while ((block = g_async_queue_pop (self->full))->n_rows > 0)
    {
      shim_survey_add_rows (self->survey, block->y0, block->n_rows, block->px, (gsize) self->picture_width);
      shim_reduced_luma_add_rows (self->reduced, block->n_rows, block->px, (gsize) self->picture_width);
      g_async_queue_push (self->empty, block);
    }
  return NULL;
}

static gboolean
stream_in_two_threads (ShimFirstLook *self, ShimPhoto *photo, GThread *thread, GCancellable *cancellable,
                       GError **error)
{
  gboolean ok = shim_luma_stream (photo, BLOCK_ROWS, survey_there, self, cancellable, error);
  Block *last = g_async_queue_pop (self->empty);

  last->n_rows = 0;
  g_async_queue_push (self->full, last);
  g_thread_join (thread);
  return ok;
}

static GThread *
start_second_thread (ShimFirstLook *self)
{
  self->empty = g_async_queue_new ();
  self->full = g_async_queue_new ();
  for (guint i = 0; i < N_BLOCKS; i++)
    {
      self->blocks[i].px = g_malloc ((gsize) self->picture_width * BLOCK_ROWS);
      g_async_queue_push (self->empty, &self->blocks[i]);
    }
  return g_thread_try_new ("survey", survey_thread, self, NULL);
}

/**
 * shim_first_look:
 * @photo: a photograph
 * @two_threads: whether a second core may be used
 * @keep_bytes: how much luma to keep; of a larger picture its middle
 * @cancellable: (nullable): polled for each block of rows
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * Decodes the luma of the whole picture once, surveys it for rulers and keeps what may soon be looked at closely.
 *
 * Returns: (transfer full) (nullable): what was seen, in the stored frame
 */
ShimFirstLook *
shim_first_look (ShimPhoto *photo, gboolean two_threads, gsize keep_bytes, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimFirstLook) self = g_new0 (ShimFirstLook, 1);
  GThread *thread = NULL;
  gboolean ok;

  self->picture_width = shim_photo_get_stored_width (photo);
  self->picture_height = shim_photo_get_stored_height (photo);
  memcpy (self->luma_steps, photo->luma_steps, sizeof photo->luma_steps);
  self->survey = shim_survey_new (self->picture_width, self->picture_height);
  self->reduced = shim_reduced_luma_new (self->picture_width, self->picture_height);
  self->kept = rect_to_keep (self->picture_width, self->picture_height, keep_bytes);
  /* Without that memory the piece is decoded again; without a second thread one does all. */
  self->px = shim_pixels_allocate ((gsize) self->kept.width * self->kept.height);
  if (two_threads)
    thread = start_second_thread (self);

  if (thread != NULL)
    ok = stream_in_two_threads (self, photo, thread, cancellable, error);
  else
    ok = shim_luma_stream (photo, BLOCK_ROWS, survey_here, self, cancellable, error);
  return ok ? g_steal_pointer (&self) : NULL;
}

void
shim_first_look_free (ShimFirstLook *self)
{
  if (self == NULL)
    return;
  shim_survey_free (self->survey);
  shim_reduced_luma_free (self->reduced);
  free (self->px);
  for (guint i = 0; i < N_BLOCKS; i++)
    g_free (self->blocks[i].px);
  g_clear_pointer (&self->empty, g_async_queue_unref);
  g_clear_pointer (&self->full, g_async_queue_unref);
  g_free (self);
}

/* The survey, fed with the whole picture. */
const ShimSurvey *
shim_first_look_get_survey (const ShimFirstLook *self)
{
  return self->survey;
}

/**
 * shim_first_look_get_reduced:
 * @self: a first look
 *
 * Returns: (transfer none): the whole picture, reduced, in which the solid marks of the printed target are looked for
 */
const ShimReducedLuma *
shim_first_look_get_reduced (const ShimFirstLook *self)
{
  return self->reduced;
}

/**
 * shim_first_look_get_luma:
 * @self: a first look
 * @rect: a piece of the stored picture
 * @luma: (out): its luma, which lives as long as @self
 *
 * Returns: whether all of the piece was kept
 */
gboolean
shim_first_look_get_luma (const ShimFirstLook *self, const ShimRect *rect, ShimLuma *luma)
{
  const ShimRect *kept = &self->kept;

  if (self->px == NULL || rect->x < kept->x || rect->y < kept->y || rect->x + rect->width > kept->x + kept->width
      || rect->y + rect->height > kept->y + kept->height)
    return FALSE;
  *luma = (ShimLuma) {
    .rect = *rect,
    .picture_width = self->picture_width,
    .picture_height = self->picture_height,
    .stride = (gsize) kept->width,
    .px = self->px + (gsize) (rect->y - kept->y) * kept->width + (rect->x - kept->x),
  };
  memcpy (luma->steps, self->luma_steps, sizeof self->luma_steps);
  return TRUE;
}
