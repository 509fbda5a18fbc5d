/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lattice.h"
#include "shim-tick-ranks.h"

G_BEGIN_DECLS

double shim_tick_spacing_judge   (const ShimLattice *lattice, ShimTickFamily family,
                                  const ShimMeasureRequest *request, gboolean *sure);
double shim_tick_spacing_by_blur (double tick_mm, double blur_factor);

G_END_DECLS
