/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>
#include <glib/gstdio.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "shim-photo-view.h"
#include "shim-pixels.h"

/* Frame time while a photograph of 45 megapixels is moved and zoomed in a view of 1400 × 900, by the frame clock,
 * beside the frame of an empty window of that size measured in the same run; and the memory it takes. Ratios are what
 * counts: machines differ. */

#define WIDTH 8256
#define HEIGHT 5504
#define VIEW_WIDTH 1400
#define VIEW_HEIGHT 900
#define N_FRAMES 60

/* An empty window: nothing but one colour, another one in each frame so that all of it is drawn anew. */
#define SHIM_TYPE_FLAT (shim_flat_get_type ())
G_DECLARE_FINAL_TYPE (ShimFlat, shim_flat, SHIM, FLAT, GtkWidget)

struct _ShimFlat
{
  GtkWidget parent_instance;
  guint n;
};

G_DEFINE_FINAL_TYPE (ShimFlat, shim_flat, GTK_TYPE_WIDGET)

static void
shim_flat_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  ShimFlat *self = SHIM_FLAT (widget);
  GdkRGBA colour = { (float) (self->n++ % 2), 0.5f, 0.5f, 1.0f };

  gtk_snapshot_append_color (snapshot, &colour,
                             &GRAPHENE_RECT_INIT (0.0f, 0.0f, (float) gtk_widget_get_width (widget),
                                                  (float) gtk_widget_get_height (widget)));
}

static void
shim_flat_class_init (ShimFlatClass *klass)
{
  GTK_WIDGET_CLASS (klass)->snapshot = shim_flat_snapshot;
}

static void
shim_flat_init (ShimFlat *self)
{
}

/* Microseconds; the processor's are those of this program alone, which other work on the machine disturbs less. */
typedef struct
{
  gint64 began;
  gint64 ended;
  gint64 processor_began;
  gint64 processor_ended;
} Frame;

typedef struct
{
  double ms;
  double processor_ms;
} FrameTime;

static gint64
processor_time (void)
{
  struct timespec now;

  clock_gettime (CLOCK_PROCESS_CPUTIME_ID, &now);
  return now.tv_sec * G_USEC_PER_SEC + now.tv_nsec / 1000;
}

static void
before_cb (GdkFrameClock *clock, Frame *frame)
{
  frame->began = g_get_monotonic_time ();
  frame->processor_began = processor_time ();
}

static void
after_cb (GdkFrameClock *clock, Frame *frame)
{
  frame->processor_ended = processor_time ();
  frame->ended = g_get_monotonic_time ();
}

typedef void (*StepFunc) (GtkWidget *widget, guint i);

static int
compare_times (const void *a, const void *b)
{
  double x = *(const double *) a, y = *(const double *) b;

  return (x > y) - (x < y);
}

/* The median: what else runs on the machine shows in single frames. */
static double
median_of (double *times)
{
  qsort (times, N_FRAMES, sizeof *times, compare_times);
  return times[N_FRAMES / 2];
}

static FrameTime
median_frame (GtkWidget *widget, StepFunc step)
{
  GdkFrameClock *clock = gtk_widget_get_frame_clock (widget);
  gulong before, after;
  Frame frame = { 0 };
  double times[N_FRAMES], processor_times[N_FRAMES];

  before = g_signal_connect (clock, "before-paint", G_CALLBACK (before_cb), &frame);
  after = g_signal_connect (clock, "after-paint", G_CALLBACK (after_cb), &frame);
  /* The first frames fill caches, which a person does not notice: they come once. */
  for (guint i = 0; i < N_FRAMES + 4; i++)
    {
      frame.ended = 0;
      step (widget, i);
      gtk_widget_queue_draw (widget);
      while (frame.ended == 0)
        g_main_context_iteration (NULL, TRUE);
      if (i < 4)
        continue;
      times[i - 4] = (frame.ended - frame.began) / 1000.0;
      processor_times[i - 4] = (frame.processor_ended - frame.processor_began) / 1000.0;
    }
  g_signal_handler_disconnect (clock, before);
  g_signal_handler_disconnect (clock, after);
  return (FrameTime){ median_of (times), median_of (processor_times) };
}

static void
step_nothing (GtkWidget *widget, guint i)
{
}

/* To and fro, odd steps: never the same picture twice in a row. */
static void
step_pan (GtkWidget *widget, guint i)
{
  double way = i % 20 < 10 ? 1.0 : -1.0;

  shim_photo_view_pan (SHIM_PHOTO_VIEW (widget), way * 23.0, way * 17.0);
}

static void
step_zoom (GtkWidget *widget, guint i)
{
  shim_photo_view_zoom_to (SHIM_PHOTO_VIEW (widget), 0.2 * pow (1.1, i % 36));
}

/* Dragging the target line: the photograph stays, the overlay and the loupe move. */
static void
step_mark (GtkWidget *widget, guint i)
{
  ShimPhotoMarks marks = *shim_photo_view_get_marks (SHIM_PHOTO_VIEW (widget));

  marks.target_px.y += i % 2 ? 3.0 : -2.0;
  shim_photo_view_set_marks (SHIM_PHOTO_VIEW (widget), &marks);
}

/* Without what is mapped from files: the renderer in software reads much of its compiler's library, which is nobody's. */
static double
resident_mb (void)
{
  g_autofree char *text = NULL;
  long pages = 0, shared = 0;

  if (g_file_get_contents ("/proc/self/statm", &text, NULL, NULL))
    sscanf (text, "%*d %ld %ld", &pages, &shared);
  return (double) (pages - shared) * sysconf (_SC_PAGESIZE) / 1e6;
}

static GtkWidget *
window_with (GtkWidget *child)
{
  GtkWidget *window = gtk_window_new ();

  gtk_window_set_decorated (GTK_WINDOW (window), FALSE);
  gtk_widget_set_size_request (child, VIEW_WIDTH, VIEW_HEIGHT);
  gtk_window_set_child (GTK_WINDOW (window), child);
  gtk_window_present (GTK_WINDOW (window));
  while (gtk_widget_get_width (child) == 0)
    g_main_context_iteration (NULL, TRUE);
  return window;
}

/* In a process of its own, so that making the picture does not count as memory of showing it. */
static void
write_picture (const char *path)
{
  g_autoptr (GdkPixbuf) pixbuf = gdk_pixbuf_new (GDK_COLORSPACE_RGB, FALSE, 8, WIDTH, HEIGHT);
  guint8 *pixels = gdk_pixbuf_get_pixels (pixbuf);
  gsize stride = (gsize) gdk_pixbuf_get_rowstride (pixbuf);
  guint32 random = 1;

  for (int y = 0; y < HEIGHT; y++)
    for (int x = 0; x < WIDTH; x++)
      {
        guint8 value = (guint8) (((x / 64 + y / 64) % 2 ? 150 : 90) + (int) (random >> 29));

        random = random * 1664525u + 1013904223u;
        memset (pixels + (gsize) y * stride + 3 * (gsize) x, value, 3);
      }
  gdk_pixbuf_save (pixbuf, path, "jpeg", NULL, "quality", "90", NULL);
}

static void
make_picture (const char *self, const char *path)
{
  const char *argv[] = { self, "--write", path, NULL };
  g_autoptr (GError) error = NULL;

  if (!g_spawn_sync (NULL, (char **) argv, NULL, G_SPAWN_DEFAULT, NULL, NULL, NULL, NULL, NULL, &error))
    g_error ("%s", error->message);
}

static void
mark (ShimPhotoView *view)
{
  ShimPhotoMarks marks = { .has_strip = TRUE,
                           .strip_a_px = { 4100, 4200 },
                           .strip_b_px = { 4150, 1300 },
                           .strip_width_px = 160,
                           .has_target = TRUE,
                           .target_px = { 4120, 2750 },
                           .has_eye = TRUE,
                           .eye_px = { 4120, 2600 } };

  shim_photo_view_set_marks (view, &marks);
}

static double
load (ShimPhotoView *view, const char *path, double *first_ms)
{
  gint64 began = g_get_monotonic_time ();
  gboolean loading = TRUE;

  shim_photo_view_set_path (view, path);
  *first_ms = NAN;
  while (loading)
    {
      g_main_context_iteration (NULL, TRUE);
      if (isnan (*first_ms) && shim_photo_view_get_zoom (view) > 0.0)
        *first_ms = (g_get_monotonic_time () - began) / 1000.0;
      g_object_get (view, "loading", &loading, NULL);
    }
  return (g_get_monotonic_time () - began) / 1000.0;
}

static gboolean
report (const char *what, FrameTime time, FrameTime empty)
{
  gboolean is_gl = g_strcmp0 (g_getenv ("GSK_RENDERER"), "gl") == 0;
  gboolean good = is_gl ? time.ms <= 33.0 : time.ms <= 1.6 * empty.ms;

  g_print ("%-20s %6.1f ms, %4.2f of the empty window; processor %6.1f ms, %4.2f%s\n", what, time.ms,
           time.ms / empty.ms, time.processor_ms, time.processor_ms / empty.processor_ms, good ? "" : "  TOO SLOW");
  return good;
}

/* The main loop waits while a photograph goes: nothing of it may be copied on the way out. */
static gboolean
report_leaving (ShimPhotoView *view, FrameTime empty)
{
  gint64 began = g_get_monotonic_time ();
  double ms;

  shim_photo_view_set_path (view, NULL);
  ms = (g_get_monotonic_time () - began) / 1000.0;
  g_print ("left after %.1f ms%s\n", ms, ms <= 5.0 * empty.ms ? "" : "  TOO SLOW");
  return ms <= 5.0 * empty.ms;
}

/* What every window brings, its words and its controls, so that a renderer's compiled programs and letters do not count
 * as memory of the photograph. */
static void
draw_controls (GtkWidget *window)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);

  gtk_box_append (GTK_BOX (box), gtk_button_new_with_label ("0123456789 + − ± offset mm px Target line By eye"));
  gtk_box_append (GTK_BOX (box), gtk_image_new_from_icon_name ("open-menu-symbolic"));
  gtk_box_append (GTK_BOX (box), gtk_scale_new_with_range (GTK_ORIENTATION_HORIZONTAL, 0.0, 1.0, 0.1));
  gtk_box_append (GTK_BOX (box), gtk_switch_new ());
  gtk_window_set_child (GTK_WINDOW (window), box);
  median_frame (box, step_nothing);
}

static gboolean
run (const char *path)
{
  GtkWidget *flat = g_object_new (SHIM_TYPE_FLAT, NULL);
  GtkWidget *window = window_with (flat);
  GtkWidget *view;
  FrameTime empty = median_frame (flat, step_nothing);
  double decoded_mb = 4.0 * WIDTH * HEIGHT / 1e6;
  double empty_mb, first_ms, all_ms, used_mb;
  gboolean good = TRUE;

  draw_controls (window);
  empty_mb = resident_mb ();
  view = shim_photo_view_new ();
  gtk_widget_set_size_request (view, VIEW_WIDTH, VIEW_HEIGHT);
  gtk_window_set_child (GTK_WINDOW (window), view);
  mark (SHIM_PHOTO_VIEW (view));
  all_ms = load (SHIM_PHOTO_VIEW (view), path, &first_ms);
  g_print ("%d × %d, view of %d × %d, renderer %s\n", WIDTH, HEIGHT, VIEW_WIDTH, VIEW_HEIGHT,
           G_OBJECT_TYPE_NAME (gtk_native_get_renderer (gtk_widget_get_native (view))));
  g_print ("something to see after %.0f ms, every pixel after %.0f ms\n", first_ms, all_ms);
  g_print ("%-20s %6.1f ms; processor %.1f ms\n", "empty window", empty.ms, empty.processor_ms);
  good &= report ("whole, mark dragged", median_frame (view, step_mark), empty);
  shim_photo_view_show_place (SHIM_PHOTO_VIEW (view), (ShimPoint){ 4000, 2700 }, 0.5);
  good &= report ("half size, moved", median_frame (view, step_pan), empty);
  shim_photo_view_show_place (SHIM_PHOTO_VIEW (view), (ShimPoint){ 4000, 2700 }, 1.0);
  good &= report ("1:1, moved", median_frame (view, step_pan), empty);
  shim_photo_view_show_place (SHIM_PHOTO_VIEW (view), (ShimPoint){ 4000, 2700 }, 4.0);
  good &= report ("4:1, moved", median_frame (view, step_pan), empty);
  good &= report ("zoomed through", median_frame (view, step_zoom), empty);
  used_mb = resident_mb () - empty_mb;
  good &= used_mb <= 1.6 * decoded_mb;
  g_print ("memory beyond an empty window of %.0f MB: %.0f MB, %.2f of the decoded picture (%.0f MB)%s\n", empty_mb, used_mb,
           used_mb / decoded_mb, decoded_mb, used_mb <= 1.6 * decoded_mb ? "" : "  TOO MUCH");
  good &= report_leaving (SHIM_PHOTO_VIEW (view), empty);
  gtk_window_destroy (GTK_WINDOW (window));
  return good;
}

int
main (int argc, char **argv)
{
  g_autofree char *folder = NULL;
  g_autofree char *path = NULL;
  gboolean good;

  if (argc == 3 && g_str_equal (argv[1], "--write"))
    {
      write_picture (argv[2]);
      return 0;
    }
  shim_pixels_keep_freed ();
  gtk_init ();
  adw_init ();
  folder = g_dir_make_tmp ("shimbook-speed-XXXXXX", NULL);
  path = g_build_filename (folder, "large.jpg", NULL);
  make_picture (argv[0], path);
  good = run (path);
  g_unlink (path);
  g_rmdir (folder);
  return good ? 0 : 1;
}
