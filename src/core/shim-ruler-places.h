/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-measurement.h"

G_BEGIN_DECLS

double   shim_ruler_along_from_target  (const ShimMeasurement *self, double reading_mm);
double   shim_ruler_reading_at_along   (const ShimMeasurement *self, double along_mm);
double   shim_ruler_reading_at_offset  (const ShimMeasurement *self, double offset_mm);
gboolean shim_ruler_depth_of_field     (const ShimMeasurement *self, double *near_reading_mm, double *far_reading_mm);
gboolean shim_ruler_sharp_band         (const ShimMeasurement *self, double *near_reading_mm, double *far_reading_mm);

G_END_DECLS
