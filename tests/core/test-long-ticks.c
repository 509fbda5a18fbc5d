/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-contrast-profile.h"
#include "shim-long-ticks.h"
#include "strip-maker.h"

/* Ticks of five beside those of one, on a strip made without any Fourier transform. */
static ShimTickContrast *
long_contrast (double softness, double sharpening, int long_px, ShimLattice *lattice, ShimBlurModel *model)
{
  StripRecipe recipe;
  g_autoptr (ShimStrip) strip = NULL;

  strip_recipe_init (&recipe);
  recipe.softness = softness;
  recipe.long_px = long_px;
  recipe.noise = 0.003;
  strip = strip_make (&recipe, lattice);
  strip_sharpen (strip, sharpening);
  *model = (ShimBlurModel) { .v_sharp = recipe.v_sharp, .softness2 = 0.36, .kappa = recipe.kappa };
  return shim_long_ticks_contrast (strip, lattice, model);
}

static void
test_lane (void)
{
  ShimLattice lattice;
  ShimBlurModel model;
  g_autoptr (ShimTickContrast) with = long_contrast (0.6, 0.0, 4, &lattice, &model);
  g_autoptr (ShimTickContrast) without = long_contrast (0.6, 0.0, 0, &lattice, &model);

  g_assert_null (without);
  g_assert_nonnull (with);
  g_assert_cmpuint (with->lane.every, ==, 5);
  g_assert_cmpint (with->lane.first_tick % 5, ==, 0);
  /* They stand 7 to 11 pixels from the middle of the finest ones. */
  g_assert_cmpfloat_with_epsilon (with->lane.offset_px, 9.0, 1.1);
  g_assert_cmpfloat (with->lane.width_px, <, 5.5);
}

/* The strip's softness comes out, whatever the first fit took it to be; and how strongly it was sharpened. */
static void
test_softness (void)
{
  static const double softness[] = { 0.5, 0.65, 0.8, 0.5, 0.65, 0.65 }, sharpening[] = { 0.0, 0.0, 0.0, 0.6, 0.6, 1.4 };

  for (guint i = 0; i < G_N_ELEMENTS (softness); i++)
    {
      ShimLattice lattice;
      ShimBlurModel model;
      g_autoptr (ShimTickContrast) contrast = long_contrast (softness[i], sharpening[i], 4, &lattice, &model);
      ShimLongTicksSoftness found;

      g_assert_nonnull (contrast);
      g_assert_true (shim_long_ticks_softness (contrast, &lattice, &model, &found));
      g_test_message ("%.3f ± %.3f, made with %.3f; sharpening %.2f, made with %.2f", found.softness2, found.softness2_sd,
                      softness[i] * softness[i], found.sharpening, sharpening[i]);
      g_assert_cmpfloat (fabs (found.softness2 - softness[i] * softness[i]), <, 3.0 * found.softness2_sd);
      g_assert_cmpfloat (found.softness2_sd, <, 0.1);
      g_assert_cmpfloat_with_epsilon (found.sharpening, sharpening[i], 0.3);
      g_assert_true ((found.sharpening > 0.0) == (sharpening[i] > 0.0));
    }
}

/* Blocks of one row each, with contrast as given over x = −1 to 1. */
static ShimTickContrast *
contrast_of (const double term[SHIM_PROFILE_TERMS], guint n_blocks, const ShimBlurModel *model, double noise)
{
  ShimTickContrast *contrast = g_new0 (ShimTickContrast, 1);
  GRand *random = g_rand_new_with_seed (5);

  contrast->n_harmonics = contrast->n_folded = 1;
  contrast->blocks = g_array_new (FALSE, TRUE, sizeof (ShimTickBlock));
  contrast->rows = g_array_new (FALSE, TRUE, sizeof (ShimTickRow));
  for (guint i = 0; i < n_blocks; i++)
    {
      const double x = 2.0 * i / (n_blocks - 1.0) - 1.0;
      ShimTickRow row = { .v = 500.0 + 300.0 * x, .cycles_per_px = 0.08, .weight = { 1.0 } };
      ShimTickBlock block = { .v = row.v, .level = 1.0, .light = 1.0, .first_row = i, .n_rows = 1,
                              .usable = TRUE, .variance = { 1.0 } };

      shim_tick_block_keep_all (&block);
      block.in_phase[0] = 0.3 * (term[0] + x * (term[1] + x * (term[2] + x * term[3]))) *
                          shim_blur_model_gain (model, row.v, row.cycles_per_px);
      block.in_phase[0] += noise * sqrt (3.0) * g_rand_double_range (random, -1.0, 1.0);
      g_array_append_val (contrast->rows, row);
      g_array_append_val (contrast->blocks, block);
    }
  shim_tick_contrast_gather (contrast);
  g_rand_free (random);
  return contrast;
}

/* A change of contrast that is not focus is read back; a level one is not taken for a change. */
static void
test_profile (void)
{
  static const double bent[SHIM_PROFILE_TERMS] = { 1.0, 0.15, -0.12, 0.0 }, level[SHIM_PROFILE_TERMS] = { 1.0 };
  const ShimBlurModel model = { .v_sharp = 450.0, .softness2 = 0.36, .kappa = 0.006 };
  g_autoptr (ShimTickContrast) changing = contrast_of (bent, 30, &model, 0.002);
  g_autoptr (ShimTickContrast) even = contrast_of (level, 30, &model, 0.002);
  ShimContrastProfile profile;

  g_assert_true (shim_contrast_profile_read (changing, &model, 0.002, &profile));
  g_assert_cmpfloat (profile.evidence, >, 100.0);
  for (double x = -0.8; x <= 0.8; x += 0.2)
    {
      const double v = 500.0 + 300.0 * x;
      const double at_mid = (profile.v_mid - 500.0) / 300.0;
      const double true_ratio = (1.0 + 0.15 * x - 0.12 * x * x) / (1.0 + 0.15 * at_mid - 0.12 * at_mid * at_mid);

      if (fabs (v - profile.v_mid) <= profile.v_half)
        g_assert_cmpfloat_with_epsilon (shim_contrast_profile_at (&profile, v), true_ratio, 0.015);
    }
  /* Beyond what was read it goes on level. */
  g_assert_cmpfloat_with_epsilon (shim_contrast_profile_at (&profile, profile.v_mid + 2.0 * profile.v_half),
                                  shim_contrast_profile_at (&profile, profile.v_mid + profile.v_half), 1e-12);

  g_assert_true (shim_contrast_profile_read (even, &model, 0.002, &profile));
  g_assert_cmpfloat (profile.evidence, <, 16.0);
  g_assert_cmpfloat (profile.range, <, 0.02);
}

/* Few blocks say nothing. */
static void
test_short_profile (void)
{
  static const double level[SHIM_PROFILE_TERMS] = { 1.0 };
  const ShimBlurModel model = { .v_sharp = 450.0, .softness2 = 0.36, .kappa = 0.006 };
  g_autoptr (ShimTickContrast) contrast = contrast_of (level, 7, &model, 0.002);
  ShimContrastProfile profile;

  g_assert_false (shim_contrast_profile_read (contrast, &model, 0.002, &profile));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/long-ticks/lane", test_lane);
  g_test_add_func ("/core/long-ticks/softness", test_softness);
  g_test_add_func ("/core/contrast-profile/read", test_profile);
  g_test_add_func ("/core/contrast-profile/short", test_short_profile);
  return g_test_run ();
}
