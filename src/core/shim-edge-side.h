/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-measurement.h"
#include "shim-survey.h"

G_BEGIN_DECLS

ShimMeasurement *shim_edge_side_measure (const ShimLuma *luma, const ShimMeasureRequest *request,
                                         const ShimStripGuess *guess, const ShimMeasurement *seen);

G_END_DECLS
