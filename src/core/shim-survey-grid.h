/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-spectrum.h"
#include "shim-survey.h"

G_BEGIN_DECLS

/* The picture is looked at through cells: so many pixels across, windows of 128 pixels along, one every hop. */
#define SHIM_SURVEY_CELL 8
#define SHIM_SURVEY_HOP (SHIM_SPECTRUM_LENGTH / 2)

/**
 * ShimSurveyGrid:
 *
 * What was found in each cell, for rulers along one direction of the picture.
 * @transposed: whether windows run along the picture's rows
 * @along: pixels of the picture along
 * @across: and across
 * @n_windows: windows along
 * @n_cells: cells across
 * @peaks: for each band n_windows × n_cells peaks
 */
typedef struct
{
  gboolean transposed;
  int along;
  int across;
  int n_windows;
  int n_cells;
  ShimSpectrumPeak *peaks[SHIM_SPECTRUM_BANDS];
} ShimSurveyGrid;

void shim_survey_grid_init  (ShimSurveyGrid *grid, gboolean transposed, int along, int across);
void shim_survey_grid_clear (ShimSurveyGrid *grid);
void shim_survey_grid_set   (ShimSurveyGrid *grid, int window, int cell,
                             const ShimSpectrumPeak peaks[SHIM_SPECTRUM_BANDS]);
void shim_survey_grid_find  (const ShimSurveyGrid *grid, guint max_candidates, GArray *found);

G_END_DECLS
