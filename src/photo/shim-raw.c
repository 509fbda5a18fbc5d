/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <libraw/libraw.h>

#include "shim-photo-error.h"
#include "shim-photo-private.h"

/* A preview with less than this share of the raw picture's columns has lost the fine ticks. */
#define SMALLEST_SHARE 0.45

static void
set_no_preview (const char *name, GError **error)
{
  g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_NO_PREVIEW,
               "The raw file “%s” holds no full-size JPEG preview to measure on. "
               "Set the camera to store a JPEG beside the raw file and use that.", name);
}

static void
set_open_error (int code, const char *name, GError **error)
{
  switch (code)
    {
    case LIBRAW_FILE_UNSUPPORTED:
    case LIBRAW_REQUEST_FOR_NONEXISTENT_IMAGE:
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_FORMAT,
                   "The file “%s” is no picture that this program reads. It reads JPEG files and cameras' raw files.",
                   name);
      break;
    case LIBRAW_IO_ERROR:
    case LIBRAW_DATA_ERROR:
    default:
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_DAMAGED,
                   "The raw file “%s” is damaged or cut short (%s). Copy it from the card again.", name,
                   libraw_strerror (code));
      break;
    }
}

/* LibRaw 0.20 trusts a file that claims an uncompressed preview of more bytes than pixels, and writes past its
 * memory. A JPEG has fewer bytes than pixels, so what has more is not wanted anyway. */
static gboolean
is_plausible (const libraw_data_t *raw)
{
  guint64 n_pixels = (guint64) raw->thumbnail.twidth * raw->thumbnail.theight;

  return n_pixels == 0 || raw->thumbnail.tlength <= n_pixels;
}

static gboolean
is_usable (const libraw_data_t *raw)
{
  const libraw_thumbnail_t *thumb = &raw->thumbnail;
  const guint8 *bytes = (const guint8 *) thumb->thumb;

  if (thumb->tformat != LIBRAW_THUMBNAIL_JPEG || bytes == NULL || thumb->tlength < 4)
    return FALSE;
  return bytes[0] == 0xff && bytes[1] == 0xd8;
}

/* The preview's own header tells its size; what the raw file says of it is often 0. */
static gboolean
is_large_enough (const libraw_data_t *raw, GBytes *preview, const char *name)
{
  ShimJpegSource source = { .fd = -1, .bytes = preview, .name = name };
  g_autoptr (ShimJpeg) jpeg = shim_jpeg_open (&source, &shim_jpeg_default_limits, NULL, NULL);
  int raw_side = MAX (raw->sizes.iwidth, raw->sizes.iheight);

  if (jpeg == NULL)
    return FALSE;
  return MAX (shim_jpeg_get_width (jpeg), shim_jpeg_get_height (jpeg)) >= SMALLEST_SHARE * raw_side;
}

/**
 * shim_raw_extract_preview:
 * @path: a file that is no JPEG
 * @name: what to call it in messages
 * @error: #ShimPhotoError; %SHIM_PHOTO_ERROR_NO_PREVIEW when it is a raw file without one that can be measured on
 *
 * Returns: (transfer full) (nullable): the largest JPEG preview inside a raw file
 */
GBytes *
shim_raw_extract_preview (const char *path, const char *name, GError **error)
{
  libraw_data_t *raw = libraw_init (LIBRAW_OPIONS_NO_MEMERR_CALLBACK | LIBRAW_OPIONS_NO_DATAERR_CALLBACK);
  g_autoptr (GBytes) preview = NULL;
  int code;

  if (raw == NULL)
    {
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_TOO_LARGE, "There is not enough memory to read “%s”.",
                   name);
      return NULL;
    }
  code = libraw_open_file (raw, path);
  if (code != LIBRAW_SUCCESS)
    set_open_error (code, name, error);
  else if (!is_plausible (raw) || libraw_unpack_thumb (raw) != LIBRAW_SUCCESS || !is_usable (raw))
    set_no_preview (name, error);
  else
    {
      preview = g_bytes_new (raw->thumbnail.thumb, raw->thumbnail.tlength);
      if (!is_large_enough (raw, preview, name))
        {
          g_clear_pointer (&preview, g_bytes_unref);
          set_no_preview (name, error);
        }
    }
  libraw_close (raw);
  return g_steal_pointer (&preview);
}
