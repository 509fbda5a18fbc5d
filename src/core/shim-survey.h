/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-luma.h"
#include "shim-measurement.h"

G_BEGIN_DECLS

/**
 * ShimSurvey:
 *
 * A first look at a whole picture for a ruler's ticks, while the picture is being decoded: rows are handed over
 * in blocks, in file order, and only two averages are kept (8 pixels across, one for each direction), about
 * half a byte for each pixel of the picture.
 */
typedef struct _ShimSurvey ShimSurvey;

/**
 * ShimStripGuess:
 *
 * A place where a ruler's ticks seem to be. v and u as in #ShimStrip; t = v − picture middle along v.
 * @transposed: FALSE: v = y, TRUE: v = x
 * @u0: the lane of the ticks at t = 0 …
 * @u1: … and its slope: u = u0 + u1 t
 * @v_lo: ticks seen from here …
 * @v_hi: … to here
 * @v_best: strongest place
 * @cycles_per_px: frequency of the ticks at @v_best
 * @cycles_slope: its change per pixel of v
 * @width_px: half a width on each side of the lane that should hold ticks and numerals
 * @reach_px: the lane's centre lies within this of u0
 * @score: how well it stands out; candidates come best first
 * @rect: the piece of the picture a measurement of this candidate needs (it reaches beyond the ticks seen, so
 *   that the scale's blurred ends are inside)
 */
typedef struct
{
  gboolean transposed;
  double u0;
  double u1;
  double v_lo;
  double v_hi;
  double v_best;
  double cycles_per_px;
  double cycles_slope;
  double width_px;
  double reach_px;
  double score;
  ShimRect rect;
} ShimStripGuess;

ShimSurvey *shim_survey_new        (int width, int height);
void        shim_survey_free       (ShimSurvey *self);
void        shim_survey_add_rows   (ShimSurvey *self, int y0, int n_rows, const guint8 *luma, gsize stride);
GArray     *shim_survey_find       (const ShimSurvey *self, guint max_candidates);
GArray     *shim_survey_find_near  (const ShimSurvey *self, ShimPoint click_px, guint max_candidates);
GArray     *shim_survey_find_for   (const ShimSurvey *self, const ShimMeasureRequest *request, guint max_candidates);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimSurvey, shim_survey_free)

G_END_DECLS
