/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-photo.h"

G_BEGIN_DECLS

/**
 * ShimPictureSize:
 * @SHIM_PICTURE_QUICK: whatever is there soonest: the file's own thumbnail or preview, else an eighth
 * @SHIM_PICTURE_EIGHTH: an eighth of the width and height
 * @SHIM_PICTURE_QUARTER: a quarter
 * @SHIM_PICTURE_HALF: a half
 * @SHIM_PICTURE_FULL: every pixel
 */
typedef enum
{
  SHIM_PICTURE_QUICK,
  SHIM_PICTURE_EIGHTH,
  SHIM_PICTURE_QUARTER,
  SHIM_PICTURE_HALF,
  SHIM_PICTURE_FULL,
} ShimPictureSize;

/**
 * ShimPicture:
 * @width: columns of @bytes, upright
 * @height: rows of @bytes, upright
 * @stride: bytes from one row to the next
 * @bytes: rows of four bytes a pixel: blue, green, red, 255 (opaque), the format a
 *   GDK_MEMORY_B8G8R8A8_PREMULTIPLIED texture takes. Slices of it (g_bytes_new_from_bytes()) may be handed out as
 *   tiles without copying
 * @picture_width: columns of the whole upright photograph
 * @picture_height: its rows
 * @from_preview: whether this is the file's own thumbnail or preview
 * @n_damaged: places in the file that the decoder had to guess at; such a photograph is shown, but not measured
 *
 * A picture for display, already upright. The scale is @width / @picture_width; sizes are rounded up, so use the
 * ratio that ShimPictureSize names (1/8, …) for placing tiles, but the ratio of the sizes where @from_preview is
 * set.
 */
typedef struct
{
  int width;
  int height;
  gsize stride;
  GBytes *bytes;
  int picture_width;
  int picture_height;
  gboolean from_preview;
  guint n_damaged;
} ShimPicture;

ShimPicture *shim_picture_load        (ShimPhoto *photo, ShimPictureSize size, GCancellable *cancellable,
                                       GError **error);
void         shim_picture_load_async  (ShimPhoto *photo, ShimPictureSize size, GCancellable *cancellable,
                                       GAsyncReadyCallback callback, gpointer user_data);
void         shim_picture_load_path_async (const char *path, ShimPictureSize size, GCancellable *cancellable,
                                           GAsyncReadyCallback callback, gpointer user_data);
ShimPicture *shim_picture_load_finish (GAsyncResult *result, ShimPhoto **photo, GError **error);
void         shim_picture_free        (ShimPicture *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimPicture, shim_picture_free)

G_END_DECLS
