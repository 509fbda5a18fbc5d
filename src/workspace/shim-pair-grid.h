/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-fit.h"
#include "shim-pair-now.h"
#include "shim-record-list.h"
#include "shim-register-pairs.h"

G_BEGIN_DECLS

#define SHIM_TYPE_PAIR_GRID (shim_pair_grid_get_type ())
G_DECLARE_FINAL_TYPE (ShimPairGrid, shim_pair_grid, SHIM, PAIR_GRID, GObject)

/**
 * ShimPairGrid:
 *
 * The matrix of lenses (rows) and bodies (columns). Rows and columns are lists of their own; cells are read block by block when they
 * are asked for, so that only what is on screen costs anything. Pairs with a converter are in #ShimPairList.
 *
 * Signal "cells-changed": cells are others now: ask again for those on screen. Also after rows or columns changed.
 */
ShimPairGrid      *shim_pair_grid_new        (ShimWorkspace *workspace);
ShimRecordList    *shim_pair_grid_get_lenses (ShimPairGrid *self);
ShimRecordList    *shim_pair_grid_get_bodies (ShimPairGrid *self);
void               shim_pair_grid_set_filter (ShimPairGrid *self, const ShimPairFilter *filter);
gboolean           shim_pair_grid_is_wanted  (ShimPairGrid *self, guint row, guint column);
const ShimPairNow *shim_pair_grid_get_cell   (ShimPairGrid *self, guint row, guint column);
ShimFit            shim_pair_grid_get_fit    (ShimPairGrid *self, guint row, guint column);

G_END_DECLS
