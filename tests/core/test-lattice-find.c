/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "shim-lattice-find.h"
#include "shim-lattice-row.h"
#include "shim-optics.h"
#include "shim-phasor.h"
#include "shim-ruler-geometry.h"
#include "shim-tick-ranks.h"
#include "shim-tick-spacing.h"
#include "tick-picture.h"

typedef struct
{
  ShimLattice lattice;
  ShimTickFamily family;
  int width;
  int height;
} Found;

static gboolean
find (const TickPicture *picture, Found *found)
{
  ShimLuma luma;
  g_autofree guint8 *px = tick_picture_draw (picture, &luma);
  g_autoptr (ShimSurvey) survey = shim_survey_new (luma.picture_width, luma.picture_height);
  g_autoptr (GArray) guesses = NULL;

  shim_survey_add_rows (survey, 0, luma.picture_height, px, luma.stride);
  guesses = shim_survey_find (survey, 1);
  if (guesses->len == 0 || !shim_lattice_find (&luma, &g_array_index (guesses, ShimStripGuess, 0), &found->lattice))
    return FALSE;
  found->family = shim_tick_ranks_read (&luma, &found->lattice);
  found->width = luma.picture_width;
  found->height = luma.picture_height;
  return TRUE;
}

static double
true_reading (const TickPicture *picture, const ShimLattice *lattice, double v)
{
  const double u = shim_lattice_u_at (lattice, v);

  return lattice->transposed ? tick_picture_reading (picture, v, u) : tick_picture_reading (picture, u, v);
}

/* Along the whole scale the map must agree with the rays up to a constant, which is a whole number of ticks. */
static void
check_map (const TickPicture *picture, const ShimLattice *lattice, double tolerance_ticks)
{
  const double v_lo = lattice->v_first, v_hi = lattice->v_last;
  const double middle = true_reading (picture, lattice, 0.5 * (v_lo + v_hi)) / picture->tick_mm;
  const double sign = true_reading (picture, lattice, v_hi) > true_reading (picture, lattice, v_lo) ? 1.0 : -1.0;
  const double offset = shim_lattice_reading (lattice, 0.5 * (v_lo + v_hi)) - sign * middle;

  check_near (offset, rint (offset), tolerance_ticks);
  for (double v = v_lo; v <= v_hi; v += (v_hi - v_lo) / 16.0)
    check_near (shim_lattice_reading (lattice, v) - sign * true_reading (picture, lattice, v) / picture->tick_mm,
                rint (offset), tolerance_ticks);
  g_assert_cmpfloat (lattice->residual_mm, <, 0.06);
}

static void
check_picture (const TickPicture *picture)
{
  Found found;

  g_assert_true (find (picture, &found));
  check_map (picture, &found.lattice, 0.06);
  g_assert_cmpint (found.family, ==, SHIM_TICK_FAMILY_FIVES);
  g_assert_true (found.lattice.dark_known);
  g_assert_cmpint (found.lattice.dark_ticks, ==, picture->ink < picture->paper);
  /* Both ends are sharp: the scale is counted to the tick, give or take one. */
  check_near (found.lattice.last_reading_mm - found.lattice.first_reading_mm, picture->last - picture->first, 2.0);
  /* Its zero is one of the longest ticks. */
  check_near (remainder (found.lattice.first_reading_mm - (picture->away > 0) * -picture->last
                         - (picture->away < 0) * picture->first, 10.0), 0.0, 1.0);
}

static void
test_plain (void)
{
  const TickPicture picture = TICK_PICTURE_PLAIN;

  check_picture (&picture);
}

static void
test_toward (void)
{
  TickPicture picture = TICK_PICTURE_PLAIN;

  picture.away = -1;
  check_picture (&picture);
}

static void
test_turned_and_rolled (void)
{
  TickPicture picture = TICK_PICTURE_PLAIN;

  picture.roll_deg = -4.0;
  check_picture (&picture);
  picture.turned = TRUE;
  check_picture (&picture);
}

static void
test_light_ticks (void)
{
  TickPicture picture = TICK_PICTURE_PLAIN;

  picture.ink = 0.55;
  picture.paper = 0.06;
  check_picture (&picture);
}

static void
test_strong_noise (void)
{
  TickPicture picture = TICK_PICTURE_PLAIN;
  Found found;

  picture.noise = 12.0;
  g_assert_true (find (&picture, &found));
  check_map (&picture, &found.lattice, 0.15);
}

/* Tenths of an inch are found as such though their harmonics are strong, and told from millimetres by the
 * distance alone. */
static void
test_inches (void)
{
  TickPicture picture = TICK_PICTURE_PLAIN;
  ShimMeasureRequest request;
  gboolean sure;
  Found found;

  picture.tick_mm = 2.54;
  picture.first = -40;
  picture.last = 50;
  g_assert_true (find (&picture, &found));
  check_map (&picture, &found.lattice, 0.06);
  shim_measure_request_init (&request);
  request.focal_mm = 50.0;
  request.pixel_pitch_mm = shim_optics_image_distance_mm (50.0, 2500.0) / picture.image_px;
  request.distance_mm = 2600.0;
  check_near (shim_tick_spacing_judge (&found.lattice, found.family, &request, &sure), 2.54, 1e-9);
  request.tick_mm = 1.0;
  check_near (shim_tick_spacing_judge (&found.lattice, found.family, &request, &sure), 1.0, 1e-9);
}

/* Sixteenths of an inch, of which every second, fourth and eighth is longer, are told from everything metric without a word
 * from the camera; half millimetres by every second and every tenth. (Graduations: common practice, no source.) */
static void
test_families (void)
{
  TickPicture picture = TICK_PICTURE_PLAIN;
  ShimMeasureRequest request;
  gboolean sure;
  Found found;

  shim_measure_request_init (&request);
  picture.tick_mm = 25.4 / 16.0;
  picture.first = -60;
  picture.last = 75;
  picture.long_every = 2;
  g_assert_true (find (&picture, &found));
  g_assert_cmpint (found.family, ==, SHIM_TICK_FAMILY_BINARY);
  check_near (shim_tick_spacing_judge (&found.lattice, found.family, &request, &sure), 25.4 / 16.0, 1e-9);
  picture.long_again = 5;
  g_assert_true (find (&picture, &found));
  g_assert_cmpint (found.family, ==, SHIM_TICK_FAMILY_HALVES);
  check_near (shim_tick_spacing_judge (&found.lattice, found.family, &request, &sure), 0.5, 1e-9);
  g_assert_cmpint (found.lattice.long_every, ==, 10);
}

/* The picture's ruler ends 4 mm beyond its last ticks, which looks like one more where they are 5 mm apart. */
static void
test_end_of_ruler (void)
{
  TickPicture picture = TICK_PICTURE_PLAIN;
  Found found;

  picture.tick_mm = 5.0;
  picture.long_every = 2;
  picture.first = -27;
  picture.last = 29;
  g_assert_true (find (&picture, &found));
  g_assert_cmpuint (found.lattice.n_ticks, ==, 57);
  g_assert_true (found.lattice.first_is_end && found.lattice.last_is_end);
}

/* Without a word from the camera a scale of 60 ticks, of which every second is longer, is 300 mm long: a length that rulers have
 * (common practice, no source). Parts of an inch to no such length may be eighths or sixteenths, and the answer is called a guess. */
static void
test_spacing_by_length (void)
{
  ShimLattice lattice = { .v_ref = 2000.0, .u_ref = 3000.0, .v_first = 1600.0, .v_last = 2400.0, .n_ticks = 61, .tick_mm = 1.0,
                          .map = { 0.0, 60.0 / 800.0, 0.0 }, .first_is_end = TRUE, .last_is_end = TRUE };
  ShimMeasureRequest request;
  gboolean sure;

  shim_measure_request_init (&request);
  check_near (shim_tick_spacing_judge (&lattice, SHIM_TICK_FAMILY_TWOS, &request, &sure), 5.0, 1e-9);
  g_assert_true (sure);
  lattice.n_ticks = 58;
  shim_tick_spacing_judge (&lattice, SHIM_TICK_FAMILY_BINARY, &request, &sure);
  g_assert_false (sure);
}

static void
test_spacing_by_blur (void)
{
  check_near (shim_tick_spacing_by_blur (1.0, 1.0 / 2.54), 2.54, 1e-9);
  check_near (shim_tick_spacing_by_blur (1.0, 1.0 / 1.60), 25.4 / 16.0, 1e-9);
  check_near (shim_tick_spacing_by_blur (5.0, 5.1), 1.0, 1e-9);
  g_assert_true (isnan (shim_tick_spacing_by_blur (1.0, 0.88)));
}

/* Distance, angle and far side of the scene that was drawn. */
static void
check_geometry (const TickPicture *picture)
{
  const double focal = 50.0, image_mm = shim_optics_image_distance_mm (focal, picture->distance_mm);
  ShimMeasureRequest request;
  ShimRulerGeometry geometry;
  Found found;
  double v, zero, depth;

  g_assert_true (find (picture, &found));
  shim_lattice_set_tick (&found.lattice, picture->tick_mm, TRUE);
  shim_measure_request_init (&request);
  request.focal_mm = focal;
  request.f_number = 2.0;
  request.pixel_pitch_mm = image_mm / picture->image_px;
  v = 0.5 * (found.lattice.v_first + found.lattice.v_last);
  zero = true_reading (picture, &found.lattice, v);
  depth = picture->distance_mm + zero * picture->away * cos (picture->angle_deg * G_PI / 180.0);
  shim_ruler_geometry_solve (&found.lattice, &request, v, &geometry);
  g_assert_true (geometry.ok);
  g_assert_true (geometry.angle_deg.measured);
  check_near (geometry.angle_deg.value, picture->angle_deg, 0.7);
  check_near (geometry.distance_mm.value / depth, 1.0, 0.008);
  /* The far end is up in the picture as drawn, whichever way readings run; turned, rows become columns. */
  g_assert_cmpint (shim_ruler_geometry_far_side (geometry.far_sign, found.lattice.transposed), ==,
                   picture->turned ? SHIM_FAR_LEFT : SHIM_FAR_UP);
  check_near (shim_geometry_depth_mm (&geometry, &found.lattice, v), geometry.distance_mm.value, 1e-6);

  /* The blur circle's growth against the thin lens: focused at one place of the ruler, seen at another. */
  for (double dv = -200.0; dv <= 200.0; dv += 100.0)
    {
      const double other = shim_geometry_depth_mm (&geometry, &found.lattice, v + dv);
      const double blur_mm = shim_optics_blur_circle_mm (focal, 2.0, geometry.distance_mm.value, other);

      check_near (geometry.kappa.value * fabs (dv) * request.pixel_pitch_mm / (blur_mm + 1e-9),
                  dv == 0.0 ? 0.0 : 1.0, 0.01);
    }
}

static void
test_geometry (void)
{
  TickPicture picture = TICK_PICTURE_PLAIN;

  check_geometry (&picture);
  picture.angle_deg = 56.0;
  check_geometry (&picture);
  picture.away = -1;
  picture.turned = TRUE;
  check_geometry (&picture);
  picture.roll_deg = 3.0;
  picture.left_mm = 90.0;
  picture.width = 1400;
  check_geometry (&picture);
}

/* What is left when the focal length is not known: the distance; then the stated angle; then 45° with a doubt
 * that says so. */
static void
test_geometry_fallbacks (void)
{
  const TickPicture picture = TICK_PICTURE_PLAIN;
  ShimMeasureRequest request;
  ShimRulerGeometry geometry;
  Found found;
  double v;

  g_assert_true (find (&picture, &found));
  shim_measure_request_init (&request);
  v = shim_lattice_v_at (&found.lattice, 0.0);
  request.distance_mm = picture.distance_mm + true_reading (&picture, &found.lattice, v) * cos (G_PI / 4.0);
  shim_ruler_geometry_solve (&found.lattice, &request, v, &geometry);
  g_assert_true (geometry.ok);
  check_near (geometry.angle_deg.value, 45.0, 1.0);
  g_assert_true (isnan (geometry.kappa.value));

  request.distance_mm = NAN;
  request.angle_deg = 40.0;
  shim_ruler_geometry_solve (&found.lattice, &request, v, &geometry);
  check_near (fabs (geometry.depth_per_mm.value), cos (40.0 * G_PI / 180.0), 1e-9);
  request.angle_deg = NAN;
  shim_ruler_geometry_solve (&found.lattice, &request, v, &geometry);
  check_near (geometry.angle_deg.value, 45.0, 1e-9);
  g_assert_false (geometry.angle_deg.measured);
  g_assert_cmpfloat (geometry.angle_deg.se, >=, 3.0);
}

/* A row as a whole says of its pixels what each is told by itself. */
static void
test_row (void)
{
  const ShimLattice lattice = { .v_ref = 2000.0, .u0 = 1500.0, .u1 = 0.05, .slant = -0.08, .map = { 12.0, 0.4, 1e-4 } };

  for (double v = 1200.5; v < 2800.0; v += 300.0)
    {
      const ShimLatticeRow row = shim_lattice_row (&lattice, v);

      for (double u = 1300.5; u < 1700.0; u += 50.0)
        {
          check_near (shim_lattice_row_reading (&row, u), shim_lattice_reading_uv (&lattice, u, v), 1e-9);
          /* twice as far from the lane is twice the place, and pixels that are larger hold less of it */
          check_near (shim_lattice_row_place (&row, u) * (1.0 + 1e-4 * (v - 2000.0)), u - (1500.0 + 0.05 * (v - 2000.0)), 1e-9);
        }
    }
}

/* By cosine and sine of the C library, for steps within the series and beyond it. */
static void
test_phasor (void)
{
  static const double steps[] = { 0.0, 1e-6, -0.01, 0.1, -0.299, 0.31, 2.5 };

  for (guint s = 0; s < G_N_ELEMENTS (steps); s++)
    {
      ShimPhasor phasor = shim_phasor_at (0.7);

      for (int i = 1; i <= 50; i++)
        {
          phasor = shim_phasor_nudge (phasor, steps[s]);
          check_near (phasor.cosine, cos (0.7 + i * steps[s]), 1e-10);
          check_near (phasor.sine, sin (0.7 + i * steps[s]), 1e-10);
        }
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/lattice/row", test_row);
  g_test_add_func ("/core/lattice/phasor", test_phasor);
  g_test_add_func ("/core/lattice/plain", test_plain);
  g_test_add_func ("/core/lattice/toward", test_toward);
  g_test_add_func ("/core/lattice/turned-and-rolled", test_turned_and_rolled);
  g_test_add_func ("/core/lattice/light-ticks", test_light_ticks);
  g_test_add_func ("/core/lattice/strong-noise", test_strong_noise);
  g_test_add_func ("/core/lattice/inches", test_inches);
  g_test_add_func ("/core/lattice/families", test_families);
  g_test_add_func ("/core/lattice/end-of-ruler", test_end_of_ruler);
  g_test_add_func ("/core/lattice/spacing-by-length", test_spacing_by_length);
  g_test_add_func ("/core/lattice/spacing-by-blur", test_spacing_by_blur);
  g_test_add_func ("/core/ruler-geometry/scene", test_geometry);
  g_test_add_func ("/core/ruler-geometry/fallbacks", test_geometry_fallbacks);
  return g_test_run ();
}
