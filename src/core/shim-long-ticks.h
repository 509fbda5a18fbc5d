/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-blur-model.h"
#include "shim-tick-contrast.h"

G_BEGIN_DECLS

gboolean          shim_long_ticks_find_lane (const ShimStrip *strip, const ShimLattice *lattice, const ShimBlurModel *model,
                                             ShimTickLane *lane);
ShimTickContrast *shim_long_ticks_contrast  (const ShimStrip *strip, const ShimLattice *lattice, const ShimBlurModel *model);
double            shim_long_ticks_noise     (const ShimTickContrast *contrast);
gboolean          shim_long_ticks_softness  (const ShimTickContrast *contrast, const ShimLattice *lattice,
                                             const ShimBlurModel *model, double *softness2, double *softness2_sd);

G_END_DECLS
