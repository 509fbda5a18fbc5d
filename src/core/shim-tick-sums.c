/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_linalg.h>
#include <math.h>

#include "shim-tick-sums.h"

/**
 * shim_tick_sums_add_row:
 * @self: sums of a block
 * @row: sums of one of its rows
 * @along: level, slope along and curvature along of that row, as multiples of its first regressor
 */
void
shim_tick_sums_add_row (ShimTickSums *self, const ShimTickRowSums *row, const double along[SHIM_TICK_ALONG])
{
  for (guint i = 0; i < self->n; i++)
    {
      const guint row_i = i < SHIM_TICK_ALONG ? 0 : i - SHIM_TICK_ALONG + 1;
      const double factor = i < SHIM_TICK_ALONG ? along[i] : 1.0;

      for (guint j = 0; j <= i; j++)
        self->ata[i][j] += j < SHIM_TICK_ALONG ? factor * along[j] * row->ata[row_i][0] : row->ata[row_i][j - SHIM_TICK_ALONG + 1];
      self->aty[i] += factor * row->aty[row_i];
    }
  self->weight += row->ata[0][0];
}

/**
 * shim_tick_sums_solve:
 * @self: sums of a block
 * @use: for each unknown, whether it is solved for; the others stay 0 with infinite variance
 * @solved: (out): the solution
 *
 * Returns: whether there is one
 */
gboolean
shim_tick_sums_solve (const ShimTickSums *self, const gboolean *use, ShimTickSolution *solved)
{
  guint place[SHIM_TICK_UNKNOWNS], m = 0;
  g_autofree double *storage = NULL;
  gsl_matrix_view matrix;
  gsl_vector_view right;

  for (guint i = 0; i < self->n; i++)
    {
      solved->solution[i] = 0.0;
      solved->variance[i] = INFINITY;
      if (use[i])
        place[m++] = i;
    }
  storage = g_new (double, m * m + m);
  for (guint i = 0; i < m; i++)
    {
      for (guint j = 0; j < m; j++)
        storage[i * m + j] = self->ata[MAX (place[i], place[j])][MIN (place[i], place[j])];
      storage[m * m + i] = self->aty[place[i]];
    }
  for (guint i = 0; i < m; i++)
    if (!(storage[i * m + i] > 0.0))
      return FALSE;
  matrix = gsl_matrix_view_array (storage, m, m);
  right = gsl_vector_view_array (storage + m * m, m);
  if (gsl_linalg_cholesky_decomp1 (&matrix.matrix) != 0 || gsl_linalg_cholesky_svx (&matrix.matrix, &right.vector) != 0
      || gsl_linalg_cholesky_invert (&matrix.matrix) != 0)
    return FALSE;
  for (guint i = 0; i < m; i++)
    {
      solved->solution[place[i]] = storage[m * m + i];
      solved->variance[place[i]] = storage[i * m + i];
      for (guint j = 0; j < m; j++)
        solved->inverse[place[i]][place[j]] = storage[i * m + j];
    }
  return TRUE;
}
