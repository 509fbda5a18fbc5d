/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-luma.h"
#include "shim-measurement.h"
#include "shim-survey.h"

G_BEGIN_DECLS

/* Places that look like ticks that are worth a closer look in one frame. */
#define SHIM_MEASURE_CANDIDATES 8

/* How a frame is measured, by whoever holds the file:
 * 1. With a strip given, shim_measure_rect() says which pixels to decode; decode the shim_measure_first_rows() of them,
 *    shim_measure_luma() without a guess, and again with all of them if shim_measure_wants_rest(). If shim_measure_wants_side(),
 *    shim_measure_side() on the wider shim_measure_side_rect().
 * 2. With nothing given, hand all rows to a #ShimSurvey, take its candidates for the request, best first, and call
 *    shim_measure_luma() on the ShimRect of each until shim_measure_is_settled(); when none is, keep the one that
 *    shim_measure_tells_more() than the others, and ask shim_measure_side() of each whether it does more.
 * All coordinates, in and out, are in the pixel frame of the picture handed in (as stored in the file); turn the request
 * before and the measurement afterwards. */
gboolean         shim_measure_rect (const ShimMeasureRequest *request, int width, int height, ShimRect *rect);
int              shim_measure_first_rows (const ShimMeasureRequest *request, const ShimRect *rect);
gboolean         shim_measure_wants_rest (const ShimMeasureRequest *request, const ShimMeasurement *measurement);
ShimMeasurement *shim_measure_luma (const ShimLuma *luma, const ShimMeasureRequest *request,
                                    const ShimStripGuess *guess);
ShimMeasurement *shim_measure_side (const ShimLuma *luma, const ShimMeasureRequest *request,
                                    const ShimStripGuess *guess, const ShimMeasurement *seen);
gboolean         shim_measure_side_rect (const ShimMeasureRequest *request, int width, int height, ShimRect *rect);
gboolean         shim_measure_wants_side (const ShimMeasurement *seen);
gboolean         shim_measure_is_settled (const ShimMeasurement *measurement);
gboolean         shim_measure_tells_more (const ShimMeasurement *measurement, const ShimMeasurement *than);

G_END_DECLS
