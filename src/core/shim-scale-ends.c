/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>

#include "shim-scale-ends.h"

/* Evidence of one tick: energy in phase less twice the energy in quadrature (what is not the ruler is as often
 * in one as in the other), over twice the noise's; limited, so that no single tick decides. A place without
 * ticks costs as much as a poor tick brings. */
#define EVIDENCE_MAX 6.0
#define EVIDENCE_COST 1.0
/* The scale has ended when this much evidence was lost since its last good tick. */
#define EVIDENCE_DROP 25.0
#define EVIDENCE_DROP_LEAST 8.0
/* ... where the ticks are as close as usual; coarser ones cover more of the ruler each. */
#define USUAL_CYCLES 0.42
#define HALF_TICKS 2.0
/* A finger or a clamp over the ticks is not their end: they go on when, within so many (as close as usual), a number of
 * ticks in a row are as plain as this on average. */
#define COVERED_TICKS 45.0
#define RESUME_TICKS 12
#define RESUME_EVIDENCE 3.0
/* An end is sharp when its ticks stand this far out of the noise, and this share of them at most is left beyond
 * it. */
#define END_STANDS_OUT 3.0
#define END_LEFT 0.4
#define INNER_TICKS 8
#define OUTER_TICKS 5
/* Pixels that go on for so many ticks without any show an end. */
#define CLEAR_TICKS 8
/* Where the light changes by this share from one tick's distance to the next, the ruler itself ends; that looks like a tick in step
 * with the others when it is about a tick's distance beyond the last one. Looked for from so many ticks inside to so many outside,
 * in steps of a share of a tick. */
#define BODY_STEP 0.12
#define BODY_FAR 24.0
#define BODY_INSIDE 3.5
#define BODY_OUTSIDE 0.5
#define BODY_HOP 0.1
/* Finer ticks, pixels, end before the ruler does by more than one of them. */
#define BODY_TICK_PX 4.0

static gboolean
tick_evidence (const ShimLaneSignal *signal, const ShimLattice *lattice, int k, double *evidence, double *strength)
{
  double re, im, se, e;

  if (!shim_lane_signal_lock (signal, lattice, shim_lattice_v_at (lattice, k * lattice->tick_mm), HALF_TICKS, &re,
                              &im, &se))
    return FALSE;
  *strength = re / se;
  e = (re * re - 2.0 * im * im) / (2.0 * se * se);
  *evidence = CLAMP (e, -EVIDENCE_MAX, EVIDENCE_MAX) - EVIDENCE_COST;
  return TRUE;
}

/* Whether plain ticks, as dark as before, begin again beyond a place where they were lost. Where blur has turned dark into light
 * they do not count: so far out little is gained by them, and what leaks in from the longer ticks pulls the fit. */
static gboolean
ticks_resume (const ShimLaneSignal *signal, const ShimLattice *lattice, int lost, int direction, double sign, int *at)
{
  const double cycles = shim_lattice_cycles_per_px (lattice, lattice->v_best);
  const int reach = (int) (COVERED_TICKS * MIN (1.0, cycles / USUAL_CYCLES));
  double recent[RESUME_TICKS] = { 0.0 }, sum = 0.0;

  for (int i = 0; i < reach + RESUME_TICKS; i++)
    {
      double evidence, strength;

      if (!tick_evidence (signal, lattice, lost + direction * i, &evidence, &strength))
        return FALSE;
      if (strength * sign < 0.0)
        evidence = MIN (evidence, -EVIDENCE_COST);
      sum += evidence - recent[i % RESUME_TICKS];
      recent[i % RESUME_TICKS] = evidence;
      if (i + 1 >= RESUME_TICKS && sum > RESUME_EVIDENCE * RESUME_TICKS)
        {
          *at = lost + direction * i;
          return TRUE;
        }
    }
  return FALSE;
}

/* The last tick, counted from the strongest place in one direction, for which there is evidence. */
static int
walk_to_end (const ShimLaneSignal *signal, const ShimLattice *lattice, int start, int direction, gboolean *cut)
{
  const double cycles = shim_lattice_cycles_per_px (lattice, lattice->v_best);
  const double drop = CLAMP (EVIDENCE_DROP * cycles / USUAL_CYCLES, EVIDENCE_DROP_LEAST, EVIDENCE_DROP);
  double sum = 0.0, best = 0.0, sign = 0.0;
  int end = start;

  *cut = TRUE;
  for (int k = start; ABS (k - start) < 4000; k += direction)
    {
      double evidence, strength;

      if (!tick_evidence (signal, lattice, k, &evidence, &strength))
        {
          *cut = ABS (k - end) < CLEAR_TICKS;
          return end;
        }
      if (ABS (k - start) < RESUME_TICKS)
        sign += strength;
      sum += evidence;
      if (sum > best)
        best = sum, end = k;
      if (sum > best - drop)
        continue;
      if (!ticks_resume (signal, lattice, k, direction, sign, &k))
        break;
      sum = best = 0.0;
      end = k;
    }
  *cut = FALSE;
  return end;
}

/* Amplitude of a single tick, in phase; NAN where there are no pixels. */
static double
tick_amplitude (const ShimLaneSignal *signal, const ShimLattice *lattice, int k, double *se)
{
  double re, im;

  return shim_lane_signal_lock (signal, lattice, shim_lattice_v_at (lattice, k * lattice->tick_mm), 1.0, &re, &im, se)
    ? re : NAN;
}

static double
tick_px_at (const ShimLattice *lattice, int k)
{
  return 1.0 / fabs (shim_lattice_cycles_per_px (lattice, shim_lattice_v_at (lattice, k * lattice->tick_mm)));
}

/* Mean light over a stretch of the lane; NAN where there is none. */
static double
light_over (const ShimLaneSignal *signal, double v_a, double v_b)
{
  const int lo = MAX ((int) lrint (MIN (v_a, v_b)) - signal->v_first, 0);
  const int hi = MIN ((int) lrint (MAX (v_a, v_b)) - signal->v_first, signal->n);
  double sum = 0.0;
  int n = 0;

  for (int i = lo; i < hi; i++)
    if (signal->mean[i] > 0.0)
      sum += signal->mean[i] * (1.0 + signal->re[i]), n++;
  return n > 0 ? sum / n : NAN;
}

/* From outside, the last place where the light is rather that of the ground than that of the ruler, near a step at @v. */
static double
body_end (const ShimLaneSignal *signal, double v, int direction, double tick_px)
{
  const double inside = light_over (signal, v - 1.5 * direction * tick_px, v - 0.5 * direction * tick_px);
  const double outside = light_over (signal, v + 0.5 * direction * tick_px, v + 1.5 * direction * tick_px);
  double at = v + 0.5 * direction * tick_px;

  while ((at - v) * direction > -tick_px)
    {
      const double light = light_over (signal, at - direction, at);

      if (!(fabs (light - outside) < fabs (light - inside)))
        return at;
      at -= direction;
    }
  return v;
}

/* Where the light changes most, by more than BODY_STEP, from @from to @to ticks beyond @end; NAN = nowhere. */
static double
body_step (const ShimLaneSignal *signal, const ShimLattice *lattice, int direction, int end, double from, double to)
{
  const double tick_px = tick_px_at (lattice, end);
  double most = BODY_STEP, at = NAN;

  for (double off = from; off <= to; off += BODY_HOP)
    {
      const double v = shim_lattice_v_at (lattice, (end + direction * off) * lattice->tick_mm);
      const double inside = light_over (signal, v - direction * tick_px, v), outside = light_over (signal, v, v + direction * tick_px);
      const double step = fabs (outside - inside) / MAX (inside, outside);

      if (step > most)
        most = step, at = v;
    }
  return at;
}

/* Mean amplitude, in phase, of the ticks from one to another. */
static double
mean_amplitude (const ShimLaneSignal *signal, const ShimLattice *lattice, int from, int to)
{
  double sum = 0.0;
  int n = 0;

  for (int k = MIN (from, to); k <= MAX (from, to); k++)
    {
      double se;
      const double a = tick_amplitude (signal, lattice, k, &se);

      if (isfinite (a))
        sum += a, n++;
    }
  return n > 0 ? sum / n : 0.0;
}

/* No tick stands beyond the ruler's own end. On smooth ground many may seem to; but a shadow's edge has as plain ones on either
 * side. Moves @end to the last tick on the ruler, where it is not. */
static void
end_on_body (const ShimLaneSignal *signal, const ShimLattice *lattice, int direction, int *end, gboolean *is_end)
{
  const double tick_px = tick_px_at (lattice, *end);
  double at;
  int last;

  if (tick_px < BODY_TICK_PX)
    return;
  at = body_step (signal, lattice, direction, *end, -BODY_INSIDE, BODY_OUTSIDE);
  if (isnan (at))
    {
      at = body_step (signal, lattice, direction, *end, -BODY_FAR, -BODY_INSIDE);
      if (isnan (at))
        return;
      last = (int) lrint (shim_lattice_reading (lattice, at) / lattice->tick_mm);
      if (fabs (mean_amplitude (signal, lattice, last + 2 * direction, *end))
          > END_LEFT * fabs (mean_amplitude (signal, lattice, last - 2 * direction, last - (2 + INNER_TICKS) * direction)))
        return;
    }
  at = shim_lattice_reading (lattice, body_end (signal, at, direction, tick_px)) / lattice->tick_mm;
  last = (int) (direction > 0 ? floor (at) : ceil (at));
  if ((*end - last) * direction <= 0)
    return;
  *end = last;
  *is_end = TRUE;
}

/* The windows of walk_to_end() are four ticks wide: settles which tick is the last by asking where single ticks
 * change from the level inside to nothing. Returns whether that is a clear step. */
static gboolean
settle_end (const ShimLaneSignal *signal, const ShimLattice *lattice, int direction, int *end)
{
  double inner[INNER_TICKS], outer[OUTER_TICKS], se = 0.0, level, strong, sum = 0.0, best = -INFINITY;
  int n = 0, at = *end, seen = 0;

  for (int i = 0; i < INNER_TICKS; i++)
    {
      const double a = tick_amplitude (signal, lattice, *end - direction * (i + 3), &se);

      if (isfinite (a))
        inner[n++] = a;
    }
  if (n < INNER_TICKS / 2)
    return FALSE;
  /* Near half a cycle per pixel sampling makes single ticks beat: some are plain and some are gone. */
  strong = sqrt (gsl_stats_tss_m (inner, 1, n, 0.0) / n);
  level = gsl_stats_median (inner, 1, n);
  if (fabs (level) < END_STANDS_OUT * se)
    return FALSE;

  for (int i = -4; i <= 4; i++)
    {
      const double a = tick_amplitude (signal, lattice, *end + direction * i, &se);

      if (!isfinite (a))
        return FALSE;
      sum += 2.0 * level * a - level * level;
      if (sum > best)
        best = sum, at = *end + direction * i;
    }
  for (int i = 2; i < 2 + OUTER_TICKS; i++)
    {
      const double a = tick_amplitude (signal, lattice, at + direction * i, &se);

      if (isfinite (a))
        outer[seen++] = fabs (a);
    }
  *end = at;
  /* The median, as the edge of the paper may be among them. */
  return seen >= OUTER_TICKS / 2 && gsl_stats_median (outer, 1, seen) < MAX (END_LEFT * strong, 2.0 * se);
}

/**
 * shim_scale_ends_find:
 * @signal: the signal along the lane
 * @lattice: (inout): a fitted lattice; its ends, their readings and the number of ticks are set
 *
 * Walks outwards from the strongest place as long as there is evidence for ticks in step with the lattice (contrast
 * reversal does no harm), then settles each end to a single tick where it is sharp enough.
 */
void
shim_scale_ends_find (const ShimLaneSignal *signal, ShimLattice *lattice)
{
  const int start = (int) lrint (shim_lattice_reading (lattice, lattice->v_best) / lattice->tick_mm);
  gboolean cut_first, cut_last;
  int first, last;

  first = walk_to_end (signal, lattice, start, -1, &cut_first);
  last = walk_to_end (signal, lattice, start, +1, &cut_last);
  lattice->first_is_end = settle_end (signal, lattice, -1, &first) && !cut_first;
  lattice->last_is_end = settle_end (signal, lattice, +1, &last) && !cut_last;
  end_on_body (signal, lattice, -1, &first, &lattice->first_is_end);
  end_on_body (signal, lattice, +1, &last, &lattice->last_is_end);
  lattice->first_reading_mm = first * lattice->tick_mm;
  lattice->last_reading_mm = last * lattice->tick_mm;
  lattice->v_first = shim_lattice_v_at (lattice, lattice->first_reading_mm);
  lattice->v_last = shim_lattice_v_at (lattice, lattice->last_reading_mm);
  lattice->n_ticks = (guint) MAX (last - first + 1, 0);
}
