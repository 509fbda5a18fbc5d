/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-geometry.h"

G_BEGIN_DECLS

/* Bars of the printed target's track. */
#define SHIM_TRACK_BARS 12

/**
 * ShimTrackMatch:
 *
 * The track of the printed target, recognised in marks.
 * @n_seen: how many of its bars were seen
 * @origin: a point on the track's middle line
 * @x: direction of that line towards the far end, …
 * @y: … of length 1
 * @map: pixels from @origin along it: s(r) = (map[0] + map[1] r) / (1 + map[2] r), r as in the measures of the target, mm
 * @width_px: width of the bars at r = 0
 */
typedef struct
{
  guint n_seen;
  ShimPoint origin;
  double x;
  double y;
  double map[3];
  double width_px;
} ShimTrackMatch;

gboolean  shim_track_match_find  (GArray *marks, ShimTrackMatch *match);
ShimPoint shim_track_match_point (const ShimTrackMatch *self, double r_mm);

G_END_DECLS
