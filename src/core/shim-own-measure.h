/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-measurement.h"
#include "shim-own-target.h"

G_BEGIN_DECLS

ShimMeasurement *shim_own_measure (const ShimLuma *luma, const ShimMeasureRequest *request, const ShimOwnTarget *target);

G_END_DECLS
