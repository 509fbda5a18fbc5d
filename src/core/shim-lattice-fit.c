/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_multifit.h>
#include <math.h>

#include "shim-lattice-fit.h"

/* One phase reading for every HOP ticks, through windows of 2 × HALF ticks: wide while the map is rough. */
#define HOP_TICKS 2.0
#define HALF_TICKS_FIRST 8.0
#define HALF_TICKS 5.0
/* Readings that overlap are not independent: a Hann window of 10 ticks has an equivalent width of about 3 hops. */
#define OVERLAP 3.0
/* The phase is believed where the ticks stand this far out of the noise, and stays within this of its
 * neighbours, cycles. */
#define STANDS_OUT 4.0
#define PHASE_JUMP 0.12
/* A gap in the ticks (a hand, glare) may be this long, ticks. */
#define GAP_TICKS 40.0
#define ROUNDS 14
#define ROUNDS_AGAIN 4
#define ROUNDS_WIDE 5
/* Once the map moves by less than this share of its standard errors, with all of the range in view, it has settled: the next
 * round would move it by a thousandth of that or so. */
#define SETTLED 1e-3
#define FIRST_REACH_TICKS 20.0
/* Perspective is fitted once this many ticks are followed. */
#define TICKS_FOR_PERSPECTIVE 30.0
#define PHASE_FLOOR 0.004
#define QUIET_SHARE 0.7
/* This near to half a cycle per pixel the ticks cannot be told from their mirror image, f from 1 − f. */
#define NYQUIST_GAP 0.035
#define HUBER 2.5

typedef struct
{
  double v;
  double cycles; /* how much the true reading exceeds the lattice, cycles, known modulo a half */
  double se;
  double amplitude;
  double strength; /* amplitude over its standard error */
  gboolean used;
} Phase;

/* Beside the ruler the ground may be smooth, and anything stands out of it: no place counts as much quieter
 * than the ruler is about its strongest ticks. */
static void
judge_strength (GArray *phases, double v_best)
{
  double floor_se = 0.0, nearest = INFINITY;

  for (guint i = 0; i < phases->len; i++)
    {
      const Phase *phase = &g_array_index (phases, Phase, i);

      if (fabs (phase->v - v_best) < nearest)
        nearest = fabs (phase->v - v_best), floor_se = QUIET_SHARE * phase->se;
    }
  for (guint i = 0; i < phases->len; i++)
    {
      Phase *phase = &g_array_index (phases, Phase, i);

      phase->strength = phase->amplitude / MAX (phase->se, floor_se);
      phase->se = hypot (1.0 / (2.0 * G_PI * MAX (phase->strength, 0.1)), PHASE_FLOOR);
    }
}

static GArray *
read_phases (const ShimLaneSignal *signal, const ShimLattice *lattice, double half_ticks, double v_lo, double v_hi)
{
  GArray *phases = g_array_new (FALSE, FALSE, sizeof (Phase));

  for (double v = v_lo; v <= v_hi;)
    {
      const double cycles = CLAMP (fabs (shim_lattice_cycles_per_px (lattice, v)), 0.01, 1.0);
      double re, im, se;

      if (fabs (cycles - 0.5) > NYQUIST_GAP && shim_lane_signal_lock (signal, lattice, v, half_ticks, &re, &im, &se))
        {
          const double amplitude = hypot (re, im);
          Phase phase = { .v = v, .amplitude = amplitude, .se = se };

          /* Half a cycle is nothing: beyond the first zero of the blur the contrast is reversed. */
          phase.cycles = atan2 (im, re) / (2.0 * G_PI);
          phase.cycles -= 0.5 * rint (2.0 * phase.cycles);
          g_array_append_val (phases, phase);
        }
      v += HOP_TICKS / cycles;
    }
  judge_strength (phases, lattice->v_best);
  return phases;
}

/* The place from @lo to @hi where the ticks are strongest, together with those beside it: an edge is strong
 * alone. */
static gint
strongest (const GArray *phases, double lo, double hi)
{
  const Phase *phase = (const Phase *) phases->data;
  double most = 0.0;
  gint best = -1;

  for (guint i = 1; i + 1 < phases->len; i++)
    {
      const double least = MIN (phase[i].amplitude, MIN (phase[i - 1].amplitude, phase[i + 1].amplitude));

      if (least > most && phase[i].strength > STANDS_OUT && phase[i].v >= lo && phase[i].v <= hi)
        most = least, best = (gint) i;
    }
  return best;
}

/* From the strongest place outwards in one direction; marks what can be followed and undoes its half cycles. */
static void
follow (GArray *phases, gint from, int direction, double cycles_per_px, double reach_px)
{
  const Phase *start = &g_array_index (phases, Phase, from);
  double last = start->cycles, last_v = start->v;

  for (gint i = from + direction; i >= 0 && i < (gint) phases->len; i += direction)
    {
      Phase *phase = &g_array_index (phases, Phase, i);

      if (fabs (phase->v - start->v) > reach_px || fabs (phase->v - last_v) * cycles_per_px > GAP_TICKS)
        return;
      if (phase->strength < STANDS_OUT)
        continue;
      phase->cycles -= 0.5 * rint (2.0 * (phase->cycles - last));
      if (fabs (phase->cycles - last) > PHASE_JUMP)
        continue;
      phase->used = TRUE;
      last = phase->cycles;
      last_v = phase->v;
    }
}

/* The map about a place of its own: (a + b τ) / (1 + c τ), τ = v − centre. */
typedef struct
{
  double centre;
  double a, b, c;
} Local;

static Local
to_local (const ShimLattice *lattice, double centre)
{
  const double t = centre - lattice->v_ref, d = 1.0 + lattice->map[2] * t;

  return (Local) { centre, (lattice->map[0] + lattice->map[1] * t) / d, lattice->map[1] / d, lattice->map[2] / d };
}

static void
from_local (const Local *local, ShimLattice *lattice)
{
  const double t = lattice->v_ref - local->centre, d = 1.0 + local->c * t;

  lattice->map[0] = (local->a + local->b * t) / d;
  lattice->map[1] = local->b / d;
  lattice->map[2] = local->c / d;
}

/* Covariance of the map from that of the local one, by the derivatives of from_local(). */
static void
covariance_from_local (const Local *local, const gsl_matrix *cov, ShimLattice *lattice)
{
  const double t = lattice->v_ref - local->centre, d = 1.0 + local->c * t, n = local->a + local->b * t;
  const double j[3][3] = {
    { 1.0 / d, t / d, -n * t / (d * d) },
    { 0.0, 1.0 / d, -local->b * t / (d * d) },
    { 0.0, 0.0, 1.0 / (d * d) },
  };

  for (int r = 0; r < 3; r++)
    for (int s = 0; s < 3; s++)
      {
        lattice->cov[r][s] = 0.0;
        for (guint k = 0; k < cov->size1; k++)
          for (guint l = 0; l < cov->size2; l++)
            lattice->cov[r][s] += j[r][k] * gsl_matrix_get (cov, k, l) * j[s][l];
      }
}

/* The largest of some steps, in standard errors. */
static double
largest_step (const gsl_vector *steps, const gsl_matrix *cov)
{
  double largest = 0.0;

  for (guint i = 0; i < steps->size; i++)
    largest = MAX (largest, fabs (gsl_vector_get (steps, i)) / sqrt (gsl_matrix_get (cov, i, i)));
  return largest;
}

/* One step of weighted least squares of the phases on the map's parameters; @moved: by how many of their standard errors. */
static gboolean
improve (const GArray *phases, guint n_used, int n_parameters, ShimLattice *lattice, double centre, double *moved)
{
  Local local = to_local (lattice, centre);
  gsl_matrix *x = gsl_matrix_calloc (n_used, n_parameters);
  gsl_matrix *cov = gsl_matrix_calloc (n_parameters, n_parameters);
  gsl_vector *y = gsl_vector_calloc (n_used), *w = gsl_vector_calloc (n_used), *c = gsl_vector_calloc (n_parameters);
  gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc (n_used, n_parameters);
  double chisq = 0.0, squares = 0.0, scale;
  guint row = 0;

  for (guint i = 0; i < phases->len; i++)
    {
      const Phase *phase = &g_array_index (phases, Phase, i);
      const double tau = phase->v - centre, d = 1.0 + local.c * tau;
      double pull;

      if (!phase->used)
        continue;
      gsl_matrix_set (x, row, 0, 1.0 / d);
      gsl_matrix_set (x, row, 1, tau / d);
      if (n_parameters > 2)
        gsl_matrix_set (x, row, 2, -tau * (local.a + local.b * tau) / (d * d));
      gsl_vector_set (y, row, phase->cycles * lattice->tick_mm);
      pull = fabs (phase->cycles) / (3.0 * phase->se);
      gsl_vector_set (w, row, (pull > HUBER ? HUBER / pull : 1.0) / pow (phase->se * lattice->tick_mm, 2.0));
      squares += pow (phase->cycles * lattice->tick_mm, 2.0);
      row++;
    }
  gsl_multifit_wlinear (x, w, y, c, cov, &chisq, work);
  scale = OVERLAP * MAX (1.0, chisq / MAX (1.0, (double) n_used - n_parameters));
  gsl_matrix_scale (cov, scale);
  *moved = largest_step (c, cov);
  covariance_from_local (&local, cov, lattice);
  local.a += gsl_vector_get (c, 0);
  local.b += gsl_vector_get (c, 1);
  if (n_parameters > 2)
    local.c += gsl_vector_get (c, 2);
  from_local (&local, lattice);
  lattice->residual_mm = sqrt (squares / n_used);
  lattice->n_phase = (guint) MAX (1.0, n_used / OVERLAP);

  gsl_multifit_linear_free (work);
  gsl_vector_free (c);
  gsl_vector_free (w);
  gsl_vector_free (y);
  gsl_matrix_free (cov);
  gsl_matrix_free (x);
  return isfinite (lattice->map[0]) && isfinite (lattice->map[1]) && isfinite (lattice->map[2]) &&
         lattice->map[1] - lattice->map[0] * lattice->map[2] > 0.0;
}

static guint
seen_range (const GArray *phases, ShimLattice *lattice)
{
  guint n = 0;

  for (guint i = 0; i < phases->len; i++)
    {
      const Phase *phase = &g_array_index (phases, Phase, i);

      if (!phase->used)
        continue;
      if (n++ == 0)
        lattice->v_seen_lo = phase->v;
      lattice->v_seen_hi = phase->v;
    }
  return n;
}

/* Puts a tick, dark or light as the lattice says, at reading 0 nearest to the strongest place's phase. */
static void
settle_half_cycle (const ShimLaneSignal *signal, ShimLattice *lattice)
{
  double re, im, se;

  if (!shim_lane_signal_lock (signal, lattice, lattice->v_best, HALF_TICKS, &re, &im, &se))
    return;
  lattice->amplitude = hypot (re, im);
  lattice->noise = signal->noise[CLAMP ((int) lattice->v_best - signal->v_first, 0, signal->n - 1)];
  if ((re > 0.0) == lattice->dark_ticks)
    {
      /* R + h = ((a + h) + (b + h c) t) / (1 + c t) */
      const double half = 0.5 * lattice->tick_mm;

      lattice->map[0] += half;
      lattice->map[1] += half * lattice->map[2];
    }
}

/**
 * shim_lattice_fit:
 * @signal: the signal along the lane
 * @v_lo: the scale reaches at most from here …
 * @v_hi: … to here
 * @fresh: whether the map is a first one; else it was fitted before, and all of the range is looked at from the
 *   start
 * @lattice: (inout): with a first map (right within a few percent of frequency about @v_best), tick_mm and
 *   dark_ticks; its map, covariance, residual, range seen, strongest place, amplitude and noise are set
 *
 * Follows the phase of the ticks outwards from where they are strongest and fits the map to it, in rounds that
 * reach farther each time.
 *
 * Returns: whether a lattice was found
 */
gboolean
shim_lattice_fit (const ShimLaneSignal *signal, double v_lo, double v_hi, gboolean fresh, ShimLattice *lattice)
{
  const double first_reach = FIRST_REACH_TICKS / shim_lattice_cycles_per_px (lattice, lattice->v_best);
  double best_lo = fresh ? lattice->v_best - first_reach : v_lo;
  double best_hi = fresh ? lattice->v_best + first_reach : v_hi;

  for (int round = fresh ? 0 : ROUNDS - ROUNDS_AGAIN; round < ROUNDS; round++)
    {
      const double cycles = shim_lattice_cycles_per_px (lattice, lattice->v_best);
      const double reach = FIRST_REACH_TICKS * pow (1.5, round) / cycles;
      const double lo = MAX (v_lo, lattice->v_best - reach), hi = MIN (v_hi, lattice->v_best + reach);
      g_autoptr (GArray) phases =
        read_phases (signal, lattice, round < ROUNDS_WIDE ? HALF_TICKS_FIRST : HALF_TICKS, lo, hi);
      const gint best = strongest (phases, best_lo, best_hi);
      double ticks, moved;
      guint n;

      if (best < 0)
        return FALSE;
      lattice->v_best = g_array_index (phases, Phase, best).v;
      g_array_index (phases, Phase, best).used = TRUE;
      follow (phases, best, -1, cycles, reach);
      follow (phases, best, +1, cycles, reach);
      n = seen_range (phases, lattice);
      best_lo = lattice->v_seen_lo;
      best_hi = lattice->v_seen_hi;
      ticks = (lattice->v_seen_hi - lattice->v_seen_lo) * cycles;
      if (n < 4)
        return FALSE;
      if (!improve (phases, n, ticks >= TICKS_FOR_PERSPECTIVE && n >= 8 ? 3 : 2, lattice, lattice->v_best, &moved))
        return FALSE;
      if (round >= ROUNDS_WIDE && lo == v_lo && hi == v_hi && moved < SETTLED)
        break;
    }
  settle_half_cycle (signal, lattice);
  return TRUE;
}
