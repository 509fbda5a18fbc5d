/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>
#include <glib/gstdio.h>
#include <math.h>

#include "shim-bench-start.h"
#include "shim-bench-test.h"
#include "shim-blur-curve.h"
#include "shim-frame-row.h"
#include "shim-mark-handle.h"
#include "shim-photo-view.h"
#include "shim-picture.h"
#include "shim-plot.h"
#include "shim-response-chart.h"
#include "shim-tile-set.h"

#define VIEW_WIDTH 701
#define VIEW_HEIGHT 503

/* Geometry */

static void
test_transform (void)
{
  ShimViewTransform t = { .zoom = 0.5, .centre = { 1000.0, 800.0 }, .width = 640.0, .height = 480.0 };
  ShimPoint at = { 100.0, 400.0 };
  ShimPoint before = shim_view_transform_to_photo (&t, at), again;

  again = shim_view_transform_to_view (&t, before);
  g_assert_cmpfloat_with_epsilon (again.x, at.x, 1e-9);
  g_assert_cmpfloat_with_epsilon (again.y, at.y, 1e-9);
  /* Zooming at the pointer leaves what is under it in its place. */
  shim_view_transform_zoom_at (&t, 3.7, at);
  again = shim_view_transform_to_photo (&t, at);
  g_assert_cmpfloat_with_epsilon (again.x, before.x, 1e-9);
  g_assert_cmpfloat_with_epsilon (again.y, before.y, 1e-9);
}

static void
test_transform_keep_on (void)
{
  ShimViewTransform t = { .zoom = 1.0, .centre = { -500.0, 5000.0 }, .width = 640.0, .height = 480.0 };

  shim_view_transform_keep_on (&t, 2000, 1000);
  g_assert_cmpfloat (t.centre.x, ==, 320.0);
  g_assert_cmpfloat (t.centre.y, ==, 760.0);
  t.zoom = shim_view_transform_fit_zoom (&t, 2000, 1000);
  g_assert_cmpfloat_with_epsilon (t.zoom, 0.32, 1e-12);
  shim_view_transform_keep_on (&t, 2000, 1000);
  g_assert_cmpfloat (t.centre.x, ==, 1000.0);
  g_assert_cmpfloat (t.centre.y, ==, 500.0);
}

/* Numbers on an axis are 1, 2 or 5 times a power of ten, as on any ruler, and never closer than asked for. */
static void
test_axis_steps (void)
{
  for (double span = 0.013; span < 1e5; span *= 1.37)
    {
      ShimPlotAxis axis = { .low = 0.0, .high = span, .low_px = 50.0, .high_px = 650.0 };
      double step = shim_plot_axis_step (&axis, 60.0), digits = step / pow (10.0, floor (log10 (step) + 1e-9));

      g_assert_true (fabs (digits - 1.0) < 1e-6 || fabs (digits - 2.0) < 1e-6 || fabs (digits - 5.0) < 1e-6);
      g_assert_cmpfloat (step / span * 600.0, >=, 60.0 - 1e-6);
      g_assert_cmpfloat (step / span * 600.0, <=, 150.0 + 1e-6);
      g_assert_cmpfloat_with_epsilon (shim_plot_axis_value (&axis, shim_plot_axis_at (&axis, step)), step,
                                      1e-9 * span);
    }
}

/* Pictures */

typedef guint32 (*PixelFunc) (int x, int y);

static char *
picture_new (const char *name, int width, int height, PixelFunc pixel)
{
  g_autofree char *folder = g_dir_make_tmp ("shimbook-photo-XXXXXX", NULL);
  char *path = g_build_filename (folder, name, NULL);
  g_autoptr (GdkPixbuf) pixbuf = gdk_pixbuf_new (GDK_COLORSPACE_RGB, FALSE, 8, width, height);
  guint8 *pixels = gdk_pixbuf_get_pixels (pixbuf);
  int stride = gdk_pixbuf_get_rowstride (pixbuf);
  g_autoptr (GError) error = NULL;

  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      {
        guint32 value = pixel (x, y);

        pixels[y * stride + 3 * x] = (guint8) (value >> 16);
        pixels[y * stride + 3 * x + 1] = (guint8) (value >> 8);
        pixels[y * stride + 3 * x + 2] = (guint8) value;
      }
  gdk_pixbuf_save (pixbuf, path, "jpeg", &error, "quality", "95", NULL);
  g_assert_no_error (error);
  return path;
}

static void
picture_remove (char *path)
{
  g_autofree char *folder = g_path_get_dirname (path);

  g_unlink (path);
  g_rmdir (folder);
  g_free (path);
}

static guint32
grey_pixel (int x, int y)
{
  return 0x808080;
}

/* Coarse and fine detail in all channels. */
static guint32
patterned_pixel (int x, int y)
{
  guint32 r = (guint32) ((x * 7 + y * 3) % 256), g = (x / 3 + y / 5) % 2 ? 200 : 40, b = (guint32) ((x ^ y) & 255);

  return r << 16 | g << 8 | b;
}

/* A view on the screen */

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

static void
wait_until_loaded (ShimPhotoView *view)
{
  gboolean loading = TRUE;

  while (loading)
    {
      g_main_context_iteration (NULL, TRUE);
      g_object_get (view, "loading", &loading, NULL);
    }
}

static void
painted_cb (GdkFrameClock *clock, gboolean *painted)
{
  *painted = TRUE;
}

static void
wait_for_frame (GtkWidget *widget)
{
  GdkFrameClock *clock = gtk_widget_get_frame_clock (widget);
  gboolean painted = FALSE;
  gulong handler = g_signal_connect (clock, "after-paint", G_CALLBACK (painted_cb), &painted);

  gtk_widget_queue_draw (widget);
  while (!painted)
    g_main_context_iteration (NULL, TRUE);
  g_signal_handler_disconnect (clock, handler);
}

/* What the widget draws, as blue, green, red, opacity. */
static guint8 *
drawn (GtkWidget *widget, int *width, int *height)
{
  g_autoptr (GdkPaintable) paintable = NULL;
  GtkSnapshot *snapshot = gtk_snapshot_new ();
  g_autoptr (GskRenderNode) node = NULL;
  g_autoptr (GdkTexture) texture = NULL;
  guint8 *pixels;

  wait_for_frame (widget);
  paintable = gtk_widget_paintable_new (widget);
  *width = gtk_widget_get_width (widget);
  *height = gtk_widget_get_height (widget);
  gdk_paintable_snapshot (paintable, snapshot, *width, *height);
  node = gtk_snapshot_free_to_node (snapshot);
  texture = gsk_renderer_render_texture (gtk_native_get_renderer (gtk_widget_get_native (widget)), node,
                                         &GRAPHENE_RECT_INIT (0.0f, 0.0f, (float) *width, (float) *height));
  pixels = g_malloc ((gsize) *width * *height * 4);
  gdk_texture_download (texture, pixels, (gsize) *width * 4);
  return pixels;
}

static guint
count_other_than (const guint8 *pixels, int width, int height, guint8 value)
{
  guint n = 0;

  for (int i = 0; i < width * height; i++)
    if (pixels[4 * i] != value || pixels[4 * i + 1] != value || pixels[4 * i + 2] != value)
      n++;
  return n;
}

/* An evenly grey photograph stays evenly grey at every zoom: where tiles meet, nothing shines through. */
static void
test_seams (void)
{
  const double zooms[] = { 0.3331, 0.4973, 0.73, 0.9999, 1.0, 1.37, 1.99, 2.0, 2.61, 4.0, 5.3, 11.7, 17.0 };
  char *path = picture_new ("grey.jpg", 2600, 1733, grey_pixel);
  GtkWidget *view = shim_photo_view_new ();
  GtkWidget *window = window_with (view);

  shim_photo_view_set_path (SHIM_PHOTO_VIEW (view), path);
  wait_until_loaded (SHIM_PHOTO_VIEW (view));
  for (guint i = 0; i < G_N_ELEMENTS (zooms); i++)
    for (int place = 0; place < 3; place++)
      {
        int width, height;
        g_autofree guint8 *pixels = NULL;

        shim_photo_view_show_place (SHIM_PHOTO_VIEW (view),
                                    (ShimPoint){ 1031.3 + 170.77 * place, 700.9 + 93.31 * place }, zooms[i]);
        pixels = drawn (view, &width, &height);
        g_test_message ("zoom %g, place %d", zooms[i], place);
        g_assert_cmpuint (count_other_than (pixels, width, height, 128), ==, 0);
      }
  gtk_window_destroy (GTK_WINDOW (window));
  picture_remove (path);
}

static void
load_picture (const char *path, ShimPicture **picture)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPhoto) photo = shim_photo_open (path, &error);

  g_assert_no_error (error);
  *picture = shim_picture_load (photo, SHIM_PICTURE_FULL, NULL, &error);
  g_assert_no_error (error);
}

/* At 4:1 every pixel is a block of sixteen of exactly its colour. */
static void
test_hard_pixels (void)
{
  char *path = picture_new ("pattern.jpg", 1500, 1100, patterned_pixel);
  GtkWidget *view = shim_photo_view_new ();
  GtkWidget *window = window_with (view);
  g_autoptr (ShimPicture) picture = NULL;
  g_autofree guint8 *pixels = NULL;
  const guint8 *source;
  int width, height;
  guint n_wrong = 0;

  load_picture (path, &picture);
  source = g_bytes_get_data (picture->bytes, NULL);
  shim_photo_view_set_path (SHIM_PHOTO_VIEW (view), path);
  wait_until_loaded (SHIM_PHOTO_VIEW (view));
  /* The left upper corner of the view on the left upper corner of pixel (600, 500). */
  shim_photo_view_show_place (SHIM_PHOTO_VIEW (view),
                              (ShimPoint){ 600.0 + gtk_widget_get_width (view) / 8.0,
                                           500.0 + gtk_widget_get_height (view) / 8.0 },
                              4.0);
  pixels = drawn (view, &width, &height);
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      n_wrong +=
          memcmp (pixels + 4 * (y * width + x), source + (500 + y / 4) * picture->stride + 4 * (600 + x / 4), 3) != 0;
  g_assert_cmpuint (n_wrong, ==, 0);
  gtk_window_destroy (GTK_WINDOW (window));
  picture_remove (path);
}

/* Only what shows is drawn. */
static void
test_tiles_needed (void)
{
  char *path = picture_new ("grey.jpg", 4096, 3072, grey_pixel);
  g_autoptr (ShimTileSet) tiles = shim_tile_set_new ();
  ShimViewTransform t = { .zoom = 1.0, .centre = { 2048.0, 1536.0 }, .width = 1000.0, .height = 500.0 };
  graphene_rect_t area = GRAPHENE_RECT_INIT (0.0f, 0.0f, 1000.0f, 500.0f);
  ShimPicture *picture;
  GtkSnapshot *snapshot = gtk_snapshot_new ();
  GskRenderNode *node;
  guint n;

  load_picture (path, &picture);
  shim_tile_set_take_level (tiles, 0, picture);
  n = shim_tile_set_snapshot (tiles, snapshot, &t, &area, 1);
  /* 1000 × 500 pixels touch at most 5 × 3 tiles of 256 × 256; the whole photograph has 16 × 12. */
  g_assert_cmpuint (n, >=, 8);
  g_assert_cmpuint (n, <=, 15);
  node = gtk_snapshot_free_to_node (snapshot);
  gsk_render_node_unref (node);
  picture_remove (path);
}

static void
failed_cb (ShimPhotoView *view, const char *sentence, char **message)
{
  *message = g_strdup (sentence);
}

static void
test_no_picture (void)
{
  GtkWidget *view = shim_photo_view_new ();
  GtkWidget *window = window_with (view);
  g_autofree char *message = NULL;

  g_signal_connect (view, "failed", G_CALLBACK (failed_cb), &message);
  shim_photo_view_set_path (SHIM_PHOTO_VIEW (view), "/nowhere/at/all.jpg");
  wait_until_loaded (SHIM_PHOTO_VIEW (view));
  g_assert_nonnull (message);
  g_assert_cmpfloat (shim_photo_view_get_zoom (SHIM_PHOTO_VIEW (view)), ==, 0.0);
  gtk_window_destroy (GTK_WINDOW (window));
}

/* A photograph that is given up while it is loaded leaves nothing behind. */
static void
test_moved_on (void)
{
  char *path = picture_new ("pattern.jpg", 1500, 1100, patterned_pixel);
  GtkWidget *view = shim_photo_view_new ();
  GtkWidget *window = window_with (view);

  shim_photo_view_set_path (SHIM_PHOTO_VIEW (view), path);
  shim_photo_view_set_path (SHIM_PHOTO_VIEW (view), NULL);
  for (int i = 0; i < 50; i++)
    {
      g_main_context_iteration (NULL, FALSE);
      g_usleep (2000);
    }
  g_assert_false (shim_photo_view_has_full_size (SHIM_PHOTO_VIEW (view)));
  shim_photo_view_set_path (SHIM_PHOTO_VIEW (view), path);
  gtk_window_destroy (GTK_WINDOW (window));
  picture_remove (path);
}

/* Marks */

static ShimMarkHandle *
handle_of (GtkWidget *view, ShimMark mark)
{
  for (GtkWidget *child = gtk_widget_get_first_child (view); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    if (SHIM_IS_MARK_HANDLE (child) && shim_mark_handle_get_mark (SHIM_MARK_HANDLE (child)) == mark)
      return SHIM_MARK_HANDLE (child);
  g_assert_not_reached ();
}

static void
settled_cb (ShimPhotoView *view, gboolean settled, guint *n_settled)
{
  *n_settled += settled;
}

/* A ruler that stands upright in the picture: 0.5 mm a pixel, ticks of 1 mm. */
static ShimMeasurement *
upright_ruler_new (void)
{
  ShimMeasurement *m = shim_measurement_new ();

  m->strip_a_px = (ShimPoint){ 700.0, 900.0 };
  m->strip_b_px = (ShimPoint){ 700.0, 100.0 };
  m->strip_width_px = 40.0;
  m->map[0] = 0.0;
  m->map[1] = 0.5;
  m->map[2] = 0.0;
  m->tick_mm = 1.0;
  m->mm_per_px = 0.5;
  m->first_reading_mm = 0.0;
  m->last_reading_mm = 400.0;
  m->angle_deg = 45.0;
  m->far_side = SHIM_FAR_UP;
  m->target_reading_mm = 200.0;
  m->target_px = (ShimPoint){ 700.0, 500.0 };
  m->offset_mm = 5.0;
  m->offset_se_mm = 0.5;
  m->sharp_reading_mm = 200.0 + 5.0 * sqrt (2.0);
  m->sharp_px = shim_measurement_point_at (m, m->sharp_reading_mm);
  return m;
}

static gboolean
nudge (ShimMarkHandle *handle, int x, int y, gboolean far)
{
  gboolean handled = FALSE;

  g_signal_emit_by_name (handle, "nudged", x, y, far, &handled);
  return handled;
}

static void
test_marks (void)
{
  char *path = picture_new ("pattern.jpg", 1500, 1100, patterned_pixel);
  GtkWidget *view = shim_photo_view_new ();
  GtkWidget *window = window_with (view);
  g_autoptr (ShimMeasurement) m = upright_ruler_new ();
  ShimMarkHandle *target = handle_of (view, SHIM_MARK_TARGET), *end = handle_of (view, SHIM_MARK_STRIP_A);
  const ShimPhotoMarks *now = shim_photo_view_get_marks (SHIM_PHOTO_VIEW (view));
  ShimPhotoMarks marks;
  guint n_settled = 0;

  shim_photo_marks_init (&marks);
  shim_photo_marks_from_measurement (&marks, m);
  shim_photo_view_set_path (SHIM_PHOTO_VIEW (view), path);
  wait_until_loaded (SHIM_PHOTO_VIEW (view));
  shim_photo_view_set_measurement (SHIM_PHOTO_VIEW (view), m);
  shim_photo_view_set_marks (SHIM_PHOTO_VIEW (view), &marks);
  g_signal_connect (view, "marks-changed", G_CALLBACK (settled_cb), &n_settled);

  /* Up by a pixel, up by a tick (2 pixels here), and not at all across the strip. */
  g_assert_true (nudge (target, 0, -1, FALSE));
  g_assert_cmpfloat_with_epsilon (now->target_px.y, 499.0, 1e-6);
  g_assert_true (nudge (target, 0, -1, TRUE));
  g_assert_cmpfloat_with_epsilon (now->target_px.y, 497.0, 1e-6);
  g_assert_false (nudge (target, 1, 0, FALSE));
  g_assert_cmpfloat_with_epsilon (now->target_px.x, 700.0, 1e-6);
  /* The ends of the strip go anywhere. */
  g_assert_true (nudge (end, 1, 0, FALSE));
  g_assert_cmpfloat_with_epsilon (now->strip_a_px.x, 701.0, 1e-6);
  g_assert_cmpuint (n_settled, ==, 3);

  for (int i = 0; i < 3; i++)
    gtk_widget_activate_action (view, "photo.undo-marks", NULL);
  g_assert_true (shim_photo_marks_equal (now, &marks));
  gtk_window_destroy (GTK_WINDOW (window));
  picture_remove (path);
}

static void
test_mark_by_eye (void)
{
  char *path = picture_new ("pattern.jpg", 1500, 1100, patterned_pixel);
  GtkWidget *view = shim_photo_view_new ();
  GtkWidget *window = window_with (view);
  g_autoptr (ShimMeasurement) m = upright_ruler_new ();
  const ShimPhotoMarks *now = shim_photo_view_get_marks (SHIM_PHOTO_VIEW (view));
  ShimPhotoMarks marks;

  shim_photo_marks_init (&marks);
  shim_photo_marks_from_measurement (&marks, m);
  shim_photo_view_set_path (SHIM_PHOTO_VIEW (view), path);
  wait_until_loaded (SHIM_PHOTO_VIEW (view));
  shim_photo_view_set_measurement (SHIM_PHOTO_VIEW (view), m);
  shim_photo_view_set_marks (SHIM_PHOTO_VIEW (view), &marks);
  gtk_widget_activate_action (view, "photo.mark-eye", NULL);
  /* It starts where the program found the sharp line, which itself stays. */
  g_assert_true (now->has_eye);
  g_assert_cmpfloat_with_epsilon (now->eye_px.y, m->sharp_px.y, 1e-6);
  g_assert_true (nudge (handle_of (view, SHIM_MARK_EYE), 0, -1, FALSE));
  g_assert_cmpfloat_with_epsilon (now->eye_px.y, m->sharp_px.y - 1.0, 1e-6);
  g_assert_cmpfloat (shim_photo_view_get_measurement (SHIM_PHOTO_VIEW (view))->offset_mm, ==, 5.0);
  gtk_window_destroy (GTK_WINDOW (window));
  picture_remove (path);
}

static void
test_accessible (void)
{
  GtkWidget *view = g_object_ref_sink (shim_photo_view_new ());
  GtkWidget *target = GTK_WIDGET (handle_of (view, SHIM_MARK_TARGET));

  gtk_test_accessible_assert_role (view, GTK_ACCESSIBLE_ROLE_IMG);
  gtk_test_accessible_assert_property (view, GTK_ACCESSIBLE_PROPERTY_LABEL, "Photograph");
  gtk_test_accessible_assert_role (target, GTK_ACCESSIBLE_ROLE_SLIDER);
  gtk_test_accessible_assert_property (target, GTK_ACCESSIBLE_PROPERTY_LABEL, "Target line");
  shim_mark_handle_set_value (SHIM_MARK_HANDLE (target), "3 px");
  gtk_test_accessible_assert_property (target, GTK_ACCESSIBLE_PROPERTY_VALUE_TEXT, "3 px");
  g_object_unref (view);
}

/* Pointing at the curve points at the photograph, and the other way round. */
static void
test_hover_links (void)
{
  GtkWidget *view = g_object_ref_sink (shim_photo_view_new ());
  GtkWidget *curve = g_object_ref_sink (shim_blur_curve_new ());
  double reading;

  g_object_bind_property (view, "hover-reading", curve, "hover-reading", G_BINDING_BIDIRECTIONAL);
  shim_blur_curve_set_hover_reading (SHIM_BLUR_CURVE (curve), 123.5);
  g_object_get (view, "hover-reading", &reading, NULL);
  g_assert_cmpfloat (reading, ==, 123.5);
  shim_photo_view_set_hover_reading (SHIM_PHOTO_VIEW (view), NAN);
  g_object_get (curve, "hover-reading", &reading, NULL);
  g_assert_true (isnan (reading));
  g_object_unref (view);
  g_object_unref (curve);
}

/* Every template can be made, without a warning. */
static void
test_templates (void)
{
  GtkWidget *(*const makers[]) (void) = {
    shim_bench_start_new, shim_bench_test_new, shim_frame_row_new, shim_blur_curve_new, shim_response_chart_new,
  };

  for (guint i = 0; i < G_N_ELEMENTS (makers); i++)
    {
      GtkWidget *widget = g_object_ref_sink (makers[i]());

      g_assert_finalize_object (widget);
    }
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  adw_init ();
  g_test_add_func ("/window/bench/transform/at-the-pointer", test_transform);
  g_test_add_func ("/window/bench/transform/keep-on", test_transform_keep_on);
  g_test_add_func ("/window/bench/plot/steps", test_axis_steps);
  g_test_add_func ("/window/bench/photo/seams", test_seams);
  g_test_add_func ("/window/bench/photo/hard-pixels", test_hard_pixels);
  g_test_add_func ("/window/bench/photo/tiles-needed", test_tiles_needed);
  g_test_add_func ("/window/bench/photo/no-picture", test_no_picture);
  g_test_add_func ("/window/bench/photo/moved-on", test_moved_on);
  g_test_add_func ("/window/bench/marks/keys", test_marks);
  g_test_add_func ("/window/bench/marks/by-eye", test_mark_by_eye);
  g_test_add_func ("/window/bench/accessible", test_accessible);
  g_test_add_func ("/window/bench/hover", test_hover_links);
  g_test_add_func ("/window/bench/templates", test_templates);
  return g_test_run ();
}
