/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-strip-geometry.h"

G_BEGIN_DECLS

/* Rows of one look: enough to be even over ticks and numerals, few enough that blur hardly changes. */
#define SHIM_STRIP_EDGE_ROWS 24

/**
 * ShimEdgeLook:
 *
 * One look at a long edge of a ruler.
 * @v: middle of the rows looked at, pixels
 * @u: place of the edge across, pixels
 * @variance: second moment of the edge's slope, pixels squared: the square of a blur circle's diameter over 16, and softness
 */
typedef struct
{
  double v;
  double u;
  double variance;
} ShimEdgeLook;

/**
 * ShimEdgeSearch:
 *
 * Where a long edge of a ruler is looked for: beside a line along its ticks or numerals.
 * @luma: pixels
 * @transposed: whether the line runs along the picture's rows
 * @u0: the line at v = @v_ref …
 * @u1: … and its slope
 * @v_ref: where @u0 counts from
 * @v_lo: the line is on the ruler from here …
 * @v_hi: … to here
 * @reach_px: how far beside the line
 */
typedef struct
{
  const ShimLuma *luma;
  gboolean transposed;
  double u0;
  double u1;
  double v_ref;
  double v_lo;
  double v_hi;
  double reach_px;
} ShimEdgeSearch;

GArray *shim_strip_edge_find (const ShimEdgeSearch *search, int side);

G_END_DECLS
