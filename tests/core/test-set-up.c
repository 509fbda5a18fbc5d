/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "shim-ruler-places.h"
#include "shim-set-up.h"

/* A ruler photographed by a pinhole camera: 50 mm at 2500 mm, 6 µm pixels, leaning back by 45°, readings growing away and up. */
static ShimMeasurement *
ruler_new (double sign)
{
  ShimMeasurement *m = shim_measurement_new ();

  m->strip_a_px = (ShimPoint) { 3000, 2400 };
  m->strip_b_px = (ShimPoint) { 3000, 1600 };
  m->map[0] = 150.0 - sign * 160.0;
  m->map[1] = sign * 0.4;
  m->map[2] = 0.0;
  m->angle_deg = 45.0;
  m->far_side = SHIM_FAR_UP;
  m->focal_mm = 50.0;
  m->f_number = 1.8;
  m->distance_mm = 2500.0;
  m->coc_mm = 0.030;
  m->target_reading_mm = 150.0;
  return m;
}

/* Depth of field of 50 mm at f/1.8, 2500 mm, c = 0.030 mm: 2374.3494 mm to 2639.6925 mm by the thin-lens formulas (worked out by
 * hand from the long form of the hyperfocal distance); on a ruler at 45° these depths are √2 farther along it. */
static void
test_places (void)
{
  const double signs[] = { 1.0, -1.0 };

  for (guint i = 0; i < G_N_ELEMENTS (signs); i++)
    {
      g_autoptr (ShimMeasurement) m = ruler_new (signs[i]);
      double near_reading, far_reading;

      g_assert_true (shim_ruler_depth_of_field (m, &near_reading, &far_reading));
      check_near (shim_ruler_along_from_target (m, near_reading), (2374.3494 - 2500.0) * sqrt (2.0), 1e-3);
      check_near (shim_ruler_along_from_target (m, far_reading), (2639.6925 - 2500.0) * sqrt (2.0), 1e-3);
      check_near (shim_ruler_reading_at_along (m, 28.0), 150.0 + signs[i] * 28.0, 1e-9);
      check_near (shim_measurement_offset_between (m, 150.0, shim_ruler_reading_at_offset (m, -7.5)), -7.5, 1e-9);
    }
}

static void
test_places_band (void)
{
  g_autoptr (ShimMeasurement) m = ruler_new (-1.0);
  double near_reading, far_reading;

  g_assert_false (shim_ruler_sharp_band (m, &near_reading, &far_reading));
  m->offset_mm = 10.0;
  m->offset_se_mm = 1.0;
  g_assert_true (shim_ruler_sharp_band (m, &near_reading, &far_reading));
  check_near (near_reading, 150.0 - 9.0 * sqrt (2.0), 1e-9);
  check_near (far_reading, 150.0 - 11.0 * sqrt (2.0), 1e-9);
}

static void
test_places_unknown (void)
{
  g_autoptr (ShimMeasurement) m = ruler_new (1.0);

  m->far_side = SHIM_FAR_UNKNOWN;
  g_assert_true (isnan (shim_ruler_along_from_target (m, 160.0)));
  g_assert_true (isnan (shim_ruler_reading_at_offset (m, 1.0)));
}

static const ShimSetUpInput fifty = {
  .focal_mm = 50.0, .f_number = 1.8, .distance_mm = 2500.0, .angle_deg = 45.0, .coc_mm = 0.030,
  .format_width_mm = 36.0, .format_height_mm = 24.0, .pixel_pitch_um = 6.0, .step_mm = -2.5,
};

static void
test_set_up (void)
{
  ShimSetUp set_up;

  g_assert_true (shim_set_up_work_out (&fifty, &set_up));
  /* 50 times the focal length, from 25 on: common practice, no source. */
  check_near (set_up.start_mm, 2500.0, 1e-9);
  check_near (set_up.least_mm, 1250.0, 1e-9);
  /* Thin lens: m = f / (s − f) = 1/49, so 36 × 24 mm show 49 times as much. */
  check_near (set_up.magnification, 1.0 / 49.0, 1e-12);
  check_near (set_up.field_width_mm, 36.0 * 49.0, 1e-9);
  check_near (set_up.field_height_mm, 24.0 * 49.0, 1e-9);
  check_near (set_up.field.total_mm, 2639.6925 - 2374.3494, 1e-3);
  check_near (set_up.ruler_field_mm, (2639.6925 - 2374.3494) * sqrt (2.0), 2e-3);
  check_near (set_up.step_on_ruler_mm, 2.5 * sqrt (2.0), 1e-9);
  /* 1/49 over 6 µm are 3.4014 px a millimetre across the axis. */
  check_near (set_up.px_per_mm, 3.40136 / sqrt (2.0), 1e-4);
  /* The exposure value of f/1.8, 1/125 s, ISO 400 is log2 (1.8² × 125 / 4) = 6.662; 2.5 × 2^EV lux (incident-light constant 250 of
   * ISO 2720, from memory). */
  check_near (set_up.light_lx, 253.1, 0.1);
}

static void
test_set_up_refused (void)
{
  ShimSetUpInput input = fifty;
  ShimSetUp set_up;

  input.distance_mm = 50.0;
  g_assert_false (shim_set_up_work_out (&input, &set_up));
  input = fifty;
  input.angle_deg = 90.0;
  g_assert_false (shim_set_up_work_out (&input, &set_up));
  input = fifty;
  input.pixel_pitch_um = NAN;
  g_assert_true (shim_set_up_work_out (&input, &set_up));
  g_assert_true (isnan (set_up.px_per_mm));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/ruler-places/depth-of-field", test_places);
  g_test_add_func ("/core/ruler-places/sharp-band", test_places_band);
  g_test_add_func ("/core/ruler-places/unknown", test_places_unknown);
  g_test_add_func ("/core/set-up/numbers", test_set_up);
  g_test_add_func ("/core/set-up/refused", test_set_up_refused);
  return g_test_run ();
}
