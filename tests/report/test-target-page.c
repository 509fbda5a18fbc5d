/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

#include "shim-own-target-measures.h"
#include "shim-target-page.h"

/* The written PDF, turned into pixels by another program (poppler's pdftoppm) and measured there. */

/* 508 dots per inch: 0.05 mm a pixel. */
#define DPI 508
#define PX_PER_MM 20.0
#define MARGIN_MM 5.0

typedef struct
{
  int width;
  int height;
  guint8 *px;
  char *file;
} Raster;

static void
raster_clear (Raster *raster)
{
  g_free (raster->file);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Raster, raster_clear)

/* Binary PGM as netpbm describes it: P5, width, height, 255, bytes. */
static void
raster_load (Raster *raster, const char *path)
{
  gsize length, offset;

  g_assert_true (g_file_get_contents (path, &raster->file, &length, NULL));
  g_assert_cmpint (sscanf (raster->file, "P5 %d %d 255", &raster->width, &raster->height), ==, 2);
  offset = length - (gsize) raster->width * raster->height;
  raster->px = (guint8 *) raster->file + offset;
}

static void
rasterize (ShimPaper paper, int sheet, Raster *raster)
{
  g_autofree char *folder = g_dir_make_tmp ("shimbook-target-XXXXXX", NULL);
  g_autofree char *pdf = g_build_filename (folder, "target.pdf", NULL), *base = g_build_filename (folder, "page", NULL);
  g_autofree char *pgm = g_strconcat (base, ".pgm", NULL), *number = g_strdup_printf ("%d", sheet + 1);
  const char *argv[] = { "pdftoppm", "-r", G_STRINGIFY (DPI), "-gray", "-singlefile", "-f", number, "-l", number, pdf, base, NULL };
  g_autoptr (GError) error = NULL;
  int status;

  g_assert_true (shim_target_page_write (paper, pdf, &error));
  g_assert_no_error (error);
  g_assert_true (g_spawn_sync (NULL, (char **) argv, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL, NULL, &status, &error));
  g_assert_no_error (error);
  g_assert_cmpint (status, ==, 0);
  raster_load (raster, pgm);
  g_unlink (pgm);
  g_unlink (pdf);
  g_rmdir (folder);
}

static gboolean
is_dark (const Raster *raster, double x_mm, double y_mm)
{
  return raster->px[(gsize) (y_mm * PX_PER_MM) * raster->width + (gsize) (x_mm * PX_PER_MM)] < 128;
}

/* Sizes of ISO 216 A4 and ANSI Letter (ASME Y14.1). */
static void
test_paper (void)
{
  static const double sizes[][2] = { { 210.0, 297.0 }, { 215.9, 279.4 } };

  for (int paper = SHIM_PAPER_A4; paper <= SHIM_PAPER_LETTER; paper++)
    for (int sheet = 0; sheet < SHIM_TARGET_SHEETS; sheet++)
      {
        g_auto (Raster) raster = { 0 };

        rasterize (paper, sheet, &raster);
        g_assert_cmpfloat_with_epsilon (raster.width / PX_PER_MM, sizes[paper][0], 0.1);
        g_assert_cmpfloat_with_epsilon (raster.height / PX_PER_MM, sizes[paper][1], 0.1);
        for (int y = 0; y < raster.height; y++)
          for (int x = 0; x < raster.width; x++)
            if (raster.px[(gsize) y * raster.width + x] < 128)
              {
                g_assert_cmpfloat (MIN (x, raster.width - x) / PX_PER_MM, >, MARGIN_MM);
                g_assert_cmpfloat (MIN (y, raster.height - y) / PX_PER_MM, >, MARGIN_MM);
              }
      }
}

/* The check bar is the only long lying bar that is 1 mm thick: found in the picture, not from the layout. */
static void
test_check_bar (void)
{
  for (int paper = SHIM_PAPER_A4; paper <= SHIM_PAPER_LETTER; paper++)
    for (int sheet = 0; sheet < SHIM_TARGET_SHEETS; sheet++)
      {
        g_auto (Raster) raster = { 0 };
        int rows = 0;
        double length = NAN;

        rasterize (paper, sheet, &raster);
        for (int y = 0; y < raster.height; y++)
          for (int x = 0, run = 0; x < raster.width; x++)
            {
              const guint8 *px = raster.px + (gsize) y * raster.width + x;

              run = *px < 128 ? run + 1 : 0;
              if (run > 97 * PX_PER_MM && run < 103 * PX_PER_MM && x + 1 < raster.width && px[1] >= 128)
                rows++, length = run / PX_PER_MM;
            }
        g_assert_cmpint (rows, >=, 18);
        g_assert_cmpint (rows, <=, 24);
        g_assert_cmpfloat_with_epsilon (length, 100.0, 0.1);
      }
}

/* Down the middle of the ticks: as many as the header says, 1 mm apart, their width, all long. */
static void
test_ticks (void)
{
  for (int paper = SHIM_PAPER_A4; paper <= SHIM_PAPER_LETTER; paper++)
    {
      g_auto (Raster) raster = { 0 };
      g_autoptr (GArray) shapes = shim_target_page_shapes (paper, 1);
      const ShimTargetShape *first = &g_array_index (shapes, ShimTargetShape, 0);
      const double x = first->x + SHIM_OWN_TICK_MM / 2.0;
      double centres[2 * SHIM_OWN_TICKS + 2], start = NAN;
      int n = 0;

      rasterize (paper, 1, &raster);
      for (int y = 1; y < raster.height && n < (int) G_N_ELEMENTS (centres); y++)
        {
          const gboolean before = is_dark (&raster, x, (y - 0.5) / PX_PER_MM), now = is_dark (&raster, x, (y + 0.5) / PX_PER_MM);

          if (now && !before)
            start = y / PX_PER_MM;
          if (before && !now && y / PX_PER_MM - start > 0.3)
            {
              g_assert_cmpfloat_with_epsilon (y / PX_PER_MM - start, SHIM_OWN_TICK_WIDTH_MM, 0.11);
              centres[n++] = 0.5 * (y / PX_PER_MM + start);
            }
        }
      g_assert_cmpint (n, ==, 2 * SHIM_OWN_TICKS + 1);
      for (int i = 0; i < n; i++)
        g_assert_cmpfloat_with_epsilon (centres[i] - centres[0], i, 0.06);
    }
}

/* The measures hang together: bars solid enough, between the ticks' ends, apart enough from ticks and edges. */
static void
test_measures (void)
{
  static const double bars[][2] = SHIM_OWN_TRACK_BARS;

  for (guint i = 0; i < G_N_ELEMENTS (bars); i++)
    {
      g_assert_cmpfloat (bars[i][1] - bars[i][0], >=, 6.0);
      g_assert_cmpfloat (bars[i][0] - (i > 0 ? bars[i - 1][1] : -SHIM_OWN_HALF_MM), >=, 5.0);
    }
  g_assert_cmpfloat (SHIM_OWN_TRACK_X_MM + SHIM_OWN_TRACK_WIDTH_MM, <, SHIM_OWN_WIDTH_MM - 3.0);
  g_assert_cmpfloat (SHIM_OWN_DISC_X_MM - SHIM_OWN_DISC_RADIUS_MM, >=, 4.0);
}

/* The cheek's edge on the first sheet rises as the strip must stand: 45° within a tenth of a degree. */
static void
test_cheek (void)
{
  g_auto (Raster) raster = { 0 };
  double at[2] = { NAN, NAN };
  double right;

  rasterize (SHIM_PAPER_A4, 0, &raster);
  for (right = raster.width / PX_PER_MM - 1.0; !is_dark (&raster, right, 120.0); right -= 0.05)
    ;
  for (int i = 0; i < 2; i++)
    for (double y = MARGIN_MM; isnan (at[i]); y += 0.02)
      if (is_dark (&raster, right - 10.0 - 60.0 * i, y))
        at[i] = y;
  g_assert_cmpfloat_with_epsilon (atan2 (at[1] - at[0], 60.0) * 180.0 / G_PI, SHIM_OWN_ANGLE_DEG, 0.1);
}

static void
test_unwritable (void)
{
  g_autoptr (GError) error = NULL;

  g_assert_false (shim_target_page_write (SHIM_PAPER_A4, "/nonexistent/folder/target.pdf", &error));
  g_assert_nonnull (error);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/target-page/paper", test_paper);
  g_test_add_func ("/target-page/check-bar", test_check_bar);
  g_test_add_func ("/target-page/ticks", test_ticks);
  g_test_add_func ("/target-page/measures", test_measures);
  g_test_add_func ("/target-page/cheek", test_cheek);
  g_test_add_func ("/target-page/unwritable", test_unwritable);
  return g_test_run ();
}
