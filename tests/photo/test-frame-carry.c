/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "frame-render.h"
#include "photo-fixture.h"
#include "shim-frame-carry.h"

/* Frames of one set-up by the generator, which projects its scene by itself: where the target line lies on each is known,
 * and so by how much a mark has to be moved. */

static char *dir;
static FrameTruth marked_truth;
static ShimFrameAnchor *anchor;
static ShimMeasureRequest marked_request;
static char *marked_path;

static void
init_scene (FrameScene *scene)
{
  frame_scene_init (scene);
  scene->width_px = 1200;
  scene->height_px = 800;
  scene->sensor_width_mm = 7.2;
  scene->delta_mm = -8.0;
}

static char *
make_frame (const FrameScene *scene, const char *name, FrameTruth *truth)
{
  g_autoptr (GError) error = NULL;
  char *path = g_build_filename (dir, name, NULL);

  frame_render_file (scene, path, truth, &error);
  g_assert_no_error (error);
  return path;
}

static ShimPoint
target_of (const FrameTruth *truth)
{
  return (ShimPoint) { truth->aligned.upright.x, truth->aligned.upright.y };
}

/* The frame that is marked, once for all tests. */
static void
mark (void)
{
  g_autoptr (ShimMeasurement) measurement = NULL;
  g_autoptr (GBytes) evidence = NULL;
  g_autoptr (GError) error = NULL;
  FrameScene scene;

  init_scene (&scene);
  marked_path = make_frame (&scene, "marked.jpg", &marked_truth);
  shim_measure_request_init (&marked_request);
  marked_request.has_target = TRUE;
  marked_request.target_px = target_of (&marked_truth);
  measurement = shim_frame_measure (marked_path, &marked_request, NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpint (measurement->refusal, ==, SHIM_REFUSAL_NONE);
  g_assert_cmpint (measurement->marks, ==, SHIM_MARKS_OWN);
  g_assert_true (isnan (measurement->shift_x_px));
  evidence = shim_frame_evidence (marked_path, measurement, NULL, &error);
  g_assert_no_error (error);
  anchor = shim_frame_anchor_new (evidence, measurement, &error);
  g_assert_no_error (error);
}

static ShimMeasurement *
carry (const char *path)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPhoto) photo = shim_photo_open (path, &error);
  ShimMeasurement *measurement = shim_frame_measure_carried (photo, anchor, NULL, NULL, &error);

  g_assert_no_error (error);
  g_test_message ("%s %s: shift %.3f, %.3f ± %.3f px, turn %.3f°, growth %.5f, offset %.2f ± %.2f mm, %s",
                  shim_refusal_to_name (measurement->refusal), shim_marks_origin_to_name (measurement->marks),
                  measurement->shift_x_px, measurement->shift_y_px, measurement->shift_se_px,
                  measurement->shift_turn_deg, measurement->shift_growth, measurement->offset_mm,
                  measurement->offset_se_mm, measurement->warnings != NULL ? measurement->warnings[0] : "");
  return measurement;
}

static void
check_carried (const FrameScene *scene, const char *name, ShimMarksOrigin marks, double within_px)
{
  FrameTruth truth;
  g_autofree char *path = make_frame (scene, name, &truth);
  g_autoptr (ShimMeasurement) measurement = carry (path);

  g_assert_cmpint (measurement->refusal, ==, SHIM_REFUSAL_NONE);
  g_assert_cmpint (measurement->marks, ==, marks);
  g_assert_cmpfloat_with_epsilon (measurement->shift_x_px, target_of (&truth).x - target_of (&marked_truth).x, within_px);
  g_assert_cmpfloat_with_epsilon (measurement->shift_y_px, target_of (&truth).y - target_of (&marked_truth).y, within_px);
  g_assert_cmpfloat (fabs (measurement->offset_mm - scene->delta_mm), <, 4.0 * measurement->offset_se_mm);
  g_assert_cmpint (measurement->warnings != NULL && strstr (measurement->warnings[0], "moved") != NULL, ==,
                   marks == SHIM_MARKS_MOVED);
}

/* Focused anew, in other light, and the tripod settled: a millimetre of the scene is 3.4 pixels, 0.4 mm is 1.4. The image
 * grows a little, and the blur differs everywhere. */
static void
test_still (void)
{
  FrameScene scene;

  init_scene (&scene);
  scene.delta_mm = 35.0;
  scene.exposure = 0.9;
  scene.shift_x_mm = 0.4;
  scene.shift_y_mm = -0.3;
  scene.seed = 5;
  check_carried (&scene, "still.jpg", SHIM_MARKS_CARRIED, 0.1);
}

/* Somebody pushed it, and the camera rolled: the ruler is seen a little differently. */
static void
test_moved (void)
{
  FrameScene scene;

  init_scene (&scene);
  scene.delta_mm = 5.0;
  scene.shift_x_mm = -9.0;
  scene.shift_y_mm = 12.0;
  scene.roll_deg = 0.5;
  scene.seed = 6;
  check_carried (&scene, "moved.jpg", SHIM_MARKS_MOVED, 0.5);
}

/* Out of reach: no number, and the way out. A target line given for the frame itself is one. */
static void
test_lost (void)
{
  g_autofree char *path = NULL;
  g_autoptr (ShimMeasurement) lost = NULL;
  g_autoptr (ShimMeasurement) marked_anew = NULL;
  g_autoptr (ShimPhoto) photo = NULL;
  ShimMeasureRequest request;
  FrameScene scene;
  FrameTruth truth;

  init_scene (&scene);
  scene.delta_mm = 5.0;
  scene.shift_x_mm = 95.0;
  scene.seed = 7;
  path = make_frame (&scene, "lost.jpg", &truth);
  lost = carry (path);
  g_assert_cmpint (lost->refusal, ==, SHIM_REFUSAL_MOVED);
  g_assert_cmpint (lost->marks, ==, SHIM_MARKS_UNMATCHED);
  g_assert_nonnull (strstr (lost->reason, "Mark the target line anew"));
  g_assert_true (isnan (lost->offset_mm) && isnan (lost->target_px.x));

  shim_measure_request_init (&request);
  request.has_target = TRUE;
  request.target_px = target_of (&truth);
  photo = shim_photo_open (path, NULL);
  marked_anew = shim_frame_measure_carried (photo, anchor, &request, NULL, NULL);
  g_assert_cmpint (marked_anew->refusal, ==, SHIM_REFUSAL_NONE);
  g_assert_cmpint (marked_anew->marks, ==, SHIM_MARKS_OWN);
}

/* A picture of another size, and one without a ruler. */
static void
test_other (void)
{
  const FixtureJpeg plain = { .width = 640, .height = 480, .components = 3, .sampling = 2, .quality = 90 };
  g_autofree char *path = fixture_jpeg_file (dir, "other.jpg", &plain);
  g_autoptr (ShimMeasurement) other = carry (path);

  g_assert_cmpint (other->refusal, ==, SHIM_REFUSAL_MOVED);
  g_assert_nonnull (strstr (other->reason, "size"));
}

/* The marks of the first go for the rest of the series. */
static void
test_series (void)
{
  g_autofree char *still = g_build_filename (dir, "still.jpg", NULL);
  g_autofree char *lost = g_build_filename (dir, "lost.jpg", NULL);
  const char *paths[] = { marked_path, still, lost, NULL };
  g_autoptr (GPtrArray) results = shim_frame_measure_series (paths, &marked_request, NULL, NULL, NULL);
  const ShimMarksOrigin expected[] = { SHIM_MARKS_OWN, SHIM_MARKS_CARRIED, SHIM_MARKS_UNMATCHED };

  g_assert_cmpuint (results->len, ==, 3);
  for (guint i = 0; i < results->len; i++)
    {
      const ShimFrameResult *result = g_ptr_array_index (results, i);

      g_assert_no_error (result->error);
      g_assert_cmpint (result->measurement->marks, ==, expected[i]);
      g_assert_cmpint (result->measurement->refusal, ==, i < 2 ? SHIM_REFUSAL_NONE : SHIM_REFUSAL_MOVED);
    }
}

int
main (int argc, char **argv)
{
  int result;

  g_test_init (&argc, &argv, NULL);
  dir = fixture_dir ();
  mark ();
  g_test_add_func ("/photo/frame-carry/still", test_still);
  g_test_add_func ("/photo/frame-carry/moved", test_moved);
  g_test_add_func ("/photo/frame-carry/lost", test_lost);
  g_test_add_func ("/photo/frame-carry/other", test_other);
  g_test_add_func ("/photo/frame-carry/series", test_series);
  result = g_test_run ();
  shim_frame_anchor_free (anchor);
  g_free (marked_path);
  fixture_remove_dir (dir);
  return result;
}
