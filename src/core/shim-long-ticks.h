/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-blur-model.h"
#include "shim-tick-contrast.h"

G_BEGIN_DECLS

gboolean shim_long_ticks_find_lane (const ShimStrip *strip, const ShimLattice *lattice, const ShimBlurModel *model,
                                    ShimTickLane *lane);
gboolean shim_long_ticks_softness  (const ShimStrip *strip, const ShimLattice *lattice, const ShimBlurModel *model,
                                    double *softness2, double *softness2_sd);

G_END_DECLS
