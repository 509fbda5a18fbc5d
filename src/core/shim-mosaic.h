/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lattice.h"
#include "shim-strip-geometry.h"

G_BEGIN_DECLS

double   shim_mosaic_gain    (double cycles_per_px);
gboolean shim_mosaic_is_seen (const ShimStrip *strip, const ShimLattice *lattice);

G_END_DECLS
