/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "photo-fixture.h"
#include "shim-luma-reader.h"
#include "shim-photo-error.h"
#include "shim-picture.h"

typedef struct
{
  char *dir;
  GMainLoop *loop;
  ShimPicture *picture;
  ShimPhoto *photo;
  GError *error;
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  fixture->dir = fixture_dir ();
  fixture->loop = g_main_loop_new (NULL, FALSE);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  g_clear_pointer (&fixture->picture, shim_picture_free);
  g_clear_pointer (&fixture->photo, shim_photo_unref);
  g_clear_error (&fixture->error);
  g_main_loop_unref (fixture->loop);
  fixture_remove_dir (fixture->dir);
}

static ShimPhoto *
open_jpeg (Fixture *fixture, const char *name, GBytes *bytes)
{
  g_autofree char *path = fixture_write (fixture->dir, name, bytes);
  g_autoptr (GError) error = NULL;
  ShimPhoto *photo = shim_photo_open (path, &error);

  g_assert_no_error (error);
  return photo;
}

static ShimPhoto *
open_turned (Fixture *fixture, int width, int height, guint orientation)
{
  FixtureTag tags[] = { { FALSE, 0x0112, 3, { orientation }, 1, NULL } };
  g_autoptr (GBytes) bytes = fixture_tagged_jpeg (width, height, tags, G_N_ELEMENTS (tags));

  return open_jpeg (fixture, "turned.jpg", bytes);
}

static const guint8 *
pixel_at (const ShimPicture *picture, int x, int y)
{
  return (const guint8 *) g_bytes_get_data (picture->bytes, NULL) + (gsize) y * picture->stride + (gsize) x * 4;
}

static ShimPicture *
load (ShimPhoto *photo, ShimPictureSize size)
{
  g_autoptr (GError) error = NULL;
  ShimPicture *picture = shim_picture_load (photo, size, NULL, &error);

  g_assert_no_error (error);
  return picture;
}

/* Every pixel of every orientation stands where the orientation says. */
static void
test_upright (Fixture *fixture, gconstpointer data)
{
  const int width = 77, height = 45;
  g_autoptr (ShimPhoto) plain = open_turned (fixture, width, height, 1);
  g_autoptr (ShimPicture) stored = load (plain, SHIM_PICTURE_FULL);

  for (guint o = 1; o <= 8; o++)
    {
      g_autoptr (ShimPhoto) photo = open_turned (fixture, width, height, o);
      g_autoptr (ShimPicture) picture = load (photo, SHIM_PICTURE_FULL);

      g_assert_cmpint (picture->width, ==, o >= 5 ? height : width);
      g_assert_cmpint (picture->picture_width, ==, picture->width);
      g_assert_cmpint (picture->height, ==, picture->picture_height);
      g_assert_cmpuint (g_bytes_get_size (picture->bytes), ==, (gsize) width * height * 4);
      for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++)
          {
            ShimPoint p = shim_orientation_point_to_upright (o, width, height, (ShimPoint) { x + 0.5, y + 0.5 });

            g_assert_cmpmem (pixel_at (picture, (int) p.x, (int) p.y), 4, pixel_at (stored, x, y), 4);
          }
    }
}

/* What was put in comes out, within what JPEG at quality 92 changes (common practice, no source: below 40 of 255
 * for noise). */
static void
test_colors (Fixture *fixture, gconstpointer data)
{
  FixtureJpeg spec = { .width = 90, .height = 60, .components = 3, .sampling = 1, .quality = 98 };
  g_autoptr (GBytes) bytes = fixture_jpeg (&spec);
  g_autoptr (ShimPhoto) photo = open_jpeg (fixture, "colors.jpg", bytes);
  g_autoptr (ShimPicture) picture = load (photo, SHIM_PICTURE_FULL);

  for (int y = 0; y < spec.height; y++)
    for (int x = 0; x < spec.width; x++)
      {
        const guint8 *p = pixel_at (picture, x, y);

        g_assert_cmpint (ABS (p[2] - fixture_pixel (x, y, 0)), <, 12);
        g_assert_cmpint (ABS (p[1] - fixture_pixel (x, y, 1)), <, 12);
        g_assert_cmpint (ABS (p[0] - fixture_pixel (x, y, 2)), <, 12);
        g_assert_cmpint (p[3], ==, 255);
      }
}

static void
test_sizes (Fixture *fixture, gconstpointer data)
{
  static const struct
  {
    ShimPictureSize size;
    int width;
    int height;
  } cases[] = {
    { SHIM_PICTURE_QUICK, 51, 26 }, { SHIM_PICTURE_EIGHTH, 51, 26 }, { SHIM_PICTURE_QUARTER, 101, 51 },
    { SHIM_PICTURE_HALF, 201, 101 }, { SHIM_PICTURE_FULL, 401, 201 },
  };
  g_autoptr (GBytes) bytes = fixture_plain_jpeg (401, 201);
  g_autoptr (ShimPhoto) photo = open_jpeg (fixture, "sizes.jpg", bytes);

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimPicture) picture = load (photo, cases[i].size);

      g_assert_cmpint (picture->width, ==, cases[i].width);
      g_assert_cmpint (picture->height, ==, cases[i].height);
      g_assert_cmpint (picture->picture_width, ==, 401);
      g_assert_cmpint (picture->picture_height, ==, 201);
      g_assert_false (picture->from_preview);
      g_assert_cmpuint (picture->n_damaged, ==, 0);
    }
}

/* A picture large enough for huge pages is no different. */
static void
test_large (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GBytes) bytes = fixture_plain_jpeg (1500, 1100);
  g_autoptr (ShimPhoto) photo = open_jpeg (fixture, "large.jpg", bytes);
  g_autoptr (ShimPicture) picture = load (photo, SHIM_PICTURE_FULL);

  g_assert_cmpuint (g_bytes_get_size (picture->bytes), ==, (gsize) 1500 * 1100 * 4);
  g_assert_cmpuint (pixel_at (picture, 1499, 1099)[3], ==, 255);
}

static void
on_loaded (GObject *source, GAsyncResult *result, gpointer user_data)
{
  Fixture *fixture = user_data;

  fixture->picture = shim_picture_load_finish (result, &fixture->photo, &fixture->error);
  g_main_loop_quit (fixture->loop);
}

static void
test_async (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GBytes) bytes = fixture_plain_jpeg (200, 100);
  g_autofree char *path = fixture_write (fixture->dir, "async.jpg", bytes);

  shim_picture_load_path_async (path, SHIM_PICTURE_HALF, NULL, on_loaded, fixture);
  g_main_loop_run (fixture->loop);
  g_assert_no_error (fixture->error);
  g_assert_cmpint (fixture->picture->width, ==, 100);
  g_assert_cmpstr (shim_photo_get_path (fixture->photo), ==, path);
}

static void
test_async_error (Fixture *fixture, gconstpointer data)
{
  shim_picture_load_path_async (fixture->dir, SHIM_PICTURE_HALF, NULL, on_loaded, fixture);
  g_main_loop_run (fixture->loop);
  g_assert_error (fixture->error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_OPEN);
  g_assert_null (fixture->picture);
  g_assert_null (fixture->photo);
}

static void
test_cancelled (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GBytes) bytes = fixture_plain_jpeg (200, 100);
  g_autoptr (ShimPhoto) photo = open_jpeg (fixture, "cancelled.jpg", bytes);
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (GError) error = NULL;
  ShimRect rect = { 0, 0, 10, 10 };

  g_cancellable_cancel (cancellable);
  g_assert_null (shim_picture_load (photo, SHIM_PICTURE_FULL, cancellable, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  g_clear_error (&error);
  g_assert_null (shim_luma_read_rect (photo, &rect, cancellable, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);

  shim_picture_load_async (photo, SHIM_PICTURE_FULL, cancellable, on_loaded, fixture);
  g_main_loop_run (fixture->loop);
  g_assert_error (fixture->error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
#define ADD(path, func) g_test_add (path, Fixture, NULL, set_up, func, tear_down)
  ADD ("/photo/picture/upright", test_upright);
  ADD ("/photo/picture/colors", test_colors);
  ADD ("/photo/picture/sizes", test_sizes);
  ADD ("/photo/picture/large", test_large);
  ADD ("/photo/picture/async", test_async);
  ADD ("/photo/picture/async-error", test_async_error);
  ADD ("/photo/picture/cancelled", test_cancelled);
#undef ADD
  return g_test_run ();
}
