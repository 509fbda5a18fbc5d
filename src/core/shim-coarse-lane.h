/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-tick-contrast.h"

G_BEGIN_DECLS

gboolean shim_coarse_lane_find (const ShimStrip *strip, const ShimLattice *lattice, ShimTickLane *lane, ShimTickLane *finest);
gboolean shim_coarse_lane_alone (const ShimStrip *strip, const ShimLattice *lattice, double tick_mm, double *beside_px);

G_END_DECLS
