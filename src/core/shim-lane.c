/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <complex.h>
#include <math.h>

#include "shim-lane.h"
#include "shim-robust-line.h"

#define WINDOW 128
/* The survey places a lane within its cells of 8 pixels. */
#define SEARCH_HALF_PX 40
/* Part of the lane's full amplitude at which its edge is set: the longer ticks alone carry a fifth. */
#define EDGE_SHARE 0.5

typedef struct
{
  const ShimStrip *strip;
  const ShimStripGuess *guess;
  complex double *x; /* one spectrum value for each column */
  double *power;
  double slant;
  int lo, hi; /* columns of the lane at the best place */
} Search;

/* The spectrum of each column at one frequency, over a Hann window about v. Columns with missing pixels give 0. */
static void
column_spectra (const ShimStrip *strip, double v, double cycles, complex double *x)
{
  const int first = MAX ((int) floor (v - WINDOW / 2.0) - strip->v_first, 0);
  const int last = MIN (first + WINDOW, strip->n_v);
  complex double wave[WINDOW];
  double sum_wave_weight = 0.0;

  for (int i = first; i < last; i++)
    {
      const double d = strip->v_first + i + 0.5 - v;
      const double hann = 0.5 + 0.5 * cos (2.0 * G_PI * CLAMP (d / WINDOW, -0.5, 0.5));

      wave[i - first] = hann * cexp (-2.0 * G_PI * I * cycles * d);
      sum_wave_weight += hann;
    }
  for (int j = 0; j < strip->n_u; j++)
    {
      complex double sum = 0.0, sum_wave = 0.0;
      double mean = 0.0;

      for (int i = first; i < last; i++)
        {
          const double value = shim_strip_row (strip, i)[j];

          mean += value;
          sum += value * wave[i - first];
          sum_wave += wave[i - first];
        }
      mean /= MAX (last - first, 1);
      x[j] = isfinite (mean) && mean > 0.0 ? (sum / mean - sum_wave) / MAX (sum_wave_weight, 1.0) : 0.0;
    }
}

static double
energy (const complex double *x, int lo, int hi)
{
  double sum = 0.0;

  for (int j = lo; j < hi; j++)
    sum += creal (x[j] * conj (x[j]));
  return sum;
}

static double
refine_frequency (const Search *s, double v, double cycles)
{
  const int middle = s->strip->n_u / 2, reach = MIN (16, middle);
  const double step = 0.2 / WINDOW;
  double best = -1.0, best_cycles = cycles;

  for (int k = -8; k <= 8; k++)
    {
      double e;

      column_spectra (s->strip, v, cycles + k * step, s->x);
      e = energy (s->x, middle - reach, middle + reach);
      if (e > best)
        best = e, best_cycles = cycles + k * step;
    }
  return best_cycles;
}

/* Phase advance from column to column, within a range of columns, as a slant of the ticks. */
static double
slant_of (const complex double *x, int lo, int hi, double cycles)
{
  complex double sum = 0.0;

  for (int j = lo; j + 1 < hi; j++)
    sum += x[j + 1] * conj (x[j]);
  return -carg (sum) / (2.0 * G_PI * cycles);
}

/* Power of each column, coherently over three. */
static void
lane_power (const Search *s, double cycles)
{
  const int n = s->strip->n_u;
  const complex double turn = cexp (2.0 * G_PI * I * cycles * s->slant);

  for (int j = 0; j < n; j++)
    {
      const complex double a = j > 0 ? s->x[j - 1] * conj (turn) : 0.0;
      const complex double b = j < n - 1 ? s->x[j + 1] * turn : 0.0;
      const complex double sum = (a + 2.0 * s->x[j] + b) / 4.0;

      s->power[j] = creal (sum * conj (sum));
    }
}

/* Around the strongest run of columns near the guess, out to where half of the amplitude is left. */
static gboolean
bound_lane (Search *s, double cycles)
{
  const int n = s->strip->n_u, run = 6;
  const double threshold_share = EDGE_SHARE * EDGE_SHARE, reach = s->guess->reach_px;
  const int lo = (int) floor (0.5 * (n - run) - reach), hi = (int) ceil (0.5 * (n - run) + reach);
  double best = 0.0;
  int at = -1;

  for (int pass = 0; pass < 3; pass++)
    {
      best = 0.0;
      lane_power (s, cycles);
      for (int j = MAX (4, lo); j + run < n - 4 && j <= hi; j++)
        {
          double sum = 0.0;

          for (int k = 0; k < run; k++)
            sum += s->power[j + k];
          if (sum > best)
            best = sum, at = j;
        }
      if (at < 0)
        return FALSE;
      s->lo = at;
      s->hi = at + run;
      while (s->lo > 0 && s->power[s->lo - 1] > threshold_share * best / run)
        s->lo--;
      while (s->hi < n && s->power[s->hi] > threshold_share * best / run)
        s->hi++;
      s->slant = slant_of (s->x, s->lo, s->hi, cycles);
    }
  return s->hi - s->lo >= 3;
}

/* Follows the lane's centre along the ticks seen, and lays a straight line through it. */
static void
follow_lane (Search *s, double v_ref, ShimLane *lane)
{
  const ShimStrip *strip = s->strip;
  const int lo = MAX (s->lo - 6, 0), hi = MIN (s->hi + 6, strip->n_u);
  g_autoptr (ShimRobustLine) fit = shim_robust_line_new ();

  for (double v = s->guess->v_lo + WINDOW / 4.0; v <= s->guess->v_hi - WINDOW / 4.0; v += WINDOW / 4.0)
    {
      const double cycles = lane->cycles_per_px + lane->cycles_slope * (v - lane->v_best);
      const int row = CLAMP ((int) v - strip->v_first, 0, strip->n_v - 1);
      double sum = 0.0, moment = 0.0, floor_power = INFINITY;

      column_spectra (strip, v, cycles, s->x);
      lane_power (s, cycles);
      for (int j = lo; j < hi; j++)
        floor_power = MIN (floor_power, s->power[j]);
      for (int j = lo; j < hi; j++)
        {
          /* The square root keeps a bright tick edge from weighing more than the lane's far side. */
          const double a = sqrt (MAX (s->power[j] - 2.0 * floor_power, 0.0));

          sum += a;
          moment += a * (j + 0.5);
        }
      if (sum > 0.0)
        shim_robust_line_add (fit, v - v_ref, strip->u_first[row] + moment / sum, sum * sum);
    }
  if (!shim_robust_line_solve (fit, 1.0, &lane->u0, &lane->u1))
    {
      const int row = CLAMP ((int) lane->v_best - strip->v_first, 0, strip->n_v - 1);

      lane->u1 = s->guess->u1;
      lane->u0 = strip->u_first[row] + 0.5 * (s->lo + s->hi) - lane->u1 * (lane->v_best - v_ref);
    }
}

/**
 * shim_lane_find:
 * @luma: pixels about the guess
 * @guess: where ticks seem to be
 * @v_ref: where the lane's line is to count from
 * @lane: (out): the lane
 *
 * Finds the columns that hold the ticks of the guess, their slant, and the straight line they follow.
 *
 * Returns: whether there is a lane at all
 */
gboolean
shim_lane_find (const ShimLuma *luma, const ShimStripGuess *guess, double v_ref, ShimLane *lane)
{
  g_autoptr (ShimStrip) strip = NULL;
  g_autofree complex double *x = NULL;
  g_autofree double *power = NULL;
  Search s = { .guess = guess };

  g_return_val_if_fail (luma != NULL && guess != NULL && lane != NULL, FALSE);

  strip = shim_strip_cut (luma, guess->transposed, guess->u0, guess->u1, v_ref, SEARCH_HALF_PX,
                          guess->v_lo - WINDOW / 2.0, guess->v_hi + WINDOW / 2.0);
  if (strip == NULL || strip->n_v < WINDOW / 2)
    return FALSE;
  s.strip = strip;
  s.x = x = g_new0 (complex double, strip->n_u);
  s.power = power = g_new0 (double, strip->n_u);

  *lane = (ShimLane) { .v_ref = v_ref, .v_best = guess->v_best, .cycles_slope = guess->cycles_slope };
  lane->cycles_per_px = refine_frequency (&s, guess->v_best, guess->cycles_per_px);
  column_spectra (strip, guess->v_best, lane->cycles_per_px, s.x);
  if (!bound_lane (&s, lane->cycles_per_px))
    return FALSE;
  lane->slant = s.slant;
  /* A pixel at each side is mixed with what lies beside the ticks. */
  lane->half_px = MAX (0.5 * (s.hi - s.lo) - 1.0, 1.5);
  follow_lane (&s, v_ref, lane);
  return TRUE;
}

/* Rows of one look at the strip's long edge. */
#define EDGE_ROWS 16
/* How far beyond the lane the edge is looked for, and how far about its line the gradient is gathered. */
#define EDGE_BEYOND_PX 8
#define EDGE_REACH_PX 3.5
/* Relative step of light that makes an edge, and the share of looks that must agree on it. */
#define EDGE_STEP 0.06
#define EDGE_AGREE 0.75

/* floor() without a call; for places within a strip. */
static inline int
floor_to_int (double x)
{
  const int i = (int) x;

  return i - (i > x);
}

/* Gradient across, summed over rows [first, last) and over places within reach of distance d from the lane's
 * centre. */
static void
edge_sums (const ShimStrip *strip, const ShimLane *lane, int first, int last, double d, double reach, double *step,
           double *centre)
{
  double sum = 0.0, moment = 0.0, light = 0.0;
  int n_light = 0;

  for (int i = first; i < last; i++)
    {
      const float *row = shim_strip_row (strip, i);
      const double line = lane->u0 + lane->u1 * (strip->v_first + i + 0.5 - lane->v_ref) + d - strip->u_first[i];
      const int lo = MAX (-floor_to_int (reach - line) - 1, 0);
      const int hi = MIN (floor_to_int (line + reach) - 1, strip->n_u - 2);

      for (int j = lo; j <= hi; j++)
        {
          const double gradient = row[j + 1] - row[j];

          if (!isfinite (gradient))
            continue;
          sum += gradient;
          moment += gradient * (j + 1 - line);
          light += row[j] + row[j + 1];
          n_light += 2;
        }
    }
  *step = n_light > 0 && light > 0.0 ? sum / (last - first) / (light / n_light) : 0.0;
  *centre = fabs (sum) > 0.0 ? d + moment / sum : d;
}

/* The distance from the lane, on one side, where the light changes most and in the same sense all along; 0 =
 * nowhere. */
static double
find_edge (const ShimStrip *strip, const ShimLane *lane, int side, double reach, double *strength)
{
  double best_d = 0.0;

  *strength = 0.0;
  for (double beyond = -2.0; beyond <= reach; beyond += 1.0)
    {
      const double d = side * (lane->half_px + 1.0 + beyond);
      int looks = 0, brighter = 0;
      double sum = 0.0;

      for (int i = 0; i + EDGE_ROWS <= strip->n_v; i += EDGE_ROWS)
        {
          double step, centre;

          edge_sums (strip, lane, i, i + EDGE_ROWS, d, 1.6, &step, &centre);
          if (step == 0.0)
            continue;
          looks++;
          brighter += step > 0.0;
          sum += step;
        }
      if (looks < 3 || MAX (brighter, looks - brighter) < EDGE_AGREE * looks)
        continue;
      if (fabs (sum / looks) > *strength)
        *strength = fabs (sum / looks), best_d = d;
    }
  return *strength >= EDGE_STEP ? best_d : 0.0;
}

/**
 * shim_lane_snap_to_edge:
 * @luma: pixels
 * @transposed: whether the lane runs along the picture's rows
 * @v_lo: from here along …
 * @v_hi: … to here
 * @lane: (inout): the lane; its line is turned parallel to the edge, about the place where the ticks are strongest
 *
 * Looks for the strip's long edge beside the lane and lays a robust line through it: the ticks alone, seen only
 * where they are sharp, let the lane drift off towards the blurred ends.
 */
void
shim_lane_snap_to_edge (const ShimLuma *luma, gboolean transposed, double v_lo, double v_hi, ShimLane *lane)
{
  g_autoptr (ShimStrip) strip = NULL;
  g_autoptr (ShimRobustLine) fit = shim_robust_line_new ();
  double strength[2], d[2], e0, e1;
  int which;

  g_return_if_fail (luma != NULL && lane != NULL);

  lane->edge_side = 0;
  strip = shim_strip_cut (luma, transposed, lane->u0, lane->u1, lane->v_ref, lane->half_px + EDGE_BEYOND_PX + 8.0,
                          v_lo, v_hi);
  if (strip == NULL)
    return;
  d[0] = find_edge (strip, lane, -1, EDGE_BEYOND_PX, &strength[0]);
  d[1] = find_edge (strip, lane, +1, EDGE_BEYOND_PX, &strength[1]);
  which = d[1] != 0.0 && (d[0] == 0.0 || strength[1] > strength[0]);
  if (d[which] == 0.0)
    return;

  for (int i = 0; i + EDGE_ROWS <= strip->n_v; i += EDGE_ROWS)
    {
      double step, centre;

      edge_sums (strip, lane, i, i + EDGE_ROWS, d[which], EDGE_REACH_PX, &step, &centre);
      if (fabs (step) > 0.5 * EDGE_STEP && fabs (centre - d[which]) < EDGE_REACH_PX)
        shim_robust_line_add (fit, strip->v_first + i + 0.5 * EDGE_ROWS - lane->v_best, centre, 1.0);
    }
  if (!shim_robust_line_solve (fit, 0.15, &e0, &e1) || shim_robust_line_share (fit, e0, e1, 0.6) < 0.6)
    return;
  lane->edge_side = which == 0 ? -1 : +1;
  lane->edge_px = fabs (e0);
  lane->u1 += e1;
  lane->u0 += e1 * (lane->v_ref - lane->v_best);
}

/**
 * shim_lane_find_edges:
 * @luma: pixels
 * @transposed: whether the lane runs along the picture's rows
 * @v_lo: from here along …
 * @v_hi: … to here
 * @reach_px: how far beside the lane
 * @lane: a lane
 * @distance_px: (out) (array fixed-size=2): distance from the lane's centre, signed, of the strip's long edges
 *   towards smaller and larger u; 0 where none was found
 *
 * Looks for the long edges of the strip that holds the lane, which need not be where the ticks start.
 */
void
shim_lane_find_edges (const ShimLuma *luma, gboolean transposed, double v_lo, double v_hi, double reach_px,
                      const ShimLane *lane, double distance_px[2])
{
  g_autoptr (ShimStrip) strip = NULL;
  double strength;

  g_return_if_fail (luma != NULL && lane != NULL && distance_px != NULL);

  distance_px[0] = distance_px[1] = 0.0;
  strip = shim_strip_cut (luma, transposed, lane->u0, lane->u1, lane->v_ref, lane->half_px + reach_px + 4.0, v_lo,
                          v_hi);
  if (strip == NULL)
    return;
  distance_px[0] = find_edge (strip, lane, -1, reach_px, &strength);
  distance_px[1] = find_edge (strip, lane, +1, reach_px, &strength);
}
