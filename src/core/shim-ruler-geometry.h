/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lattice.h"

G_BEGIN_DECLS

int  shim_ruler_geometry_far_sign (ShimFarSide side, gboolean transposed) G_GNUC_CONST;
ShimFarSide shim_ruler_geometry_far_side (int far_sign, gboolean transposed) G_GNUC_CONST;
void shim_ruler_geometry_solve    (const ShimLattice *lattice, const ShimMeasureRequest *request, double v_target,
                                   ShimRulerGeometry *geometry);

G_END_DECLS
