/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <stdlib.h>

#include "shim-photo-error.h"
#include "shim-photo-private.h"
#include "shim-picture.h"
#include "shim-pixels.h"

#define BYTES_PER_PIXEL 4
#define ROWS_AT_ONCE 32

/* Thumbnails of one shape in all cameras are padded with black rows or columns; darker than this is black. */
#define BLACK_LEVEL 32

/* Where stored pixel (0, 0) comes to stand in the upright rows, and how far the next column and the next row are
 * from it, pixels. */
typedef struct
{
  gssize base;
  gssize step_x;
  gssize step_y;
} Placing;

static gssize
index_of (ShimOrientation orientation, int width, int height, int upright_width, double x, double y)
{
  ShimPoint p = shim_orientation_point_to_upright (orientation, width, height, (ShimPoint) { x + 0.5, y + 0.5 });

  return (gssize) (p.y - 0.5) * upright_width + (gssize) (p.x - 0.5);
}

static Placing
placing_of (ShimOrientation orientation, int width, int height, int upright_width)
{
  Placing placing;

  placing.base = index_of (orientation, width, height, upright_width, 0, 0);
  placing.step_x = width > 1 ? index_of (orientation, width, height, upright_width, 1, 0) - placing.base : 0;
  placing.step_y = height > 1 ? index_of (orientation, width, height, upright_width, 0, 1) - placing.base : 0;
  return placing;
}

/* Puts @n_rows stored rows where they belong. Quarter turns go column by column, so that what is written lies
 * together. */
static void
place_rows (const Placing *placing, const guint32 *rows, int width, int y0, int n_rows, guint32 *upright)
{
  guint32 *start = upright + placing->base + (gssize) y0 * placing->step_y;

  if (ABS (placing->step_x) == 1)
    {
      for (int y = 0; y < n_rows; y++)
        for (int x = 0; x < width; x++)
          start[y * placing->step_y + x * placing->step_x] = rows[(gsize) y * width + x];
      return;
    }
  for (int x = 0; x < width; x++)
    for (int y = 0; y < n_rows; y++)
      start[y * placing->step_y + x * placing->step_x] = rows[(gsize) y * width + x];
}

static gboolean
decode_rows (ShimJpeg *jpeg, ShimOrientation orientation, int upright_width, guint8 *pixels, GError **error)
{
  int width = shim_jpeg_get_out_width (jpeg);
  int height = shim_jpeg_get_out_height (jpeg);
  gsize row_bytes = (gsize) width * BYTES_PER_PIXEL;
  Placing placing = placing_of (orientation, width, height, upright_width);
  g_autofree guint8 *rows = orientation != SHIM_ORIENTATION_NORMAL ? g_malloc (row_bytes * ROWS_AT_ONCE) : NULL;

  for (int y0 = 0; y0 < height; y0 += ROWS_AT_ONCE)
    {
      int n = MIN (ROWS_AT_ONCE, height - y0);
      guint8 *into = rows != NULL ? rows : pixels + (gsize) y0 * row_bytes;

      if (!shim_jpeg_read_rows (jpeg, into, row_bytes, n, error))
        return FALSE;
      if (rows != NULL)
        place_rows (&placing, (const guint32 *) rows, width, y0, n, (guint32 *) pixels);
    }
  return TRUE;
}

static ShimPicture *
decode (const ShimJpegSource *source, const ShimJpegLimits *limits, int shrink, const ShimMetadata *metadata,
        GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimJpeg) jpeg = shim_jpeg_open (source, limits, cancellable, error);
  ShimPicture *picture;
  guint8 *pixels;
  gsize n_bytes;

  if (jpeg == NULL || !shim_jpeg_start (jpeg, SHIM_JPEG_BGRA, shrink, error))
    return NULL;
  n_bytes = (gsize) shim_jpeg_get_out_width (jpeg) * shim_jpeg_get_out_height (jpeg) * BYTES_PER_PIXEL;
  pixels = shim_pixels_allocate (n_bytes);
  if (pixels == NULL)
    {
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_TOO_LARGE,
                   "There is not enough memory to show “%s”. Close other photographs.", source->name);
      return NULL;
    }

  picture = g_new0 (ShimPicture, 1);
  picture->bytes = g_bytes_new_with_free_func (pixels, n_bytes, free, pixels);
  shim_orientation_upright_size (metadata->orientation, shim_jpeg_get_out_width (jpeg),
                                 shim_jpeg_get_out_height (jpeg), &picture->width, &picture->height);
  picture->stride = (gsize) picture->width * BYTES_PER_PIXEL;
  picture->picture_width = metadata->width_px;
  picture->picture_height = metadata->height_px;
  if (!decode_rows (jpeg, metadata->orientation, picture->width, pixels, error))
    g_clear_pointer (&picture, shim_picture_free);
  else
    picture->n_damaged = shim_jpeg_get_n_damaged (jpeg);
  return picture;
}

static gboolean
is_black (const ShimPicture *self, int x0, int y0, int x1, int y1)
{
  const guint8 *pixels = g_bytes_get_data (self->bytes, NULL);

  for (int y = y0; y < y1; y++)
    for (int x = x0; x < x1; x++)
      {
        const guint8 *p = pixels + (gsize) y * self->stride + (gsize) x * BYTES_PER_PIXEL;

        if (MAX (MAX (p[0], p[1]), p[2]) > BLACK_LEVEL)
          return FALSE;
      }
  return TRUE;
}

/* Cuts a thumbnail down to the shape of the photograph when what is cut off is black; FALSE when the shapes do not
 * agree otherwise: then it is not the same picture. */
static gboolean
trim_to_shape (ShimPicture *self)
{
  double shape = (double) self->picture_width / self->picture_height;
  int width = MIN (self->width, (int) (self->height * shape + 0.5));
  int height = MIN (self->height, (int) (self->width / shape + 0.5));
  int x = (self->width - width) / 2;
  int y = (self->height - height) / 2;
  GBytes *whole = self->bytes;
  /* The rows and columns next to the edge may hold the picture's own blur by the JPEG blocks. */
  int keep_x = MAX (x - 1, 0);
  int keep_y = MAX (y - 1, 0);

  if (width < 1 || height < 1)
    return FALSE;
  if (x + y > 1
      && !(is_black (self, 0, 0, keep_x, self->height)
           && is_black (self, self->width - keep_x, 0, self->width, self->height)
           && is_black (self, 0, 0, self->width, keep_y)
           && is_black (self, 0, self->height - keep_y, self->width, self->height)))
    return FALSE;

  self->bytes = g_bytes_new_from_bytes (whole, (gsize) y * self->stride + (gsize) x * BYTES_PER_PIXEL,
                                        (gsize) (height - 1) * self->stride + (gsize) width * BYTES_PER_PIXEL);
  g_bytes_unref (whole);
  self->width = width;
  self->height = height;
  return TRUE;
}

/* The file's own small picture; NULL when there is none that shows the same. */
static ShimPicture *
decode_thumbnail (ShimPhoto *photo, GCancellable *cancellable)
{
  /* What is meant to be quick may not ask for much. */
  static const ShimJpegLimits limits = { .max_pixels = 4000000, .max_memory = 32 * 1024 * 1024, .max_scans = 16 };
  ShimJpegSource source = { .fd = -1, .bytes = photo->thumbnail, .name = photo->name };
  g_autoptr (ShimPicture) picture = NULL;

  if (photo->thumbnail == NULL)
    return NULL;
  picture = decode (&source, &limits, 1, photo->metadata, cancellable, NULL);
  if (picture == NULL || !trim_to_shape (picture))
    return NULL;
  picture->from_preview = TRUE;
  return g_steal_pointer (&picture);
}

/**
 * shim_picture_load:
 * @photo: a photograph
 * @size: how large
 * @cancellable: (nullable): polled for each block of rows
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * Decodes a photograph for display. Blocks: call it from a worker thread.
 *
 * Returns: (transfer full) (nullable): the picture, upright
 */
ShimPicture *
shim_picture_load (ShimPhoto *photo, ShimPictureSize size, GCancellable *cancellable, GError **error)
{
  static const int shrinks[] = {
    [SHIM_PICTURE_QUICK] = 8,
    [SHIM_PICTURE_EIGHTH] = 8,
    [SHIM_PICTURE_QUARTER] = 4,
    [SHIM_PICTURE_HALF] = 2,
    [SHIM_PICTURE_FULL] = 1,
  };

  g_return_val_if_fail (photo != NULL, NULL);
  g_return_val_if_fail ((guint) size < G_N_ELEMENTS (shrinks), NULL);

  if (size == SHIM_PICTURE_QUICK)
    {
      ShimPicture *picture = decode_thumbnail (photo, cancellable);

      if (picture != NULL)
        return picture;
    }
  return decode (&photo->source, &shim_jpeg_default_limits, shrinks[size], photo->metadata, cancellable, error);
}

typedef struct
{
  char *path;
  ShimPhoto *photo;
  ShimPictureSize size;
} LoadTask;

static void
load_task_free (LoadTask *load)
{
  g_free (load->path);
  g_clear_pointer (&load->photo, shim_photo_unref);
  g_free (load);
}

static void
load_in_thread (GTask *task, gpointer source_object, gpointer task_data, GCancellable *cancellable)
{
  LoadTask *load = task_data;
  GError *error = NULL;
  ShimPicture *picture = NULL;

  if (load->photo == NULL)
    load->photo = shim_photo_open (load->path, &error);
  if (load->photo != NULL)
    picture = shim_picture_load (load->photo, load->size, cancellable, &error);
  if (picture != NULL)
    g_task_return_pointer (task, picture, (GDestroyNotify) shim_picture_free);
  else
    g_task_return_error (task, error);
}

static void
start_load (LoadTask *load, GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data)
{
  g_autoptr (GTask) task = g_task_new (NULL, cancellable, callback, user_data);

  g_task_set_source_tag (task, shim_picture_load_async);
  g_task_set_task_data (task, load, (GDestroyNotify) load_task_free);
  g_task_run_in_thread (task, load_in_thread);
}

/**
 * shim_picture_load_async:
 * @photo: a photograph
 * @size: how large
 * @cancellable: (nullable): ends the decoding within a few rows
 * @callback: called in the thread that called this
 * @user_data: for @callback
 *
 * As shim_picture_load(), in a worker thread.
 */
void
shim_picture_load_async (ShimPhoto *photo, ShimPictureSize size, GCancellable *cancellable,
                         GAsyncReadyCallback callback, gpointer user_data)
{
  LoadTask *load;

  g_return_if_fail (photo != NULL);

  load = g_new0 (LoadTask, 1);
  load->photo = shim_photo_ref (photo);
  load->size = size;
  start_load (load, cancellable, callback, user_data);
}

/**
 * shim_picture_load_path_async:
 * @path: a JPEG or raw file
 * @size: how large
 * @cancellable: (nullable): ends the decoding within a few rows
 * @callback: called in the thread that called this
 * @user_data: for @callback
 *
 * Opens the photograph in the worker thread, too; shim_picture_load_finish() hands it out for the sizes to come.
 */
void
shim_picture_load_path_async (const char *path, ShimPictureSize size, GCancellable *cancellable,
                              GAsyncReadyCallback callback, gpointer user_data)
{
  LoadTask *load;

  g_return_if_fail (path != NULL);

  load = g_new0 (LoadTask, 1);
  load->path = g_strdup (path);
  load->size = size;
  start_load (load, cancellable, callback, user_data);
}

/**
 * shim_picture_load_finish:
 * @result: as handed to the callback
 * @photo: (out) (optional) (nullable) (transfer full): the photograph it is of; set even when only the decoding
 *   failed
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * Returns: (transfer full) (nullable): the picture
 */
ShimPicture *
shim_picture_load_finish (GAsyncResult *result, ShimPhoto **photo, GError **error)
{
  LoadTask *load;

  g_return_val_if_fail (g_task_is_valid (result, NULL), NULL);

  load = g_task_get_task_data (G_TASK (result));
  if (photo != NULL)
    *photo = load->photo != NULL ? shim_photo_ref (load->photo) : NULL;
  return g_task_propagate_pointer (G_TASK (result), error);
}

/**
 * shim_picture_free:
 * @self: (nullable) (transfer full): a picture; tiles made of its bytes stay
 */
void
shim_picture_free (ShimPicture *self)
{
  if (self == NULL)
    return;
  g_bytes_unref (self->bytes);
  g_free (self);
}
