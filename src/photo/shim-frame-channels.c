/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-frame-measure.h"
#include "shim-luma-reader.h"
#include "shim-measure.h"
#include "shim-photo-private.h"
#include "shim-turn.h"

/* One of the interleaved channels by itself. */
static guint8 *
split_channel (const ShimChannelsBlock *block, int channel)
{
  const guint8 *px = g_bytes_get_data (block->bytes, NULL);
  guint8 *plane = g_malloc ((gsize) block->rect.width * block->rect.height);

  for (int y = 0; y < block->rect.height; y++)
    for (int x = 0; x < block->rect.width; x++)
      plane[(gsize) y * block->rect.width + x] = px[(gsize) y * block->stride + (gsize) x * 3 + channel];
  return plane;
}

/* The frame was measured already: the same strip, and what is known. */
static void
fix_strip (const ShimMeasurement *measurement, ShimMeasureRequest *request)
{
  request->has_strip = TRUE;
  request->strip_a_px = measurement->strip_a_px;
  request->strip_b_px = measurement->strip_b_px;
}

/**
 * shim_frame_measure_channels:
 * @photo: a photograph
 * @request: (nullable): as it was measured with, in coordinates of the upright picture
 * @measurement: what came out of it; must have a strip
 * @channels: (out) (array fixed-size=3) (transfer full): the same for red, green and blue alone
 * @cancellable: (nullable): polled for each block of rows
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * Measures a frame in each colour by itself: where the three sharp lines lie apart, the lens focuses the colours at
 * different distances. Most cameras store red and blue differences at half the resolution (4:2:0): then fine ticks
 * come from the common luma, and the channels lie closer together than the colours do.
 *
 * Returns: whether the pixels could be read; each channel may be refused for itself
 */
gboolean
shim_frame_measure_channels (ShimPhoto *photo, const ShimMeasureRequest *request, const ShimMeasurement *measurement,
                             ShimMeasurement *channels[3], GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimChannelsBlock) block = NULL;
  ShimMeasureRequest known;
  ShimRect rect;

  g_return_val_if_fail (photo != NULL && measurement != NULL && channels != NULL, FALSE);

  if (request != NULL)
    known = *request;
  else
    shim_measure_request_init (&known);
  fix_strip (measurement, &known);
  shim_metadata_fill_request (photo->metadata, &known);
  shim_turn_request_to_stored (photo, &known);
  g_return_val_if_fail (shim_measure_rect (&known, photo->width, photo->height, &rect), FALSE);

  block = shim_luma_read_channels (photo, &rect, cancellable, error);
  if (block == NULL)
    return FALSE;
  for (int i = 0; i < 3; i++)
    {
      g_autofree guint8 *plane = split_channel (block, i);
      ShimLuma luma = { rect, photo->width, photo->height, (gsize) rect.width, plane };

      channels[i] = shim_measure_luma (&luma, &known, NULL);
      shim_turn_measurement_to_upright (photo, channels[i]);
    }
  return TRUE;
}
