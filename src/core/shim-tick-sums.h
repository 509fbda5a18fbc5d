/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-tick-contrast.h"

G_BEGIN_DECLS

/* Level, slope along, curvature along, slope across; then a cosine and a sine for each harmonic. */
#define SHIM_TICK_SLOW 4
#define SHIM_TICK_UNKNOWNS (SHIM_TICK_SLOW + 2 * SHIM_TICK_HARMONICS)

/* Within a row the first three are the same but for a factor, so that one stands for them there. */
#define SHIM_TICK_ALONG 3
#define SHIM_TICK_ROW_SLOW (SHIM_TICK_SLOW - SHIM_TICK_ALONG + 1)
#define SHIM_TICK_ROW_UNKNOWNS (SHIM_TICK_ROW_SLOW + 2 * SHIM_TICK_HARMONICS)

/**
 * ShimTickSums:
 *
 * The normal equations of a block of ticks: light on level, slopes and harmonics.
 * @n: number of unknowns
 * @ata: sums of the weighed products of the regressors, the lower triangle
 * @aty: of regressor and light
 * @weight: sum of the weights
 * @weight2: sum of their squares
 * @n_px: how many pixels went in
 * @n_clipped: how many of them may be clipped
 */
typedef struct
{
  guint n;
  double ata[SHIM_TICK_UNKNOWNS][SHIM_TICK_UNKNOWNS];
  double aty[SHIM_TICK_UNKNOWNS];
  double weight;
  double weight2;
  guint n_px;
  guint n_clipped;
} ShimTickSums;

/**
 * ShimTickRowSums:
 *
 * The same for one row of pixels.
 */
typedef struct
{
  guint n;
  double ata[SHIM_TICK_ROW_UNKNOWNS][SHIM_TICK_ROW_UNKNOWNS];
  double aty[SHIM_TICK_ROW_UNKNOWNS];
} ShimTickRowSums;

/**
 * ShimTickSolution:
 * @solution: values of the unknowns
 * @variance: their variances, for pixels of variance 1
 * @inverse: inverse of the matrix of the normal equations, as far as it was solved for
 */
typedef struct
{
  double solution[SHIM_TICK_UNKNOWNS];
  double variance[SHIM_TICK_UNKNOWNS];
  double inverse[SHIM_TICK_UNKNOWNS][SHIM_TICK_UNKNOWNS];
} ShimTickSolution;

static inline void
shim_tick_row_sums_clear (ShimTickRowSums *self, guint n)
{
  self->n = n;
  for (guint i = 0; i < n; i++)
    {
      self->aty[i] = 0.0;
      for (guint j = 0; j <= i; j++)
        self->ata[i][j] = 0.0;
    }
}

/* For each pixel, so that it is here. */
static inline void
shim_tick_row_sums_add (ShimTickRowSums *self, const double *regressor, double y, double weight)
{
  for (guint i = 0; i < self->n; i++)
    {
      const double weighed = weight * regressor[i];

      for (guint j = 0; j <= i; j++)
        self->ata[i][j] += weighed * regressor[j];
      self->aty[i] += weighed * y;
    }
}

void     shim_tick_sums_add_row (ShimTickSums *self, const ShimTickRowSums *row, const double along[SHIM_TICK_ALONG]);
gboolean shim_tick_sums_solve   (const ShimTickSums *self, const gboolean *use, ShimTickSolution *solved);

G_END_DECLS
