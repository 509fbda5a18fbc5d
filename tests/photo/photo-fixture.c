/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gexiv2/gexiv2.h>
#include <gio/gio.h>
#include <glib/gstdio.h>
#include <jpeglib.h>

#include "photo-fixture.h"

/* Waves of several lengths and a little noise: no two blocks alike, nothing clipped. */
guint8
fixture_pixel (int x, int y, int component)
{
  guint32 hash = (guint32) x * 2654435761u ^ (guint32) y * 40503u ^ (guint32) component * 97u;
  double wave = 50.0 * sin (x / 7.0 + component) + 40.0 * cos (y / 5.0 + x / 29.0) + (hash >> 16) % 17;

  return (guint8) (120.0 + wave);
}

static void
set_components (struct jpeg_compress_struct *cinfo, const FixtureJpeg *spec)
{
  cinfo->image_width = (JDIMENSION) spec->width;
  cinfo->image_height = (JDIMENSION) spec->height;
  cinfo->input_components = spec->components;
  cinfo->in_color_space = spec->components == 1 ? JCS_GRAYSCALE : spec->components == 3 ? JCS_RGB : JCS_CMYK;
  jpeg_set_defaults (cinfo);
  jpeg_set_quality (cinfo, spec->quality > 0 ? spec->quality : 92, TRUE);
  if (spec->components == 3)
    cinfo->comp_info[0].h_samp_factor = cinfo->comp_info[0].v_samp_factor = spec->sampling;
  if (spec->progressive)
    jpeg_simple_progression (cinfo);
}

GBytes *
fixture_jpeg (const FixtureJpeg *spec)
{
  struct jpeg_compress_struct cinfo = { 0 };
  struct jpeg_error_mgr err;
  unsigned char *memory = NULL;
  unsigned long size = 0;
  g_autofree guint8 *row = g_malloc ((gsize) spec->width * spec->components);

  cinfo.err = jpeg_std_error (&err);
  jpeg_create_compress (&cinfo);
  jpeg_mem_dest (&cinfo, &memory, &size);
  set_components (&cinfo, spec);
  jpeg_start_compress (&cinfo, TRUE);
  if (spec->app1 != NULL)
    jpeg_write_marker (&cinfo, JPEG_APP0 + 1, g_bytes_get_data (spec->app1, NULL),
                       (unsigned int) g_bytes_get_size (spec->app1));
  for (int y = 0; y < spec->height; y++)
    {
      JSAMPROW rows[] = { row };

      for (int x = 0; x < spec->width; x++)
        for (int c = 0; c < spec->components; c++)
          row[x * spec->components + c] = fixture_pixel (x, y, c);
      jpeg_write_scanlines (&cinfo, rows, 1);
    }
  jpeg_finish_compress (&cinfo);
  jpeg_destroy_compress (&cinfo);
  return g_bytes_new_with_free_func (memory, size, free, memory);
}

GBytes *
fixture_plain_jpeg (int width, int height)
{
  FixtureJpeg spec = { .width = width, .height = height, .components = 3, .sampling = 2 };

  return fixture_jpeg (&spec);
}

static void
append16 (GByteArray *array, guint value)
{
  guint16 word = GUINT16_TO_LE (value);

  g_byte_array_append (array, (const guint8 *) &word, sizeof word);
}

static void
append32 (GByteArray *array, guint32 value)
{
  guint32 word = GUINT32_TO_LE (value);

  g_byte_array_append (array, (const guint8 *) &word, sizeof word);
}

static guint
count_of (const FixtureTag *tag)
{
  if (tag->type == 2)
    return (guint) strlen (tag->text) + 1;
  return tag->type == 5 ? tag->n_values / 2 : tag->n_values;
}

/* Writes one tag into @directory; what does not fit into four bytes goes to @heap, which will start at
 * @heap_offset. */
static void
append_tag (GByteArray *directory, GByteArray *heap, guint heap_offset, const FixtureTag *tag)
{
  g_autoptr (GByteArray) value = g_byte_array_new ();

  if (tag->text != NULL)
    g_byte_array_append (value, (const guint8 *) tag->text, count_of (tag));
  for (guint i = 0; tag->text == NULL && i < tag->n_values; i++)
    if (tag->type == 3)
      append16 (value, tag->values[i]);
    else
      append32 (value, tag->values[i]);

  append16 (directory, tag->tag);
  append16 (directory, tag->type);
  append32 (directory, count_of (tag));
  if (value->len > 4)
    {
      append32 (directory, heap_offset + heap->len);
      g_byte_array_append (heap, value->data, value->len);
      if (heap->len % 2 == 1)
        g_byte_array_append (heap, (const guint8 *) "", 1);
      return;
    }
  while (value->len < 4)
    g_byte_array_append (value, (const guint8 *) "", 1);
  g_byte_array_append (directory, value->data, 4);
}

/* One directory at @offset with its heap after it. */
static GByteArray *
make_directory (const FixtureTag *tags, guint n_tags, gboolean in_exif, guint offset, guint32 exif_offset)
{
  GByteArray *directory = g_byte_array_new ();
  g_autoptr (GByteArray) heap = g_byte_array_new ();
  FixtureTag pointer = { FALSE, 0x8769, 4, { exif_offset }, 1, NULL };
  guint n = in_exif ? 0 : 1;
  guint heap_offset;

  for (guint i = 0; i < n_tags; i++)
    n += tags[i].in_exif == in_exif ? 1 : 0;
  heap_offset = offset + 2 + 12 * n + 4;
  append16 (directory, n);
  for (guint i = 0; i < n_tags; i++)
    if (tags[i].in_exif == in_exif)
      append_tag (directory, heap, heap_offset, &tags[i]);
  if (!in_exif)
    append_tag (directory, heap, heap_offset, &pointer);
  append32 (directory, 0);
  g_byte_array_append (directory, heap->data, heap->len);
  return directory;
}

/* The contents of an APP1 segment with these tags, byte by byte as CIPA DC-008 lays it out, so that a test can
 * write what no library would. Tags must come in rising order within each directory; those of the first are below
 * 0x8769. */
GBytes *
fixture_exif (const FixtureTag *tags, guint n_tags)
{
  GByteArray *segment = g_byte_array_new ();
  g_autoptr (GByteArray) measured = make_directory (tags, n_tags, FALSE, 8, 0);
  g_autoptr (GByteArray) first = make_directory (tags, n_tags, FALSE, 8, 8 + measured->len);
  g_autoptr (GByteArray) exif = make_directory (tags, n_tags, TRUE, 8 + measured->len, 0);

  g_byte_array_append (segment, (const guint8 *) "Exif\0\0II*\0\x08\0\0", 14);
  g_byte_array_append (segment, first->data, first->len);
  g_byte_array_append (segment, exif->data, exif->len);
  return g_byte_array_free_to_bytes (segment);
}

GBytes *
fixture_tagged_jpeg (int width, int height, const FixtureTag *tags, guint n_tags)
{
  g_autoptr (GBytes) exif = fixture_exif (tags, n_tags);
  FixtureJpeg spec = { .width = width, .height = height, .components = 3, .sampling = 2, .app1 = exif };

  return fixture_jpeg (&spec);
}

/* Two directories, the reduced picture's and the raw picture's, a JPEG and empty raw pixels: the least that the DNG
 * specification (Adobe, 1.4; from memory) asks for, in a byte order of its own choice. */
GBytes *
fixture_dng (int raw_width, int raw_height, GBytes *preview, int preview_width, int preview_height, guint orientation)
{
  const guint n_preview = preview != NULL ? (guint) g_bytes_get_size (preview) : 0;
  const guint n_raw = (guint) (raw_width * raw_height * 2);
  GByteArray *file = g_byte_array_new ();
  guint raw_directory = 0, preview_data = 0, raw_data = 0;

  /* The second round knows the offsets that the first has found. */
  for (int round = 0; round < 2; round++)
    {
      const FixtureTag first_tags[] = {
        { TRUE, 0x00fe, 4, { 1 }, 1, NULL },
        { TRUE, 0x0100, 4, { (guint32) preview_width }, 1, NULL },
        { TRUE, 0x0101, 4, { (guint32) preview_height }, 1, NULL },
        { TRUE, 0x0102, 3, { 8, 8, 8 }, 3, NULL },
        { TRUE, 0x0103, 3, { 7 }, 1, NULL },
        { TRUE, 0x0106, 3, { 6 }, 1, NULL },
        { TRUE, 0x010f, 2, { 0 }, 0, "Orrin" },
        { TRUE, 0x0110, 2, { 0 }, 0, "Orrin 7" },
        { TRUE, 0x0111, 4, { preview_data }, 1, NULL },
        { TRUE, 0x0112, 3, { orientation }, 1, NULL },
        { TRUE, 0x0115, 3, { 3 }, 1, NULL },
        { TRUE, 0x0116, 4, { (guint32) preview_height }, 1, NULL },
        { TRUE, 0x0117, 4, { n_preview }, 1, NULL },
        { TRUE, 0x014a, 4, { raw_directory }, 1, NULL },
        { TRUE, 0x829d, 5, { 28, 10 }, 2, NULL },
        { TRUE, 0xc612, 1, { 0 }, 4, "\1\4\0\0" },
        { TRUE, 0xc614, 2, { 0 }, 0, "Orrin 7" },
        { TRUE, 0xc62f, 2, { 0 }, 0, "0012045" },
      };
      const FixtureTag raw_tags[] = {
        { TRUE, 0x00fe, 4, { 0 }, 1, NULL },
        { TRUE, 0x0100, 4, { (guint32) raw_width }, 1, NULL },
        { TRUE, 0x0101, 4, { (guint32) raw_height }, 1, NULL },
        { TRUE, 0x0102, 3, { 16 }, 1, NULL },
        { TRUE, 0x0103, 3, { 1 }, 1, NULL },
        { TRUE, 0x0106, 3, { 32803 }, 1, NULL },
        { TRUE, 0x0111, 4, { raw_data }, 1, NULL },
        { TRUE, 0x0115, 3, { 1 }, 1, NULL },
        { TRUE, 0x0116, 4, { (guint32) raw_height }, 1, NULL },
        { TRUE, 0x0117, 4, { n_raw }, 1, NULL },
        { TRUE, 0x828d, 3, { 2, 2 }, 2, NULL },
        { TRUE, 0x828e, 1, { 0 }, 4, "\0\1\1\2" },
      };
      g_autoptr (GByteArray) first = make_directory (first_tags, G_N_ELEMENTS (first_tags), TRUE, 8, 0);
      g_autoptr (GByteArray) raw = make_directory (raw_tags, G_N_ELEMENTS (raw_tags), TRUE, 8 + first->len, 0);

      raw_directory = 8 + first->len;
      preview_data = raw_directory + raw->len;
      raw_data = preview_data + n_preview;
      g_byte_array_set_size (file, 0);
      g_byte_array_append (file, (const guint8 *) "II*\0\x08\0\0", 8);
      g_byte_array_append (file, first->data, first->len);
      g_byte_array_append (file, raw->data, raw->len);
    }
  if (preview != NULL)
    g_byte_array_append (file, g_bytes_get_data (preview, NULL), n_preview);
  g_byte_array_set_size (file, raw_data + n_raw);
  memset (file->data + raw_data, 0, n_raw);
  return g_byte_array_free_to_bytes (file);
}

char *
fixture_dir (void)
{
  g_autoptr (GError) error = NULL;
  char *dir = g_dir_make_tmp ("shim-photo-XXXXXX", &error);

  g_assert_no_error (error);
  return dir;
}

char *
fixture_write (const char *dir, const char *name, GBytes *bytes)
{
  g_autoptr (GError) error = NULL;
  char *path = g_build_filename (dir, name, NULL);

  /* Not synchronised to the disk: some tests write thousands. */
  g_file_set_contents_full (path, g_bytes_get_data (bytes, NULL), (gssize) g_bytes_get_size (bytes), G_FILE_SET_CONTENTS_NONE,
                            0600, &error);
  g_assert_no_error (error);
  return path;
}

char *
fixture_jpeg_file (const char *dir, const char *name, const FixtureJpeg *spec)
{
  g_autoptr (GBytes) bytes = fixture_jpeg (spec);

  return fixture_write (dir, name, bytes);
}

/* Writes a tag by gexiv2, as another program would. */
void
fixture_set_tag (const char *path, const char *tag, const char *value)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GExiv2Metadata) metadata = gexiv2_metadata_new ();

  gexiv2_metadata_open_path (metadata, path, &error);
  g_assert_no_error (error);
  gexiv2_metadata_try_set_tag_string (metadata, tag, value, &error);
  g_assert_no_error (error);
  gexiv2_metadata_save_file (metadata, path, &error);
  g_assert_no_error (error);
}

/* Takes @dir and all that a test put into it away; tests make no folders below it. */
void
fixture_remove_dir (char *dir)
{
  GDir *open_dir = g_dir_open (dir, 0, NULL);
  const char *name;

  while (open_dir != NULL && (name = g_dir_read_name (open_dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (dir, name, NULL);

      g_remove (path);
    }
  g_clear_pointer (&open_dir, g_dir_close);
  g_rmdir (dir);
  g_free (dir);
}
