/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include <gexiv2/gexiv2.h>

#include "shim-exif.h"

/* Beneath gexiv2 the XMP part keeps global state, so every call into it is made under one lock: reading tags takes
 * a millisecond, decoding a picture a hundred. What it has to say about broken files is muted; the caller sees
 * missing tags. */

struct _ShimExif
{
  GExiv2Metadata *metadata;
};

static GMutex exif_lock;

static void
start_once (void)
{
  static gsize started = 0;

  if (g_once_init_enter (&started))
    {
      gexiv2_initialize ();
      gexiv2_log_set_level (GEXIV2_LOG_LEVEL_MUTE);
      g_once_init_leave (&started, 1);
    }
}

static ShimExif *
open_with (const char *path, GBytes *bytes)
{
  g_autoptr (GExiv2Metadata) metadata = NULL;
  g_autoptr (GMutexLocker) locker = NULL;
  ShimExif *self;
  gboolean ok;

  start_once ();
  locker = g_mutex_locker_new (&exif_lock);
  metadata = gexiv2_metadata_new ();
  if (path != NULL)
    ok = gexiv2_metadata_open_path (metadata, path, NULL);
  else
    ok = gexiv2_metadata_open_buf (metadata, g_bytes_get_data (bytes, NULL), (glong) g_bytes_get_size (bytes), NULL);
  if (!ok)
    return NULL;

  self = g_new0 (ShimExif, 1);
  self->metadata = g_steal_pointer (&metadata);
  return self;
}

/**
 * shim_exif_open_path:
 * @path: a file that is known to be an ordinary one
 *
 * Returns: (transfer full) (nullable): its tags; %NULL when none can be read, whatever the reason
 */
ShimExif *
shim_exif_open_path (const char *path)
{
  return open_with (path, NULL);
}

/**
 * shim_exif_open_bytes:
 * @bytes: a picture in memory; must outlive the result
 *
 * Returns: (transfer full) (nullable): its tags; %NULL when none can be read
 */
ShimExif *
shim_exif_open_bytes (GBytes *bytes)
{
  return open_with (NULL, bytes);
}

void
shim_exif_free (ShimExif *self)
{
  g_autoptr (GMutexLocker) locker = NULL;

  if (self == NULL)
    return;
  locker = g_mutex_locker_new (&exif_lock);
  g_object_unref (self->metadata);
  g_free (self);
}

static char *
raw_text (ShimExif *self, const char *tag)
{
  g_autoptr (GMutexLocker) locker = g_mutex_locker_new (&exif_lock);

  return gexiv2_metadata_try_get_tag_string (self->metadata, tag, NULL);
}

/**
 * shim_exif_get_text:
 * @self: tags
 * @tag: its name, as "Exif.Image.Make"
 *
 * Returns: (transfer full) (nullable): its text, valid UTF-8 in one line, white space trimmed; %NULL when missing
 *   or blank
 */
char *
shim_exif_get_text (ShimExif *self, const char *tag)
{
  g_autofree char *raw = raw_text (self, tag);
  g_autofree char *valid = NULL;

  if (raw == NULL)
    return NULL;
  valid = g_utf8_make_valid (raw, -1);
  for (char *p = valid; *p != '\0'; p++)
    if (g_ascii_iscntrl (*p))
      *p = ' ';
  g_strstrip (valid);
  return *valid != '\0' ? g_steal_pointer (&valid) : NULL;
}

/* One "12", "-3" or "7/2" of a list of them; FALSE when it is none or says "unknown". The numerator 0xffffffff of a
 * rational stands for infinity, a denominator of 0 for unknown (CIPA DC-008, as quoted by the tables of Exiv2). */
static gboolean
parse_value (const char *text, double *value, const char **rest)
{
  char *end = NULL;
  gint64 numerator = g_ascii_strtoll (text, &end, 10);
  gint64 denominator = 1;
  gboolean infinite = FALSE;

  if (end == text)
    return FALSE;
  if (*end == '/')
    {
      const char *second = end + 1;

      infinite = numerator == G_MAXUINT32;
      denominator = g_ascii_strtoll (second, &end, 10);
      if (end == second)
        return FALSE;
    }
  if (*end != '\0' && *end != ' ')
    return FALSE;
  *rest = end;
  *value = (infinite || denominator == 0) ? NAN : (double) numerator / (double) denominator;
  return TRUE;
}

/**
 * shim_exif_get_number:
 * @self: tags
 * @tag: its name
 * @index: which of its values, from 0
 *
 * Returns: the value, a rational divided out; NAN when missing, no number, infinite or over a denominator of zero
 */
double
shim_exif_get_number (ShimExif *self, const char *tag, guint index)
{
  g_autofree char *raw = raw_text (self, tag);
  const char *text = raw;
  double value = NAN;

  /* A text that merely begins with a number is none. */
  if (raw == NULL || strspn (raw, "0123456789+-/ ") != strlen (raw))
    return NAN;
  for (guint i = 0; i <= index; i++)
    if (!parse_value (text, &value, &text))
      return NAN;
  return value;
}

/* How many values the tag holds; 0 when it is missing. */
guint
shim_exif_count (ShimExif *self, const char *tag)
{
  g_autofree char *raw = raw_text (self, tag);
  const char *text = raw;
  double value;
  guint n = 0;

  while (text != NULL && parse_value (text, &value, &text))
    n++;
  return n;
}

static GExiv2PreviewProperties *
choose_preview (ShimExif *self, int max_side)
{
  GExiv2PreviewProperties **all = gexiv2_metadata_get_preview_properties (self->metadata);
  GExiv2PreviewProperties *best = NULL;
  guint64 best_pixels = 0;

  for (guint i = 0; all != NULL && all[i] != NULL; i++)
    {
      guint32 width = gexiv2_preview_properties_get_width (all[i]);
      guint32 height = gexiv2_preview_properties_get_height (all[i]);
      const char *mime_type = gexiv2_preview_properties_get_mime_type (all[i]);

      if (g_strcmp0 (mime_type, "image/jpeg") == 0 && MAX (width, height) <= (guint32) max_side
          && (guint64) width * height > best_pixels)
        {
          best = all[i];
          best_pixels = (guint64) width * height;
        }
    }
  return best;
}

/**
 * shim_exif_get_preview:
 * @self: tags
 * @max_side: larger ones are left alone, pixels
 *
 * Returns: (transfer full) (nullable): the largest JPEG thumbnail or preview the file carries that is not larger
 *   than that
 */
GBytes *
shim_exif_get_preview (ShimExif *self, int max_side)
{
  g_autoptr (GMutexLocker) locker = g_mutex_locker_new (&exif_lock);
  GExiv2PreviewProperties *chosen = choose_preview (self, max_side);
  g_autoptr (GExiv2PreviewImage) image = NULL;
  const guint8 *data;
  guint32 size = 0;

  if (chosen == NULL)
    return NULL;
  image = gexiv2_metadata_try_get_preview_image (self->metadata, chosen, NULL);
  if (image == NULL)
    return NULL;
  data = gexiv2_preview_image_get_data (image, &size);
  return data != NULL && size > 0 ? g_bytes_new (data, size) : NULL;
}
