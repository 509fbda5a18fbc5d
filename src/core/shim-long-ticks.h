/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-blur-model.h"
#include "shim-tick-contrast.h"

G_BEGIN_DECLS

/**
 * ShimLongTicksSoftness:
 * @softness2: common softness σ², pixels squared
 * @softness2_sd: its standard deviation, all doubts included
 * @sharpening: how much the picture was sharpened, shim_blur_sharpening_gain(); 0 where that is not seen, NAN where too few
 *   harmonics are within the pixels to tell
 */
typedef struct
{
  double softness2;
  double softness2_sd;
  double sharpening;
} ShimLongTicksSoftness;

gboolean          shim_long_ticks_find_lane (const ShimStrip *strip, const ShimLattice *lattice, const ShimBlurModel *model,
                                             ShimTickLane *lane);
ShimTickContrast *shim_long_ticks_contrast  (const ShimStrip *strip, const ShimLattice *lattice, const ShimBlurModel *model);
double            shim_long_ticks_noise     (const ShimTickContrast *contrast);
gboolean          shim_long_ticks_softness  (const ShimTickContrast *contrast, const ShimLattice *lattice,
                                             const ShimBlurModel *model, ShimLongTicksSoftness *softness);

G_END_DECLS
