/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lattice.h"
#include "shim-strip-geometry.h"

G_BEGIN_DECLS

/**
 * ShimMosaic:
 * @seen: whether the ticks show that the picture was interpolated from a colour mosaic
 * @most: how much of what shim_mosaic_gain() takes could be there all the same, as a share: 1 where the ticks cannot tell, little
 *   where they can and show nothing
 */
typedef struct
{
  gboolean seen;
  double most;
} ShimMosaic;

double     shim_mosaic_gain  (double cycles_per_px);
ShimMosaic shim_mosaic_judge (const ShimStrip *strip, const ShimLattice *lattice);

G_END_DECLS
