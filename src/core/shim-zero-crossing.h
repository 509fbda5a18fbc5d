/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-line-fit.h"

G_BEGIN_DECLS

/**
 * ShimCrossingKind:
 * @SHIM_CROSSING_MEAN: x at which the line itself reaches y
 * @SHIM_CROSSING_SINGLE: x at which one more single reading would be y (its scatter is added)
 */
typedef enum
{
  SHIM_CROSSING_MEAN,
  SHIM_CROSSING_SINGLE,
} ShimCrossingKind;

/**
 * ShimCrossing:
 * @at: x where the line reaches y: the best guess; NAN when the slope is exactly 0
 * @se: its standard error to first order
 * @has_interval: %FALSE when the slope is not significant at this level: then no finite interval exists, and @low and
 *   @high are NAN
 * @low: lower end of the interval
 * @high: upper end
 * @level: confidence, as 0.95
 * @g: t² var(slope) / slope²: 1 or more means no interval
 */
typedef struct
{
  double at;
  double se;
  gboolean has_interval;
  double low;
  double high;
  double level;
  double g;
} ShimCrossing;

/**
 * shim_crossing_find:
 * @line: a line
 * @y: the ordinate looked for; 0 for the zero crossing
 * @kind: of the line, or of a single reading
 * @level: confidence, within (0, 1)
 * @result: (out): the crossing
 *
 * Fieller's interval: all x for which (a + b x − y)² ≤ t² (var a + 2 x cov + x² var b + k s²), k = 0 for the
 * line, 1 for a single reading (E. C. Fieller, Some Problems in Interval Estimation, J. R. Statist. Soc. B 16
 * (1954); from memory). t has the line's degrees of freedom.
 *
 * Returns: @result->has_interval
 */
gboolean shim_crossing_find (const ShimLineFit *line, double y, ShimCrossingKind kind, double level,
                             ShimCrossing *result);

G_END_DECLS
