/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <string.h>

#include "frame-render.h"
#include "shim-folder-scan.h"
#include "shim-folder-watch.h"

/* Something that looks like a JPEG file from outside: the scan looks at the end marker alone. */
static const char head[] = "\xff\xd8\xff\xe0 picture";
static const char marker[] = "\xff\xd9";

#define MS(n) ((n) * G_TIME_SPAN_MILLISECOND)

typedef struct
{
  char *folder;
} Fixture;

static void
set_up (Fixture *self, gconstpointer data)
{
  self->folder = g_dir_make_tmp ("shimbook-watch-XXXXXX", NULL);
  g_assert_nonnull (self->folder);
}

static void
tear_down (Fixture *self, gconstpointer data)
{
  g_autoptr (GDir) dir = g_dir_open (self->folder, 0, NULL);
  const char *name;

  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (self->folder, name, NULL);

      g_remove (path);
    }
  g_rmdir (self->folder);
  g_free (self->folder);
}

/* Appends to a file as a camera does. */
static void
put (Fixture *self, const char *name, const void *bytes, gsize n)
{
  g_autofree char *path = g_build_filename (self->folder, name, NULL);
  FILE *file = fopen (path, "ab");

  g_assert_nonnull (file);
  g_assert_cmpuint (fwrite (bytes, 1, n, file), ==, n);
  fclose (file);
}

static void
put_whole (Fixture *self, const char *name)
{
  put (self, name, head, sizeof head - 1);
  put (self, name, marker, sizeof marker - 1);
}

static void
assert_looked (ShimFolderScan *scan, gint64 at_us, const char *complete, guint n_pending)
{
  g_autoptr (ShimFolderNews) news = shim_folder_scan_look (scan, at_us);
  g_autoptr (GString) names = g_string_new (NULL);

  for (guint i = 0; i < news->complete->len; i++)
    {
      g_autofree char *name = g_path_get_basename (g_ptr_array_index (news->complete, i));

      g_string_append_printf (names, "%s%s", i > 0 ? " " : "", name);
    }
  g_assert_cmpstr (names->str, ==, complete);
  g_assert_cmpuint (news->n_pending, ==, n_pending);
}

/* The clock is the test's own, so nothing here waits. */
static void
test_half_written (Fixture *fixture, gconstpointer data)
{
  g_autoptr (ShimFolderScan) scan = shim_folder_scan_new (fixture->folder);

  put_whole (fixture, "before.jpg");
  g_assert_true (shim_folder_scan_start (scan, NULL));
  assert_looked (scan, MS (0), "", 0);
  put (fixture, "a.jpg", "", 0);
  assert_looked (scan, MS (300), "", 1);
  assert_looked (scan, MS (600), "", 1);          /* empty and still: not complete */
  put (fixture, "a.jpg", head, sizeof head - 1);
  assert_looked (scan, MS (900), "", 1);
  assert_looked (scan, MS (1200), "", 1);         /* still, but no end marker */
  put (fixture, "a.jpg", marker, sizeof marker - 1);
  assert_looked (scan, MS (1500), "", 1);         /* marker, but it changed just now */
  assert_looked (scan, MS (1600), "", 1);
  assert_looked (scan, MS (1800), "a.jpg", 0);
  assert_looked (scan, MS (2100), "", 0);         /* once */
}

/* An embedded thumbnail ends with the same marker; the file grows on. */
static void
test_marker_in_the_middle (Fixture *fixture, gconstpointer data)
{
  g_autoptr (ShimFolderScan) scan = shim_folder_scan_new (fixture->folder);

  g_assert_true (shim_folder_scan_start (scan, NULL));
  put_whole (fixture, "a.jpg");
  assert_looked (scan, MS (0), "", 1);
  put (fixture, "a.jpg", "more", 4);
  assert_looked (scan, MS (250), "", 1);
  assert_looked (scan, MS (500), "", 1);
  put (fixture, "a.jpg", marker, sizeof marker - 1);
  put (fixture, "a.jpg", "\0\0\0\0\0\0", 6);      /* padding after the end */
  assert_looked (scan, MS (750), "", 1);
  assert_looked (scan, MS (1000), "a.jpg", 0);
}

static void
test_others (Fixture *fixture, gconstpointer data)
{
  g_autoptr (ShimFolderScan) scan = shim_folder_scan_new (fixture->folder);
  g_autofree char *path = g_build_filename (fixture->folder, "b.JPG", NULL);

  g_assert_true (shim_folder_scan_start (scan, NULL));
  put_whole (fixture, "notes.txt");
  put_whole (fixture, ".hidden.jpg");
  put_whole (fixture, "b.JPG");
  put_whole (fixture, "b.dng");                   /* the same frame as raw file */
  put_whole (fixture, "c.dng");
  assert_looked (scan, MS (0), "", 3);
  assert_looked (scan, MS (300), "b.JPG", 2);
  assert_looked (scan, MS (2100), "c.dng", 0);
  /* The name comes back: another photograph. */
  g_assert_cmpint (g_remove (path), ==, 0);
  assert_looked (scan, MS (2400), "", 0);
  put_whole (fixture, "b.JPG");
  assert_looked (scan, MS (2700), "", 1);
  assert_looked (scan, MS (3000), "b.JPG", 0);
}

/* A whole photograph with a maker's own data behind its end, and the same one cut short. */
static void
test_trailer (Fixture *fixture, gconstpointer data)
{
  g_autoptr (ShimFolderScan) scan = shim_folder_scan_new (fixture->folder);
  g_autofree char *whole = g_build_filename (fixture->folder, "whole.jpg", NULL);
  g_autofree char *cut = g_build_filename (fixture->folder, "cut.jpg", NULL);
  g_autofree char *bytes = NULL;
  g_autoptr (GError) error = NULL;
  FrameScene scene;
  FrameTruth truth;
  gsize n;

  g_assert_true (shim_folder_scan_start (scan, NULL));
  frame_scene_init (&scene);
  scene.width_px = 640;
  scene.height_px = 400;
  scene.sensor_width_mm = 3.84;
  frame_render_file (&scene, whole, &truth, &error);
  g_assert_no_error (error);
  g_assert_true (g_file_get_contents (whole, &bytes, &n, NULL));
  g_assert_true (g_file_set_contents (cut, bytes, n / 2, NULL));
  put (fixture, "whole.jpg", "maker's data", 12);
  put (fixture, "cut.jpg", "maker's data", 12);
  assert_looked (scan, MS (0), "", 2);
  assert_looked (scan, MS (1900), "", 2);
  assert_looked (scan, MS (2100), "whole.jpg", 1);
  assert_looked (scan, MS (2400), "", 1);
}

static void
test_order (Fixture *fixture, gconstpointer data)
{
  g_autoptr (ShimFolderScan) scan = shim_folder_scan_new (fixture->folder);
  const char *const names[] = { "z.jpg", "m.jpg", "a.jpg" };

  g_assert_true (shim_folder_scan_start (scan, NULL));
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
    {
      g_autofree char *path = g_build_filename (fixture->folder, names[i], NULL);
      g_autoptr (GFile) file = g_file_new_for_path (path);

      put_whole (fixture, names[i]);
      g_assert_true (
          g_file_set_attribute_uint64 (file, G_FILE_ATTRIBUTE_TIME_MODIFIED, 1000000000 + i, 0, NULL, NULL));
    }
  assert_looked (scan, MS (0), "", 3);
  assert_looked (scan, MS (300), "z.jpg m.jpg a.jpg", 0);
}

static void
test_problems (Fixture *fixture, gconstpointer data)
{
  g_autoptr (ShimFolderScan) scan = shim_folder_scan_new (fixture->folder);
  g_autoptr (ShimFolderScan) none = shim_folder_scan_new ("/nonexistent/folder");
  g_autoptr (ShimFolderNews) first = NULL;
  g_autoptr (ShimFolderNews) second = NULL;
  g_autoptr (ShimFolderNews) gone = NULL;
  g_autoptr (ShimFolderNews) still_gone = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_false (shim_folder_scan_start (none, &error));
  g_assert_error (error, G_FILE_ERROR, G_FILE_ERROR_NOENT);
  g_assert_true (shim_folder_scan_start (scan, NULL));
  put (fixture, "broken.jpg", head, sizeof head - 1);
  assert_looked (scan, MS (0), "", 1);
  first = shim_folder_scan_look (scan, MS (11000));
  g_assert_cmpuint (first->problems->len, ==, 1);
  g_assert_nonnull (strstr (g_ptr_array_index (first->problems, 0), "broken.jpg"));
  second = shim_folder_scan_look (scan, MS (12000));
  g_assert_cmpuint (second->problems->len, ==, 0);
  put (fixture, "broken.jpg", marker, sizeof marker - 1);
  assert_looked (scan, MS (13000), "", 1);
  assert_looked (scan, MS (14000), "broken.jpg", 0);

  tear_down (fixture, NULL);
  gone = shim_folder_scan_look (scan, MS (15000));
  g_assert_cmpuint (gone->problems->len, ==, 1);
  still_gone = shim_folder_scan_look (scan, MS (16000));
  g_assert_cmpuint (still_gone->problems->len, ==, 0);
  set_up (fixture, NULL);
}

/* --- the watch itself --- */

static void
frame_cb (ShimFolderWatch *watch, const char *path, GPtrArray *seen)
{
  g_ptr_array_add (seen, g_path_get_basename (path));
}

static void
test_watch (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) seen = g_ptr_array_new_with_free_func (g_free);
  ShimFolderWatch *watch;

  put_whole (fixture, "before.jpg");
  watch = shim_folder_watch_new (fixture->folder, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (shim_folder_watch_get_folder (watch), ==, fixture->folder);
  g_signal_connect (watch, "frame", G_CALLBACK (frame_cb), seen);
  put (fixture, "one.jpg", head, sizeof head - 1);
  shim_folder_watch_rescan (watch);
  while (shim_folder_watch_get_n_pending (watch) == 0)
    g_main_context_iteration (NULL, TRUE);
  g_assert_cmpuint (seen->len, ==, 0);
  put (fixture, "one.jpg", marker, sizeof marker - 1);
  put_whole (fixture, "two.jpg");
  while (seen->len < 2)
    g_main_context_iteration (NULL, TRUE);
  g_assert_cmpuint (shim_folder_watch_get_n_pending (watch), ==, 0);
  g_assert_true (g_ptr_array_find_with_equal_func (seen, "one.jpg", g_str_equal, NULL));
  g_assert_true (g_ptr_array_find_with_equal_func (seen, "two.jpg", g_str_equal, NULL));
  shim_folder_watch_rescan (watch);
  shim_folder_watch_stop (watch);
  /* A look may be on its way; it lets go of the watch when it is back. */
  g_object_add_weak_pointer (G_OBJECT (watch), (gpointer *) &watch);
  g_object_unref (watch);
  while (watch != NULL)
    g_main_context_iteration (NULL, TRUE);
  g_assert_cmpuint (seen->len, ==, 2);
}

#define ADD(name, func) g_test_add ("/workspace/folder/" name, Fixture, NULL, set_up, func, tear_down)

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  ADD ("half-written", test_half_written);
  ADD ("marker-in-the-middle", test_marker_in_the_middle);
  ADD ("trailer", test_trailer);
  ADD ("others", test_others);
  ADD ("order", test_order);
  ADD ("problems", test_problems);
  ADD ("watch", test_watch);
  return g_test_run ();
}
