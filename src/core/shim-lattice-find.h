/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lattice.h"
#include "shim-survey.h"

G_BEGIN_DECLS

gboolean shim_lattice_find      (const ShimLuma *luma, const ShimStripGuess *guess, ShimLattice *lattice);
gboolean shim_lattice_find_beside (const ShimLuma *luma, const ShimLattice *seen, double ticks, double beside_px,
                                   ShimLattice *lattice);
void     shim_lattice_set_tick  (ShimLattice *lattice, double tick_mm, gboolean given);

G_END_DECLS
