/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-measurement.h"
#include "shim-plot.h"

G_BEGIN_DECLS

double shim_blur_drawing_place   (const ShimMeasurement *m, double reading_mm);
double shim_blur_drawing_reading (const ShimMeasurement *m, double place_mm);
void   shim_blur_drawing_draw    (ShimPlot *plot, const ShimMeasurement *m, ShimMeasurement *const *channels, double hover_reading_mm);

G_END_DECLS
