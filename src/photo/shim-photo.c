/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "shim-photo-error.h"
#include "shim-photo-private.h"

/* A file's own small picture is shown while the photograph is being decoded: larger than this it would no longer be
 * quick. */
#define THUMBNAIL_MAX_SIDE 2048

/* First bytes of a kind of file. */
typedef struct
{
  gsize offset;
  const char *bytes;
  gsize n_bytes;
  const char *name;
} Signature;

static const Signature other_formats[] = {
  { 0, "\x89PNG", 4, "PNG" },
  { 0, "GIF8", 4, "GIF" },
  { 0, "BM", 2, "BMP" },
  { 8, "WEBP", 4, "WebP" },
  { 0, "%PDF", 4, "PDF" },
  { 4, "ftypheic", 8, "HEIF" },
  { 4, "ftypheix", 8, "HEIF" },
  { 4, "ftypmif1", 8, "HEIF" },
  { 4, "ftypavif", 8, "AVIF" },
};

/* Only what looks like a raw file is handed to the raw reader: others may be named in a clear sentence, and hostile
 * ones see less code. The first two are TIFF, on which most makers' formats stand. */
static const Signature raw_formats[] = {
  { 0, "II*\0", 4, "TIFF" },
  { 0, "MM\0*", 4, "TIFF" },
  { 0, "IIU\0", 4, "raw" },
  { 0, "IIRO", 4, "raw" },
  { 0, "IIRS", 4, "raw" },
  { 0, "MMOR", 4, "raw" },
  { 6, "HEAPCCDR", 8, "raw" },
  { 4, "ftypcrx ", 8, "raw" },
  { 0, "FUJIFILMCCD-RAW", 15, "raw" },
  { 0, "FOVb", 4, "raw" },
  { 0, "\0MRM", 4, "raw" },
};

/* Says why a file could not be opened or read, for every reader of this layer. */
void
shim_photo_set_open_error (const char *name, int open_errno, GError **error)
{
  switch (open_errno)
    {
    case ENOENT:
    case ENOTDIR:
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_OPEN,
                   "There is no file “%s”. It may have been moved, renamed or deleted.", name);
      break;
    case EACCES:
    case EPERM:
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_OPEN,
                   "You have no permission to read “%s”. Change its permissions or copy it.", name);
      break;
    default:
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_OPEN, "The file “%s” could not be opened: %s.", name,
                   g_strerror (open_errno));
      break;
    }
}

/* Opens an ordinary file that holds something, called @name in messages; −1 on error. */
int
shim_photo_open_file (const char *path, const char *name, GError **error)
{
  struct stat status;
  /* O_NONBLOCK: a pipe by that name must not hang the program. */
  int fd = open (path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);

  if (fd < 0)
    {
      shim_photo_set_open_error (name, errno, error);
      return -1;
    }
  if (fstat (fd, &status) != 0)
    g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_OPEN, "The file “%s” could not be opened: %s.", name,
                 g_strerror (errno));
  else if (S_ISDIR (status.st_mode))
    g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_OPEN, "“%s” is a folder. Name the photographs in it.",
                 name);
  else if (!S_ISREG (status.st_mode))
    g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_OPEN, "“%s” is not an ordinary file.", name);
  else if (status.st_size == 0)
    g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_DAMAGED,
                 "The file “%s” is empty. Wait until it is copied, or copy it from the card again.", name);
  else
    return fd;

  close (fd);
  return -1;
}

static const char *
name_by_signature (const Signature *signatures, guint n_signatures, const guint8 *head, gsize n_head)
{
  for (guint i = 0; i < n_signatures; i++)
    if (n_head >= signatures[i].offset + signatures[i].n_bytes
        && memcmp (head + signatures[i].offset, signatures[i].bytes, signatures[i].n_bytes) == 0)
      return signatures[i].name;
  return NULL;
}

/* Finds the JPEG of the file: itself, or the preview inside a raw file. */
static gboolean
find_jpeg (ShimPhoto *self, GError **error)
{
  guint8 head[16];
  gssize n_head = pread (self->fd, head, sizeof head, 0);
  const char *format;

  if (n_head < 0)
    {
      shim_photo_set_open_error (self->name, errno, error);
      return FALSE;
    }
  if (n_head >= 2 && head[0] == 0xff && head[1] == 0xd8)
    {
      self->source = (ShimJpegSource) { .fd = self->fd, .name = self->name };
      return TRUE;
    }
  format = name_by_signature (other_formats, G_N_ELEMENTS (other_formats), head, (gsize) n_head);
  if (format != NULL)
    {
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_FORMAT,
                   "“%s” is a %s file, whatever its name says. This program reads JPEG files and cameras' raw files.",
                   self->name, format);
      return FALSE;
    }
  if (name_by_signature (raw_formats, G_N_ELEMENTS (raw_formats), head, (gsize) n_head) == NULL)
    {
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_FORMAT,
                   "The file “%s” is no picture that this program reads. It reads JPEG files and cameras' raw files.",
                   self->name);
      return FALSE;
    }
  self->raw_preview = shim_raw_extract_preview (self->path, self->name, error);
  self->source = (ShimJpegSource) { .fd = -1, .bytes = self->raw_preview, .name = self->name };
  return self->raw_preview != NULL;
}

static gboolean
read_size (ShimPhoto *self, GError **error)
{
  g_autoptr (ShimJpeg) jpeg = shim_jpeg_open (&self->source, &shim_jpeg_default_limits, NULL, error);

  if (jpeg == NULL)
    return FALSE;
  self->width = shim_jpeg_get_width (jpeg);
  self->height = shim_jpeg_get_height (jpeg);
  self->progressive = shim_jpeg_is_progressive (jpeg);
  shim_jpeg_get_luma_steps (jpeg, self->luma_steps);
  return TRUE;
}

/* A photograph whose metadata cannot be read is still a photograph. */
static void
read_metadata (ShimPhoto *self)
{
  g_autoptr (ShimExif) exif = shim_exif_open_path (self->path);

  self->metadata = shim_metadata_from_exif (exif, self->width, self->height);
  if (exif != NULL)
    self->thumbnail = shim_exif_get_preview (exif, THUMBNAIL_MAX_SIDE);
  if (self->raw_preview != NULL)
    {
      g_autoptr (ShimExif) own = shim_exif_open_bytes (self->raw_preview);

      /* Some raw files turn their preview by its own tag, most by the raw file's. */
      if (own != NULL && shim_exif_count (own, "Exif.Image.Orientation") > 0)
        self->metadata->orientation = shim_exif_orientation (own);
      shim_orientation_upright_size (self->metadata->orientation, self->width, self->height,
                                     &self->metadata->width_px, &self->metadata->height_px);
    }
}

/**
 * shim_photo_open:
 * @path: a JPEG or raw file
 * @error: #ShimPhotoError, in a whole sentence
 *
 * Opens a photograph, reads its size and its metadata, decodes nothing. Blocks for a few milliseconds (a raw file:
 * until its preview is read).
 *
 * Returns: (transfer full) (nullable): the photograph
 */
ShimPhoto *
shim_photo_open (const char *path, GError **error)
{
  g_autoptr (ShimPhoto) self = NULL;

  g_return_val_if_fail (path != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  self = g_new0 (ShimPhoto, 1);
  g_atomic_ref_count_init (&self->ref_count);
  self->path = g_strdup (path);
  self->name = g_filename_display_basename (path);
  self->fd = shim_photo_open_file (path, self->name, error);
  if (self->fd < 0 || !find_jpeg (self, error) || !read_size (self, error))
    return NULL;
  read_metadata (self);
  return g_steal_pointer (&self);
}

/**
 * shim_photo_ref:
 * @self: a photograph
 *
 * Returns: (transfer full): the same, held once more; from any thread
 */
ShimPhoto *
shim_photo_ref (ShimPhoto *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  g_atomic_ref_count_inc (&self->ref_count);
  return self;
}

/**
 * shim_photo_unref:
 * @self: (transfer full): a photograph; closed when nobody holds it any more; from any thread
 */
void
shim_photo_unref (ShimPhoto *self)
{
  g_return_if_fail (self != NULL);

  if (!g_atomic_ref_count_dec (&self->ref_count))
    return;
  if (self->fd >= 0)
    close (self->fd);
  g_clear_pointer (&self->raw_preview, g_bytes_unref);
  g_clear_pointer (&self->thumbnail, g_bytes_unref);
  shim_metadata_free (self->metadata);
  g_free (self->path);
  g_free (self->name);
  g_free (self);
}

/**
 * shim_photo_get_path:
 * @self: a photograph
 *
 * Returns: (transfer none): the path it was opened by
 */
const char *
shim_photo_get_path (const ShimPhoto *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return self->path;
}

/**
 * shim_photo_is_raw:
 * @self: a photograph
 *
 * Returns: whether its pixels are the preview inside a raw file
 */
gboolean
shim_photo_is_raw (const ShimPhoto *self)
{
  g_return_val_if_fail (self != NULL, FALSE);

  return self->raw_preview != NULL;
}

/**
 * shim_photo_is_progressive:
 * @self: a photograph
 *
 * Of a progressive JPEG every piece costs a decoding of the whole file and memory for all its coefficients.
 *
 * Returns: whether it is one
 */
gboolean
shim_photo_is_progressive (const ShimPhoto *self)
{
  g_return_val_if_fail (self != NULL, FALSE);

  return self->progressive;
}

/**
 * shim_photo_get_metadata:
 * @self: a photograph
 *
 * Returns: (transfer none): what it says about itself; never %NULL, lives as long as @self
 */
const ShimMetadata *
shim_photo_get_metadata (const ShimPhoto *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return self->metadata;
}

/**
 * shim_photo_get_stored_width:
 * @self: a photograph
 *
 * Returns: columns of the picture as stored, before it is turned upright
 */
int
shim_photo_get_stored_width (const ShimPhoto *self)
{
  g_return_val_if_fail (self != NULL, 0);

  return self->width;
}

/**
 * shim_photo_get_stored_height:
 * @self: a photograph
 *
 * Returns: rows of the picture as stored
 */
int
shim_photo_get_stored_height (const ShimPhoto *self)
{
  g_return_val_if_fail (self != NULL, 0);

  return self->height;
}
