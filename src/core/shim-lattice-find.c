/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-lane.h"
#include "shim-lattice-find.h"
#include "shim-lattice-fit.h"
#include "shim-scale-ends.h"

/* Passes of lane, phase and ends, each within the ends the one before found: what lies beyond the scale bends
 * the map. */
#define PASSES 3
/* The scale may reach this many ticks beyond what the survey saw, the first time. */
#define REACH_TICKS 320.0
/* Later, phases are read up to this many ticks inside the ends, and the ends looked for this far beyond. */
#define INSIDE_TICKS 2.0
#define MARGIN_TICKS 14.0
#define LANE_MARGIN_PX 4.0
/* Of a lane of which only the middle is known. */
#define BESIDE_HALF_PX 2.0
/* The slant is measured between the lane's halves: phase is followed in windows of this many ticks. */
#define SLANT_HALF_TICKS 6.0
/* Power at a fraction of the frequency, over that at the frequency itself, that makes the lattice a harmonic. Where every fourth or
 * fifth tick is wider than the others, that shows too, but is weak. */
#define HARMONIC_SHARE 0.4
#define HARMONIC_SHARE_FAR 2.0
#define HARMONIC_NEAR 3
#define HARMONIC_FAR 5
#define HARMONIC_HALF_TICKS 8.0

/* A first map about the strongest place: R = f τ / (1 + c τ), in ticks. */
static void
first_map (const ShimLane *lane, ShimLattice *lattice)
{
  const double f = lane->cycles_per_px, t = lane->v_best - lane->v_ref;
  const double c = -lane->cycles_slope / (2.0 * f), d = 1.0 - c * t;

  lattice->map[0] = -f * t / d;
  lattice->map[1] = f / d;
  lattice->map[2] = c / d;
  lattice->v_best = lane->v_best;
}

static ShimLaneSignal *
cut_signal (const ShimLuma *luma, const ShimLane *lane, const ShimLattice *lattice, double v_lo, double v_hi)
{
  g_autoptr (ShimStrip) strip = shim_strip_cut (luma, lattice->transposed, lane->u0, lane->u1, lane->v_ref,
                                                lane->half_px + LANE_MARGIN_PX, v_lo, v_hi);

  return strip != NULL ? shim_lane_signal_new (strip, lane, lattice) : NULL;
}

/* The phase advance between the two halves of the lane, over all its length, corrects the slant of one window. */
static void
refine_slant (const ShimLuma *luma, const ShimLattice *lattice, ShimLane *lane)
{
  ShimLane half[2] = { *lane, *lane };
  g_autoptr (ShimLaneSignal) left = NULL;
  g_autoptr (ShimLaneSignal) right = NULL;
  double sum_re = 0.0, sum_im = 0.0;

  for (int i = 0; i < 2; i++)
    {
      half[i].half_px = 0.5 * lane->half_px;
      half[i].u0 += (i == 0 ? -0.5 : 0.5) * lane->half_px;
    }
  left = cut_signal (luma, &half[0], lattice, lattice->v_seen_lo, lattice->v_seen_hi);
  right = cut_signal (luma, &half[1], lattice, lattice->v_seen_lo, lattice->v_seen_hi);
  if (left == NULL || right == NULL)
    return;
  for (double v = lattice->v_seen_lo; v <= lattice->v_seen_hi;)
    {
      const double f = shim_lattice_cycles_per_px (lattice, v);
      double a_re, a_im, b_re, b_im, se;

      if (shim_lane_signal_lock (left, lattice, v, SLANT_HALF_TICKS, &a_re, &a_im, &se) &&
          shim_lane_signal_lock (right, lattice, v, SLANT_HALF_TICKS, &b_re, &b_im, &se))
        {
          sum_re += b_re * a_re + b_im * a_im;
          sum_im += b_im * a_re - b_re * a_im;
        }
      v += SLANT_HALF_TICKS / CLAMP (f, 0.01, 1.0);
    }
  /* The signals' own slant correction is about each half's middle, so the whole advance between the middles is
   * left. */
  if (hypot (sum_re, sum_im) > 0.0)
    lane->slant = -atan2 (sum_im, sum_re) /
                  (2.0 * G_PI * shim_lattice_cycles_per_px (lattice, lattice->v_best) * lane->half_px);
}

/* Mean square of the amplitude at the lattice's own frequency, over what was seen of it. */
static double
mean_power (const ShimLaneSignal *signal, const ShimLattice *lattice, double half_ticks)
{
  const double v_lo = lattice->v_seen_lo, v_hi = lattice->v_seen_hi, step = MAX ((v_hi - v_lo) / 24.0, 1.0);
  double sum = 0.0;
  int n = 0;

  for (double v = v_lo; v <= v_hi; v += step)
    {
      double re, im, se;

      if (shim_lane_signal_lock (signal, lattice, v, half_ticks, &re, &im, &se))
        sum += re * re + im * im - 2.0 * se * se, n++;
    }
  return n > 0 ? sum / n : 0.0;
}

/* Thin ticks that are sharp have strong harmonics, and one of them may be what was found. If the lane carries
 * as much at a fraction of the frequency, that is the lattice. Returns whether the lattice was changed. */
static gboolean
divide_harmonic (const ShimLaneSignal *signal, ShimLattice *lattice)
{
  const double own = mean_power (signal, lattice, 2.0 * HARMONIC_HALF_TICKS);

  for (int divisor = HARMONIC_FAR; divisor >= 2; divisor--)
    {
      ShimLattice coarse = *lattice;

      coarse.map[0] /= divisor;
      coarse.map[1] /= divisor;
      if (mean_power (signal, &coarse, HARMONIC_HALF_TICKS) > (divisor > HARMONIC_NEAR ? HARMONIC_SHARE_FAR : HARMONIC_SHARE) * own)
        {
          *lattice = coarse;
          return TRUE;
        }
    }
  return FALSE;
}

static void
lattice_from_lane (const ShimLane *lane, ShimLattice *lattice)
{
  lattice->u0 = lane->u0;
  lattice->u1 = lane->u1;
  lattice->lane_width_px = 2.0 * lane->half_px;
  lattice->edge_side = lane->edge_side;
  lattice->edge_px = lane->edge_px;
  lattice->slant = lane->slant;
}

/* Phase of the ticks, ends of the scale, the lane's line: one after the other, several times. A lattice is @fresh that has a
 * first map only. */
static gboolean
settle (const ShimLuma *luma, gboolean fresh, double v_lo, double v_hi, ShimLane *lane, ShimLattice *lattice)
{
  double reach = 0.0;

  for (int pass = fresh ? 0 : 1; pass < PASSES; pass++)
    {
      g_autoptr (ShimLaneSignal) signal = cut_signal (luma, lane, lattice, v_lo - reach, v_hi + reach);
      double tick_px;

      if (signal == NULL || !shim_lattice_fit (signal, v_lo, v_hi, pass == 0, lattice))
        return FALSE;
      if (pass == 0 && divide_harmonic (signal, lattice) && !shim_lattice_fit (signal, v_lo, v_hi, TRUE, lattice))
        return FALSE;
      shim_scale_ends_find (signal, lattice);
      tick_px = 1.0 / shim_lattice_cycles_per_px (lattice, lattice->v_best);
      v_lo = lattice->v_first + INSIDE_TICKS * tick_px;
      v_hi = lattice->v_last - INSIDE_TICKS * tick_px;
      reach = MARGIN_TICKS * tick_px;
      lane->v_best = lattice->v_best;
      if (pass < PASSES - 1)
        {
          shim_lane_snap_to_edge (luma, lattice->transposed, lattice->v_first, lattice->v_last, lane);
          refine_slant (luma, lattice, lane);
        }
    }
  lattice_from_lane (lane, lattice);
  return TRUE;
}

/**
 * shim_lattice_find:
 * @luma: pixels about the guess
 * @guess: where ticks seem to be
 * @lattice: (out): the lattice, counted in ticks: tick_mm is 1 until shim_lattice_set_tick()
 *
 * Finds the lane, follows the phase of its ticks, finds the ends of the scale, and does so again within the ends.
 *
 * Returns: whether there is a tick lattice
 */
gboolean
shim_lattice_find (const ShimLuma *luma, const ShimStripGuess *guess, ShimLattice *lattice)
{
  ShimLane lane;
  double reach;

  g_return_val_if_fail (luma != NULL && guess != NULL && lattice != NULL, FALSE);

  *lattice = (ShimLattice) {
    .transposed = guess->transposed,
    .v_ref = 0.5 * (guess->transposed ? luma->picture_width : luma->picture_height),
    .u_ref = 0.5 * (guess->transposed ? luma->picture_height : luma->picture_width),
    .tick_mm = 1.0,
    .dark_ticks = TRUE,
  };
  if (!shim_lane_find (luma, guess, lattice->v_ref, &lane))
    return FALSE;
  shim_lane_snap_to_edge (luma, guess->transposed, guess->v_lo, guess->v_hi, &lane);
  first_map (&lane, lattice);
  reach = REACH_TICKS / MAX (lane.cycles_per_px, 0.02);
  return settle (luma, TRUE, guess->v_lo - reach, guess->v_hi + reach, &lane, lattice);
}

/**
 * shim_lattice_find_beside:
 * @luma: pixels about the ruler
 * @seen: a lattice of the same ruler
 * @ticks: how many ticks there are beside it to one of its own
 * @beside_px: how far beside its lane, pixels where v = v_ref
 * @lattice: (out): the lattice, counted in ticks: tick_mm is 1 until shim_lattice_set_tick()
 *
 * Finds other ticks of a ruler, from what is known of it.
 *
 * Returns: whether there is a tick lattice
 */
gboolean
shim_lattice_find_beside (const ShimLuma *luma, const ShimLattice *seen, double ticks, double beside_px, ShimLattice *lattice)
{
  ShimLane lane = {
    .u0 = seen->u0 + beside_px,
    .u1 = seen->u1,
    .v_ref = seen->v_ref,
    .v_best = seen->v_best,
    .half_px = BESIDE_HALF_PX,
    .slant = seen->slant,
  };

  g_return_val_if_fail (luma != NULL && seen != NULL && lattice != NULL, FALSE);

  *lattice = *seen;
  shim_lattice_set_tick (lattice, ticks, FALSE);
  lattice->tick_mm = 1.0;
  lattice->long_every = 0;
  lattice->dark_ticks = TRUE;
  lattice->dark_known = FALSE;
  return settle (luma, FALSE, seen->v_first, seen->v_last, &lane, lattice);
}

/**
 * shim_lattice_set_tick:
 * @lattice: (inout): a lattice
 * @tick_mm: distance of its ticks, mm
 * @given: whether that was given rather than judged
 *
 * Puts the readings of a lattice on another scale.
 */
void
shim_lattice_set_tick (ShimLattice *lattice, double tick_mm, gboolean given)
{
  const double factor = tick_mm / lattice->tick_mm;
  const double scale[3] = { factor, factor, 1.0 };

  g_return_if_fail (tick_mm > 0.0);

  for (int i = 0; i < 3; i++)
    {
      lattice->map[i] *= scale[i];
      for (int j = 0; j < 3; j++)
        lattice->cov[i][j] *= scale[i] * scale[j];
    }
  lattice->residual_mm *= factor;
  lattice->first_reading_mm *= factor;
  lattice->last_reading_mm *= factor;
  lattice->tick_mm = tick_mm;
  lattice->tick_given = given;
}
