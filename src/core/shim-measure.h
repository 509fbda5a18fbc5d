/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-luma.h"
#include "shim-measurement.h"
#include "shim-survey.h"

G_BEGIN_DECLS

/* How a frame is measured, by whoever holds the file:
 *  1. with a strip given, shim_measure_rect() says which pixels to decode; decode them, shim_measure_luma() without a guess;
 *  2. with nothing given, hand all rows to a #ShimSurvey, take its candidates best first, decode the ShimRect of each and
 *     call shim_measure_luma() with it, until one is not refused with SHIM_REFUSAL_NO_RULER (three are enough).
 * All coordinates, in and out, are in the pixel frame of the picture handed in (as stored in the file); turn the request
 * before and the measurement afterwards. */
gboolean         shim_measure_rect (const ShimMeasureRequest *request, int width, int height, ShimRect *rect);
ShimMeasurement *shim_measure_luma (const ShimLuma *luma, const ShimMeasureRequest *request, const ShimStripGuess *guess);

G_END_DECLS
