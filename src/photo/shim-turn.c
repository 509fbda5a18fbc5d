/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-photo-private.h"
#include "shim-turn.h"

static void
point_to_stored (const ShimPhoto *photo, ShimPoint *p)
{
  *p = shim_orientation_point_to_stored (photo->metadata->orientation, photo->width, photo->height, *p);
}

static void
point_to_upright (const ShimPhoto *photo, ShimPoint *p)
{
  *p = shim_orientation_point_to_upright (photo->metadata->orientation, photo->width, photo->height, *p);
}

/**
 * shim_turn_request_to_stored:
 * @photo: the photograph it is about
 * @request: (inout): places in the upright picture; turned into the stored one
 */
void
shim_turn_request_to_stored (const ShimPhoto *photo, ShimMeasureRequest *request)
{
  point_to_stored (photo, &request->target_px);
  point_to_stored (photo, &request->strip_a_px);
  point_to_stored (photo, &request->strip_b_px);
  point_to_stored (photo, &request->click_px);
  request->far_side = shim_orientation_side_to_stored (photo->metadata->orientation, request->far_side);
}

/**
 * shim_turn_measurement_to_upright:
 * @photo: the photograph it is about
 * @measurement: (inout): places in the stored picture; turned into the upright one. Lengths along the strip, and
 *   with them the map and the blur curve, are the same in both
 */
void
shim_turn_measurement_to_upright (const ShimPhoto *photo, ShimMeasurement *measurement)
{
  point_to_upright (photo, &measurement->strip_a_px);
  point_to_upright (photo, &measurement->strip_b_px);
  point_to_upright (photo, &measurement->target_px);
  point_to_upright (photo, &measurement->sharp_px);
  measurement->far_side = shim_orientation_side_to_upright (photo->metadata->orientation, measurement->far_side);
}

/**
 * shim_turn_pixels_upright:
 * @photo: the photograph they are of
 * @px: pixels of a piece of the stored picture
 * @stored: which piece
 * @stride: bytes from one row to the next
 * @n_channels: bytes a pixel
 * @upright: which piece of the upright picture is wanted, wholly inside @stored
 *
 * Returns: (transfer full): its pixels, row by row without gaps
 */
guint8 *
shim_turn_pixels_upright (const ShimPhoto *photo, const guint8 *px, const ShimRect *stored, gsize stride,
                          int n_channels, const ShimRect *upright)
{
  const ShimOrientation orientation = photo->metadata->orientation;
  guint8 *turned = g_malloc ((gsize) upright->width * upright->height * n_channels);
  guint8 *into = turned;

  for (int y = 0; y < upright->height; y++)
    for (int x = 0; x < upright->width; x++, into += n_channels)
      {
        const ShimPoint at = { upright->x + x + 0.5, upright->y + y + 0.5 };
        const ShimPoint from = shim_orientation_point_to_stored (orientation, photo->width, photo->height, at);
        const guint8 *source = px + (gsize) ((int) from.y - stored->y) * stride
                               + (gsize) ((int) from.x - stored->x) * n_channels;

        for (int k = 0; k < n_channels; k++)
          into[k] = source[k];
      }
  return turned;
}
