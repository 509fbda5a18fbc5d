/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "frame-render.h"
#include "photo-fixture.h"
#include "shim-frame-measure.h"
#include "shim-photo-error.h"
#include "shim-picture.h"

/* A frame with a known truth on the middle third of a 36 × 24 mm sensor: as exact as a whole one, and quick to
 * make. */
typedef struct
{
  char *dir;
  char *path;
  FrameTruth truth;
} Fixture;

/* Rendering takes longer than measuring: each frame is made once. */
static GBytes *frames[4];
static FrameTruth truths[4];

static void
make_frame (const char *path, int turn_deg, FrameTruth *truth)
{
  g_autoptr (GError) error = NULL;
  FrameScene scene;

  frame_scene_init (&scene);
  scene.width_px = 2000;
  scene.height_px = 1333;
  scene.sensor_width_mm = 12.0;
  scene.delta_mm = 18.0;
  scene.turn_deg = turn_deg;
  frame_render_file (&scene, path, truth, &error);
  g_assert_no_error (error);
}

static void
set_up (Fixture *fixture, gconstpointer data)
{
  int turn = GPOINTER_TO_INT (data) / 90;

  fixture->dir = fixture_dir ();
  fixture->path = g_build_filename (fixture->dir, "frame.jpg", NULL);
  if (frames[turn] == NULL)
    {
      char *contents = NULL;
      gsize n_bytes = 0;

      make_frame (fixture->path, turn * 90, &truths[turn]);
      g_file_get_contents (fixture->path, &contents, &n_bytes, NULL);
      frames[turn] = g_bytes_new_take (contents, n_bytes);
    }
  else
    g_free (fixture_write (fixture->dir, "frame.jpg", frames[turn]));
  fixture->truth = truths[turn];
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  g_free (fixture->path);
  fixture_remove_dir (fixture->dir);
}

static ShimMeasureRequest
request_with_target (const Fixture *fixture)
{
  ShimMeasureRequest request;

  shim_measure_request_init (&request);
  request.has_target = TRUE;
  request.target_px = (ShimPoint) { fixture->truth.aligned.upright.x, fixture->truth.aligned.upright.y };
  return request;
}

static ShimMeasurement *
measure (const char *path, const ShimMeasureRequest *request)
{
  g_autoptr (GError) error = NULL;
  ShimMeasurement *measurement = shim_frame_measure (path, request, NULL, NULL, &error);

  g_assert_no_error (error);
  if (measurement->refusal != SHIM_REFUSAL_NONE)
    g_test_message ("%s: %s", shim_refusal_to_name (measurement->refusal), measurement->reason);
  g_assert_cmpint (measurement->refusal, ==, SHIM_REFUSAL_NONE);
  return measurement;
}

/* Within four standard errors of the truth, and those below two hundredths of the depth of field. */
static void
assert_true_offset (const Fixture *fixture, const ShimMeasurement *measurement)
{
  g_test_message ("offset %.2f ± %.2f mm, truth %.2f", measurement->offset_mm, measurement->offset_se_mm,
                  fixture->truth.delta_mm);
  g_assert_cmpfloat (measurement->offset_se_mm, >, 0.0);
  g_assert_cmpfloat (measurement->offset_se_mm, <, 0.02 * measurement->depth_of_field_mm);
  g_assert_cmpfloat (fabs (measurement->offset_mm - fixture->truth.delta_mm), <, 4.0 * measurement->offset_se_mm);
  g_assert_cmpfloat_with_epsilon (measurement->sharp_px.x, fixture->truth.sharp.upright.x, 6.0);
  g_assert_cmpfloat_with_epsilon (measurement->sharp_px.y, fixture->truth.sharp.upright.y, 6.0);
}

/* Only the target line given; the camera held in all ways. */
static void
test_target_only (Fixture *fixture, gconstpointer data)
{
  ShimMeasureRequest request = request_with_target (fixture);
  g_autoptr (ShimMeasurement) measurement = measure (fixture->path, &request);

  assert_true_offset (fixture, measurement);
  g_assert_cmpint (measurement->far_side, ==, SHIM_FAR_UP);
}

static void
test_strip (Fixture *fixture, gconstpointer data)
{
  ShimMeasureRequest request = request_with_target (fixture);
  g_autoptr (ShimMeasurement) measurement = NULL;

  request.has_strip = TRUE;
  request.strip_a_px = (ShimPoint) { fixture->truth.near_end.upright.x, fixture->truth.near_end.upright.y };
  request.strip_b_px = (ShimPoint) { fixture->truth.far_end.upright.x, fixture->truth.far_end.upright.y };
  measurement = measure (fixture->path, &request);
  assert_true_offset (fixture, measurement);
}

/* A strip that was drawn too short finds the scale's ends all the same, in rows that are decoded only then. */
static void
test_strip_short (Fixture *fixture, gconstpointer data)
{
  const ShimPoint near = { fixture->truth.near_end.upright.x, fixture->truth.near_end.upright.y };
  const ShimPoint far = { fixture->truth.far_end.upright.x, fixture->truth.far_end.upright.y };
  ShimMeasureRequest request = request_with_target (fixture);
  g_autoptr (ShimMeasurement) whole = NULL;
  g_autoptr (ShimMeasurement) shortened = NULL;
  double beyond;

  request.has_strip = TRUE;
  request.strip_a_px = near;
  request.strip_b_px = far;
  whole = measure (fixture->path, &request);
  request.strip_a_px = (ShimPoint) { near.x + 0.25 * (far.x - near.x), near.y + 0.25 * (far.y - near.y) };
  shortened = measure (fixture->path, &request);
  assert_true_offset (fixture, shortened);
  /* farther below the strip than the rows that are decoded at first */
  beyond = MAX (shortened->strip_a_px.y, shortened->strip_b_px.y) - request.strip_a_px.y;
  g_assert_cmpfloat (beyond, >, 165.0);
  g_assert_cmpfloat_with_epsilon (shortened->offset_mm, whole->offset_mm, 0.3 * whole->offset_se_mm);
}

/* A narrow strip that was drawn beside the ticks: looks about it as if it were a click. */
static void
test_strip_beside (Fixture *fixture, gconstpointer data)
{
  ShimMeasureRequest request = request_with_target (fixture);
  g_autoptr (ShimMeasurement) measurement = NULL;

  request.has_strip = TRUE;
  request.strip_width_px = 10.0;
  request.strip_a_px = (ShimPoint) { fixture->truth.near_end.upright.x - 40.0, fixture->truth.near_end.upright.y };
  request.strip_b_px = (ShimPoint) { fixture->truth.far_end.upright.x - 40.0, fixture->truth.far_end.upright.y };
  measurement = measure (fixture->path, &request);
  assert_true_offset (fixture, measurement);
}

/* The printed target says all by itself, however the camera was held. */
static void
test_own_target (void)
{
  char *dir = fixture_dir ();
  g_autofree char *path = g_build_filename (dir, "own.jpg", NULL);
  g_autoptr (ShimMeasurement) measurement = NULL;
  g_autoptr (GError) error = NULL;
  FrameScene scene;
  FrameTruth truth;

  frame_scene_init (&scene);
  scene.own_target = TRUE;
  scene.width_px = 1600;
  scene.height_px = 1000;
  scene.sensor_width_mm = 9.6;
  scene.delta_mm = -17.0;
  scene.roll_deg = -3.0;
  scene.turn_deg = 90;
  frame_render_file (&scene, path, &truth, &error);
  g_assert_no_error (error);
  measurement = measure (path, NULL);
  g_assert_cmpstr (measurement->reason, ==, NULL);
  g_assert_true (measurement->own_target);
  g_assert_cmpint (measurement->far_side, ==, SHIM_FAR_UP);
  g_assert_cmpfloat_with_epsilon (measurement->target_px.x, truth.aligned.upright.x, 1.0);
  g_assert_cmpfloat_with_epsilon (measurement->target_px.y, truth.aligned.upright.y, 1.0);
  g_assert_cmpfloat (fabs (measurement->offset_mm - truth.delta_mm), <, 3.0 * measurement->offset_se_mm);
  g_assert_cmpfloat (fabs (measurement->offset_mm - truth.delta_mm), <, 0.01 * measurement->depth_of_field_mm);
  fixture_remove_dir (dir);
}

/* The rendered lens focuses all colours alike: so do the channels, each within its own doubt. */
static void
test_channels (Fixture *fixture, gconstpointer data)
{
  static const char *const names[] = { "red", "green", "blue" };
  ShimMeasureRequest request = request_with_target (fixture);
  g_autoptr (ShimMeasurement) measurement = measure (fixture->path, &request);
  g_autoptr (ShimPhoto) photo = shim_photo_open (fixture->path, NULL);
  g_autoptr (GError) error = NULL;
  ShimMeasurement *channels[3] = { NULL };

  g_assert_true (shim_frame_measure_channels (photo, &request, measurement, channels, NULL, &error));
  g_assert_no_error (error);
  for (guint i = 0; i < 3; i++)
    {
      g_test_message ("%s", names[i]);
      g_assert_cmpint (channels[i]->refusal, ==, SHIM_REFUSAL_NONE);
      assert_true_offset (fixture, channels[i]);
      shim_measurement_free (channels[i]);
    }
}

/* The same pixels with each orientation written over them: the same offset to the last bit, its places turned
 * along. */
static void
test_orientations (Fixture *fixture, gconstpointer data)
{
  ShimMeasureRequest request = request_with_target (fixture);
  g_autoptr (ShimMeasurement) plain = measure (fixture->path, &request);
  ShimPoint target = request.target_px;
  const int width = 2000, height = 1333;

  for (int o = 2; o <= 8; o++)
    {
      g_autoptr (ShimMeasurement) turned = NULL;
      g_autofree char *value = g_strdup_printf ("%d", o);
      ShimPoint a;

      fixture_set_tag (fixture->path, "Exif.Image.Orientation", value);
      request.target_px = shim_orientation_point_to_upright (o, width, height, target);
      turned = measure (fixture->path, &request);
      a = shim_orientation_point_to_upright (o, width, height, plain->strip_a_px);
      g_assert_cmpfloat (turned->offset_mm, ==, plain->offset_mm);
      g_assert_cmpfloat_with_epsilon (turned->strip_a_px.x, a.x, 1e-9);
      g_assert_cmpfloat_with_epsilon (turned->strip_a_px.y, a.y, 1e-9);
      g_assert_cmpint (turned->far_side, ==, shim_orientation_side_to_upright (o, SHIM_FAR_UP));
      g_assert_cmpfloat_with_epsilon (shim_measurement_offset_between (turned, turned->target_reading_mm,
                                                                       turned->sharp_reading_mm),
                                      turned->offset_mm, 1e-6);
    }
}

static void
test_strip_outside (Fixture *fixture, gconstpointer data)
{
  ShimMeasureRequest request = request_with_target (fixture);
  g_autoptr (ShimMeasurement) measurement = NULL;
  g_autoptr (GError) error = NULL;

  request.has_strip = TRUE;
  request.strip_a_px = (ShimPoint) { -5000, -5000 };
  request.strip_b_px = (ShimPoint) { -5000, -4000 };
  measurement = shim_frame_measure (fixture->path, &request, NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpint (measurement->refusal, !=, SHIM_REFUSAL_NONE);
  g_assert_nonnull (measurement->reason);
}

/* Pictures with no room for a ruler, and one with none in it: refused, in words. */
static void
test_no_ruler (void)
{
  static const int sizes[][2] = { { 1, 1 }, { 7, 5 }, { 130, 9 }, { 9, 130 }, { 127, 127 }, { 640, 480 } };
  char *dir = fixture_dir ();

  for (guint i = 0; i < G_N_ELEMENTS (sizes); i++)
    {
      FixtureJpeg spec = { .width = sizes[i][0], .height = sizes[i][1], .components = 3, .sampling = 2 };
      g_autofree char *path = fixture_jpeg_file (dir, "no-ruler.jpg", &spec);
      g_autoptr (GError) error = NULL;
      g_autoptr (ShimMeasurement) found = shim_frame_measure (path, NULL, NULL, NULL, &error);
      g_autoptr (ShimMeasurement) given = NULL;
      ShimMeasureRequest request;

      g_assert_no_error (error);
      g_assert_cmpint (found->refusal, !=, SHIM_REFUSAL_NONE);
      g_assert_true (g_str_has_suffix (found->reason, "."));

      shim_measure_request_init (&request);
      request.has_strip = TRUE;
      request.strip_a_px = (ShimPoint) { 0.5, 0.0 };
      request.strip_b_px = (ShimPoint) { 0.5, sizes[i][1] };
      given = shim_frame_measure (path, &request, NULL, NULL, &error);
      g_assert_no_error (error);
      g_assert_cmpint (given->refusal, !=, SHIM_REFUSAL_NONE);
    }
  fixture_remove_dir (dir);
}

typedef struct
{
  guint n_calls;
  guint seen;
} Progress;

static void
on_progress (guint index, guint n_done, guint n_files, const ShimFrameResult *result, gpointer user_data)
{
  Progress *progress = user_data;

  g_assert_cmpuint (n_files, ==, 4);
  g_assert_cmpuint (n_done, ==, ++progress->n_calls);
  g_assert_nonnull (result);
  progress->seen |= 1u << index;
}

/* Files that cannot be read do not stop the others, and the order is kept. */
static void
test_many (Fixture *fixture, gconstpointer data)
{
  ShimMeasureRequest request = request_with_target (fixture);
  g_autoptr (GBytes) junk_bytes = g_bytes_new_static ("junk", 4);
  g_autofree char *junk = fixture_write (fixture->dir, "junk.jpg", junk_bytes);
  g_autofree char *missing = g_build_filename (fixture->dir, "missing.jpg", NULL);
  const char *paths[] = { missing, fixture->path, junk, fixture->path, NULL };
  Progress progress = { 0 };
  g_autoptr (GPtrArray) results = shim_frame_measure_many (paths, &request, on_progress, &progress, NULL);
  g_autoptr (ShimMeasurement) alone = measure (fixture->path, &request);
  const ShimFrameResult *good = results->pdata[1];
  const ShimFrameResult *same = results->pdata[3];
  const ShimFrameResult *bad = results->pdata[2];

  g_assert_cmpuint (results->len, ==, 4);
  g_assert_cmpuint (progress.seen, ==, 0xf);
  g_assert_error (((ShimFrameResult *) results->pdata[0])->error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_OPEN);
  g_assert_error (bad->error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_FORMAT);
  g_assert_cmpint (bad->measurement->refusal, ==, SHIM_REFUSAL_UNREADABLE);
  g_assert_cmpstr (bad->measurement->reason, ==, bad->error->message);
  g_assert_no_error (good->error);
  assert_true_offset (fixture, good->measurement);
  g_assert_cmpfloat (good->metadata->focal_length_mm, ==, 50.0);
  g_assert_cmpfloat (same->measurement->offset_mm, ==, good->measurement->offset_mm);
  g_assert_cmpfloat (alone->offset_mm, ==, good->measurement->offset_mm);
}

static void
test_many_cancelled (Fixture *fixture, gconstpointer data)
{
  const char *paths[] = { fixture->path, fixture->path, NULL };
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (GPtrArray) results = NULL;

  g_cancellable_cancel (cancellable);
  results = shim_frame_measure_many (paths, NULL, NULL, NULL, cancellable);
  g_assert_cmpuint (results->len, ==, 2);
  for (guint i = 0; i < results->len; i++)
    g_assert_error (((ShimFrameResult *) results->pdata[i])->error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
}

/* Green of @piece is that of @rect in @whole, on average within what a second JPEG changes. */
static void
assert_same_piece (const ShimPicture *whole, const ShimPicture *piece, const ShimRect *rect)
{
  const guint8 *a = g_bytes_get_data (whole->bytes, NULL);
  const guint8 *b = g_bytes_get_data (piece->bytes, NULL);
  double sum = 0.0;

  g_assert_cmpint (piece->width, ==, rect->width);
  g_assert_cmpint (piece->height, ==, rect->height);
  for (int y = 0; y < rect->height; y++)
    for (int x = 0; x < rect->width; x++)
      sum += ABS ((int) a[(gsize) (y + rect->y) * whole->stride + (gsize) (x + rect->x) * 4 + 1]
                  - (int) b[(gsize) y * piece->stride + (gsize) x * 4 + 1]);
  g_assert_cmpfloat (sum / ((double) rect->width * rect->height), <, 3.0);
}

/* The evidence is a small upright picture that holds the strip, its pixels those of the photograph. */
static void
test_evidence (Fixture *fixture, gconstpointer data)
{
  ShimMeasureRequest request = request_with_target (fixture);
  g_autoptr (ShimMeasurement) measurement = measure (fixture->path, &request);
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) bytes = shim_frame_evidence (fixture->path, measurement, NULL, &error);
  g_autofree char *path = NULL;
  g_autoptr (ShimPhoto) photo = NULL;
  double length_px = hypot (measurement->strip_b_px.x - measurement->strip_a_px.x,
                            measurement->strip_b_px.y - measurement->strip_a_px.y);
  g_autoptr (ShimPhoto) frame = shim_photo_open (fixture->path, NULL);
  g_autoptr (ShimPicture) evidence_picture = NULL;
  g_autoptr (ShimPicture) frame_picture = NULL;
  ShimRect rect;
  int width, height;

  g_assert_no_error (error);
  g_assert_cmpuint (g_bytes_get_size (bytes), <=, 200000);
  path = fixture_write (fixture->dir, "evidence.jpg", bytes);
  photo = shim_photo_open (path, &error);
  g_assert_no_error (error);
  g_assert_cmpint (shim_photo_get_stored_height (photo), >=, (int) length_px);
  g_assert_cmpint (shim_photo_get_stored_height (photo), <, (int) length_px + 300);
  g_assert_cmpint (shim_photo_get_stored_width (photo), <, 500);

  g_assert_true (shim_frame_evidence_rect (bytes, &rect, &width, &height));
  g_assert_cmpint (width, ==, shim_photo_get_metadata (frame)->width_px);
  g_assert_cmpint (height, ==, shim_photo_get_metadata (frame)->height_px);
  evidence_picture = shim_picture_load (photo, SHIM_PICTURE_FULL, NULL, NULL);
  frame_picture = shim_picture_load (frame, SHIM_PICTURE_FULL, NULL, NULL);
  assert_same_piece (frame_picture, evidence_picture, &rect);
}

static void
test_no_evidence (Fixture *fixture, gconstpointer data)
{
  g_autoptr (ShimMeasurement) measurement = shim_measurement_new ();
  g_autoptr (GError) error = NULL;

  g_assert_null (shim_frame_evidence (fixture->path, measurement, NULL, &error));
  g_assert_no_error (error);
}

/* FIPS 180-4, the published example: SHA-256 of "abc". */
static void
test_checksum (void)
{
  char *dir = fixture_dir ();
  g_autoptr (GBytes) bytes = g_bytes_new_static ("abc", 3);
  g_autofree char *path = fixture_write (dir, "abc", bytes);
  g_autoptr (GError) error = NULL;
  g_autofree char *checksum = shim_frame_checksum (path, NULL, &error);

  g_assert_no_error (error);
  g_assert_cmpstr (checksum, ==, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  g_assert_null (shim_frame_checksum (dir, NULL, &error));
  g_assert_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_OPEN);
  fixture_remove_dir (dir);
}

int
main (int argc, char **argv)
{
  int failed;

  g_test_init (&argc, &argv, NULL);
#define ADD(path, turn, func) g_test_add (path, Fixture, GINT_TO_POINTER (turn), set_up, func, tear_down)
  ADD ("/photo/frame/target-only/level", 0, test_target_only);
  ADD ("/photo/frame/target-only/turned-90", 90, test_target_only);
  ADD ("/photo/frame/target-only/turned-180", 180, test_target_only);
  ADD ("/photo/frame/target-only/turned-270", 270, test_target_only);
  ADD ("/photo/frame/strip/level", 0, test_strip);
  ADD ("/photo/frame/strip/turned-90", 90, test_strip);
  ADD ("/photo/frame/strip/turned-180", 180, test_strip);
  ADD ("/photo/frame/strip/turned-270", 270, test_strip);
  ADD ("/photo/frame/strip-short", 0, test_strip_short);
  ADD ("/photo/frame/strip-beside", 0, test_strip_beside);
  ADD ("/photo/frame/channels/level", 0, test_channels);
  ADD ("/photo/frame/channels/turned-90", 90, test_channels);
  ADD ("/photo/frame/orientations", 0, test_orientations);
  ADD ("/photo/frame/strip-outside", 0, test_strip_outside);
  ADD ("/photo/frame/many", 0, test_many);
  ADD ("/photo/frame/many-cancelled", 0, test_many_cancelled);
  ADD ("/photo/frame/evidence/level", 0, test_evidence);
  ADD ("/photo/frame/evidence/turned-270", 270, test_evidence);
  ADD ("/photo/frame/no-evidence", 0, test_no_evidence);
#undef ADD
  g_test_add_func ("/photo/frame/own-target", test_own_target);
  g_test_add_func ("/photo/frame/no-ruler", test_no_ruler);
  g_test_add_func ("/photo/frame/checksum", test_checksum);
  failed = g_test_run ();
  for (guint i = 0; i < G_N_ELEMENTS (frames); i++)
    g_clear_pointer (&frames[i], g_bytes_unref);
  return failed;
}
