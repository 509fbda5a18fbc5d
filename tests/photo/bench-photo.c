/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#include <jpeglib.h>

#include "frame-render.h"
#include "frame-write.h"
#include "photo-fixture.h"
#include "shim-frame-measure.h"
#include "shim-luma-reader.h"
#include "shim-picture.h"

/* What opening, showing and measuring a frame of 45 megapixels costs, each as a ratio to one full decode of the
 * same file by the JPEG library itself into memory that is already there. Ratios, not times, can be compared
 * between machines; on a busy one even they waver, so the best of several runs counts, and processor time stands
 * beside the clock's. */

#define WIDTH 8256
#define HEIGHT 5504
#define RUNS 5
#define FRAMES_PER_CORE 4

typedef struct
{
  char *dir;
  char *with_thumbnail;
  char *without;
  guint8 *buffer;
  FrameTruth truth;
} Bench;

static void
make_file (const FrameScene *scene, const guint8 *rgb, const char *path)
{
  g_autoptr (GError) error = NULL;

  if (!frame_write_jpeg (scene, rgb, path, &error) || !frame_write_metadata (scene, rgb, path, &error))
    g_error ("%s", error->message);
}

static void
make_files (Bench *bench)
{
  g_autoptr (GError) error = NULL;
  g_autofree guint8 *rgb = NULL;
  FrameScene scene;

  frame_scene_init (&scene);
  scene.width_px = WIDTH;
  scene.height_px = HEIGHT;
  scene.delta_mm = 12.0;
  scene.iso = 400;
  scene.noise_everywhere = TRUE;
  scene.quality = 97;
  scene.thumbnail = TRUE;
  rgb = frame_render_pixels (&scene, &error);
  if (rgb == NULL)
    g_error ("%s", error->message);
  make_file (&scene, rgb, bench->with_thumbnail);
  scene.thumbnail = FALSE;
  make_file (&scene, rgb, bench->without);
  frame_truth_compute (&scene, &bench->truth);
}

/* The yardstick: nothing of this project in it. */
static void
decode_by_library (Bench *bench)
{
  struct jpeg_decompress_struct cinfo = { 0 };
  struct jpeg_error_mgr err;
  FILE *file = fopen (bench->without, "rb");

  cinfo.err = jpeg_std_error (&err);
  jpeg_create_decompress (&cinfo);
  jpeg_stdio_src (&cinfo, file);
  jpeg_read_header (&cinfo, TRUE);
  cinfo.out_color_space = JCS_RGB;
  jpeg_start_decompress (&cinfo);
  while (cinfo.output_scanline < cinfo.output_height)
    {
      JSAMPROW row = bench->buffer + (gsize) cinfo.output_scanline * WIDTH * 3;

      jpeg_read_scanlines (&cinfo, &row, 1);
    }
  jpeg_finish_decompress (&cinfo);
  jpeg_destroy_decompress (&cinfo);
  fclose (file);
}

static void
show (const char *path, ShimPictureSize size)
{
  g_autoptr (ShimPhoto) photo = shim_photo_open (path, NULL);
  g_autoptr (ShimPicture) picture = shim_picture_load (photo, size, NULL, NULL);

  g_assert_nonnull (picture);
}

static void
open_only (Bench *bench)
{
  g_autoptr (ShimPhoto) photo = shim_photo_open (bench->with_thumbnail, NULL);

  g_assert_nonnull (photo);
}

static void
show_thumbnail (Bench *bench)
{
  show (bench->with_thumbnail, SHIM_PICTURE_QUICK);
}

static void
show_eighth (Bench *bench)
{
  show (bench->without, SHIM_PICTURE_QUICK);
}

static void
show_full (Bench *bench)
{
  show (bench->without, SHIM_PICTURE_FULL);
}

static gboolean
ignore_rows (int y0, int n_rows, const guint8 *px, gsize stride, gpointer user_data)
{
  return TRUE;
}

static void
stream_luma (Bench *bench)
{
  g_autoptr (ShimPhoto) photo = shim_photo_open (bench->without, NULL);

  g_assert_true (shim_luma_stream (photo, 32, ignore_rows, NULL, NULL, NULL));
}

static void
read_strip (Bench *bench)
{
  g_autoptr (ShimPhoto) photo = shim_photo_open (bench->without, NULL);
  ShimRect rect = { WIDTH / 2 - 300, HEIGHT / 2 - 600, 600, 1200 };
  g_autoptr (ShimLumaBlock) block = shim_luma_read_rect (photo, &rect, NULL, NULL);

  g_assert_nonnull (block);
}

static ShimMeasurement *
measure (const Bench *bench, gboolean with_strip)
{
  const FrameTruth *truth = &bench->truth;
  ShimMeasureRequest request;

  shim_measure_request_init (&request);
  request.has_target = TRUE;
  request.target_px = (ShimPoint) { truth->aligned.upright.x, truth->aligned.upright.y };
  request.has_strip = with_strip;
  request.strip_a_px = (ShimPoint) { truth->near_end.upright.x, truth->near_end.upright.y };
  request.strip_b_px = (ShimPoint) { truth->far_end.upright.x, truth->far_end.upright.y };
  return shim_frame_measure (bench->without, &request, NULL, NULL, NULL);
}

static void
measure_strip (Bench *bench)
{
  g_autoptr (ShimMeasurement) measurement = measure (bench, TRUE);

  g_assert_nonnull (measurement);
}

static void
measure_found (Bench *bench)
{
  g_autoptr (ShimMeasurement) measurement = measure (bench, FALSE);

  g_assert_nonnull (measurement);
}

typedef struct
{
  double wall_ms;
  double cpu_ms;
} Cost;

static double
cpu_ms (void)
{
  struct timespec time;

  clock_gettime (CLOCK_PROCESS_CPUTIME_ID, &time);
  return (double) time.tv_sec * 1e3 + (double) time.tv_nsec / 1e6;
}

static double
wall_ms (void)
{
  return (double) g_get_monotonic_time () / 1e3;
}

/* The least of several runs, by either clock. */
static Cost
best_of (Bench *bench, void (*func) (Bench *bench))
{
  Cost best = { G_MAXDOUBLE, G_MAXDOUBLE };

  for (int i = 0; i < RUNS; i++)
    {
      double wall = wall_ms ();
      double cpu = cpu_ms ();

      func (bench);
      best.wall_ms = MIN (best.wall_ms, wall_ms () - wall);
      best.cpu_ms = MIN (best.cpu_ms, cpu_ms () - cpu);
    }
  return best;
}

/* Highest resident memory of this process so far, megabytes. */
static double
peak_mb (void)
{
  g_autofree char *status = NULL;
  const char *line;

  if (!g_file_get_contents ("/proc/self/status", &status, NULL, NULL) || (line = strstr (status, "VmHWM:")) == NULL)
    return -1.0;
  return strtod (line + strlen ("VmHWM:"), NULL) / 1024.0;
}

/* In a process of its own, so that no other memory is counted: measures with nothing known and prints the peak. */
static int
child (const char *path)
{
  double before = peak_mb ();
  g_autoptr (ShimMeasurement) measurement = shim_frame_measure (path, NULL, NULL, NULL, NULL);

  printf ("peak memory of measuring with nothing known: %.0f MB (%.0f MB before it began); goal ≤ 60 MB\n", peak_mb (),
          before);
  return measurement != NULL ? EXIT_SUCCESS : EXIT_FAILURE;
}

static void
report_memory (const char *program, const Bench *bench)
{
  const char *argv[] = { program, "--child", bench->without, NULL };
  g_autofree char *output = NULL;

  if (g_spawn_sync (NULL, (char **) argv, NULL, G_SPAWN_DEFAULT, NULL, NULL, &output, NULL, NULL, NULL))
    printf ("%s", output);
}

/* How well all cores are used: the time the frames take one after the other, over cores × the time they take
 * together. When other programs are running the cores are not ours: then the share of them that was got says more.
 * */
static void
report_cores (const Bench *bench)
{
  guint n_cores = g_get_num_processors ();
  guint n_frames = n_cores * FRAMES_PER_CORE;
  g_autofree const char **paths = g_new0 (const char *, n_frames + 1);
  g_autoptr (GPtrArray) results = NULL;
  double wall, cpu, alone_cpu, together;

  for (guint i = 0; i < n_frames; i++)
    paths[i] = bench->without;
  wall = wall_ms ();
  cpu = cpu_ms ();
  for (guint i = 0; i < n_frames; i++)
    {
      const char *one[] = { paths[i], NULL };

      g_ptr_array_unref (shim_frame_measure_many (one, NULL, NULL, NULL, NULL));
    }
  wall = wall_ms () - wall;
  alone_cpu = cpu_ms () - cpu;
  printf ("%u frames one by one: %.0f ms each, %.0f ms of the processor\n", n_frames, wall / n_frames,
          alone_cpu / n_frames);
  cpu = cpu_ms ();
  together = wall_ms ();
  results = shim_frame_measure_many (paths, NULL, NULL, NULL, NULL);
  together = wall_ms () - together;
  cpu = cpu_ms () - cpu;
  printf ("%u frames on %u cores: %.0f %% efficient; goal ≥ 85 %% "
          "(%.2f of the cores were got, %.2f of the work was needed)\n", n_frames, n_cores,
          100.0 * wall / (together * n_cores), cpu / (together * n_cores), alone_cpu / cpu);
}

static void
report_times (Bench *bench)
{
  static const struct
  {
    const char *what;
    void (*func) (Bench *bench);
    const char *goal;
  } rows[] = {
    { "open, metadata", open_only, "" },
    { "first picture, from the file's own", show_thumbnail, "≤ 0.05" },
    { "first picture, by an eighth", show_eighth, "≤ 0.75" },
    { "full picture", show_full, "" },
    { "luma of the whole, streamed", stream_luma, "" },
    { "luma of 600 × 1200 px in the middle", read_strip, "" },
    { "measure, strip known", measure_strip, "≤ 0.5" },
    { "measure, only the target known", measure_found, "≤ 1.2" },
  };
  Cost full = best_of (bench, decode_by_library);

  printf ("one full decode by the library: %.0f ms, %.0f of the processor\n", full.wall_ms, full.cpu_ms);
  printf ("%-40s %8s %7s %14s  %s\n", "what", "ms", "ratio", "processor only", "goal");
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      Cost cost = best_of (bench, rows[i].func);

      printf ("%-40s %8.1f %7.3f %14.3f  %s\n", rows[i].what, cost.wall_ms, cost.wall_ms / full.wall_ms,
              cost.cpu_ms / full.cpu_ms, rows[i].goal);
    }
}

int
main (int argc, char **argv)
{
  Bench bench = { 0 };
  struct stat status;

  if (argc == 3 && strcmp (argv[1], "--child") == 0)
    return child (argv[2]);

  bench.dir = fixture_dir ();
  bench.with_thumbnail = g_build_filename (bench.dir, "with-thumbnail.jpg", NULL);
  bench.without = g_build_filename (bench.dir, "without.jpg", NULL);
  bench.buffer = g_malloc0 ((gsize) WIDTH * HEIGHT * 3);
  make_files (&bench);
  if (stat (bench.without, &status) == 0)
    printf ("%d × %d px, %.1f MB, best of %d\n", WIDTH, HEIGHT, status.st_size / 1e6, RUNS);
  report_times (&bench);
  report_memory (argv[0], &bench);
  report_cores (&bench);
  g_free (bench.buffer);
  g_free (bench.with_thumbnail);
  g_free (bench.without);
  fixture_remove_dir (bench.dir);
  return EXIT_SUCCESS;
}
