/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include <gexiv2/gexiv2.h>

#include "photo-fixture.h"
#include "shim-luma-reader.h"
#include "shim-photo-error.h"
#include "shim-picture.h"

/* Files cut and changed at many places: everything that a person does with a photograph either works or ends in an
 * error of this layer. A crash, an abort or a sanitizer's report fails the test; so does an error without words. */

static void
use_all (const char *path)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPhoto) photo = shim_photo_open (path, &error);
  g_autoptr (ShimPicture) quick = NULL;
  g_autoptr (ShimPicture) full = NULL;
  g_autoptr (ShimLumaBlock) luma = NULL;
  ShimRect rect = { 0, 0, 1, 1 };

  if (photo == NULL)
    {
      g_assert_true (error->domain == SHIM_PHOTO_ERROR);
      g_assert_true (g_str_has_suffix (error->message, "."));
      return;
    }
  rect.x = shim_photo_get_stored_width (photo) / 2;
  rect.y = shim_photo_get_stored_height (photo) / 2;
  quick = shim_picture_load (photo, SHIM_PICTURE_QUICK, NULL, NULL);
  full = shim_picture_load (photo, SHIM_PICTURE_FULL, NULL, NULL);
  luma = shim_luma_read_rect (photo, &rect, NULL, NULL);
}

static void
use_bytes (const char *dir, const guint8 *data, gsize n_bytes)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (data, n_bytes);
  g_autofree char *path = fixture_write (dir, "hostile.jpg", bytes);

  use_all (path);
}

/* A small JPEG with much metadata, a thumbnail and a maker's note. */
static guint8 *
make_victim (const char *dir, gboolean progressive, gsize *n_bytes)
{
  static const char *const tags[][2] = {
    { "Exif.Image.Make", "NIKON CORPORATION" }, { "Exif.Image.Model", "Orrin 7" }, { "Exif.Image.Orientation", "8" },
    { "Exif.Photo.FNumber", "18/10" }, { "Exif.Photo.DateTimeOriginal", "2026:03:02 14:05:09" },
    { "Exif.Photo.LensModel", "Velle 50 mm f/1.8" }, { "Exif.NikonAFT.AFFineTune", "1" },
    { "Exif.NikonAFT.AFFineTuneAdj", "5" }, { "Xmp.aux.SerialNumber", "00123" }, { "Iptc.Application2.City", "Tarn" },
  };
  FixtureJpeg spec = { .width = 96, .height = 64, .components = 3, .sampling = 2, .progressive = progressive, .quality = 60 };
  g_autofree char *path = fixture_jpeg_file (dir, "victim.jpg", &spec);
  g_autoptr (GBytes) thumbnail = fixture_plain_jpeg (24, 16);
  g_autoptr (GExiv2Metadata) metadata = gexiv2_metadata_new ();
  g_autoptr (GError) error = NULL;
  char *data = NULL;

  for (guint i = 0; i < G_N_ELEMENTS (tags); i++)
    fixture_set_tag (path, tags[i][0], tags[i][1]);
  gexiv2_metadata_open_path (metadata, path, &error);
  g_assert_no_error (error);
  gexiv2_metadata_try_set_exif_thumbnail_from_buffer (metadata, g_bytes_get_data (thumbnail, NULL),
                                                      (gint) g_bytes_get_size (thumbnail), &error);
  g_assert_no_error (error);
  gexiv2_metadata_save_file (metadata, path, &error);
  g_assert_no_error (error);
  g_file_get_contents (path, &data, n_bytes, &error);
  g_assert_no_error (error);
  return (guint8 *) data;
}

static void
test_cut (gconstpointer progressive)
{
  char *dir = fixture_dir ();
  gsize n_bytes;
  g_autofree guint8 *victim = make_victim (dir, GPOINTER_TO_INT (progressive), &n_bytes);

  for (gsize n = 1; n < n_bytes; n += 1 + n_bytes / 400)
    use_bytes (dir, victim, n);
  fixture_remove_dir (dir);
}

/* Single bytes set to the values that lengths, counts, offsets and markers fear most, or to anything. */
static void
test_changed (gconstpointer progressive)
{
  static const guint8 worst[] = { 0x00, 0x01, 0x7f, 0x80, 0xff };
  char *dir = fixture_dir ();
  gsize n_bytes;
  g_autofree guint8 *victim = make_victim (dir, GPOINTER_TO_INT (progressive), &n_bytes);
  g_autofree guint8 *copy = g_malloc (n_bytes);
  g_autoptr (GRand) rand = g_rand_new_with_seed (20260302);

  for (gsize at = 2; at < n_bytes; at += 1 + n_bytes / 900)
    {
      memcpy (copy, victim, n_bytes);
      copy[at] = worst[g_rand_int_range (rand, 0, G_N_ELEMENTS (worst))];
      use_bytes (dir, copy, n_bytes);
      for (guint i = 0; i < 8; i++)
        copy[g_rand_int_range (rand, 2, (gint32) n_bytes)] = (guint8) g_rand_int_range (rand, 0, 256);
      use_bytes (dir, copy, n_bytes);
    }
  fixture_remove_dir (dir);
}

/* A picture whose metadata are nonsense is still a picture. */
static void
test_broken_metadata (void)
{
  static const char *const segments[] = {
    "Exif", "Exif\0\0", "Exif\0\0II*\0\xff\xff\xff\xff", "Exif\0\0II*\0\x08\0\0\0\xff\xff", "Exif\0\0JJ*\0\x08\0\0\0",
    "Exif\0\0II*\0\x08\0\0\0\x01\0\x0f\x01\x02\0\xff\xff\xff\x7f\x1a\0\0\0\0\0\0\0",
    "Exif\0\0II*\0\x08\0\0\0\x01\0\x69\x87\x04\0\x01\0\0\0\x08\0\0\0\0\0\0\0",
    "http://ns.adobe.com/xap/1.0/\0<x:xmpmeta><unclosed",
  };
  static const gsize lengths[] = { 4, 6, 14, 16, 14, 32, 32, 48 };
  char *dir = fixture_dir ();

  for (guint i = 0; i < G_N_ELEMENTS (segments); i++)
    {
      g_autoptr (GBytes) segment = g_bytes_new (segments[i], lengths[i]);
      FixtureJpeg spec = { .width = 60, .height = 40, .components = 3, .sampling = 2, .app1 = segment };
      g_autofree char *path = fixture_jpeg_file (dir, "broken.jpg", &spec);
      g_autoptr (GError) error = NULL;
      g_autoptr (ShimPhoto) photo = shim_photo_open (path, &error);
      ShimRect rect = { 10, 10, 20, 20 };
      g_autoptr (ShimLumaBlock) luma = NULL;

      g_assert_no_error (error);
      luma = shim_luma_read_rect (photo, &rect, NULL, &error);
      g_assert_no_error (error);
      g_assert_cmpint (shim_photo_get_metadata (photo)->width_px, ==, 60);
      g_assert_null (shim_photo_get_metadata (photo)->make);
    }
  fixture_remove_dir (dir);
}

/* A raw file's beginning with anything behind it. */
static void
test_raw_nonsense (void)
{
  static const char *const heads[] = { "II*\0\x08\0\0\0", "MM\0*\0\0\0\x08", "FUJIFILMCCD-RAW ", "FOVb", "\0MRM", "IIU\0" };
  char *dir = fixture_dir ();
  g_autoptr (GRand) rand = g_rand_new_with_seed (4711);

  for (guint i = 0; i < 60; i++)
    {
      guint8 data[4096];
      guint n_head = i % G_N_ELEMENTS (heads) == 2 ? 16 : i % G_N_ELEMENTS (heads) < 2 ? 8 : 4;

      for (guint b = 0; b < sizeof data; b++)
        data[b] = (guint8) (g_rand_int_range (rand, 0, 4) == 0 ? g_rand_int_range (rand, 0, 256) : 0);
      memcpy (data, heads[i % G_N_ELEMENTS (heads)], n_head);
      use_bytes (dir, data, sizeof data);
    }
  fixture_remove_dir (dir);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_data_func ("/photo/hostile/cut/baseline", GINT_TO_POINTER (FALSE), test_cut);
  g_test_add_data_func ("/photo/hostile/cut/progressive", GINT_TO_POINTER (TRUE), test_cut);
  g_test_add_data_func ("/photo/hostile/changed/baseline", GINT_TO_POINTER (FALSE), test_changed);
  g_test_add_data_func ("/photo/hostile/changed/progressive", GINT_TO_POINTER (TRUE), test_changed);
  g_test_add_func ("/photo/hostile/broken-metadata", test_broken_metadata);
  g_test_add_func ("/photo/hostile/raw-nonsense", test_raw_nonsense);
  return g_test_run ();
}
