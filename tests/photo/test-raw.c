/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "photo-fixture.h"
#include "shim-luma-reader.h"
#include "shim-photo-error.h"
#include "shim-picture.h"

#define RAW_WIDTH 320
#define RAW_HEIGHT 240

static char *
write_dng (const char *dir, GBytes *preview, int preview_width, int preview_height, guint orientation)
{
  g_autoptr (GBytes) dng = fixture_dng (RAW_WIDTH, RAW_HEIGHT, preview, preview_width, preview_height, orientation);

  return fixture_write (dir, "frame.dng", dng);
}

/* The preview goes the way of any JPEG; what it shows and what the raw file says belong together. */
static void
test_preview (void)
{
  char *dir = fixture_dir ();
  g_autoptr (GBytes) preview = fixture_plain_jpeg (RAW_WIDTH, RAW_HEIGHT);
  g_autofree char *raw_path = write_dng (dir, preview, RAW_WIDTH, RAW_HEIGHT, 6);
  g_autofree char *jpeg_path = fixture_write (dir, "same.jpg", preview);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPhoto) raw = shim_photo_open (raw_path, &error);
  g_autoptr (ShimPhoto) jpeg = NULL;
  g_autoptr (ShimLumaBlock) raw_luma = NULL;
  g_autoptr (ShimLumaBlock) jpeg_luma = NULL;
  g_autoptr (ShimPicture) picture = NULL;
  const ShimMetadata *metadata;
  ShimRect rect = { 50, 60, 70, 80 };

  g_assert_no_error (error);
  g_assert_true (shim_photo_is_raw (raw));
  g_assert_cmpint (shim_photo_get_stored_width (raw), ==, RAW_WIDTH);
  metadata = shim_photo_get_metadata (raw);
  g_assert_cmpstr (metadata->make, ==, "Orrin");
  g_assert_cmpstr (metadata->body_serial, ==, "0012045");
  g_assert_cmpfloat_with_epsilon (metadata->f_number, 2.8, 1e-12);
  g_assert_cmpint (metadata->orientation, ==, SHIM_ORIENTATION_TURN_RIGHT);
  g_assert_cmpint (metadata->width_px, ==, RAW_HEIGHT);
  g_assert_cmpint (metadata->height_px, ==, RAW_WIDTH);

  jpeg = shim_photo_open (jpeg_path, &error);
  raw_luma = shim_luma_read_rect (raw, &rect, NULL, &error);
  jpeg_luma = shim_luma_read_rect (jpeg, &rect, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpmem (raw_luma->px, (gsize) rect.width * rect.height, jpeg_luma->px, (gsize) rect.width * rect.height);
  picture = shim_picture_load (raw, SHIM_PICTURE_FULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpint (picture->width, ==, RAW_HEIGHT);
  fixture_remove_dir (dir);
}

static void
expect_no_preview (GBytes *preview, int width, int height)
{
  char *dir = fixture_dir ();
  g_autofree char *path = write_dng (dir, preview, width, height, 1);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimMetadata) metadata = NULL;

  g_assert_null (shim_photo_open (path, &error));
  g_assert_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_NO_PREVIEW);
  g_assert_nonnull (strstr (error->message, "no full-size JPEG preview"));
  g_clear_error (&error);

  metadata = shim_metadata_read (path, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (metadata->model, ==, "Orrin 7");
  g_assert_cmpint (metadata->width_px, ==, 0);
  fixture_remove_dir (dir);
}

static void
test_no_preview (void)
{
  g_autoptr (GBytes) small = fixture_plain_jpeg (80, 60);
  g_autoptr (GBytes) junk = g_bytes_new_static ("no JPEG at all, only as long as one might be", 44);

  expect_no_preview (small, 80, 60);
  expect_no_preview (junk, RAW_WIDTH, RAW_HEIGHT);
  expect_no_preview (NULL, 0, 0);
}

/* Wherever a raw file is cut or changed, an error or a picture, never a crash. */
static void
test_damaged (void)
{
  char *dir = fixture_dir ();
  g_autoptr (GBytes) preview = fixture_plain_jpeg (160, 120);
  g_autoptr (GBytes) dng = fixture_dng (160, 120, preview, 160, 120, 1);
  g_autoptr (GRand) rand = g_rand_new_with_seed (7);
  gsize n_bytes;
  const guint8 *data = g_bytes_get_data (dng, &n_bytes);

  for (guint i = 0; i < 400; i++)
    {
      g_autofree guint8 *copy = g_memdup2 (data, n_bytes);
      gsize n = i % 2 == 0 ? (gsize) g_rand_int_range (rand, 9, (gint32) n_bytes) : n_bytes;
      g_autoptr (GBytes) bytes = NULL;
      g_autofree char *path = NULL;
      g_autoptr (ShimPhoto) photo = NULL;
      g_autoptr (GError) error = NULL;

      if (i % 2 == 1)
        copy[g_rand_int_range (rand, 4, 420)] = (guint8) g_rand_int_range (rand, 0, 256);
      bytes = g_bytes_new (copy, n);
      path = fixture_write (dir, "damaged.dng", bytes);
      photo = shim_photo_open (path, &error);
      g_assert_true (photo != NULL || error->domain == SHIM_PHOTO_ERROR);
      if (photo != NULL)
        {
          g_autoptr (ShimPicture) picture = shim_picture_load (photo, SHIM_PICTURE_EIGHTH, NULL, NULL);

          g_assert_true (picture == NULL || picture->width > 0);
        }
    }
  fixture_remove_dir (dir);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/photo/raw/preview", test_preview);
  g_test_add_func ("/photo/raw/no-preview", test_no_preview);
  g_test_add_func ("/photo/raw/damaged", test_damaged);
  return g_test_run ();
}
