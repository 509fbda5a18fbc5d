/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <jpeglib.h>

#include "shim-jpeg-source.h"
#include "shim-photo-error.h"

/* Up to @size bytes from @position on; 0 at the end, −1 with errno on error. */
gssize
shim_jpeg_source_read (const ShimJpegSource *source, guint8 *buffer, gsize size, goffset position)
{
  gssize n;

  if (source->fd < 0)
    {
      gsize n_bytes;
      const guint8 *bytes = g_bytes_get_data (source->bytes, &n_bytes);

      if ((guint64) position >= n_bytes)
        return 0;
      n = MIN (size, n_bytes - (gsize) position);
      memcpy (buffer, bytes + position, n);
      return n;
    }
  do
    n = pread (source->fd, buffer, size, position);
  while (n < 0 && errno == EINTR);
  return n;
}

/* For a file whose picture does not go on to its end. */
void
shim_jpeg_source_set_cut_short (const ShimJpegSource *source, GError **error)
{
  g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_DAMAGED,
               "The file “%s” is cut short: part of the picture is missing. Copy it from the card again.",
               source->name);
}

/* For a file whose medium fails. */
void
shim_jpeg_source_set_read_error (const ShimJpegSource *source, int read_errno, GError **error)
{
  g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_OPEN, "The file “%s” could not be read to its end: %s.",
               source->name, g_strerror (read_errno));
}

/* A reader of single bytes over a source, for the walk below. */
typedef struct
{
  const ShimJpegSource *source;
  goffset position;
  gsize next;
  gsize n;
  int read_errno;
  guint8 buffer[SHIM_JPEG_BUFFER_BYTES];
} Walk;

static gboolean
walk_fill (Walk *walk)
{
  gssize n = shim_jpeg_source_read (walk->source, walk->buffer, sizeof walk->buffer, walk->position);

  if (n < 0)
    walk->read_errno = errno;
  walk->next = 0;
  walk->n = n > 0 ? (gsize) n : 0;
  walk->position += n > 0 ? n : 0;
  return n > 0;
}

static int
walk_byte (Walk *walk)
{
  if (walk->next == walk->n && !walk_fill (walk))
    return -1;
  return walk->buffer[walk->next++];
}

static void
walk_skip (Walk *walk, gsize n_bytes)
{
  gsize here = MIN (n_bytes, walk->n - walk->next);

  walk->next += here;
  walk->position += (goffset) (n_bytes - here);
}

/* The next marker that is neither a stuffed zero nor a restart; −1 at the end of the file. */
static int
walk_marker (Walk *walk)
{
  for (;;)
    {
      const guint8 *found = memchr (walk->buffer + walk->next, 0xff, walk->n - walk->next);
      int code = 0xff;

      if (found == NULL)
        {
          if (!walk_fill (walk))
            return -1;
          continue;
        }
      walk->next = (gsize) (found - walk->buffer);
      while (code == 0xff)
        code = walk_byte (walk);
      if (code < 0 || (code != 0x00 && code != 0x01 && !(code >= JPEG_RST0 && code <= JPEG_RST0 + 7)))
        return code;
    }
}

/* Whether the very last bytes are the end marker, as with most files; what is cut short has lost them. */
static gboolean
ends_with_marker (const ShimJpegSource *source)
{
  guint8 last[2];
  gsize n_bytes = 0;
  struct stat status;

  if (source->fd >= 0)
    n_bytes = fstat (source->fd, &status) == 0 && status.st_size > 0 ? (gsize) status.st_size : 0;
  else
    g_bytes_get_data (source->bytes, &n_bytes);
  return n_bytes > sizeof last &&
         shim_jpeg_source_read (source, last, sizeof last, (goffset) (n_bytes - sizeof last)) == (gssize) sizeof last &&
         last[0] == 0xff && last[1] == JPEG_EOI;
}

/**
 * shim_jpeg_source_check_complete:
 * @source: where the picture is
 * @position: where to begin: at a marker or within entropy-coded data
 * @cancellable: (nullable): polled for each segment
 * @error: #ShimPhotoError
 *
 * Whether the file goes on to the picture's own end marker. A strip can be decoded from a file whose lower half is
 * missing; this notices, without decoding, at most for about the cost of reading the rest of the file. What may follow the
 * end (a second picture, padding) does not matter.
 */
gboolean
shim_jpeg_source_check_complete (const ShimJpegSource *source, goffset position, GCancellable *cancellable,
                                 GError **error)
{
  g_autofree Walk *walk = NULL;
  int code;

  if (ends_with_marker (source))
    return TRUE;
  walk = g_new0 (Walk, 1);
  walk->source = source;
  walk->position = position;
  while ((code = walk_marker (walk)) >= 0)
    {
      if (g_cancellable_set_error_if_cancelled (cancellable, error))
        return FALSE;
      if (code == JPEG_EOI)
        return TRUE;
      if (code != 0xd8)
        {
          int high = walk_byte (walk);
          int low = walk_byte (walk);

          if (low < 0)
            break;
          walk_skip (walk, (gsize) MAX ((high << 8 | low) - 2, 0));
        }
    }
  if (walk->read_errno != 0)
    shim_jpeg_source_set_read_error (source, walk->read_errno, error);
  else
    shim_jpeg_source_set_cut_short (source, error);
  return FALSE;
}
