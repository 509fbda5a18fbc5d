/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lattice.h"
#include "shim-strip-geometry.h"

/**
 * StripRecipe:
 *
 * A strip of a ruler's ticks made in the plane of the picture, without any Fourier transform: rectangular ticks, spread by a
 * Gaussian and a pixel, then by the chords of the blur circle. So it is no echo of the model under test.
 * @ticks: how many, 1 mm apart
 * @v_sharp: where the blur circle vanishes (v_first = 100, the lattice's own perspective)
 * @kappa: blur circle's diameter, pixels per pixel
 * @softness: σ, pixels
 * @noise: standard deviation of a pixel's light, paper = 0.6
 * @light_ticks: light ticks on a dark ground
 * @level: factor on all light
 * @glare_slope: veil added at the strip's last row, as a share of the paper (none at its first)
 * @hand_lo: rows from here …
 * @hand_hi: … to here are covered
 * @seed: of the noise
 * @long_px: columns beside the finest ticks, towards larger u, that only every fifth tick reaches
 */
typedef struct
{
  int ticks;
  double v_sharp;
  double kappa;
  double softness;
  double noise;
  gboolean light_ticks;
  double level;
  double glare_slope;
  double hand_lo;
  double hand_hi;
  guint32 seed;
  int long_px;
} StripRecipe;

#define STRIP_V_FIRST 100.0
#define STRIP_MM_PER_PX 0.41

void       strip_recipe_init (StripRecipe *recipe);
void       strip_sharpen     (ShimStrip *strip, double share);
ShimStrip *strip_make        (const StripRecipe *recipe, ShimLattice *lattice);
