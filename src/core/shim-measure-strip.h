/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-luma.h"
#include "shim-measurement.h"
#include "shim-survey.h"

G_BEGIN_DECLS

gboolean shim_measure_strip_is_given     (const ShimMeasureRequest *request);
gboolean shim_measure_strip_as_click     (const ShimMeasureRequest *request, ShimMeasureRequest *about);
gboolean shim_measure_strip_agrees       (const ShimMeasureRequest *request, const ShimMeasurement *measurement);
ShimRect shim_measure_strip_rect         (const ShimMeasureRequest *request, int width, int height);
ShimRect shim_measure_strip_pixels       (const ShimMeasureRequest *request, int width, int height);
ShimRect shim_measure_strip_wide_rect    (const ShimMeasureRequest *request, int width, int height);
GArray  *shim_measure_strip_guesses      (const ShimLuma *luma, const ShimMeasureRequest *request, guint max_candidates);
GArray  *shim_measure_strip_wide_guesses (const ShimLuma *luma, const ShimMeasureRequest *request, guint max_candidates);

G_END_DECLS
