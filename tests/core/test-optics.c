/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "shim-optics.h"

#define INCH 25.4
#define FOOT 304.8

/*
 * Hyperfocal distances. The books use the short form f²/(N c); the long form, which is exact, is longer by
 * one focal length. NAVEDTRA 14209 "Photography (Basic)" p. 1-26 (US Navy); SS0507 learning events 10 and 12
 * (US Army; its text takes 75 mm as 3 in and truncates); teaching pages on hyperfocal distances for the
 * metric ones.
 */
static void
test_hyperfocal (void)
{
  static const struct
  {
    const char *id;
    double focal_mm, f_number, coc_mm, published_mm, tolerance_mm;
  } rows[] = {
    { "O1", 6.1 * INCH, 2.8, 0.002 * INCH, 554 * FOOT, 0.5 * FOOT },
    { "O12", 2 * INCH, 8, 0.002 * INCH, 20.8 * FOOT, 0.05 * FOOT },
    { "O13 (truncated)", 3 * INCH, 8, 0.002 * INCH, 46.8 * FOOT, 0.1 * FOOT },
    { "O19", 50, 8, 0.033, 9470, 0.5 },
    { "O20", 20, 11, 0.03, 1212.12, 0.005 },
    { "O21", 50, 8, 0.02, 15625, 0.005 },
    { "O22", 35, 11, 0.03, 3712.12, 0.005 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      ShimDepthOfField dof;

      g_test_message ("%s", rows[i].id);
      g_assert_true (shim_optics_depth_of_field (rows[i].focal_mm, rows[i].f_number, 2000, rows[i].coc_mm, &dof));
      check_near (dof.hyperfocal_mm - rows[i].focal_mm, rows[i].published_mm, rows[i].tolerance_mm);
    }
}

/*
 * Limits in the field manuals: near = H s / (H + s), far = H s / (H − s), with the short form of H and s from
 * the lens. The exact formula differs from them by less than half a focal length there. O2, O3: NAVEDTRA
 * 14209 p. 1-26; O14, O15: SS0507 learning event 12 (truncated).
 */
static void
test_field_manual_limits (void)
{
  static const struct
  {
    const char *id;
    double focal_mm, hyperfocal_mm, distance_mm, near_mm, far_mm, tolerance_mm;
  } rows[] = {
    { "O2, O3", 6.1 * INCH, 554 * FOOT, 10 * FOOT, 9.8 * FOOT, 10.2 * FOOT, 0.05 * FOOT },
    { "O14, O15 (truncated)", 3 * INCH, 46.8 * FOOT, 15 * FOOT, 11.3 * FOOT, 22 * FOOT, 0.2 * FOOT },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      const double f = rows[i].focal_mm, coc_mm = f * f / (8.0 * rows[i].hyperfocal_mm);
      ShimDepthOfField dof;

      g_test_message ("%s", rows[i].id);
      g_assert_true (shim_optics_depth_of_field (f, 8.0, rows[i].distance_mm, coc_mm, &dof));
      check_near (dof.near_mm, rows[i].near_mm, rows[i].tolerance_mm);
      check_near (dof.far_mm, rows[i].far_mm, rows[i].tolerance_mm);
      /* O4, same page: focus at 2 D d / (D + d) to have these limits; exact for a thin lens. */
      check_near (2.0 * dof.near_mm * dof.far_mm / (dof.near_mm + dof.far_mm), rows[i].distance_mm, 1e-9 * dof.far_mm);
    }
  /* O4 as printed: limits 9.8 and 10.2 ft, focus at 10 ft. */
  check_near (2.0 * 9.8 * 10.2 / 20.0, 10.0, 0.005);
}

/* O12, SS0507: focused at the hyperfocal distance all is sharp from half of it (20.8 ft: 10.4 ft) to infinity. */
static void
test_at_hyperfocal (void)
{
  ShimDepthOfField dof;

  g_assert_true (shim_optics_depth_of_field (2 * INCH, 8, 20.8333333333 * FOOT + 2 * INCH, 0.002 * INCH, &dof));
  check_near (dof.near_mm, 10.4 * FOOT, 0.15 * FOOT);
  g_assert_true (shim_optics_depth_of_field (2 * INCH, 8, dof.hyperfocal_mm * (1.0 + 1e-12), 0.002 * INCH, &dof));
  g_assert_true (isinf (dof.far_mm) && isinf (dof.total_mm));
  check_near (dof.near_mm, dof.hyperfocal_mm / 2.0, 1e-6);
  /* ... and just this side of it there is still a far limit. */
  g_assert_true (shim_optics_depth_of_field (2 * INCH, 8, dof.hyperfocal_mm * 0.999, 0.002 * INCH, &dof));
  g_assert_true (isfinite (dof.far_mm));
}

/*
 * Object and image distance for a scale. O5–O7: NAVEDTRA 14209 pp. 1-27, 1-28; O16: SS0511 fig. 2-21; O17,
 * O18: The Book of Photography (transcription).
 */
static void
test_conjugates (void)
{
  static const struct
  {
    const char *id;
    double focal, scale, object, image, tolerance;
  } rows[] = {
    { "O5", 50, 1, 100, 100, 1e-9 },         { "O6", 10, 1.0 / 4, 50, 12.5, 1e-9 },
    { "O7", 10, 5.0 / 72, 154, 10.7, 0.05 }, { "O16", 12, 1.0 / 2, 36, 18, 1e-9 },
    { "O17", 12, 1.0 / 12, 156, 13, 1e-9 },  { "O18", 8, 1.0 / 4, 40, 10, 1e-9 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      const double object = rows[i].focal * (1.0 + 1.0 / rows[i].scale);

      g_test_message ("%s", rows[i].id);
      check_near (object, rows[i].object, rows[i].tolerance);
      check_near (shim_optics_magnification (rows[i].focal, object), rows[i].scale, 1e-12);
      check_near (shim_optics_image_distance_mm (rows[i].focal, object), rows[i].image, rows[i].tolerance);
    }
}

/*
 * Image size over object size = focal length over distance (I A = F G, NAVEDTRA 14209, problems on image
 * size). The manual takes the image to lie in the focal plane, the exact value is larger by f / (s − f).
 */
static void
test_image_size (void)
{
  static const struct
  {
    const char *id;
    double image, distance, focal, object; /* all in inches */
  } rows[] = {
    { "O8", 8, 30 * 12, 24, 10 * 12 },
    { "O9", 9, 16 * 12, 12, 12 * 12 },
    { "O10", 4, 20 * 12, 10, 8 * 12 },
    { "O11", 9, 16 * 12, 12, 12 * 12 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      const double exact = rows[i].object * shim_optics_magnification (rows[i].focal, rows[i].distance);

      g_test_message ("%s", rows[i].id);
      check_near (exact * (1.0 - rows[i].focal / rows[i].distance), rows[i].image, 1e-9);
    }
}

/* The distance of a test, 50 × f, c = 0.030 mm: computed independently (numpy) from the exact thin-lens formulas. */
static void
test_depth_at_test_distance (void)
{
  static const struct
  {
    double focal_mm, f_number, distance_mm, near_mm, far_mm, focus_mm;
  } rows[] = {
    { 35, 2, 1750, 1614.3911, 1910.4803, 0.12245 },  { 50, 1.8, 2500, 2374.3494, 2639.6925, 0.11020 },
    { 85, 1.4, 4250, 4149.5325, 4355.4532, 0.08571 }, { 200, 2.8, 10000, 9798.3500, 10210.1244, 0.17143 },
    { 50, 8, 3000, 2337.9052, 4185.2679, 0.48814 },  { 24, 11, 1500, 812.7328, 9716.5992, 0.67073 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      ShimDepthOfField dof;

      g_assert_true (
        shim_optics_depth_of_field (rows[i].focal_mm, rows[i].f_number, rows[i].distance_mm, 0.030, &dof));
      check_near (dof.near_mm, rows[i].near_mm, 5e-5);
      check_near (dof.far_mm, rows[i].far_mm, 5e-5);
      check_near (dof.total_mm, rows[i].far_mm - rows[i].near_mm, 1e-4);
      check_near (shim_optics_depth_of_focus_mm (rows[i].focal_mm, rows[i].f_number, rows[i].distance_mm, 0.030),
                  rows[i].focus_mm, 5e-6);
      /* A point at either limit has a blur circle of just c. */
      check_near (shim_optics_blur_circle_mm (rows[i].focal_mm, rows[i].f_number, rows[i].distance_mm, dof.near_mm), 0.030, 1e-12);
      check_near (shim_optics_blur_circle_mm (rows[i].focal_mm, rows[i].f_number, rows[i].distance_mm, dof.far_mm), 0.030, 1e-12);
      if (i < 4)
        {
          check_near (shim_optics_test_distance_mm (rows[i].focal_mm), rows[i].distance_mm, 1e-9);
          check_near (shim_optics_magnification (rows[i].focal_mm, rows[i].distance_mm), 0.020408, 5e-7);
        }
    }
}

/* Offsets at the target and at the sensor: computed independently (numpy). */
static void
test_defocus (void)
{
  static const struct
  {
    double focal_mm, distance_mm, offset_mm, exact_mm, small_mm;
  } rows[] = {
    { 35, 1750, -30, 0.012717, 0.012495 },  { 35, 1750, 60, 0.024145, 0.024990 },
    { 50, 2500, -25, 0.010520, 0.010412 },  { 50, 2500, 25, 0.010307, 0.010412 },
    { 85, 4250, -40, 0.016821, 0.016660 },  { 85, 4250, 40, 0.016501, 0.016660 },
    { 200, 10000, -50, 0.020931, 0.020825 }, { 200, 10000, 50, 0.020719, 0.020825 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      const double f = rows[i].focal_mm, s = rows[i].distance_mm, d = rows[i].offset_mm;
      const double exact_um = shim_optics_defocus_um (f, s, d), small_um = shim_optics_defocus_small_um (f, s, d);

      check_near (exact_um, copysign (1000.0 * rows[i].exact_mm, d), 5e-4);
      check_near (small_um, copysign (1000.0 * rows[i].small_mm, d), 6e-4);
      check_near (small_um / exact_um - 1.0, d / (s - f), 1e-12);
      check_near (shim_optics_image_distance_mm (f, s) - shim_optics_image_distance_mm (f, s + d), exact_um / 1000.0, 1e-11);
      check_near (shim_optics_offset_mm (f, s, exact_um), d, 1e-9);
    }
  g_assert_true (isinf (shim_optics_offset_mm (50, 2500, 1e6 * 50.0 / 2450.0)));
}

/* Circles of confusion: diagonal / 1500 gives 0.030/0.020/0.015/0.011 for these formats as a published table
 * rounds them (a web table). */
static void
test_circle_of_confusion (void)
{
  check_near (shim_optics_coc_from_format_mm (36, 24), 0.02884, 5e-6);
  check_near (shim_optics_coc_from_format_mm (36, 24), 0.030, 0.0015);
  check_near (shim_optics_coc_from_format_mm (23.6, 15.7), 0.020, 0.0015);
  check_near (shim_optics_coc_from_format_mm (17.3, 13.0), 0.015, 0.0015);
  check_near (shim_optics_coc_from_format_mm (13.2, 8.8), 0.011, 0.0015);
  /* two pixels: a convention of this program's */
  check_near (shim_optics_coc_from_pitch_mm (6.0), 0.012, 1e-12);
}

/* Exposure values and lux: the table of the encyclopaedia article "Exposure value" (its constants: ISO 2720). */
static void
test_light (void)
{
  static const struct
  {
    double ev, lux, tolerance;
  } rows[] = {
    { -4, 0.156, 5e-4 }, { -3, 0.313, 6e-4 }, { 0, 2.5, 1e-9 }, { 5, 80, 1e-9 }, { 8, 640, 1e-9 }, { 10, 2560, 1e-9 }, { 14, 40960, 1e-9 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    check_near (shim_optics_illuminance_lx (rows[i].ev), rows[i].lux, rows[i].tolerance);
  /* by definition: f/1, 1 s, ISO 100 */
  check_near (shim_optics_exposure_value (1, 1, 100), 0, 1e-12);
  check_near (shim_optics_exposure_value (16, 1.0 / 128, 100), 15, 1e-12);
  check_near (shim_optics_exposure_value (16, 1.0 / 128, 400), 13, 1e-12);
}

static void
test_nonsense (void)
{
  ShimDepthOfField dof;

  g_assert_true (isnan (shim_optics_magnification (50, 50)));
  g_assert_true (isnan (shim_optics_magnification (0, 2000)));
  g_assert_true (isnan (shim_optics_image_distance_mm (NAN, 2000)));
  g_assert_true (isnan (shim_optics_defocus_um (50, 2500, -2450)));
  g_assert_true (isnan (shim_optics_blur_circle_mm (50, 2, 2500, 0)));
  g_assert_true (isnan (shim_optics_exposure_value (0, 1, 100)));
  g_assert_true (isnan (shim_optics_coc_from_format_mm (-36, 24)));
  g_assert_false (shim_optics_depth_of_field (50, 0, 2500, 0.03, &dof));
  g_assert_true (isnan (dof.near_mm) && isnan (dof.hyperfocal_mm));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/optics/hyperfocal", test_hyperfocal);
  g_test_add_func ("/core/optics/field-manual-limits", test_field_manual_limits);
  g_test_add_func ("/core/optics/at-hyperfocal", test_at_hyperfocal);
  g_test_add_func ("/core/optics/conjugates", test_conjugates);
  g_test_add_func ("/core/optics/image-size", test_image_size);
  g_test_add_func ("/core/optics/depth-at-test-distance", test_depth_at_test_distance);
  g_test_add_func ("/core/optics/defocus", test_defocus);
  g_test_add_func ("/core/optics/circle-of-confusion", test_circle_of_confusion);
  g_test_add_func ("/core/optics/light", test_light);
  g_test_add_func ("/core/optics/nonsense", test_nonsense);
  return g_test_run ();
}
