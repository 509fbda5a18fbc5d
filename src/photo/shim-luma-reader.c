/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "shim-luma-reader.h"
#include "shim-photo-error.h"
#include "shim-photo-private.h"

/* Chroma is upsampled with its neighbours, which a crop cuts off: so many more columns are decoded on each side (an
 * even number of chroma samples) and thrown away again. Luma needs none. */
#define CHANNELS_MARGIN_PX 8

#define ROWS_AT_ONCE 32

/* A picture that is shown may have a grey patch; one that is measured may not, for a wrong number is worse than
 * none. */
static gboolean
refuse_damage (ShimPhoto *photo, const ShimJpeg *jpeg, GError **error)
{
  if (shim_jpeg_get_n_damaged (jpeg) == 0)
    return TRUE;
  g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_DAMAGED,
               "The picture data in “%s” are damaged, so it is not measured. Copy it from the card again.",
               photo->name);
  return FALSE;
}

/* The file was changed between opening it and reading on. */
static gboolean
same_size (ShimPhoto *photo, const ShimJpeg *jpeg, GError **error)
{
  if (shim_jpeg_get_width (jpeg) == photo->width && shim_jpeg_get_height (jpeg) == photo->height)
    return TRUE;
  g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_DAMAGED,
               "The file “%s” changed while it was being read. Try again when it is complete.", photo->name);
  return FALSE;
}

/* A piece of a picture, decoded row by row from its first on. */
struct _ShimLumaPiece
{
  ShimPhoto *photo;
  ShimJpeg *jpeg;
  ShimRect rect;
  int n_channels;
  int x;            /* columns that come, some of which may be thrown away */
  int width;
  guint8 *rows;     /* a few rows of them */
  int n_done;       /* rows of @rect decoded so far */
};

static void
piece_clear (ShimLumaPiece *self)
{
  g_clear_pointer (&self->jpeg, shim_jpeg_free);
  g_clear_pointer (&self->rows, g_free);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (ShimLumaPiece, piece_clear)

static gboolean
piece_begin (ShimLumaPiece *self, ShimPhoto *photo, const ShimRect *rect, ShimJpegColors colors, int n_channels, int margin,
             GCancellable *cancellable, GError **error)
{
  *self = (ShimLumaPiece) { .photo = photo, .rect = *rect, .n_channels = n_channels, .x = MAX (rect->x - margin, 0) };
  self->width = MIN (rect->x + rect->width + margin, photo->width) - self->x;
  self->jpeg = shim_jpeg_open (&photo->source, &shim_jpeg_default_limits, cancellable, error);
  if (self->jpeg == NULL || !same_size (photo, self->jpeg, error) || !shim_jpeg_start (self->jpeg, colors, 1, error)
      || !shim_jpeg_crop (self->jpeg, &self->x, &self->width, error)
      || (rect->y > 0 && !shim_jpeg_skip_rows (self->jpeg, rect->y, error)))
    return FALSE;
  self->rows = g_malloc ((gsize) self->width * n_channels * ROWS_AT_ONCE);
  return TRUE;
}

/* Decodes on until @n_rows are done, into rows of @stride bytes. */
static gboolean
piece_read (ShimLumaPiece *self, int n_rows, guint8 *into, gsize stride, GError **error)
{
  const gsize row_bytes = (gsize) self->width * self->n_channels;

  while (self->n_done < n_rows)
    {
      int n = MIN (ROWS_AT_ONCE, n_rows - self->n_done);

      if (!shim_jpeg_read_rows (self->jpeg, self->rows, row_bytes, n, error))
        return FALSE;
      for (int i = 0; i < n; i++)
        memcpy (into + (gsize) (self->n_done + i) * stride,
                self->rows + i * row_bytes + (gsize) (self->rect.x - self->x) * self->n_channels,
                (gsize) self->rect.width * self->n_channels);
      self->n_done += n;
    }
  return refuse_damage (self->photo, self->jpeg, error);
}

static gboolean
is_inside (ShimPhoto *photo, const ShimRect *rect)
{
  return rect->x >= 0 && rect->y >= 0 && rect->width > 0 && rect->height > 0 && rect->width <= photo->width - rect->x
         && rect->height <= photo->height - rect->y;
}

static void
rest_free (ShimLumaPiece *self)
{
  piece_clear (self);
  shim_photo_unref (self->photo);
  g_free (self);
}

/**
 * shim_luma_begin_rect:
 * @photo: a photograph
 * @stored: which piece, in the stored picture, wholly inside it
 * @n_rows: how many of its rows, from the first, are wanted now
 * @cancellable: (nullable): polled for each block of rows
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * As shim_luma_read_rect(), but decodes no more than some rows; the others may follow by shim_luma_read_rest().
 *
 * Returns: (transfer full) (nullable): luma of those rows
 */
ShimLumaBlock *
shim_luma_begin_rect (ShimPhoto *photo, const ShimRect *stored, int n_rows, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimLumaBlock) block = NULL;
  ShimLumaPiece *piece;

  g_return_val_if_fail (photo != NULL && stored != NULL, NULL);
  g_return_val_if_fail (is_inside (photo, stored) && n_rows >= 1 && n_rows <= stored->height, NULL);

  block = g_new0 (ShimLumaBlock, 1);
  block->rest = piece = g_new0 (ShimLumaPiece, 1);
  if (!piece_begin (piece, shim_photo_ref (photo), stored, SHIM_JPEG_LUMA, 1, 0, cancellable, error))
    return NULL;
  block->px = g_malloc ((gsize) stored->width * stored->height);
  block->luma = (ShimLuma) {
    .rect = { stored->x, stored->y, stored->width, n_rows },
    .picture_width = photo->width,
    .picture_height = photo->height,
    .stride = (gsize) stored->width,
    .px = block->px,
  };
  memcpy (block->luma.steps, photo->luma_steps, sizeof photo->luma_steps);
  if (!piece_read (piece, n_rows, block->px, block->luma.stride, error) || !shim_jpeg_check_complete (piece->jpeg, error))
    return NULL;
  if (n_rows == stored->height)
    g_clear_pointer (&block->rest, rest_free);
  return g_steal_pointer (&block);
}

/**
 * shim_luma_read_rest:
 * @self: a piece that was begun
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * Decodes the rows that are still missing, if any.
 *
 * Returns: whether the piece is whole now
 */
gboolean
shim_luma_read_rest (ShimLumaBlock *self, GError **error)
{
  ShimLumaPiece *piece;

  g_return_val_if_fail (self != NULL, FALSE);

  if (self->rest == NULL)
    return TRUE;
  piece = self->rest;
  if (!piece_read (piece, piece->rect.height, self->px, self->luma.stride, error))
    return FALSE;
  self->luma.rect = piece->rect;
  g_clear_pointer (&self->rest, rest_free);
  return TRUE;
}

/**
 * shim_luma_read_rect:
 * @photo: a photograph
 * @stored: which piece, in the stored picture, wholly inside it
 * @cancellable: (nullable): polled for each block of rows
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * Decodes the luma of a piece of the picture, bit for bit what a decoding of the whole would give there. Rows above
 * it are passed over and those below it not looked at, but for a check that the file is complete; of a progressive
 * picture everything is read.
 *
 * Returns: (transfer full) (nullable): its luma
 */
ShimLumaBlock *
shim_luma_read_rect (ShimPhoto *photo, const ShimRect *stored, GCancellable *cancellable, GError **error)
{
  g_return_val_if_fail (photo != NULL && stored != NULL, NULL);

  return shim_luma_begin_rect (photo, stored, stored->height, cancellable, error);
}

/**
 * shim_luma_read_channels:
 * @photo: a photograph
 * @stored: which piece, in the stored picture, wholly inside it
 * @cancellable: (nullable): polled for each block of rows
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * As shim_luma_read_rect(), with red, green and blue.
 *
 * Returns: (transfer full) (nullable): its pixels
 */
ShimChannelsBlock *
shim_luma_read_channels (ShimPhoto *photo, const ShimRect *stored, GCancellable *cancellable, GError **error)
{
  g_autofree guint8 *px = NULL;
  g_auto (ShimLumaPiece) piece = { 0 };
  ShimChannelsBlock *block;
  gsize stride;

  g_return_val_if_fail (photo != NULL && stored != NULL, NULL);
  g_return_val_if_fail (is_inside (photo, stored), NULL);

  stride = (gsize) stored->width * 3;
  px = g_malloc (stride * stored->height);
  if (!piece_begin (&piece, photo, stored, SHIM_JPEG_RGB, 3, CHANNELS_MARGIN_PX, cancellable, error)
      || !piece_read (&piece, stored->height, px, stride, error) || !shim_jpeg_check_complete (piece.jpeg, error))
    return NULL;

  block = g_new0 (ShimChannelsBlock, 1);
  block->bytes = g_bytes_new_take (g_steal_pointer (&px), stride * stored->height);
  block->rect = *stored;
  block->stride = stride;
  return block;
}

/**
 * shim_luma_stream:
 * @photo: a photograph
 * @block_rows: rows handed over at once, at least 1
 * @func: (scope call): takes them
 * @user_data: for @func
 * @cancellable: (nullable): polled for each block of rows
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * Decodes the luma of the whole picture, from its first stored row to its last, and keeps only one block of rows in
 * memory.
 *
 * Returns: %TRUE when all rows were handed over or @func had enough
 */
gboolean
shim_luma_stream (ShimPhoto *photo, int block_rows, ShimLumaRowsFunc func, gpointer user_data,
                  GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimJpeg) jpeg = NULL;
  g_autofree guint8 *rows = NULL;
  gsize stride;

  g_return_val_if_fail (photo != NULL && func != NULL && block_rows >= 1, FALSE);

  jpeg = shim_jpeg_open (&photo->source, &shim_jpeg_default_limits, cancellable, error);
  if (jpeg == NULL || !same_size (photo, jpeg, error) || !shim_jpeg_start (jpeg, SHIM_JPEG_LUMA, 1, error))
    return FALSE;

  stride = (gsize) photo->width;
  rows = g_malloc (stride * block_rows);
  for (int y0 = 0; y0 < photo->height; y0 += block_rows)
    {
      int n = MIN (block_rows, photo->height - y0);

      if (!shim_jpeg_read_rows (jpeg, rows, stride, n, error))
        return FALSE;
      if (!func (y0, n, rows, stride, user_data))
        break;
    }
  return refuse_damage (photo, jpeg, error);
}

/**
 * shim_luma_block_get_part:
 * @self: a block
 * @stored: a piece of the stored picture
 * @luma: (out): its luma, which lives as long as @self
 *
 * Returns: whether all of the piece is in the block
 */
gboolean
shim_luma_block_get_part (const ShimLumaBlock *self, const ShimRect *stored, ShimLuma *luma)
{
  const ShimRect *own = &self->luma.rect;

  if (stored->x < own->x || stored->y < own->y || stored->x + stored->width > own->x + own->width
      || stored->y + stored->height > own->y + own->height)
    return FALSE;
  *luma = self->luma;
  luma->rect = *stored;
  luma->px += (gsize) (stored->y - own->y) * self->luma.stride + (stored->x - own->x);
  return TRUE;
}

/**
 * shim_luma_block_free:
 * @self: (nullable) (transfer full): luma with its memory
 */
void
shim_luma_block_free (ShimLumaBlock *self)
{
  if (self == NULL)
    return;
  g_clear_pointer (&self->rest, rest_free);
  g_free (self->px);
  g_free (self);
}

/**
 * shim_channels_block_free:
 * @self: (nullable) (transfer full): channels with their memory
 */
void
shim_channels_block_free (ShimChannelsBlock *self)
{
  if (self == NULL)
    return;
  g_bytes_unref (self->bytes);
  g_free (self);
}
