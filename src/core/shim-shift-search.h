/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-level.h"

G_BEGIN_DECLS

gboolean shim_shift_search (ShimLevel *const *before, ShimLevel *const *after, guint n_levels, double *dx_px,
                            double *dy_px);

G_END_DECLS
