/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "photo-fixture.h"
#include "shim-first-look.h"
#include "shim-luma-reader.h"
#include "shim-photo-error.h"

static const FixtureJpeg pictures[] = {
  { .width = 333, .height = 257, .components = 3, .sampling = 1 },
  { .width = 333, .height = 257, .components = 3, .sampling = 2 },
  { .width = 333, .height = 257, .components = 3, .sampling = 2, .progressive = TRUE },
  { .width = 333, .height = 257, .components = 1 },
};

/* First column and row, columns and rows: inside, at every edge, on and off the blocks of 8 and 16. */
static const ShimRect rects[] = {
  { 0, 0, 333, 257 }, { 100, 60, 80, 90 }, { 0, 0, 1, 1 }, { 332, 256, 1, 1 }, { 17, 5, 31, 3 },
  { 300, 200, 33, 57 }, { 0, 128, 333, 1 }, { 160, 16, 16, 16 }, { 111, 0, 5, 257 },
};

typedef struct
{
  int width;
  int next_row;
  int n_calls;
  int stop_after;
  GByteArray *px;
} Collected;

static gboolean
collect (int y0, int n_rows, const guint8 *px, gsize stride, gpointer user_data)
{
  Collected *collected = user_data;

  g_assert_cmpint (y0, ==, collected->next_row);
  collected->next_row += n_rows;
  for (int i = 0; i < n_rows; i++)
    g_byte_array_append (collected->px, px + (gsize) i * stride, (guint) collected->width);
  return ++collected->n_calls != collected->stop_after;
}

static ShimPhoto *
open_picture (const char *dir, const FixtureJpeg *spec)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *path = fixture_jpeg_file (dir, "luma.jpg", spec);
  ShimPhoto *photo = shim_photo_open (path, &error);

  g_assert_no_error (error);
  return photo;
}

static GByteArray *
stream_all (ShimPhoto *photo, int block_rows)
{
  g_autoptr (GError) error = NULL;
  Collected collected = { .width = shim_photo_get_stored_width (photo), .px = g_byte_array_new () };

  g_assert_true (shim_luma_stream (photo, block_rows, collect, &collected, NULL, &error));
  g_assert_no_error (error);
  g_assert_cmpint (collected.next_row, ==, shim_photo_get_stored_height (photo));
  return collected.px;
}

static void
assert_same_luma (ShimPhoto *photo, const ShimRect *rect, const GByteArray *whole)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimLumaBlock) block = shim_luma_read_rect (photo, rect, NULL, &error);
  int width = shim_photo_get_stored_width (photo);

  g_assert_no_error (error);
  g_assert_cmpmem (&block->luma.rect, sizeof *rect, rect, sizeof *rect);
  g_assert_cmpint (block->luma.picture_width, ==, width);
  g_assert_cmpint (block->luma.picture_height, ==, shim_photo_get_stored_height (photo));
  for (int y = 0; y < rect->height; y++)
    g_assert_cmpmem (block->luma.px + (gsize) y * block->luma.stride, (gsize) rect->width,
                     whole->data + (gsize) (rect->y + y) * width + rect->x, (gsize) rect->width);
}

/* The luma of a piece is bit for bit that of the whole. */
static void
test_rects (void)
{
  char *dir = fixture_dir ();

  for (guint i = 0; i < G_N_ELEMENTS (pictures); i++)
    {
      g_autoptr (ShimPhoto) photo = open_picture (dir, &pictures[i]);
      g_autoptr (GByteArray) whole = stream_all (photo, 257);

      g_assert_cmpint (shim_photo_is_progressive (photo), ==, pictures[i].progressive);
      for (guint r = 0; r < G_N_ELEMENTS (rects); r++)
        assert_same_luma (photo, &rects[r], whole);
    }
  fixture_remove_dir (dir);
}

/* A piece that is decoded in two goes is the same, and tells how much of it is there. */
static void
test_begun (void)
{
  char *dir = fixture_dir ();

  for (guint i = 0; i < G_N_ELEMENTS (pictures); i++)
    {
      g_autoptr (ShimPhoto) photo = open_picture (dir, &pictures[i]);

      for (guint r = 0; r < G_N_ELEMENTS (rects); r++)
        for (int n_rows = 1; n_rows <= rects[r].height; n_rows += MAX (rects[r].height - 1, 2) / 2)
          {
            g_autoptr (GError) error = NULL;
            g_autoptr (ShimLumaBlock) whole = shim_luma_read_rect (photo, &rects[r], NULL, &error);
            g_autoptr (ShimLumaBlock) begun = shim_luma_begin_rect (photo, &rects[r], n_rows, NULL, &error);
            const gsize n_bytes = (gsize) rects[r].width * rects[r].height;

            g_assert_no_error (error);
            g_assert_cmpint (begun->luma.rect.height, ==, n_rows);
            g_assert_cmpmem (begun->luma.px, (gsize) rects[r].width * n_rows, whole->luma.px, (gsize) rects[r].width * n_rows);
            g_assert_true (shim_luma_read_rest (begun, &error));
            g_assert_no_error (error);
            g_assert_cmpmem (&begun->luma.rect, sizeof rects[r], &rects[r], sizeof rects[r]);
            g_assert_cmpmem (begun->luma.px, n_bytes, whole->luma.px, n_bytes);
          }
    }
  fixture_remove_dir (dir);
}

/* Block sizes that divide the picture and those that do not give the same rows. */
static void
test_stream_blocks (void)
{
  static const int block_rows[] = { 1, 7, 16, 64, 1000 };
  char *dir = fixture_dir ();
  g_autoptr (ShimPhoto) photo = open_picture (dir, &pictures[1]);
  g_autoptr (GByteArray) whole = stream_all (photo, 257);

  for (guint i = 0; i < G_N_ELEMENTS (block_rows); i++)
    {
      g_autoptr (GByteArray) again = stream_all (photo, block_rows[i]);

      g_assert_cmpmem (again->data, again->len, whole->data, whole->len);
    }
  fixture_remove_dir (dir);
}

static void
test_stream_stopped (void)
{
  char *dir = fixture_dir ();
  g_autoptr (ShimPhoto) photo = open_picture (dir, &pictures[1]);
  g_autoptr (GByteArray) px = g_byte_array_new ();
  g_autoptr (GError) error = NULL;
  Collected collected = { .width = 333, .stop_after = 2, .px = px };

  g_assert_true (shim_luma_stream (photo, 16, collect, &collected, NULL, &error));
  g_assert_no_error (error);
  g_assert_cmpint (collected.n_calls, ==, 2);
  fixture_remove_dir (dir);
}

/* ITU-R BT.601, as JFIF (ISO/IEC 10918-5) uses it: Y = 0.299 R + 0.587 G + 0.114 B, here within what JPEG changes. */
static void
test_luma_formula (void)
{
  FixtureJpeg spec = { .width = 64, .height = 48, .components = 3, .sampling = 1, .quality = 98 };
  char *dir = fixture_dir ();
  g_autoptr (ShimPhoto) photo = open_picture (dir, &spec);
  g_autoptr (GByteArray) luma = stream_all (photo, 48);

  for (int y = 0; y < spec.height; y++)
    for (int x = 0; x < spec.width; x++)
      {
        double expected = 0.299 * fixture_pixel (x, y, 0) + 0.587 * fixture_pixel (x, y, 1) + 0.114 * fixture_pixel (x, y, 2);

        g_assert_cmpfloat_with_epsilon (luma->data[y * spec.width + x], expected, 6.0);
      }
  fixture_remove_dir (dir);
}

/* A strip of colour channels is that of the whole, chroma at its edges included. */
static void
test_channels (void)
{
  static const ShimRect whole_rect = { 0, 0, 333, 257 };
  char *dir = fixture_dir ();

  for (guint i = 0; i < G_N_ELEMENTS (pictures); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (ShimPhoto) photo = open_picture (dir, &pictures[i]);
      g_autoptr (ShimChannelsBlock) whole = shim_luma_read_channels (photo, &whole_rect, NULL, &error);
      const guint8 *expected = g_bytes_get_data (whole->bytes, NULL);

      for (guint r = 0; r < G_N_ELEMENTS (rects); r++)
        {
          g_autoptr (ShimChannelsBlock) block = shim_luma_read_channels (photo, &rects[r], NULL, &error);
          const guint8 *px = g_bytes_get_data (block->bytes, NULL);

          g_assert_no_error (error);
          for (int y = 0; y < rects[r].height; y++)
            g_assert_cmpmem (px + (gsize) y * block->stride, (gsize) rects[r].width * 3,
                             expected + ((gsize) (rects[r].y + y) * 333 + rects[r].x) * 3, (gsize) rects[r].width * 3);
        }
    }
  fixture_remove_dir (dir);
}

/* What the first look keeps is the picture's own luma, and no more than it may. */
static void
test_first_look (void)
{
  static const gsize keep_bytes[] = { 1000000, 333 * 257, 333 * 257 - 1, 20000, 0 };
  char *dir = fixture_dir ();
  g_autoptr (ShimPhoto) photo = open_picture (dir, &pictures[1]);
  g_autoptr (GByteArray) whole = stream_all (photo, 257);

  for (guint i = 0; i < 2 * G_N_ELEMENTS (keep_bytes); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (ShimFirstLook) look = shim_first_look (photo, i % 2 == 1, keep_bytes[i / 2], NULL, &error);
      ShimRect middle = { 140, 110, 50, 40 };
      ShimLuma luma;

      g_assert_no_error (error);
      g_assert_cmpint (shim_first_look_get_luma (look, &rects[0], &luma), ==, keep_bytes[i / 2] >= 333 * 257);
      g_assert_cmpint (shim_first_look_get_luma (look, &middle, &luma), ==, keep_bytes[i / 2] > 0);
      for (int y = 0; keep_bytes[i / 2] > 0 && y < middle.height; y++)
        g_assert_cmpmem (luma.px + (gsize) y * luma.stride, (gsize) middle.width,
                         whole->data + (gsize) (middle.y + y) * 333 + middle.x, (gsize) middle.width);
    }
  fixture_remove_dir (dir);
}

/* A file that ends early, or a cancelled look, ends both threads. */
static void
test_first_look_fails (void)
{
  char *dir = fixture_dir ();
  g_autoptr (GBytes) whole = fixture_plain_jpeg (640, 480);
  g_autoptr (GBytes) half = g_bytes_new_from_bytes (whole, 0, g_bytes_get_size (whole) / 2);
  g_autofree char *path = fixture_write (dir, "half.jpg", half);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPhoto) photo = shim_photo_open (path, &error);
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();

  g_assert_no_error (error);
  for (int two_threads = 0; two_threads < 2; two_threads++)
    {
      g_assert_null (shim_first_look (photo, two_threads, 1000, NULL, &error));
      g_assert_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_DAMAGED);
      g_clear_error (&error);
    }
  g_cancellable_cancel (cancellable);
  g_assert_null (shim_first_look (photo, TRUE, 1000, cancellable, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  fixture_remove_dir (dir);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/photo/luma/rects", test_rects);
  g_test_add_func ("/photo/luma/begun", test_begun);
  g_test_add_func ("/photo/luma/stream-blocks", test_stream_blocks);
  g_test_add_func ("/photo/luma/stream-stopped", test_stream_stopped);
  g_test_add_func ("/photo/luma/formula", test_luma_formula);
  g_test_add_func ("/photo/luma/channels", test_channels);
  g_test_add_func ("/photo/luma/first-look", test_first_look);
  g_test_add_func ("/photo/luma/first-look-fails", test_first_look_fails);
  return g_test_run ();
}
