/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * ShimZoomReading:
 * @focal_mm: focal length tested, above 0
 * @distance_mm: distance tested, above 0 (INFINITY allowed); only the own table looks at it
 * @wanted: the setting at which the offset would be 0, not rounded
 * @tolerance_steps: the tolerance there, in steps of the setting, above 0
 */
typedef struct
{
  double focal_mm;
  double distance_mm;
  double wanted;
  double tolerance_steps;
} ShimZoomReading;

/**
 * ShimZoomOne:
 * @setting: the one whole setting
 * @worst: largest error over the readings, in tolerances
 * @worst_focal_mm: where
 */
typedef struct
{
  int setting;
  double worst;
  double worst_focal_mm;
} ShimZoomOne;

/**
 * ShimZoomTwo:
 * @wide: the whole setting for the wide end
 * @tele: for the long end
 * @worst: largest error over the readings, in tolerances
 * @worst_focal_mm: where
 */
typedef struct
{
  int wide;
  int tele;
  double worst;
  double worst_focal_mm;
} ShimZoomTwo;

/**
 * shim_zoom_readings_check:
 * @readings: (array length=n): what was measured
 * @n: how many
 * @error: return location
 *
 * Returns: whether each has a focal length, a distance, a setting and a tolerance to count with
 */
gboolean shim_zoom_readings_check (const ShimZoomReading *readings, gsize n, GError **error);

/**
 * shim_zoom_middle_mm:
 * @wide_mm: shortest focal length
 * @tele_mm: longest
 *
 * Where to test a zoom that takes one value and gets one test: the geometric middle, from which both ends are
 * the same zoom ratio away.
 *
 * Returns: focal length, mm
 */
double   shim_zoom_middle_mm (double wide_mm, double tele_mm) G_GNUC_CONST;

/**
 * shim_zoom_one:
 * @readings: (array length=n): readings at one or more focal lengths
 * @n: how many
 * @min: smallest setting
 * @max: largest
 * @result: (out): the setting whose worst error is least; of equals the one with the least total error, then
 *   nearest to 0
 * @error: TOO_FEW or INVALID
 *
 * Returns: whether there is one
 */
gboolean shim_zoom_one (const ShimZoomReading *readings, gsize n, int min, int max, ShimZoomOne *result,
                        GError **error);

/**
 * shim_zoom_two:
 * @readings: (array length=n): readings at two or more focal lengths
 * @n: how many
 * @wide_mm: shortest focal length of the zoom
 * @tele_mm: longest, above @wide_mm
 * @min: smallest setting
 * @max: largest
 * @result: (out): the two settings whose worst error is least
 * @error: TOO_FEW or INVALID
 *
 * Between the ends a body is taken to go from one value to the other in proportion to the logarithm of the
 * focal length (an assumption; makers do not say). Readings at the ends do not depend on it.
 *
 * Returns: whether there are two
 */
gboolean shim_zoom_two (const ShimZoomReading *readings, gsize n, double wide_mm, double tele_mm, int min, int max,
                        ShimZoomTwo *result, GError **error);

/**
 * ShimCellSource:
 *
 * Where the value of a cell of an own table comes from.
 */
typedef enum
{
  SHIM_CELL_EMPTY,        /* nothing to go by */
  SHIM_CELL_MEASURED,     /* readings nearest to this cell */
  SHIM_CELL_INTERPOLATED, /* between measured cells */
  SHIM_CELL_COPIED,       /* outside the measured cells: the nearest one's value */
} ShimCellSource;

/**
 * ShimTableCell:
 * @setting: the whole setting to key in
 * @wanted: before rounding and before the range cut it
 * @source: where it comes from
 * @n_readings: readings that belong to this cell
 */
typedef struct
{
  int setting;
  double wanted;
  ShimCellSource source;
  guint n_readings;
} ShimTableCell;

/**
 * ShimTableGrid:
 * @focals_mm: (array length=n_focals): focal lengths, rising
 * @n_focals: how many
 * @distances_mm: (array length=n_distances): distances, rising, the last may be INFINITY
 * @n_distances: how many
 * @min: smallest setting
 * @max: largest
 */
typedef struct
{
  const double *focals_mm;
  gsize n_focals;
  const double *distances_mm;
  gsize n_distances;
  int min;
  int max;
} ShimTableGrid;

/**
 * shim_own_table_fill:
 * @grid: the lens's grid
 * @readings: (array length=n): readings
 * @n: how many
 * @cells: (out) (array): n_focals × n_distances, focal length by focal length
 * @error: INVALID, or TOO_FEW when there is no reading
 *
 * Each reading goes to the nearest cell, focal lengths compared by their ratio, distances by 1/distance;
 * several in a cell are weighed by 1/tolerance². Empty cells are filled linearly between measured ones, first
 * along the distance, then along the focal length, and by the nearest one's value beyond them.
 *
 * Returns: whether at least one cell was measured
 */
gboolean shim_own_table_fill (const ShimTableGrid *grid, const ShimZoomReading *readings, gsize n,
                              ShimTableCell *cells, GError **error);
const char *shim_cell_source_to_name  (ShimCellSource source);

G_END_DECLS
