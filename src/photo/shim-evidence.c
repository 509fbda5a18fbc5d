/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <math.h>
#include <setjmp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <jpeglib.h>

#include "shim-frame-measure.h"
#include "shim-luma-reader.h"
#include "shim-photo-error.h"
#include "shim-photo-private.h"
#include "shim-turn.h"

/* The strip cut out as evidence is kept in the register for every frame: so much and no more. */
#define EVIDENCE_MAX_BYTES 200000
#define EVIDENCE_QUALITY 90
#define EVIDENCE_LEAST_QUALITY 30

/* A margin round the strip, in pixels, and the narrowest width that still shows the numerals. */
#define MARGIN_PX 24.0
#define LEAST_HALF_WIDTH_PX 80.0

#define CHECKSUM_BLOCK_BYTES (128 * 1024)

/* The comment in the evidence: where in which picture it was cut. */
#define COMMENT_FORMAT "strip %d %d %d %d of %d %d"

/* The upright rectangle round the strip. */
static gboolean
evidence_rect (const ShimPhoto *photo, const ShimMeasurement *measurement, ShimRect *rect)
{
  double half = isfinite (measurement->strip_width_px) ? measurement->strip_width_px / 2.0 : 0.0;
  double reach = MAX (half, LEAST_HALF_WIDTH_PX) + MARGIN_PX;
  ShimPoint a = measurement->strip_a_px;
  ShimPoint b = measurement->strip_b_px;
  int width = photo->metadata->width_px;
  int height = photo->metadata->height_px;
  double x0, y0, x1, y1;

  if (!isfinite (a.x + a.y + b.x + b.y))
    return FALSE;
  x0 = CLAMP (floor (MIN (a.x, b.x) - reach), 0, width);
  y0 = CLAMP (floor (MIN (a.y, b.y) - reach), 0, height);
  x1 = CLAMP (ceil (MAX (a.x, b.x) + reach), 0, width);
  y1 = CLAMP (ceil (MAX (a.y, b.y) + reach), 0, height);
  *rect = (ShimRect) { (int) x0, (int) y0, (int) (x1 - x0), (int) (y1 - y0) };
  return rect->width > 0 && rect->height > 0;
}

/* A compressor that is left by longjmp; see shim-jpeg.c for the rules. */
typedef struct
{
  struct jpeg_compress_struct cinfo;
  struct jpeg_error_mgr err;
  jmp_buf trap;
  unsigned char *memory;
  unsigned long size;
} Writer;

static void
on_writer_error (j_common_ptr cinfo)
{
  longjmp (((Writer *) cinfo->client_data)->trap, 1);
}

static void
on_writer_message (j_common_ptr cinfo, int level)
{
}

static gboolean
write_trapped (Writer *writer, const guint8 *rgb, int width, int height, const char *comment, int quality)
{
  if (setjmp (writer->trap) != 0)
    return FALSE;

  jpeg_create_compress (&writer->cinfo);
  writer->cinfo.client_data = writer;
  jpeg_mem_dest (&writer->cinfo, &writer->memory, &writer->size);
  writer->cinfo.image_width = (JDIMENSION) width;
  writer->cinfo.image_height = (JDIMENSION) height;
  writer->cinfo.input_components = 3;
  writer->cinfo.in_color_space = JCS_RGB;
  jpeg_set_defaults (&writer->cinfo);
  jpeg_set_quality (&writer->cinfo, quality, TRUE);
  jpeg_start_compress (&writer->cinfo, TRUE);
  jpeg_write_marker (&writer->cinfo, JPEG_COM, (const JOCTET *) comment, (unsigned int) strlen (comment));
  while (writer->cinfo.next_scanline < writer->cinfo.image_height)
    {
      JSAMPROW rows[] = { (JSAMPROW) rgb + (gsize) writer->cinfo.next_scanline * width * 3 };

      jpeg_write_scanlines (&writer->cinfo, rows, 1);
    }
  jpeg_finish_compress (&writer->cinfo);
  return TRUE;
}

static GBytes *
write_jpeg (const guint8 *rgb, int width, int height, const char *comment, int quality)
{
  g_autofree Writer *writer = g_new0 (Writer, 1);
  GBytes *bytes = NULL;

  writer->cinfo.err = jpeg_std_error (&writer->err);
  writer->cinfo.client_data = writer;
  writer->err.error_exit = on_writer_error;
  writer->err.emit_message = on_writer_message;
  if (write_trapped (writer, rgb, width, height, comment, quality))
    bytes = g_bytes_new (writer->memory, writer->size);
  jpeg_destroy_compress (&writer->cinfo);
  free (writer->memory);
  return bytes;
}

/**
 * shim_frame_evidence:
 * @path: the photograph that was measured
 * @measurement: what came out; its strip is cut
 * @cancellable: (nullable): polled for each block of rows
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * Cuts the strip with a margin out of the photograph, upright, at full size and quality 90 (lower only where it
 * would be larger than about 200 kB), so that a measurement can be reviewed when the photograph is gone. Where it
 * was cut is noted in it; see shim_frame_evidence_rect().
 *
 * Returns: (transfer full) (nullable): a JPEG picture; %NULL without an error when the measurement has no strip
 */
GBytes *
shim_frame_evidence (const char *path, const ShimMeasurement *measurement, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimPhoto) photo = NULL;
  g_autoptr (ShimChannelsBlock) block = NULL;
  g_autoptr (GBytes) bytes = NULL;
  g_autofree guint8 *rgb = NULL;
  g_autofree char *comment = NULL;
  ShimRect upright, stored;

  g_return_val_if_fail (path != NULL && measurement != NULL, NULL);

  photo = shim_photo_open (path, error);
  if (photo == NULL || !evidence_rect (photo, measurement, &upright))
    return NULL;
  stored = shim_orientation_rect_to_stored (photo->metadata->orientation, photo->width, photo->height, &upright);
  block = shim_luma_read_channels (photo, &stored, cancellable, error);
  if (block == NULL)
    return NULL;

  rgb = shim_turn_pixels_upright (photo, g_bytes_get_data (block->bytes, NULL), &block->rect, block->stride, 3,
                                  &upright);
  comment = g_strdup_printf (COMMENT_FORMAT, upright.x, upright.y, upright.width, upright.height,
                             photo->metadata->width_px, photo->metadata->height_px);
  for (int quality = EVIDENCE_QUALITY; quality >= EVIDENCE_LEAST_QUALITY; quality -= 15)
    {
      g_clear_pointer (&bytes, g_bytes_unref);
      bytes = write_jpeg (rgb, upright.width, upright.height, comment, quality);
      if (bytes == NULL || g_bytes_get_size (bytes) <= EVIDENCE_MAX_BYTES)
        break;
    }
  if (bytes == NULL)
    g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_TOO_LARGE,
                 "The strip of “%s” could not be written as a picture.", photo->name);
  return g_steal_pointer (&bytes);
}

/**
 * shim_frame_evidence_rect:
 * @evidence: as from shim_frame_evidence()
 * @upright: (out): which piece of the upright photograph it is, whole pixels
 * @picture_width: (out) (optional): columns of the photograph
 * @picture_height: (out) (optional): its rows
 *
 * Tells where the evidence was cut, so that the strip, the target line and the sharp line can be drawn on it: a
 * place of the measurement less the corner of @upright.
 *
 * Returns: whether @evidence says so
 */
gboolean
shim_frame_evidence_rect (GBytes *evidence, ShimRect *upright, int *picture_width, int *picture_height)
{
  ShimJpegSource source = { .fd = -1, .bytes = evidence, .name = "evidence" };
  g_autoptr (ShimJpeg) jpeg = NULL;
  g_autofree char *comment = NULL;
  int width, height;

  g_return_val_if_fail (evidence != NULL && upright != NULL, FALSE);

  jpeg = shim_jpeg_open (&source, &shim_jpeg_default_limits, NULL, NULL);
  comment = jpeg != NULL ? shim_jpeg_get_comment (jpeg) : NULL;
  if (comment == NULL
      || sscanf (comment, COMMENT_FORMAT, &upright->x, &upright->y, &upright->width, &upright->height, &width,
                 &height) != 6
      || upright->width != shim_jpeg_get_width (jpeg) || upright->height != shim_jpeg_get_height (jpeg))
    return FALSE;
  if (picture_width != NULL)
    *picture_width = width;
  if (picture_height != NULL)
    *picture_height = height;
  return TRUE;
}

/**
 * shim_frame_checksum:
 * @path: a file
 * @cancellable: (nullable): polled for each block
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * Returns: (transfer full) (nullable): the file's SHA-256 (FIPS 180-4) in hexadecimal
 */
char *
shim_frame_checksum (const char *path, GCancellable *cancellable, GError **error)
{
  g_autoptr (GChecksum) checksum = g_checksum_new (G_CHECKSUM_SHA256);
  g_autofree char *name = NULL;
  g_autofree guint8 *buffer = NULL;
  gssize n = 1;
  int fd;

  g_return_val_if_fail (path != NULL, NULL);

  name = g_filename_display_basename (path);
  fd = shim_photo_open_file (path, name, error);
  if (fd < 0)
    return NULL;
  buffer = g_malloc (CHECKSUM_BLOCK_BYTES);
  while (n > 0 && !g_cancellable_set_error_if_cancelled (cancellable, error))
    {
      n = read (fd, buffer, CHECKSUM_BLOCK_BYTES);
      if (n < 0)
        shim_photo_set_open_error (name, errno, error);
      else
        g_checksum_update (checksum, buffer, n);
    }
  close (fd);
  return n == 0 ? g_strdup (g_checksum_get_string (checksum)) : NULL;
}
