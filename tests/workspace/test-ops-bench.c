/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

#include "frame-render.h"
#include "shim-measurement-json.h"
#include "shim-ops-pair.h"
#include "shim-ops.h"
#include "shim-register-pairs.h"
#include "shim-workspace-error.h"
#include "shim-workspace-ops.h"
#include "workspace-fixture.h"

/* A whole test from frames to a slot. The frames come from a generator that shares nothing with the program, so the
 * truth is known: at setting s the sharp line lies at 14 s - 60 mm, so that 4.29 would be right. */
#define STEP_MM 14.0
#define AT_ZERO_MM (-60.0)

/* Made once, shared by all tests. */
static char *frames_folder;
static ShimPoint target_px;

static double
truth_mm (int setting, int frame)
{
  const double scatter_mm[] = { -3.0, 0.5, 2.5 };

  return AT_ZERO_MM + STEP_MM * setting + scatter_mm[frame];
}

static char *
frame_path (int setting, int frame)
{
  g_autofree char *name = g_strdup_printf ("s%+d-%d.jpg", setting, frame);

  return g_build_filename (frames_folder, name, NULL);
}

static void
make_scene (FrameScene *scene)
{
  frame_scene_init (scene);
  scene->width_px = 1600;
  scene->height_px = 1000;
  scene->sensor_width_mm = 9.6;
  scene->make = "Orrin";
  scene->model = "O-3";
  scene->body_serial = "0012345";
  scene->lens_model = "Velle 50";
  scene->lens_serial = "3377";
}

static void
make_frame (const FrameScene *scene, const char *path)
{
  g_autoptr (GError) error = NULL;
  FrameTruth truth;

  frame_render_file (scene, path, &truth, &error);
  g_assert_no_error (error);
  target_px = (ShimPoint) { truth.aligned.upright.x, truth.aligned.upright.y };
}

static void
make_frames (void)
{
  const int settings[] = { 0, 5, 4 };
  g_autoptr (GError) error = NULL;
  g_autofree char *stopped = NULL;
  g_autofree char *other = NULL;
  g_autofree char *broken = NULL;
  FrameScene scene;

  frames_folder = g_dir_make_tmp ("shimbook-frames-XXXXXX", &error);
  g_assert_no_error (error);
  make_scene (&scene);
  for (guint i = 0; i < G_N_ELEMENTS (settings); i++)
    for (int k = 0; k < 3; k++)
      {
        g_autofree char *path = frame_path (settings[i], k);
        g_autofree char *taken = g_strdup_printf ("2026:11:20 10:%02u:%02d", 30 + i, 10 * k);

        scene.taken = taken;
        scene.seed = 10 * i + k;
        scene.delta_mm = truth_mm (settings[i], k);
        make_frame (&scene, path);
      }
  scene.taken = "2026:11:20 10:30:20";
  scene.exif_f_number = 4.0;
  stopped = g_build_filename (frames_folder, "stopped.jpg", NULL);
  make_frame (&scene, stopped);
  scene.exif_f_number = 0.0;
  scene.lens_serial = "2041";
  scene.seed = 77;
  other = g_build_filename (frames_folder, "other-lens.jpg", NULL);
  make_frame (&scene, other);
  broken = g_build_filename (frames_folder, "broken.jpg", NULL);
  g_assert_true (g_file_set_contents (broken, "\xff\xd8\xff\xe0 cut", -1, NULL));
}

static void
remove_frames (void)
{
  g_autoptr (GDir) dir = g_dir_open (frames_folder, 0, NULL);
  const char *name;

  while ((name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (frames_folder, name, NULL);

      g_remove (path);
    }
  g_rmdir (frames_folder);
  g_free (frames_folder);
}

/* --- a kit and an open test --- */

typedef struct
{
  WorkspaceFixture base;
  ShimRegister *reg;
  char *test;
} Fixture;

static void
set_up (Fixture *self, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimBody) body = test_body_new ("School body", "0012345");
  g_autoptr (ShimLens) lens = test_lens_new ("Velle 50", "3377");
  g_autofree char *body_id = NULL;
  g_autofree char *lens_id = NULL;
  g_autoptr (ShimTest) test = NULL;
  ShimOpenTest request;

  workspace_fixture_set_up (&self->base, data);
  self->reg = shim_register_open (self->base.path, SHIM_REGISTER_DEFAULT, &error);
  g_assert_no_error (error);
  g_object_set (body, "format-width-mm", 9.6, "format-height-mm", 6.0, NULL);
  body_id = test_add (self->reg, body);
  lens_id = test_add (self->reg, lens);
  shim_open_test_init (&request);
  request.body = body_id;
  request.lens = lens_id;
  request.coc_mm = 0.030;
  test = shim_ops_test_open (self->reg, &request, &error);
  g_assert_no_error (error);
  self->test = g_strdup (shim_record_get_id (SHIM_RECORD (test)));
}

static void
tear_down (Fixture *self, gconstpointer data)
{
  g_clear_pointer (&self->reg, shim_register_free);
  g_free (self->test);
  workspace_fixture_tear_down (&self->base, data);
}

static char *
start_round (Fixture *self, int setting)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRound) round = shim_ops_test_add_round (self->reg, self->test, setting, &error);

  g_assert_no_error (error);
  return g_strdup (shim_record_get_id (SHIM_RECORD (round)));
}

static void
init_marks (ShimMarks *marks, ShimMeasureRequest *request)
{
  shim_measure_request_init (request);
  request->has_target = TRUE;
  request->target_px = target_px;
  *marks = (ShimMarks) { .request = request };
}

static GPtrArray *
add_round_frames (Fixture *self, const char *round, int setting, const ShimMarks *marks)
{
  g_autoptr (GError) error = NULL;
  char *paths[] = { frame_path (setting, 0), frame_path (setting, 1), frame_path (setting, 2), NULL };
  GPtrArray *added =
      shim_ops_frames_add (self->reg, round, (const char *const *) paths, marks, NULL, NULL, NULL, &error);

  g_assert_no_error (error);
  for (guint i = 0; paths[i] != NULL; i++)
    g_free (paths[i]);
  return added;
}

static const ShimAddedFrame *
added_at (GPtrArray *added, guint index)
{
  const ShimAddedFrame *frame = g_ptr_array_index (added, index);

  g_assert_no_error (frame->error);
  return frame;
}

static ShimTestSummary *
summarise (Fixture *self)
{
  g_autoptr (GError) error = NULL;
  ShimTestSummary *summary = shim_ops_test_summary (self->reg, NULL, self->test, &error);

  g_assert_no_error (error);
  return summary;
}

/* --- tests --- */

static void
check_added (Fixture *self, GPtrArray *added, int setting)
{
  g_assert_cmpuint (added->len, ==, 3);
  for (guint i = 0; i < added->len; i++)
    {
      const ShimAddedFrame *frame = added_at (added, i);
      g_autofree char *path = frame_path (setting, i);
      g_autoptr (ShimFrame) stored = NULL;
      g_autoptr (ShimMeasurement) details = NULL;

      g_assert_cmpstr (frame->path, ==, path);
      g_assert_cmpuint (g_strv_length (frame->remarks), ==, 0);
      g_assert_cmpstr (frame->reading->refusal, ==, "none");
      /* Four standard errors, and a hundredth of the depth of field: the engine's own accuracy is tested in
       * tests/core. */
      g_assert_cmpfloat_with_epsilon (frame->reading->offset_mm, truth_mm (setting, i),
                                      4.0 * frame->reading->offset_se_mm);
      g_assert_cmpfloat (frame->reading->offset_se_mm, <, 0.02 * frame->reading->depth_of_field_mm);
      details = shim_measurement_from_details (frame->reading->details, NULL);
      g_assert_cmpfloat (details->offset_mm, ==, frame->reading->offset_mm);
      g_assert_cmpuint (details->n_curve, >, 10);
      stored = (ShimFrame *) shim_register_get (self->reg, SHIM_TYPE_FRAME,
                                                shim_record_get_id (SHIM_RECORD (frame->frame)), NULL);
      g_assert_cmpuint (strlen (stored->sha256), ==, 64);
      g_assert_cmpstr (stored->lens_serial, ==, "3377");
      g_assert_cmpuint (g_bytes_get_size (stored->evidence), >, 100);
    }
}

static void
accept_anew (ShimRegister *reg, const ShimAccept *request, gint64 n_decisions)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimDecision) decision = shim_ops_accept (reg, request, NULL, &error);

  g_assert_no_error (error);
  g_assert_nonnull (decision);
  g_assert_cmpint (shim_register_count (reg, SHIM_TYPE_DECISION, NULL, NULL), ==, n_decisions);
}

static void
test_whole (Fixture *fixture, gconstpointer data)
{
  const int settings[] = { 0, 5, 4 };
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimTestSummary) summary = NULL;
  g_autoptr (ShimDecision) decision = NULL, again = NULL;
  g_autoptr (ShimSlotEntry) entry = NULL;
  g_autoptr (ShimPairNow) now = NULL;
  ShimMeasureRequest request;
  ShimMarks marks;
  ShimAccept accept;

  init_marks (&marks, &request);
  for (guint i = 0; i < G_N_ELEMENTS (settings); i++)
    {
      g_autofree char *round = start_round (fixture, settings[i]);
      /* The target is marked once; later frames take the marks over. */
      g_autoptr (GPtrArray) added = add_round_frames (fixture, round, settings[i], i == 0 ? &marks : NULL);

      check_added (fixture, added, settings[i]);
    }
  summary = summarise (fixture);
  g_assert_cmpuint (summary->rounds->len, ==, 3);
  g_assert_cmpuint (summary->points->len, ==, 3);
  g_assert_cmpint (summary->response.state, ==, SHIM_RESPONSE_CLEAR);
  g_assert_cmpfloat_with_epsilon (summary->response.step_mm, STEP_MM, 4.0 * summary->response.step_se_mm);
  g_assert_cmpint (summary->response.best_setting, ==, 4);
  g_assert_cmpint (summary->step_source, ==, SHIM_STEP_MEASURED);
  g_assert_cmpint (summary->advice.action, ==, SHIM_ADVICE_ACCEPT);
  g_assert_cmpint (summary->advice.setting, ==, 4);
  g_assert_nonnull (summary->advice_sentence);

  shim_accept_init (&accept);
  accept.test = fixture->test;
  accept.value = 4;
  decision = shim_ops_accept (fixture->reg, &accept, &entry, &error);
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (decision->residual_mm, AT_ZERO_MM + 4.0 * STEP_MM, 4.0 * decision->residual_se_mm);
  g_assert_cmpfloat (decision->tolerance_mm, ==, summary->tolerance_mm);
  g_assert_cmpfloat_with_epsilon (decision->slope_mm_per_step, STEP_MM, 1.0);
  g_assert_cmpint (entry->number, ==, 1);
  g_assert_cmpint (entry->value, ==, 4);
  now = shim_register_pair_now (fixture->reg, decision->pair, &error);
  g_assert_cmpint (now->state, ==, SHIM_PAIR_TUNED);
  g_assert_cmpint (now->slot, ==, 1);

  /* The same again is not one more decision; another slot, or a word about it, is. */
  again = shim_ops_accept (fixture->reg, &accept, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (SHIM_RECORD (again)->id, ==, SHIM_RECORD (decision)->id);
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_DECISION, NULL, NULL), ==, 1);
  accept.note = "checked with Jonas";
  accept_anew (fixture->reg, &accept, 2);
  /* Nor is it the same again after another one took its place, as one of the wide end alone does. */
  accept.slot = SHIM_SLOT_NONE;
  accept.end = "wide";
  accept_anew (fixture->reg, &accept, 3);
  accept.end = "all";
  accept_anew (fixture->reg, &accept, 4);
}

/* What a test of one pair teaches about the body and the lens is what the model predicts for that pair. */
static void
test_model (Fixture *fixture, gconstpointer data)
{
  const int settings[] = { 0, 5 };
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimModel) none = shim_ops_model (fixture->reg, &error);
  g_autoptr (ShimModel) model = NULL;
  g_autoptr (ShimDecision) decision = NULL;
  g_autoptr (ShimPairPrediction) prediction = NULL;
  g_autoptr (ShimTestSummary) summary = NULL;
  g_autoptr (ShimPairView) view = NULL;
  ShimMeasureRequest request;
  ShimMarks marks;
  ShimAccept accept;

  g_assert_no_error (error);
  g_assert_cmpuint (shim_model_get_n_readings (none), ==, 0);
  init_marks (&marks, &request);
  for (guint i = 0; i < G_N_ELEMENTS (settings); i++)
    {
      g_autofree char *round = start_round (fixture, settings[i]);
      g_autoptr (GPtrArray) added = add_round_frames (fixture, round, settings[i], &marks);
    }
  shim_accept_init (&accept);
  accept.test = fixture->test;
  accept.value = 4;
  decision = shim_ops_accept (fixture->reg, &accept, NULL, &error);
  g_assert_no_error (error);
  model = shim_ops_model (fixture->reg, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (shim_model_get_n_readings (model), ==, 1);
  summary = summarise (fixture);
  prediction = shim_ops_model_predict (fixture->reg, model, summary->pair->body, summary->pair->lens, NULL,
                                       summary->test->focal_mm, summary->test->distance_mm, &error);
  g_assert_no_error (error);
  g_assert_cmpint (prediction->basis, ==, SHIM_PREDICTION_BOTH);
  /* -60 mm at 14 mm a step; exact defocus is not quite in proportion to the offset. */
  g_assert_cmpfloat_with_epsilon (prediction->offset_mm, AT_ZERO_MM, 3.0);
  g_assert_cmpint (prediction->setting, ==, 4);

  /* Its page compares it with the others alone, and there are none. */
  view = shim_ops_pair_view (fixture->reg, decision->pair, &error);
  g_assert_no_error (error);
  g_assert_null (view->prediction);
  g_assert_false (view->is_checked);
}

static void
test_refusals (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *round = start_round (fixture, 0);
  g_autofree char *good = frame_path (0, 0);
  g_autofree char *other = g_build_filename (frames_folder, "other-lens.jpg", NULL);
  g_autofree char *broken = g_build_filename (frames_folder, "broken.jpg", NULL);
  const char *paths[] = { good, broken, other, good, NULL }, *again[] = { other, NULL };
  g_autoptr (GPtrArray) added = NULL;
  g_autoptr (GPtrArray) overridden = NULL;
  ShimMeasureRequest request;
  ShimMarks marks;

  init_marks (&marks, &request);
  added = shim_ops_frames_add (fixture->reg, round, paths, &marks, NULL, NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (added->len, ==, 4);
  g_assert_no_error (((ShimAddedFrame *) g_ptr_array_index (added, 0))->error);
  g_assert_nonnull (((ShimAddedFrame *) g_ptr_array_index (added, 1))->error);
  g_assert_error (((ShimAddedFrame *) g_ptr_array_index (added, 2))->error, SHIM_WORKSPACE_ERROR,
                  SHIM_WORKSPACE_ERROR_CONTRADICTION);
  /* Both serials are named. */
  g_assert_nonnull (strstr (((ShimAddedFrame *) g_ptr_array_index (added, 2))->error->message, "2041"));
  g_assert_nonnull (strstr (((ShimAddedFrame *) g_ptr_array_index (added, 2))->error->message, "3377"));
  g_assert_error (((ShimAddedFrame *) g_ptr_array_index (added, 3))->error, SHIM_STORE_ERROR,
                  SHIM_STORE_ERROR_DUPLICATE);
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_FRAME, NULL, NULL), ==, 1);
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_READING, NULL, NULL), ==, 1);

  marks.override = TRUE;
  overridden = shim_ops_frames_add (fixture->reg, round, again, &marks, NULL, NULL, NULL, &error);
  g_assert_true (added_at (overridden, 0)->frame->override);
}

/* By eye, left out, measured again: all is kept, and what counts is said. */
static void
test_review (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *round = start_round (fixture, 0);
  g_autoptr (GPtrArray) added = NULL;
  g_autoptr (ShimTestSummary) before = NULL;
  g_autoptr (ShimTestSummary) after = NULL;
  g_autoptr (ShimReading) eye = NULL;
  g_autoptr (ShimReading) again = NULL;
  g_autoptr (ShimMeasurement) program = NULL;
  const ShimRoundSummary *of_round;
  const ShimFrameSummary *frame;
  const char *first, *second;
  ShimMeasureRequest request;
  ShimMarks marks;
  ShimEyeMarks by_eye;

  init_marks (&marks, &request);
  added = add_round_frames (fixture, round, 0, &marks);
  first = shim_record_get_id (SHIM_RECORD (added_at (added, 0)->frame));
  second = shim_record_get_id (SHIM_RECORD (added_at (added, 1)->frame));
  before = summarise (fixture);
  program = shim_measurement_from_details (added_at (added, 0)->reading->details, NULL);

  /* Ten millimetres of ruler further away than the program saw it: 10 cos 45° along the axis. */
  by_eye = (ShimEyeMarks) { .target_px = program->target_px, .se_mm = NAN };
  by_eye.sharp_px = shim_measurement_point_at (
      program,
      program->sharp_reading_mm
          + (program->ruler_mm * (program->sharp_reading_mm - program->target_reading_mm) > 0.0 ? 10.0 : -10.0));
  eye = shim_ops_frames_read_by_eye (fixture->reg, first, &by_eye, &error);
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (eye->offset_mm, program->offset_mm + 10.0 * cos (program->angle_deg * G_PI / 180.0),
                                  1e-6);
  g_assert_true (shim_ops_frames_set_use (fixture->reg, second, FALSE, "A hand was in the picture.", &error));
  g_assert_no_error (error);

  after = summarise (fixture);
  frame = shim_test_summary_find_frame (after, first, &of_round);
  g_assert_nonnull (of_round);
  g_assert_nonnull (frame->program);
  g_assert_cmpfloat (frame->counted->offset_mm, ==, eye->offset_mm);
  frame = shim_test_summary_find_frame (after, second, NULL);
  g_assert_cmpint (frame->use, ==, SHIM_FRAME_LEFT_OUT);
  g_assert_cmpstr (frame->sentence, ==, "A hand was in the picture.");
  g_assert_cmpuint (of_round->stats.n_used, ==, 2);
  g_assert_true (shim_ops_frames_set_use (fixture->reg, second, TRUE, NULL, &error));

  again = shim_ops_frames_remeasure (fixture->reg, second, NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (again->offset_mm, truth_mm (0, 1), 4.0 * again->offset_se_mm);
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_READING, NULL, NULL), ==, 5);
}

static ShimMeasurement *
details_of (ShimReading *reading)
{
  g_autoptr (GError) error = NULL;
  ShimMeasurement *measurement = shim_measurement_from_details (reading->details, &error);

  g_assert_no_error (error);
  return measurement;
}

static void
check_carried (ShimReading *reading, int setting, int frame, double off_mm)
{
  g_autoptr (ShimMeasurement) details = details_of (reading);

  g_assert_cmpstr (reading->refusal, ==, "none");
  g_assert_cmpint (details->marks, ==, SHIM_MARKS_CARRIED);
  g_assert_cmpfloat (hypot (details->shift_x_px, details->shift_y_px), <, 0.1);
  g_assert_cmpfloat_with_epsilon (reading->offset_mm, truth_mm (setting, frame) + off_mm, 4.0 * reading->offset_se_mm);
}

/* The target line is marked on one frame: the others follow, and follow again when it is corrected, but not where they
 * have marks of their own. */
static void
test_carry (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *round = start_round (fixture, 0);
  g_autoptr (GPtrArray) added = add_round_frames (fixture, round, 0, NULL);
  const char *first = shim_record_get_id (SHIM_RECORD (added_at (added, 0)->frame));
  const char *third = shim_record_get_id (SHIM_RECORD (added_at (added, 2)->frame));
  g_autoptr (ShimReading) marked = NULL;
  g_autoptr (ShimReading) own = NULL;
  g_autoptr (ShimReading) corrected = NULL;
  g_autoptr (GPtrArray) carried = NULL;
  g_autoptr (GPtrArray) again = NULL;
  g_autoptr (ShimMeasurement) measurement = NULL;
  ShimMeasureRequest request;
  ShimMarks marks;

  for (guint i = 0; i < added->len; i++)
    g_assert_cmpstr (added_at (added, i)->reading->refusal, ==, "no-target");
  init_marks (&marks, &request);
  marked = shim_ops_frames_remeasure (fixture->reg, first, &request, NULL, &error);
  g_assert_no_error (error);
  carried = shim_ops_frames_carry (fixture->reg, first, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (carried->len, ==, 2);
  check_carried (g_ptr_array_index (carried, 0), 0, 1, 0.0);
  check_carried (g_ptr_array_index (carried, 1), 0, 2, 0.0);

  own = shim_ops_frames_remeasure (fixture->reg, third, &request, NULL, &error);
  g_assert_no_error (error);
  measurement = details_of (marked);
  request.target_px = shim_measurement_point_at (measurement, measurement->target_reading_mm + 10.0);
  corrected = shim_ops_frames_remeasure (fixture->reg, first, &request, NULL, &error);
  g_assert_no_error (error);
  again = shim_ops_frames_carry (fixture->reg, first, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (again->len, ==, 1);
  check_carried (g_ptr_array_index (again, 0), 0, 1, corrected->offset_mm - marked->offset_mm);
  g_assert_cmpfloat_with_epsilon (fabs (corrected->offset_mm - marked->offset_mm),
                                  10.0 * cos (measurement->angle_deg * G_PI / 180.0), 0.1);
}

/* What does not forbid a frame is said on it, when it comes in and later. */
static void
test_doubts (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *round = start_round (fixture, 0);
  g_autofree char *third = frame_path (0, 2);
  g_autofree char *stopped = g_build_filename (frames_folder, "stopped.jpg", NULL);
  const char *paths[] = { third, stopped, NULL };
  g_autoptr (GPtrArray) added = shim_ops_frames_add (fixture->reg, round, paths, NULL, NULL, NULL, NULL, &error);
  g_autoptr (ShimTestSummary) summary = summarise (fixture);
  const ShimAddedFrame *frame = added_at (added, 1);
  const ShimFrameSummary *later;

  g_assert_cmpuint (g_strv_length (added_at (added, 0)->remarks), ==, 0);
  /* Stopped down, and taken in the same second as the frame before. */
  g_assert_cmpuint (g_strv_length (frame->remarks), ==, 2);
  g_assert_nonnull (strstr (frame->remarks[0], "f/4"));
  later = shim_test_summary_find_frame (summary, shim_record_get_id (SHIM_RECORD (frame->frame)), NULL);
  g_assert_true (g_strv_equal ((const char *const *) later->doubts, (const char *const *) frame->remarks));
}

/* A setting that nothing speaks for is not accepted as measured. */
static void
test_accept_nothing (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimDecision) decision = NULL;
  ShimAccept accept;

  shim_accept_init (&accept);
  accept.test = fixture->test;
  accept.value = 7;
  decision = shim_ops_accept (fixture->reg, &accept, NULL, &error);
  g_assert_error (error, SHIM_WORKSPACE_ERROR, SHIM_WORKSPACE_ERROR_STATE);
  g_assert_null (decision);
}

/* --- in the window --- */

typedef struct
{
  GPtrArray *paths;
  double last_progress;
  guint n_notified;
  GCancellable *cancel_after_first;
} Watched;

static void
added_cb (const ShimAddedFrame *added, guint n_done, guint n_files, gpointer user_data)
{
  Watched *watched = user_data;

  g_ptr_array_add (watched->paths, g_strdup (added->path));
  g_assert_cmpuint (n_done, ==, watched->paths->len);
  if (watched->cancel_after_first != NULL)
    g_cancellable_cancel (watched->cancel_after_first);
}

static void
progress_cb (ShimWorkspace *workspace, GParamSpec *pspec, Watched *watched)
{
  watched->last_progress = shim_workspace_get_photo_progress (workspace);
  watched->n_notified++;
}

static GPtrArray *
add_async (Fixture *fixture, const char *round, int setting, GCancellable *cancellable, Watched *watched,
           GError **error)
{
  char *paths[] = { frame_path (setting, 0), frame_path (setting, 1), frame_path (setting, 2), NULL };
  WorkspaceWait wait = { NULL };
  ShimMeasureRequest request;
  ShimMarks marks;
  GPtrArray *added;

  init_marks (&marks, &request);
  watched->paths = g_ptr_array_new_with_free_func (g_free);
  shim_workspace_add_frames_async (fixture->base.workspace, round, (const char *const *) paths, &marks, added_cb,
                                   watched, cancellable, workspace_wait_cb, &wait);
  added = workspace_finish (fixture->base.workspace, &wait, error);
  for (guint i = 0; i < 3; i++)
    g_free (paths[i]);
  return added;
}

static void
test_async (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *round = start_round (fixture, 0);
  g_autoptr (GPtrArray) added = NULL;
  g_autoptr (ShimTestSummary) summary = NULL;
  WorkspaceWait wait = { NULL };
  Watched watched = { NULL };
  gboolean photo_busy;

  g_signal_connect (fixture->base.workspace, "notify::photo-progress", G_CALLBACK (progress_cb), &watched);
  added = add_async (fixture, round, 0, NULL, &watched, &error);
  g_assert_no_error (error);
  check_added (fixture, added, 0);
  g_assert_cmpuint (watched.paths->len, ==, 3);
  for (guint i = 0; i < 3; i++)
    {
      g_autofree char *path = frame_path (0, i);

      g_assert_cmpstr (g_ptr_array_index (watched.paths, i), ==, path);
    }
  g_assert_cmpuint (watched.n_notified, ==, 4);
  g_assert_cmpfloat (watched.last_progress, ==, 1.0);
  g_object_get (fixture->base.workspace, "photo-busy", &photo_busy, NULL);
  g_assert_false (photo_busy);
  shim_workspace_test_summary_async (fixture->base.workspace, fixture->test, NULL, workspace_wait_cb, &wait);
  summary = workspace_finish (fixture->base.workspace, &wait, &error);
  g_assert_no_error (error);
  g_assert_cmpint (summary->advice.action, !=, SHIM_ADVICE_START);
  g_ptr_array_unref (watched.paths);
}

/* Cancelled before it begins: nothing is stored, and the progress does not hang. */
static void
test_async_cancelled (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *round = start_round (fixture, 0);
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (GPtrArray) added = NULL;
  Watched watched = { NULL };

  g_cancellable_cancel (cancellable);
  added = add_async (fixture, round, 0, cancellable, &watched, &error);
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  g_assert_null (added);
  g_assert_cmpfloat (shim_workspace_get_photo_progress (fixture->base.workspace), ==, 1.0);
  g_assert_cmpint (shim_register_count (fixture->reg, SHIM_TYPE_FRAME, NULL, NULL), ==, 0);
  g_ptr_array_unref (watched.paths);
}

/* The workspace is closed while photographs are being measured: what was stored is stored, and nothing hangs. */
static void
test_close_while_measuring (Fixture *fixture, gconstpointer data)
{
  g_autofree char *round = start_round (fixture, 0);
  char *paths[] = { frame_path (0, 0), frame_path (0, 1), frame_path (0, 2), NULL };
  WorkspaceWait adding = { NULL }, closed = { NULL };
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) added = NULL;

  shim_workspace_add_frames_async (fixture->base.workspace, round, (const char *const *) paths, NULL, NULL, NULL,
                                   NULL, workspace_wait_cb, &adding);
  shim_workspace_close_async (fixture->base.workspace, workspace_wait_cb, &closed);
  g_assert_true (shim_workspace_close_finish (fixture->base.workspace, workspace_wait_for (&closed), NULL));
  g_clear_object (&closed.result);
  added = workspace_finish (fixture->base.workspace, &adding, &error);
  g_assert_true (added != NULL || error != NULL);
  for (guint i = 0; i < 3; i++)
    g_free (paths[i]);
}

#define ADD(name, func) g_test_add ("/workspace/ops/bench/" name, Fixture, NULL, set_up, func, tear_down)

int
main (int argc, char *argv[])
{
  int result;

  g_test_init (&argc, &argv, NULL);
  make_frames ();
  ADD ("whole", test_whole);
  ADD ("model", test_model);
  ADD ("refusals", test_refusals);
  ADD ("review", test_review);
  ADD ("carry", test_carry);
  ADD ("doubts", test_doubts);
  ADD ("accept-nothing", test_accept_nothing);
  ADD ("async", test_async);
  ADD ("async-cancelled", test_async_cancelled);
  ADD ("close-while-measuring", test_close_while_measuring);
  result = g_test_run ();
  remove_frames ();
  return result;
}
