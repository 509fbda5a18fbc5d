/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-mosaic.h"
#include "shim-sharp-line.h"
#include "strip-maker.h"

static ShimSharpLine *
find_on (const ShimStrip *strip, double kappa, ShimLattice *lattice)
{
  const ShimRulerGeometry geometry = {
    .ok = TRUE, .far_sign = -1, .far_measured = TRUE, .kappa = { kappa, 0.03 * kappa, TRUE },
  };

  return shim_sharp_line_find (strip, lattice, &geometry);
}

static ShimSharpLine *
find (const StripRecipe *recipe, double kappa, ShimLattice *lattice)
{
  g_autoptr (ShimStrip) strip = strip_make (recipe, lattice);

  return find_on (strip, kappa, lattice);
}

static double
error_mm (const StripRecipe *recipe, const ShimLattice *lattice, const ShimSharpLine *line)
{
  return line->reading_mm - shim_lattice_reading (lattice, recipe->v_sharp);
}

/* The sharp line is found where it was put, within its standard errors, wherever it is. */
static void
test_place (void)
{
  static const double places[] = { 240.0, 330.0, 480.0, 560.0, 640.0, 730.0 };

  for (guint i = 0; i < G_N_ELEMENTS (places); i++)
    for (guint light = 0; light < 2; light++)
      {
        ShimLattice lattice;
        g_autoptr (ShimSharpLine) line = NULL;
        StripRecipe recipe;

        strip_recipe_init (&recipe);
        recipe.v_sharp = places[i];
        recipe.light_ticks = light == 1;
        recipe.noise = 0.002;
        line = find (&recipe, recipe.kappa, &lattice);
        g_test_message ("v = %.0f: error %.3f mm, standard error %.3f", places[i], error_mm (&recipe, &lattice, line), line->se_mm);
        g_assert_cmpint (line->refusal, ==, SHIM_REFUSAL_NONE);
        g_assert_cmpfloat (fabs (error_mm (&recipe, &lattice, line)), <, 3.0 * line->se_mm);
        g_assert_cmpfloat (fabs (error_mm (&recipe, &lattice, line)), <, 1.0);
        g_assert_cmpfloat_with_epsilon (line->blur_factor, 1.0, 0.03);
        g_assert_cmpfloat_with_epsilon (line->softness_px, recipe.softness, 0.1);
        g_assert_cmpuint (g_strv_length (line->warnings), ==, 0);
        g_assert_cmpuint (line->n_curve, >=, 25);
      }
}

/* Of the frames 68, 95 and 99.5 % lie within 1, 2 and 3 standard errors (Student's t with some 40 degrees of freedom), give or
 * take three standard deviations of a count. */
static void
test_calibration (void)
{
  enum { N = 120 };
  guint within[3] = { 0 };
  double sum = 0.0;

  for (guint i = 0; i < N; i++)
    {
      ShimLattice lattice;
      g_autoptr (ShimSharpLine) line = NULL;
      StripRecipe recipe;
      double z;

      strip_recipe_init (&recipe);
      recipe.seed = 100 + i;
      recipe.v_sharp = 350.0 + 1.5 * i;
      recipe.noise = i % 2 == 0 ? 0.004 : 0.012;
      line = find (&recipe, recipe.kappa, &lattice);
      g_assert_cmpint (line->refusal, ==, SHIM_REFUSAL_NONE);
      z = error_mm (&recipe, &lattice, line) / line->se_mm;
      sum += z;
      for (guint k = 0; k < 3; k++)
        within[k] += fabs (z) < k + 1.0;
    }
  g_test_message ("within 1, 2, 3 standard errors: %u, %u, %u of %d; mean %.2f", within[0], within[1], within[2], N, sum / N);
  g_assert_cmpfloat_with_epsilon ((double) within[0] / N, 0.683, 0.13);
  g_assert_cmpfloat_with_epsilon ((double) within[1] / N, 0.954, 0.06);
  g_assert_cmpfloat_with_epsilon ((double) within[2] / N, 0.995, 0.02);
  g_assert_cmpfloat (fabs (sum / N), <, 3.0 / sqrt (N));
}

/* Off the ruler there is no number, but the right side and a bound that holds. This strip's readings grow towards the camera. */
static void
test_off_ruler (void)
{
  static const struct
  {
    double v_sharp;
    ShimRefusal refusal;
  } cases[] = {
    { 40.0, SHIM_REFUSAL_OFF_RULER_FAR }, { -40.0, SHIM_REFUSAL_OFF_RULER_FAR },
    { 800.0, SHIM_REFUSAL_OFF_RULER_NEAR }, { 900.0, SHIM_REFUSAL_OFF_RULER_NEAR },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      ShimLattice lattice;
      g_autoptr (ShimSharpLine) line = NULL;
      StripRecipe recipe;
      double truth;

      strip_recipe_init (&recipe);
      recipe.ticks = 250;
      recipe.v_sharp = cases[i].v_sharp;
      line = find (&recipe, recipe.kappa, &lattice);
      truth = shim_lattice_reading (&lattice, recipe.v_sharp);
      g_assert_cmpint (line->refusal, ==, cases[i].refusal);
      g_assert_nonnull (line->reason);
      if (truth < 0.0)
        g_assert_true (line->bound_mm <= 0.0 && line->bound_mm >= truth);
      else
        g_assert_true (line->bound_mm >= recipe.ticks && line->bound_mm <= truth);
    }
}

/* Less than two standard errors beyond an end that is not certain, but the side is, and the bound leaves room for it. */
static void
test_at_an_end (void)
{
  static const double beyond_se[] = { 0.5, 1.0, 1.5 };

  for (guint i = 0; i < G_N_ELEMENTS (beyond_se); i++)
    {
      ShimLattice lattice;
      g_autoptr (ShimSharpLine) line = NULL;
      StripRecipe recipe;
      double se_mm;

      strip_recipe_init (&recipe);
      recipe.ticks = 250;
      recipe.v_sharp = 100.0;
      line = find (&recipe, recipe.kappa, &lattice);
      se_mm = line->se_mm;
      g_clear_pointer (&line, shim_sharp_line_free);
      recipe.v_sharp = shim_lattice_v_at (&lattice, recipe.ticks + beyond_se[i] * se_mm);
      line = find (&recipe, recipe.kappa, &lattice);
      if (line->reading_mm <= recipe.ticks)
        g_assert_cmpint (line->refusal, ==, SHIM_REFUSAL_NOT_CREDIBLE);
      else
        g_assert_cmpint (line->refusal, ==, SHIM_REFUSAL_OFF_RULER_NEAR);
      g_assert_nonnull (strstr (line->reason, "near end"));
      g_assert_false (line->bound_mm > recipe.ticks + beyond_se[i] * se_mm);
      g_test_message ("%.1f se: reading %.1f ± %.1f of %u, bound %.1f", beyond_se[i], line->reading_mm, line->se_mm, recipe.ticks,
                      line->bound_mm);
    }
}

static void
test_hand_and_glare (void)
{
  static const struct
  {
    double hand_lo, hand_hi, glare_slope;
  } cases[] = {
    { 90.0, 200.0, 0.0 }, { 560.0, 620.0, 0.0 }, { 460.0, 500.0, 0.0 }, { INFINITY, INFINITY, 0.15 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      ShimLattice lattice;
      g_autoptr (ShimSharpLine) line = NULL;
      StripRecipe recipe;

      strip_recipe_init (&recipe);
      recipe.hand_lo = cases[i].hand_lo;
      recipe.hand_hi = cases[i].hand_hi;
      recipe.glare_slope = cases[i].glare_slope;
      line = find (&recipe, recipe.kappa, &lattice);
      g_test_message ("case %u: error %.3f mm, standard error %.3f, %s", i, error_mm (&recipe, &lattice, line), line->se_mm,
                      shim_refusal_to_name (line->refusal));
      if (line->refusal == SHIM_REFUSAL_NONE)
        g_assert_cmpfloat (fabs (error_mm (&recipe, &lattice, line)), <, 3.0 * line->se_mm);
    }
}

static void
test_refusals (void)
{
  static const struct
  {
    double level, noise, softness, kappa_factor;
    ShimRefusal refusal;
  } cases[] = {
    { 0.004, 0.0003, 0.6, 1.0, SHIM_REFUSAL_TOO_DARK },
    { 2.5, 0.006, 0.6, 1.0, SHIM_REFUSAL_CLIPPED },
    { 1.0, 0.006, 2.5, 1.0, SHIM_REFUSAL_NOTHING_SHARP },
    { 1.0, 0.006, 0.6, 1.6, SHIM_REFUSAL_NOT_CREDIBLE },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      ShimLattice lattice;
      g_autoptr (ShimSharpLine) line = NULL;
      StripRecipe recipe;

      strip_recipe_init (&recipe);
      recipe.level = cases[i].level;
      recipe.noise = cases[i].noise;
      recipe.softness = cases[i].softness;
      line = find (&recipe, recipe.kappa * cases[i].kappa_factor, &lattice);
      g_test_message ("case %u: %s, %s", i, shim_refusal_to_name (line->refusal), line->reason);
      g_assert_cmpint (line->refusal, ==, cases[i].refusal);
      g_assert_nonnull (line->reason);
    }
}

/* A ruler at another angle than said: the number stands, the person is told. */
static void
test_warns_of_other_blur (void)
{
  ShimLattice lattice;
  g_autoptr (ShimSharpLine) line = NULL;
  StripRecipe recipe;

  strip_recipe_init (&recipe);
  line = find (&recipe, recipe.kappa / 1.22, &lattice);
  g_assert_cmpint (line->refusal, ==, SHIM_REFUSAL_NONE);
  g_assert_cmpuint (g_strv_length (line->warnings), ==, 1);
  g_assert_cmpfloat_with_epsilon (line->blur_factor, 1.22, 0.03);
  g_assert_cmpfloat (fabs (error_mm (&recipe, &lattice, line)), <, 3.0 * line->se_mm);
}

/* Without an f-number the growth of the blur is found with the rest. */
static void
test_unknown_blur (void)
{
  static const double kappas[] = { 0.006, 0.009, 0.014, 0.02 };

  for (guint i = 0; i < G_N_ELEMENTS (kappas); i++)
    {
      ShimLattice lattice;
      g_autoptr (ShimSharpLine) line = NULL;
      StripRecipe recipe;

      strip_recipe_init (&recipe);
      recipe.kappa = kappas[i];
      recipe.noise = 0.003;
      line = find (&recipe, NAN, &lattice);
      g_assert_cmpint (line->refusal, ==, SHIM_REFUSAL_NONE);
      g_assert_true (isnan (line->blur_factor));
      g_assert_cmpfloat (fabs (error_mm (&recipe, &lattice, line)), <, 3.0 * line->se_mm);
    }
}

/* What a camera makes of grey light: at every second pixel, as on a checkerboard, green is interpolated by the filter of H. S.
 * Malvar, L.-w. He and R. Cutler, "High-quality linear interpolation for demosaicing of Bayer-patterned color images"
 * (ICASSP 2004), figure 2 (from memory): 4 of the pixel itself, 2 of each neighbour, −1 of each next but one, over 8. */
static void
interpolate (ShimStrip *strip)
{
  const gsize n = (gsize) strip->n_v * strip->n_u;
  g_autofree float *raw = g_memdup2 (strip->px, n * sizeof *strip->px);

  for (int i = 2; i < strip->n_v - 2; i++)
    for (int j = 2; j < strip->n_u - 2; j++)
      {
        const float *at = raw + i * strip->n_u + j;
        const int row = strip->n_u;

        if ((i + j) % 2 == 0)
          strip->px[i * row + j] = (4.0f * at[0] + 2.0f * (at[1] + at[-1] + at[row] + at[-row]) - at[2] - at[-2]
                                    - at[2 * row] - at[-2 * row]) / 8.0f;
      }
}

static void
test_mosaic (void)
{
  static const double places[] = { 330.0, 480.0, 640.0 };

  for (guint i = 0; i < G_N_ELEMENTS (places); i++)
    {
      ShimLattice lattice;
      g_autoptr (ShimStrip) strip = NULL;
      g_autoptr (ShimSharpLine) line = NULL;
      StripRecipe recipe;

      strip_recipe_init (&recipe);
      recipe.v_sharp = places[i];
      strip = strip_make (&recipe, &lattice);
      g_assert_false (shim_mosaic_judge (strip, &lattice).seen);
      g_assert_cmpfloat (shim_mosaic_judge (strip, &lattice).most, <, 0.3);
      interpolate (strip);
      g_assert_true (shim_mosaic_judge (strip, &lattice).seen);
      line = find_on (strip, recipe.kappa, &lattice);
      g_test_message ("v = %.0f: error %.3f mm, standard error %.3f", places[i], error_mm (&recipe, &lattice, line), line->se_mm);
      g_assert_cmpint (line->refusal, ==, SHIM_REFUSAL_NONE);
      g_assert_cmpfloat (fabs (error_mm (&recipe, &lattice, line)), <, 2.0 * line->se_mm);
      g_assert_cmpfloat (fabs (error_mm (&recipe, &lattice, line)), <, 1.5);
    }
}

/* Sharpening lifts the longer ticks' harmonics, so that the lens seems sharper than it is: what the ticks say of softness would not
 * agree with how the finest ones fall, and the sharp line be in doubt by a millimetre and more. */
static void
test_sharpened (void)
{
  static const double shares[] = { 0.5, 1.0, 1.5 };

  for (guint i = 0; i < G_N_ELEMENTS (shares); i++)
    {
      ShimLattice lattice;
      g_autoptr (ShimStrip) strip = NULL;
      g_autoptr (ShimSharpLine) line = NULL;
      StripRecipe recipe;

      strip_recipe_init (&recipe);
      recipe.long_px = 5;
      recipe.noise = 0.003;
      strip = strip_make (&recipe, &lattice);
      strip_sharpen (strip, shares[i]);
      line = find_on (strip, recipe.kappa, &lattice);
      g_test_message ("sharpened by %.1f: error %.3f mm, standard error %.3f, softness %.2f", shares[i],
                      error_mm (&recipe, &lattice, line), line->se_mm, line->softness_px);
      g_assert_cmpint (line->refusal, ==, SHIM_REFUSAL_NONE);
      g_assert_cmpfloat (fabs (error_mm (&recipe, &lattice, line)), <, 2.0 * line->se_mm);
      g_assert_cmpfloat (line->se_mm, <, 0.4);
      g_assert_cmpfloat_with_epsilon (line->softness_px, recipe.softness, 0.1);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/sharp-line/place", test_place);
  g_test_add_func ("/core/sharp-line/calibration", test_calibration);
  g_test_add_func ("/core/sharp-line/off-ruler", test_off_ruler);
  g_test_add_func ("/core/sharp-line/at-an-end", test_at_an_end);
  g_test_add_func ("/core/sharp-line/hand-and-glare", test_hand_and_glare);
  g_test_add_func ("/core/sharp-line/refusals", test_refusals);
  g_test_add_func ("/core/sharp-line/warns-of-other-blur", test_warns_of_other_blur);
  g_test_add_func ("/core/sharp-line/unknown-blur", test_unknown_blur);
  g_test_add_func ("/core/sharp-line/mosaic", test_mosaic);
  g_test_add_func ("/core/sharp-line/sharpened", test_sharpened);
  return g_test_run ();
}
