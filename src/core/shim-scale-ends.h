/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lattice-fit.h"

G_BEGIN_DECLS

void shim_scale_ends_find (const ShimLaneSignal *signal, ShimLattice *lattice);

G_END_DECLS
