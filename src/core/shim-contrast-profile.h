/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-blur-model.h"
#include "shim-tick-contrast.h"

G_BEGIN_DECLS

#define SHIM_PROFILE_TERMS 4

/**
 * ShimContrastProfile:
 *
 * How the contrast of print and light changes along the ruler, apart from focus: under glare, a shine or a worn print.
 * @v_mid: middle of what it was read from, pixels
 * @v_half: half its length
 * @term: contrast relative to the middle = term[0] + term[1] x + term[2] x² + term[3] x³ over term[0], x = (v − v_mid) / v_half
 * @slope_sd: standard error of its slope, per @v_half
 * @evidence: fall of χ² from level contrast to this
 * @range: greatest over smallest contrast, less 1
 */
typedef struct
{
  double v_mid;
  double v_half;
  double term[SHIM_PROFILE_TERMS];
  double slope_sd;
  double evidence;
  double range;
} ShimContrastProfile;

gboolean shim_contrast_profile_read (const ShimTickContrast *long_ticks, const ShimBlurModel *model, double noise,
                                     ShimContrastProfile *profile);
double   shim_contrast_profile_at   (const ShimContrastProfile *self, double v);

G_END_DECLS
