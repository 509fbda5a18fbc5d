/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-batch.h"
#include "frame-render.h"
#include "frame-sensor.h"
#include "frame-sets.h"
#include "frame-tile.h"

#include <gexiv2/gexiv2.h>
#include <glib/gstdio.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include <jpeglib.h>

/* The files: noise, curve, places of ticks, metadata, turned pixels, and the sets. */

/* The middle of the plain frame: as large a scale, fewer pixels. */
static void
init_small (FrameScene *scene)
{
  frame_scene_init (scene);
  scene->width_px = 1600;
  scene->height_px = 1000;
  scene->sensor_width_mm = 9.6;
}

/* The sRGB decoding curve of IEC 61966-2-1, of 8-bit values. */
static double
linear (double value)
{
  value /= 255.0;
  return value <= 0.04045 ? value / 12.92 : pow ((value + 0.055) / 1.055, 2.4);
}

/* Differences of neighbours two pixels apart take the wall's slow changes off. Rounding to 8 bits adds a twelfth of a
 * step, squared. */
static void
test_noise (void)
{
  static const struct
  {
    int iso;
    double exposure;
  } cases[] = { { 100, 1.0 }, { 800, 1.0 }, { 6400, 1.0 }, { 6400, 0.1 } };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      FrameScene scene;
      g_autofree guint8 *rgb = NULL;
      double sum = 0.0, square = 0.0, full, read = frame_sensor_read_noise (), light, code, step, expected;
      int n = 0;

      init_small (&scene);
      scene.iso = cases[i].iso;
      scene.exposure = cases[i].exposure;
      scene.noise_everywhere = TRUE;
      scene.ruler = scene.card = FALSE;
      rgb = frame_render_pixels (&scene, NULL);
      for (int k = 0; k + 2 < scene.width_px * scene.height_px; k += 4, n++)
        {
          double a = linear (rgb[3 * k + 1]), b = linear (rgb[3 * (k + 2) + 1]);

          sum += a;
          square += (a - b) * (a - b) / 2.0;
        }
      light = sum / n;
      full = frame_sensor_full_scale (&scene);
      code = 255.0 * (1.055 * pow (light, 1.0 / 2.4) - 0.055);
      step = linear (code + 0.5) - linear (code - 0.5);
      expected = (light * full + read * read) / (full * full) + step * step / 12.0;
      g_assert_cmpfloat_with_epsilon (sqrt (square / n / expected), 1.0, 0.03);
    }
}

/* The full scale: 32000 electrons at ISO 100, 900 at ISO 6400, for pixels of 6 micrometres. */
static void
test_full_scale (void)
{
  FrameScene scene;

  frame_scene_init (&scene);
  g_assert_cmpfloat_with_epsilon (frame_sensor_full_scale (&scene), 32000.0, 1.0);
  scene.iso = 6400;
  g_assert_cmpfloat_with_epsilon (frame_sensor_full_scale (&scene), 900.0, 1.0);
}

/* Where a dark tick is centred: of three columns of pixels in the lane that holds 10 mm ticks alone. */
static double
tick_centre (const FrameScene *scene, const guint8 *rgb, double x, double y)
{
  int left = (int) floor (x) - 1, top = (int) floor (y) - 5;
  double dark = 0.0, moment = 0.0, paper[2] = { 0.0, 0.0 };

  for (int pass = 0; pass < 2; pass++)
    for (int j = 0; j < 11; j++)
      for (int i = 0; i < 3; i++)
        {
          double light = linear (rgb[3 * ((gsize) (top + j) * scene->width_px + left + i) + 1]);
          double away = top + j + 0.5 - y;

          /* First the paper at both ends of the window, as a straight line; then what is darker. */
          if (pass == 0 && (j == 0 || j == 10))
            paper[j / 10] += light / 3.0;
          else if (pass == 1)
            {
              double ink = paper[0] + (paper[1] - paper[0]) * j / 10.0 - light;

              dark += ink;
              moment += ink * away;
            }
        }
  return moment / dark;
}

static void
test_tick_places (void)
{
  for (int toward = 0; toward < 2; toward++)
    {
      FrameScene scene;
      g_autofree guint8 *rgb = NULL;
      double sum = 0.0, square = 0.0, xyz[3];
      int n = 0;

      init_small (&scene);
      scene.noise = FALSE;
      scene.toward = toward;
      scene.delta_mm = 12.0;
      rgb = frame_render_pixels (&scene, NULL);
      for (int reading = 100; reading <= 220; reading += 10, n++)
        {
          FrameMark mark;
          double off;

          frame_truth_mark (&scene, reading, &mark);
          frame_scene_on_edge (&scene, reading, xyz);
          off = tick_centre (&scene, rgb, mark.upright.x + 7.0 * scene.focal_mm / xyz[2] / 0.006, mark.upright.y);
          sum += off;
          square += off * off;
        }
      /* Single ticks are known to some hundredths of a pixel: 8 bits and the growth of the scale across the window. */
      g_assert_cmpfloat (fabs (sum / n), <, 0.02);
      g_assert_cmpfloat (sqrt (square / n), <, 0.05);
    }
}

/* The truth agrees with the signs the project has: past the target is farther, and up the ruler when readings grow so. */
static void
test_truth (void)
{
  FrameScene scene;
  FrameTruth truth;

  frame_scene_init (&scene);
  scene.delta_mm = 20.4;
  scene.distance_mm = 2510.0;
  frame_truth_compute (&scene, &truth);
  g_assert_cmpfloat_with_epsilon (truth.sharp.reading_mm, 150.0 + 20.4 * G_SQRT2, 1e-9);
  g_assert_true (truth.on_ruler);
  g_assert_cmpfloat (truth.sharp.upright.y, <, truth.aligned.upright.y);
  g_assert_cmpfloat (truth.far_end.upright.y, <, truth.near_end.upright.y);
  /* y = v sin (angle) 100 / (distance + 100 cos (angle)) below and above the axis, x at 5 mm */
  g_assert_cmpfloat_with_epsilon (truth.mark1.upright.y, 2246.44, 0.02);
  g_assert_cmpfloat_with_epsilon (truth.mark2.upright.y, 1767.07, 0.02);
  g_assert_cmpfloat_with_epsilon (truth.aligned.upright.x, 3016.93, 0.02);
  scene.toward = TRUE;
  frame_truth_compute (&scene, &truth);
  g_assert_cmpfloat_with_epsilon (truth.sharp.reading_mm, 150.0 - 20.4 * G_SQRT2, 1e-9);
  g_assert_cmpfloat (truth.sharp.upright.y, <, truth.aligned.upright.y);
  scene.delta_mm = 130.0;
  frame_truth_compute (&scene, &truth);
  g_assert_false (truth.on_ruler);
}

static guint8 *
read_jpeg (const char *path, int *width, int *height)
{
  struct jpeg_decompress_struct jpeg = { 0 };
  struct jpeg_error_mgr errors;
  FILE *file = g_fopen (path, "rb");
  guint8 *pixels;

  g_assert_nonnull (file);
  jpeg.err = jpeg_std_error (&errors);
  jpeg_create_decompress (&jpeg);
  jpeg_stdio_src (&jpeg, file);
  jpeg_read_header (&jpeg, TRUE);
  jpeg.out_color_space = JCS_RGB;
  jpeg_start_decompress (&jpeg);
  *width = (int) jpeg.output_width;
  *height = (int) jpeg.output_height;
  pixels = g_malloc (3 * (gsize) *width * *height);
  while (jpeg.output_scanline < jpeg.output_height)
    {
      JSAMPROW row = pixels + 3 * (gsize) *width * jpeg.output_scanline;

      jpeg_read_scanlines (&jpeg, &row, 1);
    }
  jpeg_finish_decompress (&jpeg);
  jpeg_destroy_decompress (&jpeg);
  fclose (file);
  return pixels;
}

static char *
make_folder (void)
{
  g_autoptr (GError) error = NULL;
  char *folder = g_dir_make_tmp ("shimbook-frames-XXXXXX", &error);

  g_assert_no_error (error);
  return folder;
}

/* Exif 2.32, Orientation: 1 row 0 top, column 0 left; 3 bottom, right; 6 right, top; 8 left, bottom. */
static const struct
{
  int turn_deg;
  int tag;
} turns[] = { { 0, 1 }, { 90, 6 }, { 180, 3 }, { 270, 8 } };

/* Where the stored pixel (x, y) of a w x h file is shown, by that table. */
static void
show (int tag, double x, double y, int w, int h, double *right, double *down)
{
  *right = tag == 1 ? x : tag == 3 ? w - x : tag == 6 ? h - y : y;
  *down = tag == 1 ? y : tag == 3 ? h - y : tag == 6 ? x : w - x;
}

static void
test_orientation (void)
{
  g_autofree char *folder = make_folder ();
  g_autofree char *path = g_build_filename (folder, "turned.jpg", NULL);

  for (guint i = 0; i < G_N_ELEMENTS (turns); i++)
    {
      FrameScene scene;
      FrameTruth truth;
      g_autofree guint8 *upright = NULL;
      g_autofree guint8 *stored = NULL;
      double right, down, off = 0.0;
      int w, h, canvas_w, canvas_h, n = 0;

      init_small (&scene);
      scene.turn_deg = turns[i].turn_deg;
      scene.quality = 97;
      scene.subsampling = 444;
      frame_scene_canvas (&scene, &canvas_w, &canvas_h);
      upright = frame_render_pixels (&scene, NULL);
      g_assert_true (frame_render_file (&scene, path, &truth, NULL));
      stored = read_jpeg (path, &w, &h);
      g_assert_cmpint (w, ==, 1600);
      g_assert_cmpint (h, ==, 1000);
      g_assert_cmpint (truth.orientation, ==, turns[i].tag);
      for (int k = 0; k < w * h; k += 37, n++)
        {
          show (turns[i].tag, k % w + 0.5, k / w + 0.5, w, h, &right, &down);
          off += abs (stored[3 * k] - upright[3 * ((int) down * canvas_w + (int) right)]);
        }
      g_assert_cmpfloat (off / n, <, 1.0);
      show (turns[i].tag, truth.mark1.stored.x, truth.mark1.stored.y, w, h, &right, &down);
      g_assert_cmpfloat_with_epsilon (right, truth.mark1.upright.x, 1e-9);
      g_assert_cmpfloat_with_epsilon (down, truth.mark1.upright.y, 1e-9);
      g_unlink (path);
    }
  g_rmdir (folder);
}

static void
assert_tag (GExiv2Metadata *metadata, const char *tag, const char *expected)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = gexiv2_metadata_try_get_tag_string (metadata, tag, &error);

  g_assert_no_error (error);
  g_assert_cmpstr (text, ==, expected);
}

static void
assert_ratio (GExiv2Metadata *metadata, const char *tag, double expected)
{
  g_autoptr (GError) error = NULL;
  int over = 0, under = 1;

  g_assert_true (gexiv2_metadata_try_get_exif_tag_rational (metadata, tag, &over, &under, &error));
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon ((double) over / under, expected, 1e-3 * expected);
}

static void
test_metadata (void)
{
  g_autofree char *folder = make_folder ();
  g_autofree char *path = g_build_filename (folder, "tagged.jpg", NULL);
  g_autoptr (GExiv2Metadata) metadata = gexiv2_metadata_new ();
  FrameScene scene;
  guint8 *thumbnail = NULL;
  gint size = 0;

  init_small (&scene);
  scene.taken = "2026:11:20 10:31:05";
  scene.subsec = "38";
  scene.plane_unit_cm = TRUE;
  g_assert_true (frame_render_file (&scene, path, NULL, NULL));
  g_assert_true (gexiv2_metadata_open_path (metadata, path, NULL));
  assert_tag (metadata, "Exif.Image.Make", "Orrin");
  assert_tag (metadata, "Exif.Image.Model", "Orrin Two");
  assert_tag (metadata, "Exif.Photo.BodySerialNumber", "70310522");
  assert_tag (metadata, "Exif.Photo.LensModel", "Velle 50mm f/1.8");
  assert_tag (metadata, "Exif.Photo.LensSerialNumber", "V5-11873");
  assert_tag (metadata, "Exif.Photo.DateTimeOriginal", "2026:11:20 10:31:05");
  assert_tag (metadata, "Exif.Photo.SubSecTimeOriginal", "38");
  assert_tag (metadata, "Exif.Image.Orientation", "1");
  assert_tag (metadata, "Exif.Photo.ISOSpeedRatings", "100");
  assert_tag (metadata, "Exif.Photo.FocalPlaneResolutionUnit", "3");
  assert_ratio (metadata, "Exif.Photo.FocalLength", 50.0);
  assert_ratio (metadata, "Exif.Photo.FNumber", 1.8);
  assert_ratio (metadata, "Exif.Photo.ExposureTime", 1.0 / 125.0);
  assert_ratio (metadata, "Exif.Photo.SubjectDistance", 2.5);
  /* 6 micrometres from pixel to pixel */
  assert_ratio (metadata, "Exif.Photo.FocalPlaneXResolution", 1.0 / 0.0006);
  g_assert_true (gexiv2_metadata_get_exif_thumbnail (metadata, &thumbnail, &size));
  g_assert_cmpint (size, >, 200);
  g_free (thumbnail);
  g_unlink (path);
  g_rmdir (folder);
}

/* What is asked to be left out is left out. */
static void
test_no_metadata (void)
{
  g_autofree char *folder = make_folder ();
  g_autofree char *path = g_build_filename (folder, "bare.jpg", NULL);
  FrameScene scene;

  init_small (&scene);
  for (int bare = 0; bare < 2; bare++)
    {
      g_autoptr (GExiv2Metadata) metadata = gexiv2_metadata_new ();

      scene.write_lens = FALSE;
      scene.write_exif = !bare;
      g_assert_true (frame_render_file (&scene, path, NULL, NULL));
      g_assert_true (gexiv2_metadata_open_path (metadata, path, NULL));
      g_assert_cmpint (gexiv2_metadata_has_exif (metadata), ==, !bare);
      g_assert_false (gexiv2_metadata_try_has_tag (metadata, "Exif.Photo.FocalLength", NULL));
      g_assert_false (gexiv2_metadata_try_has_tag (metadata, "Exif.Photo.FNumber", NULL));
    }
  g_unlink (path);
  g_rmdir (folder);
}

/* The mosaic's filters keep an even colour and a straight gradient. */
static void
test_demosaic (void)
{
  FrameColour pixels[20 * 20];
  FrameTile tile = { { -3, -3, 17, 17 }, 20, 20, pixels };

  for (int i = 0; i < 400; i++)
    pixels[i] = (FrameColour){ 0.2f + 0.01f * (i % 20), 0.3f + 0.01f * (i % 20), 0.1f + 0.01f * (i % 20), 1.0f };
  frame_tile_demosaic (&tile);
  for (int y = 2; y < 18; y++)
    for (int x = 2; x < 18; x++)
      for (int c = 0; c < 3; c++)
        {
          float base = c == 0 ? 0.2f : c == 1 ? 0.3f : 0.1f;

          g_assert_cmpfloat_with_epsilon (pixels[20 * y + x][c], base + 0.01f * x, 0.001f);
        }
}

/* All frames of all sets can be made, come again from the same seed, and keep what their kind promises. */
static void
test_sets (void)
{
  for (const char *const *name = frame_set_names (); *name != NULL; name++)
    for (int i = 0; i < 60; i++)
      {
        FrameScene scene, again;
        FrameTruth truth;
        g_autoptr (GError) error = NULL;

        g_assert_nonnull (frame_set_about (*name));
        g_assert_true (frame_set_draw (*name, 7, i, &scene, &error));
        g_assert_true (frame_scene_check (&scene, &error));
        g_assert_no_error (error);
        frame_set_draw (*name, 7, i, &again, NULL);
        g_assert_cmpmem (&scene, sizeof scene, &again, sizeof again);
        frame_truth_compute (&scene, &truth);
        /* These sets have frames of both kinds. */
        if (strcmp (*name, "owntarget") != 0 && strcmp (*name, "hard") != 0)
          g_assert_cmpint (truth.on_ruler, ==, strcmp (*name, "offruler") != 0);
        g_assert_cmpfloat (truth.aligned.stored.x, >, 0.0);
        g_assert_cmpfloat (truth.aligned.stored.x, <, scene.width_px);
      }
}

/* Several frames at once, their files and a truth with a value for each column. */
static void
test_batch (void)
{
  g_autofree char *folder = make_folder ();
  g_autofree char *round = g_build_filename (folder, "round-1", NULL);
  g_autofree char *csv = g_build_filename (folder, "truth.csv", NULL);
  g_autofree char *text = NULL;
  g_autoptr (GPtrArray) jobs = g_ptr_array_new_with_free_func ((GDestroyNotify) frame_job_free);
  g_autoptr (GError) error = NULL;
  g_auto (GStrv) lines = NULL;
  g_auto (GStrv) names = NULL;

  for (int i = 0; i < 3; i++)
    {
      FrameJob *job = g_new0 (FrameJob, 1);

      init_small (&job->scene);
      job->scene.card = FALSE;
      job->name = g_strdup_printf ("round-1/f%d.jpg", i);
      job->setting = g_strdup ("-3");
      g_ptr_array_add (jobs, job);
    }
  g_assert_true (frame_batch_write (jobs, folder, &error));
  g_assert_no_error (error);
  g_assert_true (g_file_get_contents (csv, &text, NULL, NULL));
  lines = g_strsplit (text, "\n", -1);
  g_assert_cmpuint (g_strv_length (lines), ==, 5); /* names, three frames, the end */
  names = g_strsplit (lines[0], ",", -1);
  for (guint i = 0; i < 3; i++)
    {
      const FrameJob *job = jobs->pdata[i];
      g_autofree char *path = g_build_filename (folder, job->name, NULL);
      g_auto (GStrv) values = g_strsplit (lines[i + 1], ",", -1);

      g_assert_cmpuint (g_strv_length (values), ==, g_strv_length (names));
      g_assert_cmpstr (values[0], ==, job->name);
      g_assert_cmpint (g_unlink (path), ==, 0);
    }
  g_unlink (csv);
  g_rmdir (round);
  g_rmdir (folder);
}

static void
test_errors (void)
{
  FrameScene scene;
  g_autoptr (GError) error = NULL;

  frame_scene_init (&scene);
  scene.focal_mm = 2400.0;
  g_assert_false (frame_render_file (&scene, "unused.jpg", NULL, &error));
  g_assert_error (error, FRAME_ERROR, FRAME_ERROR_SCENE);
  g_clear_error (&error);
  init_small (&scene);
  g_assert_false (frame_render_file (&scene, "/nonexistent/folder/a.jpg", NULL, &error));
  g_assert_error (error, FRAME_ERROR, FRAME_ERROR_WRITE);
  g_clear_error (&error);
  g_assert_false (frame_set_write ("nothing", 1, 1, "/nonexistent", &error));
  g_assert_error (error, FRAME_ERROR, FRAME_ERROR_SCENE);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/frames/files/full-scale", test_full_scale);
  g_test_add_func ("/frames/files/noise", test_noise);
  g_test_add_func ("/frames/files/tick-places", test_tick_places);
  g_test_add_func ("/frames/files/truth", test_truth);
  g_test_add_func ("/frames/files/orientation", test_orientation);
  g_test_add_func ("/frames/files/metadata", test_metadata);
  g_test_add_func ("/frames/files/no-metadata", test_no_metadata);
  g_test_add_func ("/frames/files/demosaic", test_demosaic);
  g_test_add_func ("/frames/files/sets", test_sets);
  g_test_add_func ("/frames/files/batch", test_batch);
  g_test_add_func ("/frames/files/errors", test_errors);
  return g_test_run ();
}
