/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-core-error.h"
#include "shim-zoom-value.h"

static const char *const source_names[] = {
  [SHIM_CELL_EMPTY] = "empty",
  [SHIM_CELL_MEASURED] = "measured",
  [SHIM_CELL_INTERPOLATED] = "interpolated",
  [SHIM_CELL_COPIED] = "copied",
};

const char *
shim_cell_source_to_name (ShimCellSource source)
{
  g_return_val_if_fail ((guint) source < G_N_ELEMENTS (source_names), "empty");

  return source_names[source];
}

/* The scales on which neighbours are compared: a zoom is marked by ratios; depth of field and focus travel go
 * with 1/distance. */
static double
focal_scale (double focal_mm)
{
  return log (focal_mm);
}

static double
distance_scale (double distance_mm)
{
  return isinf (distance_mm) ? 0.0 : -1000.0 / distance_mm;
}

static gboolean
is_rising (const double *values, gsize n, gboolean infinity_allowed)
{
  for (gsize i = 0; i < n; i++)
    if (!(values[i] > 0.0) || (i > 0 && !(values[i] > values[i - 1])) || (!infinity_allowed && isinf (values[i])))
      return FALSE;
  return n > 0;
}

static gboolean
check (const ShimTableGrid *grid, const ShimZoomReading *readings, gsize n, GError **error)
{
  if (!is_rising (grid->focals_mm, grid->n_focals, FALSE) || !is_rising (grid->distances_mm, grid->n_distances, TRUE)
      || grid->min > grid->max)
    {
      g_set_error_literal (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID,
                           "The lens's table needs rising focal lengths, rising distances and a range of settings.");
      return FALSE;
    }
  return shim_zoom_readings_check (readings, n, error);
}

static gsize
nearest (const double *values, gsize n, double value, double (*scale) (double))
{
  gsize best = 0;

  for (gsize i = 1; i < n; i++)
    if (fabs (scale (values[i]) - scale (value)) < fabs (scale (values[best]) - scale (value)))
      best = i;
  return best;
}

static void
assign_readings (const ShimTableGrid *grid, const ShimZoomReading *readings, gsize n, ShimTableCell *cells)
{
  g_autofree double *weights = g_new0 (double, grid->n_focals * grid->n_distances);

  for (gsize i = 0; i < n; i++)
    {
      const gsize at =
          nearest (grid->focals_mm, grid->n_focals, readings[i].focal_mm, focal_scale) * grid->n_distances +
          nearest (grid->distances_mm, grid->n_distances, readings[i].distance_mm, distance_scale);
      const double weight = 1.0 / (readings[i].tolerance_steps * readings[i].tolerance_steps);

      if (cells[at].n_readings++ == 0)
        cells[at].wanted = 0.0;
      cells[at].wanted += weight * readings[i].wanted;
      weights[at] += weight;
      cells[at].source = SHIM_CELL_MEASURED;
    }
  for (gsize at = 0; at < grid->n_focals * grid->n_distances; at++)
    if (cells[at].n_readings > 0)
      cells[at].wanted /= weights[at];
}

/* Fills the empty cells of one row or column, whose cells lie @stride apart, from those that are known:
 * linearly on @scale between two, by the nearer end's value beyond. */
static void
fill_line (ShimTableCell *cells, gsize stride, const double *values, gsize n, double (*scale) (double))
{
  g_autofree gboolean *known = g_new (gboolean, n);

  for (gsize i = 0; i < n; i++)
    known[i] = cells[i * stride].source != SHIM_CELL_EMPTY;
  for (gsize i = 0; i < n; i++)
    {
      ShimTableCell *cell = &cells[i * stride];
      gssize below = (gssize) i - 1;
      gsize above = i + 1;

      if (known[i])
        continue;
      while (below >= 0 && !known[below])
        below--;
      while (above < n && !known[above])
        above++;
      if (below >= 0 && above < n)
        {
          const double share
            = (scale (values[i]) - scale (values[below])) / (scale (values[above]) - scale (values[below]));

          cell->wanted =
              cells[below * stride].wanted + share * (cells[above * stride].wanted - cells[below * stride].wanted);
          cell->source = SHIM_CELL_INTERPOLATED;
        }
      else if (below >= 0 || above < n)
        {
          cell->wanted = cells[(below >= 0 ? (gsize) below : above) * stride].wanted;
          cell->source = SHIM_CELL_COPIED;
        }
    }
}

gboolean
shim_own_table_fill (const ShimTableGrid *grid, const ShimZoomReading *readings, gsize n, ShimTableCell *cells,
                     GError **error)
{
  g_return_val_if_fail (grid != NULL && cells != NULL, FALSE);
  g_return_val_if_fail (readings != NULL || n == 0, FALSE);

  if (!check (grid, readings, n, error))
    return FALSE;
  for (gsize at = 0; at < grid->n_focals * grid->n_distances; at++)
    cells[at] = (ShimTableCell) { .wanted = NAN, .source = SHIM_CELL_EMPTY };
  assign_readings (grid, readings, n, cells);
  for (gsize i = 0; i < grid->n_focals; i++)
    fill_line (cells + i * grid->n_distances, 1, grid->distances_mm, grid->n_distances, distance_scale);
  for (gsize j = 0; j < grid->n_distances; j++)
    fill_line (cells + j, grid->n_distances, grid->focals_mm, grid->n_focals, focal_scale);
  for (gsize at = 0; at < grid->n_focals * grid->n_distances; at++)
    if (cells[at].source != SHIM_CELL_EMPTY)
      cells[at].setting = (int) lround (CLAMP (cells[at].wanted, (double) grid->min, (double) grid->max));
  if (n == 0)
    g_set_error_literal (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_TOO_FEW,
                         "Nothing has been measured for the lens's table yet.");
  return n > 0;
}
