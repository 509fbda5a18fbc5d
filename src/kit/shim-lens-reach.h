/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lens.h"

G_BEGIN_DECLS

double shim_lens_longest_mm     (const ShimLens *lens);
double shim_lens_middle_mm      (const ShimLens *lens);
double shim_lens_aperture_there (const ShimLens *lens);

G_END_DECLS
