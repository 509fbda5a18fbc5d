/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-measurement-json.h"
#include "shim-report-error.h"

static ShimMeasurement *
make_measured (void)
{
  ShimMeasurement *self = shim_measurement_new ();

  self->strip_a_px = (ShimPoint) { 3100.25, 3900.5 };
  self->strip_b_px = (ShimPoint) { 3050.75, 600.0 };
  self->strip_width_px = 220.0;
  self->map[0] = -12.125;
  self->map[1] = 0.3 / 7.0;
  self->map[2] = 1.0e-5 / 3.0;
  self->tick_mm = 1.0;
  self->angle_deg = 45.2;
  self->angle_measured = TRUE;
  self->far_side = SHIM_FAR_UP;
  self->distance_mm = 2501.5;
  self->offset_mm = -0.1;
  self->offset_se_mm = 0.35;
  self->target_px = (ShimPoint) { 3000.0, 2000.5 };
  self->sharp_px = (ShimPoint) { 3001.0, 2033.1 };
  shim_measurement_warn (self, "The strip is “dark” at %d %%.", 40);
  self->marks = SHIM_MARKS_CARRIED;
  self->shift_x_px = 0.1;
  self->shift_y_px = -1.0 / 3.0;
  self->n_curve = 2;
  self->curve = g_new0 (ShimBlurPoint, 2);
  self->curve[0] = (ShimBlurPoint) { 1.5, 20.0, 0.25, 0.02, 0.26, TRUE };
  self->curve[1] = (ShimBlurPoint) { 2.5, 21.0, NAN, NAN, 0.3, FALSE };
  return self;
}

static void
test_round_trip (void)
{
  g_autoptr (ShimMeasurement) before = make_measured ();
  g_autofree char *details = shim_measurement_to_details (before);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimMeasurement) after = shim_measurement_from_details (details, &error);
  g_autofree char *again = NULL;

  g_assert_no_error (error);
  g_assert_cmpint (after->refusal, ==, SHIM_REFUSAL_NONE);
  g_assert_cmpfloat (after->map[1], ==, before->map[1]);
  g_assert_cmpfloat (after->map[2], ==, before->map[2]);
  g_assert_cmpfloat (after->offset_mm, ==, -0.1);
  g_assert_cmpfloat (after->sharp_px.y, ==, 2033.1);
  g_assert_true (isnan (after->softness_px));
  g_assert_true (after->angle_measured);
  g_assert_false (after->distance_measured);
  g_assert_cmpint (after->far_side, ==, SHIM_FAR_UP);
  g_assert_cmpstr (after->warnings[0], ==, "The strip is “dark” at 40 %.");
  g_assert_cmpint (after->marks, ==, SHIM_MARKS_CARRIED);
  g_assert_cmpfloat (after->shift_y_px, ==, -1.0 / 3.0);
  g_assert_true (isnan (after->shift_se_px));
  g_assert_cmpuint (after->n_curve, ==, 2);
  g_assert_cmpfloat (after->curve[0].model, ==, 0.26);
  g_assert_true (isnan (after->curve[1].contrast));
  g_assert_true (after->curve[0].used);
  again = shim_measurement_to_details (after);
  g_assert_cmpstr (again, ==, details);
}

/* Stored before marks were carried over. */
static void
test_older (void)
{
  g_autoptr (ShimMeasurement) before = make_measured ();
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimMeasurement) after = NULL;
  JsonObject *object = shim_measurement_to_json (before, NULL);

  json_object_remove_member (object, "marks");
  json_object_remove_member (object, "shift_x_px");
  json_object_remove_member (object, "shift_y_px");
  after = shim_measurement_from_json (object, &error);
  json_object_unref (object);
  g_assert_no_error (error);
  g_assert_cmpint (after->marks, ==, SHIM_MARKS_OWN);
  g_assert_true (isnan (after->shift_x_px));
}

static void
test_refused (void)
{
  g_autoptr (ShimMeasurement) before = shim_measurement_refuse (shim_measurement_new (), SHIM_REFUSAL_OFF_RULER_FAR,
                                                                "Beyond the far end.");
  JsonObject *object = shim_measurement_to_json (before, "a b.jpg");
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimMeasurement) after = shim_measurement_from_json (object, &error);

  g_assert_no_error (error);
  g_assert_cmpstr (json_object_get_string_member (object, "file"), ==, "a b.jpg");
  g_assert_cmpstr (json_object_get_string_member (object, "status"), ==, "refused");
  g_assert_cmpstr (json_object_get_string_member (object, "refusal"), ==, "off-ruler-far");
  g_assert_cmpstr (json_object_get_string_member (object, "reason"), ==, "Beyond the far end.");
  g_assert_true (json_object_get_null_member (object, "offset_mm"));
  g_assert_true (json_object_get_null_member (object, "sharp_px"));
  g_assert_cmpint (after->refusal, ==, SHIM_REFUSAL_OFF_RULER_FAR);
  g_assert_cmpstr (after->reason, ==, "Beyond the far end.");
  json_object_unref (object);
}

/* Each replaces one piece of a good text and must be refused with a clear error, not a crash or a guess. */
static void
test_damaged (void)
{
  const struct { const char *from, *to; } cases[] = {
    { "\"refusal\":\"none\"", "\"refusal\":\"maybe\"" },
    { "\"offset_mm\":-0.1", "\"offset_mm\":\"-0.1\"" },
    { "\"map\":[", "\"map\":[1.0," },
    { "\"curve\":{", "\"curve\":{\"reading_mm\":7,\"x\":{" },
    { "\"used\":[true", "\"used\":[1" },
    { "\"warnings\":[", "\"warnings\":[3," },
    { "\"far_side\":\"up\"", "\"far_side\":null" },
    { "\"marks\":\"carried\"", "\"marks\":\"lent\"" },
    { "\"shift_x_px\":0.1", "\"shift_x_px\":true" },
  };
  g_autoptr (ShimMeasurement) good = make_measured ();
  g_autofree char *details = shim_measurement_to_details (good);

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_auto (GStrv) parts = g_strsplit (details, cases[i].from, 2);
      g_autofree char *bad = NULL;
      g_autoptr (GError) error = NULL;

      g_assert_cmpuint (g_strv_length (parts), ==, 2);
      bad = g_strjoinv (cases[i].to, parts);
      g_assert_null (shim_measurement_from_details (bad, &error));
      g_assert_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_READ);
    }
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/workspace/measurement-json/round-trip", test_round_trip);
  g_test_add_func ("/workspace/measurement-json/older", test_older);
  g_test_add_func ("/workspace/measurement-json/refused", test_refused);
  g_test_add_func ("/workspace/measurement-json/damaged", test_damaged);
  return g_test_run ();
}
