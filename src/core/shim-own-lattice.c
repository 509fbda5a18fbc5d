/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-lattice-fit.h"
#include "shim-own-lattice.h"
#include "shim-own-target-measures.h"

/* Of a lane's width this share is looked at: its ends are left out. */
#define LANE_SHARE 0.86
#define LANE_MARGIN_PX 4.0
/* Beyond the last ticks by this much, mm. */
#define BEYOND_MM 1.0
/* What the places by the marks are worth, mm. */
#define MARKS_SE_MM 0.1
/* Marks and ticks say the same within this, mm and ticks. */
#define AGREE_MM 0.3
#define AGREE_TICKS 0.24

typedef struct
{
  double u;
  double v;
} Place;

static Place
place_of (const ShimLattice *lattice, const ShimOwnTarget *target, double r, double x)
{
  const ShimPoint point = shim_own_target_point (target, r, x);

  return lattice->transposed ? (Place) { point.y, point.x } : (Place) { point.x, point.y };
}

/* Which way the strip runs, and which way its readings are to be counted: a lattice's grow with v. */
static gboolean
runs_with_v (const ShimOwnTarget *target, ShimLattice *lattice)
{
  const ShimPoint near = shim_own_target_point (target, -SHIM_OWN_TICKS, 0.0);
  const ShimPoint far = shim_own_target_point (target, SHIM_OWN_TICKS, 0.0);

  lattice->transposed = fabs (far.x - near.x) > fabs (far.y - near.y);
  return lattice->transposed ? far.x > near.x : far.y > near.y;
}

/* The map of a straight line across the plane, by three of its places: t (1 + e r) = p + q r, turned round. */
static void
set_map (const ShimOwnTarget *target, double x, double sign, ShimLattice *lattice)
{
  const double reach = SHIM_OWN_TICKS;
  const double low = place_of (lattice, target, -sign * reach, x).v - lattice->v_ref;
  const double mid = place_of (lattice, target, 0.0, x).v - lattice->v_ref;
  const double high = place_of (lattice, target, sign * reach, x).v - lattice->v_ref;
  const double e = (2.0 * mid - high - low) / (high - low) / reach, q = (high * (1.0 + e * reach) - mid) / reach;

  lattice->map[0] = -mid / q;
  lattice->map[1] = 1.0 / q;
  lattice->map[2] = -e / q;
}

static void
set_lane (const ShimOwnTarget *target, const ShimOwnLane *lane, ShimLattice *lattice)
{
  const double x = 0.5 * (lane->from_mm + lane->to_mm);
  const Place near = place_of (lattice, target, -SHIM_OWN_TICKS, x), far = place_of (lattice, target, SHIM_OWN_TICKS, x);
  const Place edge = place_of (lattice, target, 0.0, 0.0), mid = place_of (lattice, target, 0.0, x);
  const Place left = place_of (lattice, target, 0.0, lane->from_mm), right = place_of (lattice, target, 0.0, lane->to_mm);

  lattice->u1 = (far.u - near.u) / (far.v - near.v);
  lattice->u0 = mid.u - lattice->u1 * (mid.v - lattice->v_ref);
  lattice->slant = (right.v - left.v) / (right.u - left.u);
  lattice->lane_width_px = LANE_SHARE * fabs (right.u - left.u);
  lattice->edge_side = edge.u > mid.u ? +1 : -1;
  lattice->edge_px = fabs (edge.u - mid.u);
}

/* Until ticks have been followed: what the marks are worth. */
static void
doubt_map (ShimLattice *lattice)
{
  const double s = MARKS_SE_MM, slope = s * lattice->map[1] / SHIM_OWN_TICKS;

  lattice->cov[0][0] = s * s;
  lattice->cov[1][1] = slope * slope;
  lattice->cov[2][2] = pow (slope / SHIM_OWN_TICKS, 2.0);
  lattice->residual_mm = s;
  lattice->n_phase = 3;
}

static void
set_ends (const ShimLuma *luma, ShimLattice *lattice)
{
  const ShimRect *rect = &luma->rect;
  const double lo = lattice->transposed ? rect->x : rect->y;
  const double hi = lo + (lattice->transposed ? rect->width : rect->height);
  const double tick = lattice->tick_mm;

  lattice->first_reading_mm = -SHIM_OWN_TICKS;
  lattice->last_reading_mm = SHIM_OWN_TICKS;
  lattice->first_is_end = shim_lattice_v_at (lattice, lattice->first_reading_mm) >= lo;
  lattice->last_is_end = shim_lattice_v_at (lattice, lattice->last_reading_mm) <= hi;
  if (!lattice->first_is_end)
    lattice->first_reading_mm = tick * ceil (shim_lattice_reading (lattice, lo) / tick);
  if (!lattice->last_is_end)
    lattice->last_reading_mm = tick * floor (shim_lattice_reading (lattice, hi) / tick);
  lattice->v_first = shim_lattice_v_at (lattice, lattice->first_reading_mm);
  lattice->v_last = shim_lattice_v_at (lattice, lattice->last_reading_mm);
  lattice->n_ticks = (guint) MAX (lrint ((lattice->last_reading_mm - lattice->first_reading_mm) / tick) + 1, 0);
}

static ShimLaneSignal *
cut_signal (const ShimLuma *luma, const ShimLattice *lattice)
{
  const ShimLane lane = {
    .u0 = lattice->u0,
    .u1 = lattice->u1,
    .v_ref = lattice->v_ref,
    .half_px = 0.5 * lattice->lane_width_px,
    .slant = lattice->slant,
  };
  const double beyond = BEYOND_MM / lattice->map[1];
  g_autoptr (ShimStrip) strip = shim_strip_cut (luma, lattice->transposed, lattice->u0, lattice->u1, lattice->v_ref,
                                                lane.half_px + LANE_MARGIN_PX, lattice->v_first - beyond,
                                                lattice->v_last + beyond);

  return strip != NULL ? shim_lane_signal_new (strip, &lane, lattice) : NULL;
}

/* The ticks' own count, put right by that of the marks. Far from focus contrast is reversed, so half a tick may be due too. FALSE
 * when the two do not agree all along. */
static gboolean
count_from (const ShimLattice *marks, ShimLattice *lattice)
{
  const double lo = lattice->v_seen_lo, hi = lattice->v_seen_hi;
  const double agree = MIN (AGREE_MM, AGREE_TICKS * lattice->tick_mm);
  double sum = 0.0, shift;

  for (int i = 0; i <= 4; i++)
    sum += 0.2 * (shim_lattice_reading (lattice, lo + 0.25 * i * (hi - lo)) - shim_lattice_reading (marks, lo + 0.25 * i * (hi - lo)));
  shift = 0.5 * lattice->tick_mm * rint (2.0 * sum / lattice->tick_mm);
  lattice->map[0] -= shift;
  lattice->map[1] -= shift * lattice->map[2];
  for (int i = 0; i <= 4; i++)
    {
      const double v = lo + 0.25 * i * (hi - lo);

      if (fabs (shim_lattice_reading (lattice, v) - shim_lattice_reading (marks, v)) > agree)
        return FALSE;
    }
  return TRUE;
}

/**
 * shim_own_lattice_find:
 * @luma: pixels about the strip
 * @target: the printed target in the picture
 * @lane: one of its lanes
 * @lattice: (out): the lattice of that lane; its zero is the strip's own, its readings grow with v
 *
 * The marks say where each tick is; the ticks that can be seen say it better.
 *
 * Returns: whether ticks were seen where the marks have them; when not, @lattice is that of the marks alone
 */
gboolean
shim_own_lattice_find (const ShimLuma *luma, const ShimOwnTarget *target, const ShimOwnLane *lane, ShimLattice *lattice)
{
  g_autoptr (ShimLaneSignal) signal = NULL;
  ShimLattice seen;
  double sign;

  g_return_val_if_fail (luma != NULL && target != NULL && lane != NULL && lattice != NULL, FALSE);

  *lattice = (ShimLattice) { .tick_mm = lane->tick_mm, .tick_given = TRUE, .dark_ticks = TRUE, .dark_known = TRUE,
                             .long_every = lane->long_every };
  sign = runs_with_v (target, lattice) ? +1.0 : -1.0;
  lattice->v_ref = 0.5 * (lattice->transposed ? luma->picture_width : luma->picture_height);
  lattice->u_ref = 0.5 * (lattice->transposed ? luma->picture_height : luma->picture_width);
  set_map (target, 0.5 * (lane->from_mm + lane->to_mm), sign, lattice);
  set_lane (target, lane, lattice);
  doubt_map (lattice);
  set_ends (luma, lattice);
  lattice->v_best = lattice->v_seen_lo = shim_lattice_v_at (lattice, 0.0);
  lattice->v_seen_hi = lattice->v_best;
  seen = *lattice;
  signal = cut_signal (luma, lattice);
  if (signal == NULL || !shim_lattice_fit (signal, lattice->v_first, lattice->v_last, FALSE, &seen) ||
      !count_from (lattice, &seen))
    return FALSE;
  *lattice = seen;
  set_ends (luma, lattice);
  return TRUE;
}
