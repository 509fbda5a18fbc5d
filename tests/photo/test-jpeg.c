/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

#include <gio/gio.h>
#include <glib/gstdio.h>
#include <sys/stat.h>

#include "photo-fixture.h"
#include "shim-jpeg.h"
#include "shim-luma-reader.h"
#include "shim-photo-error.h"
#include "shim-photo-private.h"
#include "shim-picture.h"

/* Opens and decodes all of it, the way a person's photograph is taken in. */
static void
expect_error (const char *path, ShimPhotoError code, const char *words)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPhoto) photo = shim_photo_open (path, &error);

  if (photo != NULL)
    {
      g_autoptr (ShimPicture) picture = shim_picture_load (photo, SHIM_PICTURE_FULL, NULL, &error);

      g_assert_null (picture);
    }
  g_test_message ("%s", error != NULL ? error->message : "no error");
  g_assert_error (error, SHIM_PHOTO_ERROR, (int) code);
  g_assert_nonnull (strstr (error->message, words));
  /* A whole sentence. */
  g_assert_true (g_str_has_suffix (error->message, "."));
}

static void
expect_file_error (const char *name, const void *data, gsize n_bytes, ShimPhotoError code, const char *words)
{
  char *dir = fixture_dir ();
  g_autoptr (GBytes) bytes = g_bytes_new (data, n_bytes);
  g_autofree char *path = fixture_write (dir, name, bytes);

  expect_error (path, code, words);
  fixture_remove_dir (dir);
}

static void
test_not_pictures (void)
{
  static const char png[] = "\x89PNG\r\n\x1a\n\0\0\0\rIHDR";
  static const char text[] = "The reading level with the target is 150.\n";

  expect_file_error ("empty.jpg", "", 0, SHIM_PHOTO_ERROR_DAMAGED, "empty");
  expect_file_error ("png.jpg", png, sizeof png, SHIM_PHOTO_ERROR_FORMAT, "is a PNG file");
  expect_file_error ("text.jpg", text, sizeof text, SHIM_PHOTO_ERROR_FORMAT, "no picture that this program reads");
  expect_file_error ("two.jpg", "\xff\xd8", 2, SHIM_PHOTO_ERROR_DAMAGED, "cut short");
  expect_file_error ("one.jpg", "\xff", 1, SHIM_PHOTO_ERROR_FORMAT, "no picture");
  expect_file_error ("pdf.jpg", "%PDF-1.7", 8, SHIM_PHOTO_ERROR_FORMAT, "is a PDF file");
}

static void
test_not_files (void)
{
  char *dir = fixture_dir ();
  g_autofree char *missing = g_build_filename (dir, "missing.jpg", NULL);
  g_autofree char *pipe_path = g_build_filename (dir, "pipe.jpg", NULL);
  g_autofree char *below = g_build_filename (pipe_path, "below.jpg", NULL);

  g_assert_cmpint (mkfifo (pipe_path, 0600), ==, 0);
  expect_error (dir, SHIM_PHOTO_ERROR_OPEN, "folder");
  expect_error (missing, SHIM_PHOTO_ERROR_OPEN, "There is no file “missing.jpg”");
  expect_error (below, SHIM_PHOTO_ERROR_OPEN, "There is no file");
  expect_error (pipe_path, SHIM_PHOTO_ERROR_OPEN, "not an ordinary file");
  fixture_remove_dir (dir);
}

static void
test_no_permission (void)
{
  char *dir = fixture_dir ();
  g_autoptr (GBytes) bytes = fixture_plain_jpeg (16, 16);
  g_autofree char *path = fixture_write (dir, "locked.jpg", bytes);

  g_assert_cmpint (g_chmod (path, 0), ==, 0);
  if (g_access (path, R_OK) == 0)
    {
      g_autoptr (GError) error = NULL;

      /* This user may read every file: only the sentence can be looked at. */
      shim_photo_set_open_error ("locked.jpg", EACCES, &error);
      g_assert_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_OPEN);
      g_assert_nonnull (strstr (error->message, "permission"));
    }
  else
    expect_error (path, SHIM_PHOTO_ERROR_OPEN, "permission");
  fixture_remove_dir (dir);
}

/* Wherever a file is cut, decoding the whole says so. */
static void
check_cut (gboolean progressive)
{
  FixtureJpeg spec = { .width = 160, .height = 120, .components = 3, .sampling = 2, .progressive = progressive };
  g_autoptr (GBytes) whole = fixture_jpeg (&spec);
  gsize n_bytes = g_bytes_get_size (whole);

  /* Two bytes less than the whole only lack the end marker: every pixel may still be there. */
  for (gsize n = 2; n < n_bytes - 2; n += n_bytes / 61)
    expect_file_error ("cut.jpg", g_bytes_get_data (whole, NULL), n, SHIM_PHOTO_ERROR_DAMAGED, "cut short");
}

static void
test_cut_short (void)
{
  check_cut (FALSE);
  check_cut (TRUE);
}

/* The upper strip of half a file can be decoded, and is refused all the same. */
static void
test_cut_short_below_strip (void)
{
  char *dir = fixture_dir ();
  g_autoptr (GBytes) whole = fixture_plain_jpeg (320, 480);
  g_autoptr (GBytes) half = g_bytes_new_from_bytes (whole, 0, g_bytes_get_size (whole) / 2);
  g_autofree char *whole_path = fixture_write (dir, "whole.jpg", whole);
  g_autofree char *half_path = fixture_write (dir, "half.jpg", half);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPhoto) whole_photo = shim_photo_open (whole_path, &error);
  g_autoptr (ShimPhoto) half_photo = shim_photo_open (half_path, &error);
  ShimRect top = { 0, 0, 100, 40 };
  g_autoptr (ShimLumaBlock) good = NULL;
  g_autoptr (ShimLumaBlock) bad = NULL;

  g_assert_no_error (error);
  good = shim_luma_read_rect (whole_photo, &top, NULL, &error);
  g_assert_no_error (error);
  g_assert_nonnull (good);
  bad = shim_luma_read_rect (half_photo, &top, NULL, &error);
  g_assert_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_DAMAGED);
  g_assert_null (bad);
  fixture_remove_dir (dir);
}

static void
test_damage_is_not_measured (void)
{
  char *dir = fixture_dir ();
  g_autoptr (GBytes) whole = fixture_plain_jpeg (320, 240);
  gsize n_bytes;
  guint8 *data = g_bytes_unref_to_data (g_steal_pointer (&whole), &n_bytes);
  g_autoptr (GBytes) damaged = NULL;
  g_autofree char *path = NULL;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPhoto) photo = NULL;
  g_autoptr (ShimPicture) picture = NULL;
  g_autoptr (ShimLumaBlock) luma = NULL;
  ShimRect bottom = { 0, 200, 320, 40 };

  memset (data + n_bytes / 2, 0x55, 200);
  damaged = g_bytes_new_take (data, n_bytes);
  path = fixture_write (dir, "damaged.jpg", damaged);
  photo = shim_photo_open (path, &error);
  g_assert_no_error (error);
  picture = shim_picture_load (photo, SHIM_PICTURE_FULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (picture->n_damaged, >, 0);
  luma = shim_luma_read_rect (photo, &bottom, NULL, &error);
  g_assert_null (luma);
  g_assert_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_DAMAGED);
  fixture_remove_dir (dir);
}

static void
test_colors (void)
{
  FixtureJpeg grey = { .width = 40, .height = 30, .components = 1 };
  FixtureJpeg cmyk = { .width = 40, .height = 30, .components = 4 };
  char *dir = fixture_dir ();
  g_autofree char *grey_path = fixture_jpeg_file (dir, "grey.jpg", &grey);
  g_autofree char *cmyk_path = fixture_jpeg_file (dir, "cmyk.jpg", &cmyk);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPhoto) photo = shim_photo_open (grey_path, &error);
  g_autoptr (ShimPicture) picture = shim_picture_load (photo, SHIM_PICTURE_FULL, NULL, &error);
  const guint8 *p;

  g_assert_no_error (error);
  p = g_bytes_get_data (picture->bytes, NULL);
  g_assert_cmpuint (p[0], ==, p[1]);
  g_assert_cmpuint (p[0], ==, p[2]);
  g_assert_cmpuint (p[3], ==, 255);
  expect_error (cmyk_path, SHIM_PHOTO_ERROR_FORMAT, "CMYK");
  fixture_remove_dir (dir);
}

static void
expect_limit (const FixtureJpeg *spec, const ShimJpegLimits *limits, const char *words)
{
  g_autoptr (GBytes) bytes = fixture_jpeg (spec);
  ShimJpegSource source = { .fd = -1, .bytes = bytes, .name = "bomb.jpg" };
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimJpeg) jpeg = shim_jpeg_open (&source, limits, NULL, &error);

  if (jpeg != NULL)
    g_assert_false (shim_jpeg_start (jpeg, SHIM_JPEG_LUMA, 1, &error));
  g_assert_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_TOO_LARGE);
  g_test_message ("%s", error->message);
  g_assert_nonnull (strstr (error->message, words));
}

static void
test_limits (void)
{
  FixtureJpeg plain = { .width = 640, .height = 480, .components = 3, .sampling = 2 };
  FixtureJpeg progressive = { .width = 640, .height = 480, .components = 3, .sampling = 2, .progressive = TRUE };
  ShimJpegLimits few_pixels = { .max_pixels = 640 * 480 - 1, .max_memory = 100000000, .max_scans = 100 };
  /* All coefficients: 640 × 480 × 1.5 of two bytes. */
  ShimJpegLimits little_memory = { .max_pixels = 1000000, .max_memory = 640 * 480 * 3 - 1, .max_scans = 100 };
  ShimJpegLimits few_scans = { .max_pixels = 1000000, .max_memory = 100000000, .max_scans = 4 };

  expect_limit (&plain, &few_pixels, "640 × 480");
  expect_limit (&progressive, &little_memory, "memory");
  expect_limit (&progressive, &few_scans, "layers");
}

/* A file of a few bytes that claims 65000 × 65000 pixels must be turned away before memory is asked for. */
static void
test_claimed_size (void)
{
  g_autoptr (GBytes) bytes = fixture_plain_jpeg (64, 64);
  gsize n_bytes;
  guint8 *data = g_bytes_unref_to_data (g_steal_pointer (&bytes), &n_bytes);
  gboolean found = FALSE;

  for (gsize i = 0; i + 8 < n_bytes && !found; i++)
    if (data[i] == 0xff && data[i + 1] == 0xc0)
      {
        data[i + 5] = data[i + 7] = 0xfd;
        data[i + 6] = data[i + 8] = 0xe8;
        found = TRUE;
      }
  g_assert_true (found);
  expect_file_error ("huge.jpg", data, n_bytes, SHIM_PHOTO_ERROR_TOO_LARGE, "65000 × 65000");
  g_free (data);
}

static void
test_trailing_bytes (void)
{
  char *dir = fixture_dir ();
  g_autoptr (GBytes) bytes = fixture_plain_jpeg (64, 64);
  g_autoptr (GByteArray) longer = g_byte_array_new ();
  g_autoptr (GBytes) longer_bytes = NULL;
  g_autofree char *path = NULL;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPhoto) photo = NULL;
  g_autoptr (ShimLumaBlock) luma = NULL;
  ShimRect rect = { 3, 5, 20, 10 };

  /* A second picture behind the first, as some cameras write it, cut short: the first is whole. */
  g_byte_array_append (longer, g_bytes_get_data (bytes, NULL), (guint) g_bytes_get_size (bytes));
  g_byte_array_append (longer, g_bytes_get_data (bytes, NULL), (guint) g_bytes_get_size (bytes) / 2);
  longer_bytes = g_byte_array_free_to_bytes (g_steal_pointer (&longer));
  path = fixture_write (dir, "two.jpg", longer_bytes);
  photo = shim_photo_open (path, &error);
  g_assert_no_error (error);
  luma = shim_luma_read_rect (photo, &rect, NULL, &error);
  g_assert_no_error (error);
  g_assert_nonnull (luma);
  fixture_remove_dir (dir);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/photo/jpeg/not-pictures", test_not_pictures);
  g_test_add_func ("/photo/jpeg/not-files", test_not_files);
  g_test_add_func ("/photo/jpeg/no-permission", test_no_permission);
  g_test_add_func ("/photo/jpeg/cut-short", test_cut_short);
  g_test_add_func ("/photo/jpeg/cut-short-below-strip", test_cut_short_below_strip);
  g_test_add_func ("/photo/jpeg/damage-is-not-measured", test_damage_is_not_measured);
  g_test_add_func ("/photo/jpeg/colors", test_colors);
  g_test_add_func ("/photo/jpeg/limits", test_limits);
  g_test_add_func ("/photo/jpeg/claimed-size", test_claimed_size);
  g_test_add_func ("/photo/jpeg/trailing-bytes", test_trailing_bytes);
  return g_test_run ();
}
