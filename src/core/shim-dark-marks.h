/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-geometry.h"
#include "shim-reduced-luma.h"

G_BEGIN_DECLS

/**
 * ShimDarkMark:
 * @at: its centre, pixels of the whole picture
 * @area: pixels
 * @xx: variance of its pixels' places along x, …
 * @xy: … covariance …
 * @yy: … and variance along y
 *
 * A dark solid thing on light ground.
 */
typedef struct
{
  ShimPoint at;
  double area;
  double xx;
  double xy;
  double yy;
} ShimDarkMark;

GArray *shim_dark_marks_find   (const ShimReducedLuma *luma);
double  shim_dark_mark_length  (const ShimDarkMark *self, double x, double y);
double  shim_dark_mark_slimness (const ShimDarkMark *self);

G_END_DECLS
