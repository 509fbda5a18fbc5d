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

/* Decodes @rect into rows of @stride bytes, @n_channels bytes a pixel. */
static gboolean
read_piece (ShimPhoto *photo, const ShimRect *rect, ShimJpegColors colors, int n_channels, int margin, guint8 *into,
            gsize stride, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimJpeg) jpeg = shim_jpeg_open (&photo->source, &shim_jpeg_default_limits, cancellable, error);
  g_autofree guint8 *rows = NULL;
  int x = MAX (rect->x - margin, 0);
  int width = MIN (rect->x + rect->width + margin, photo->width) - x;
  gsize row_bytes;

  if (jpeg == NULL || !same_size (photo, jpeg, error) || !shim_jpeg_start (jpeg, colors, 1, error)
      || !shim_jpeg_crop (jpeg, &x, &width, error)
      || (rect->y > 0 && !shim_jpeg_skip_rows (jpeg, rect->y, error)))
    return FALSE;

  row_bytes = (gsize) width * n_channels;
  rows = g_malloc (row_bytes * ROWS_AT_ONCE);
  for (int done = 0; done < rect->height; done += ROWS_AT_ONCE)
    {
      int n = MIN (ROWS_AT_ONCE, rect->height - done);

      if (!shim_jpeg_read_rows (jpeg, rows, row_bytes, n, error))
        return FALSE;
      for (int i = 0; i < n; i++)
        memcpy (into + (gsize) (done + i) * stride, rows + i * row_bytes + (gsize) (rect->x - x) * n_channels,
                (gsize) rect->width * n_channels);
    }
  return refuse_damage (photo, jpeg, error) && shim_jpeg_check_complete (jpeg, error);
}

static gboolean
is_inside (ShimPhoto *photo, const ShimRect *rect)
{
  return rect->x >= 0 && rect->y >= 0 && rect->width > 0 && rect->height > 0 && rect->width <= photo->width - rect->x
         && rect->height <= photo->height - rect->y;
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
  g_autofree guint8 *px = NULL;
  ShimLumaBlock *block;

  g_return_val_if_fail (photo != NULL && stored != NULL, NULL);
  g_return_val_if_fail (is_inside (photo, stored), NULL);

  px = g_malloc ((gsize) stored->width * stored->height);
  if (!read_piece (photo, stored, SHIM_JPEG_LUMA, 1, 0, px, (gsize) stored->width, cancellable, error))
    return NULL;

  block = g_new0 (ShimLumaBlock, 1);
  block->bytes = g_bytes_new_take (g_steal_pointer (&px), (gsize) stored->width * stored->height);
  block->luma = (ShimLuma) {
    .rect = *stored,
    .picture_width = photo->width,
    .picture_height = photo->height,
    .stride = (gsize) stored->width,
    .px = g_bytes_get_data (block->bytes, NULL),
  };
  memcpy (block->luma.steps, photo->luma_steps, sizeof photo->luma_steps);
  return block;
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
  ShimChannelsBlock *block;
  gsize stride;

  g_return_val_if_fail (photo != NULL && stored != NULL, NULL);
  g_return_val_if_fail (is_inside (photo, stored), NULL);

  stride = (gsize) stored->width * 3;
  px = g_malloc (stride * stored->height);
  if (!read_piece (photo, stored, SHIM_JPEG_RGB, 3, CHANNELS_MARGIN_PX, px, stride, cancellable, error))
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
  g_bytes_unref (self->bytes);
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
