/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-dark-marks.h"
#include "shim-own-target-measures.h"
#include "shim-own-target.h"
#include "shim-track-match.h"

#define TRACK_X_MM (SHIM_OWN_TRACK_X_MM + 0.5 * SHIM_OWN_TRACK_WIDTH_MM)
#define DISCS_APART_MM (SHIM_OWN_CARD_WIDTH_MM - 2.0 * SHIM_OWN_DISC_X_MM)
/* From the track to the right disc, and to the left one. */
#define TO_RIGHT_MM (TRACK_X_MM + SHIM_OWN_DISC_X_MM)
#define TO_LEFT_MM (TO_RIGHT_MM + DISCS_APART_MM)

/* A disc is no slimmer than this, and as large as expected within this factor. */
#define ROUND 1.25
#define AREA_AGREES 1.6
/* Discs are looked for this near to where they should be, as a share of their distance from the track: the strip is not
 * quite square to them in the picture, and may be glued a little too high. */
#define DISC_REACH 0.2
/* Both lie on one line with the track's zero, within this, mm at the right one. */
#define STRAIGHT_MM 8.0
#define MARGIN_PX 32

static gboolean
is_disc (const ShimDarkMark *mark, double px_per_mm)
{
  const double area = G_PI * SHIM_OWN_DISC_RADIUS_MM * SHIM_OWN_DISC_RADIUS_MM * px_per_mm * px_per_mm;

  return shim_dark_mark_slimness (mark) < ROUND && mark->area < AREA_AGREES * area && area < AREA_AGREES * mark->area;
}

/* The disc nearest to a place, no farther off than @reach. */
static gboolean
disc_near (const GArray *marks, ShimPoint place, double reach, double px_per_mm, ShimPoint *disc)
{
  gboolean found = FALSE;

  for (guint i = 0; i < marks->len; i++)
    {
      const ShimDarkMark *mark = &g_array_index (marks, ShimDarkMark, i);
      const double off = hypot (mark->at.x - place.x, mark->at.y - place.y);

      if (off < reach && is_disc (mark, px_per_mm))
        reach = off, *disc = mark->at, found = TRUE;
    }
  return found;
}

/* Scale at the card's face as far as the track tells it: its length, at the angle that the strip is meant to stand at. Its width is
 * no measure: blur adds to it. */
static double
scale_by_track (const ShimTrackMatch *track)
{
  return (track->map[1] - track->map[0] * track->map[2]) / sin (SHIM_OWN_ANGLE_DEG * G_PI / 180.0);
}

/* The right disc by where the track's own scale says that it is; the left one on the line from the zero through the right
 * one. */
static void
find_discs (const GArray *marks, const ShimTrackMatch *track, ShimOwnTarget *target)
{
  const double px_per_mm = scale_by_track (track);
  const ShimPoint zero = shim_track_match_point (track, 0.0);
  /* To the right, seen with the far end up. */
  const double x = -track->y, y = track->x, right = TO_RIGHT_MM * px_per_mm;
  ShimPoint at = { zero.x - right * x, zero.y - right * y };
  double apart;

  if (!disc_near (marks, at, DISC_REACH * right, px_per_mm, &target->disc[0]))
    return;
  at.x = zero.x + (target->disc[0].x - zero.x) * TO_LEFT_MM / TO_RIGHT_MM;
  at.y = zero.y + (target->disc[0].y - zero.y) * TO_LEFT_MM / TO_RIGHT_MM;
  if (!disc_near (marks, at, STRAIGHT_MM * px_per_mm * TO_LEFT_MM / TO_RIGHT_MM, px_per_mm, &target->disc[1]))
    return;
  apart = hypot (target->disc[0].x - target->disc[1].x, target->disc[0].y - target->disc[1].y);
  target->has_discs = fabs (apart / (DISCS_APART_MM * px_per_mm) - 1.0) < DISC_REACH;
  target->px_per_mm = apart / DISCS_APART_MM;
}

/* The plane of the strip: its track gives places along it, the discs (without them the track's width) those across. The strip's
 * width lies square to the view, so what is nearer is only larger. */
static void
lay_plane (const ShimTrackMatch *track, ShimOwnTarget *target)
{
  const double scale = target->has_discs ? target->px_per_mm : scale_by_track (track);
  const double apart = DISCS_APART_MM * scale;
  const double x = target->has_discs ? (target->disc[0].x - target->disc[1].x) / apart : -track->y;
  const double y = target->has_discs ? (target->disc[0].y - target->disc[1].y) / apart : track->x;
  double *h = target->strip;

  h[6] = track->map[2];
  h[2] = scale * x;
  h[5] = scale * y;
  h[1] = track->origin.x * h[6] + track->x * track->map[1];
  h[4] = track->origin.y * h[6] + track->y * track->map[1];
  h[0] = track->origin.x + track->x * track->map[0] - TRACK_X_MM * h[2];
  h[3] = track->origin.y + track->y * track->map[0] - TRACK_X_MM * h[5];
}

static void
widen (ShimPoint point, double box[4])
{
  box[0] = MIN (box[0], point.x);
  box[1] = MIN (box[1], point.y);
  box[2] = MAX (box[2], point.x);
  box[3] = MAX (box[3], point.y);
}

/* The box about the strip, cut to the picture. */
static ShimRect
box_of (const ShimOwnTarget *target, int width, int height)
{
  double box[4] = { INFINITY, INFINITY, -INFINITY, -INFINITY };
  int x, y;

  for (int i = 0; i < 4; i++)
    widen (shim_own_target_point (target, i < 2 ? -SHIM_OWN_HALF_MM : SHIM_OWN_HALF_MM, i % 2 * SHIM_OWN_WIDTH_MM), box);
  x = (int) CLAMP (box[0] - MARGIN_PX, 0.0, width);
  y = (int) CLAMP (box[1] - MARGIN_PX, 0.0, height);
  return (ShimRect) { x, y, (int) CLAMP (box[2] + MARGIN_PX, 0.0, width) - x, (int) CLAMP (box[3] + MARGIN_PX, 0.0, height) - y };
}

/**
 * shim_own_target_find:
 * @luma: a whole picture, reduced
 * @picture_width: columns of the picture itself
 * @picture_height: its rows
 * @target: (out): the target
 *
 * Looks for the printed target. The row of bars along its strip is like nothing else, so an ordinary ruler is never taken for it;
 * the discs of its card must lie where they belong, or count as not seen.
 *
 * Returns: whether it is in the picture
 */
gboolean
shim_own_target_find (const ShimReducedLuma *luma, int picture_width, int picture_height, ShimOwnTarget *target)
{
  g_autoptr (GArray) marks = NULL;
  ShimTrackMatch track;

  g_return_val_if_fail (luma != NULL && target != NULL, FALSE);

  *target = (ShimOwnTarget) { .residual_mm = NAN, .px_per_mm = NAN };
  marks = shim_dark_marks_find (luma);
  if (!shim_track_match_find (marks, &track))
    return FALSE;
  target->n_bars = track.n_seen;
  find_discs (marks, &track, target);
  lay_plane (&track, target);
  target->rect = box_of (target, picture_width, picture_height);
  return target->rect.width > 0 && target->rect.height > 0;
}

/**
 * shim_own_target_point:
 * @self: a target
 * @r_mm: along its strip
 * @x_mm: across
 *
 * Returns: where that is in the picture, pixels
 */
ShimPoint
shim_own_target_point (const ShimOwnTarget *self, double r_mm, double x_mm)
{
  const double *h = self->strip, d = 1.0 + h[6] * r_mm;

  return (ShimPoint) { (h[0] + h[1] * r_mm + h[2] * x_mm) / d, (h[3] + h[4] * r_mm + h[5] * x_mm) / d };
}

/**
 * shim_own_target_aside_mm:
 * @self: a target
 *
 * Returns: how far its strip's zero lies beyond the line through the card's discs, towards the far end, mm along the strip; NAN when
 *   the discs were not seen
 */
double
shim_own_target_aside_mm (const ShimOwnTarget *self)
{
  const ShimPoint *a = &self->disc[0], *b = &self->disc[1], zero = shim_own_target_point (self, 0.0, TRACK_X_MM);
  const ShimPoint next = shim_own_target_point (self, 1.0, TRACK_X_MM);
  const double x = a->x - b->x, y = a->y - b->y;

  if (!self->has_discs)
    return NAN;
  return ((zero.x - a->x) * y - (zero.y - a->y) * x) / ((next.x - zero.x) * y - (next.y - zero.y) * x);
}
