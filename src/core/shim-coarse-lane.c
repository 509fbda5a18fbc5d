/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <complex.h>
#include <math.h>

#include "shim-coarse-lane.h"
#include "shim-lattice-row.h"
#include "shim-phasor.h"

/* Where the finest ticks are beyond the pixels, the longer ones carry the measurement. Blur carries them across their ends; a
 * lane that goes on beyond both ends loses nothing by that: to the side of the finest ticks, whose lane holds nothing at the
 * frequencies of the longer ones, and to the other as far as every second of them, which is longer still, goes on
 * unchanged. */

/* Ticks that are this far apart, mm, are narrow for their distance. */
#define COARSE_MM 2.4
/* Looked for over this many ticks to each side of where they are plainest, and this share of the scale at most. */
#define STRETCH_TICKS 12.0
#define STRETCH_SHARE 0.3
/* Shares of the greatest contrast: where the ticks end that all are there, and where the longer ones of them do. */
#define INNER_SHARE 0.5
#define OUTER_SHARE 0.75
#define LONGER_SHARE 0.25
/* The lane goes so far beyond the ends, pixels. */
#define INNER_MARGIN_PX 1.0
#define OUTER_LEAST_PX 1.0
#define OUTER_MOST_PX 3.0

/* Contrast of ticks beside which those twice as far apart do not stand out. */
#define ALONE_LEAST 0.01

/* So long are ticks of one millimetre at least, and so many pixels more to a millimetre there are across than along as a rule. */
#define FINEST_LENGTH_MM 2.5
#define FINEST_MARGIN_PX 1.0
#define ACROSS 1.4
/* Their own length over the width of that lane, and the least share of a lane that any ticks have. */
#define FINEST_TO_EDGE 1.3
#define LEAST_SHARE 0.1

typedef struct
{
  double weight;
  double light;
  double complex wave[2];    /* of all ticks, and of every second one */
  double complex lit[2];
} Column;

typedef struct
{
  int first;
  guint n;
  Column *columns;
  double *all;
  double *longer;
} Across;

static void
across_clear (Across *self)
{
  g_free (self->columns);
  g_free (self->all);
  g_free (self->longer);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Across, across_clear)

static double complex
contrast_of (const Column *column, guint which)
{
  const double mean = column->weight > 0.0 ? column->light / column->weight : 0.0;

  return mean > 0.0 ? 2.0 * (column->lit[which] - mean * column->wave[which]) / column->light : 0.0;
}

static void
add_row (Across *self, const ShimStrip *strip, const ShimLattice *lattice, int row, double mid_mm, double half_mm)
{
  const float *px = shim_strip_row (strip, row);
  const ShimLatticeRow at_row = shim_lattice_row (lattice, strip->v_first + row + 0.5);
  const double turn = -2.0 * G_PI / lattice->tick_mm;

  if (fabs (shim_lattice_row_reading (&at_row, at_row.line) - mid_mm) > half_mm + 2.0 * lattice->tick_mm)
    return;
  for (int j = 0; j < strip->n_u; j++)
    {
      const double u = strip->u_first[row] + j + 0.5, off = shim_lattice_row_reading (&at_row, u) - mid_mm;
      const int at = (int) floor (shim_lattice_row_place (&at_row, u)) - self->first;
      const double hann = 0.5 + 0.5 * cos (G_PI * off / half_mm);
      const ShimPhasor longer = shim_phasor_at (0.5 * turn * (off + mid_mm)), all = shim_phasor_turn (longer, longer);
      Column *column = &self->columns[CLAMP (at, 0, (int) self->n - 1)];

      if (isnan (px[j]) || at < 0 || at >= (int) self->n || fabs (off) >= half_mm)
        continue;
      column->weight += hann;
      column->light += hann * px[j];
      column->wave[0] += hann * (all.cosine + I * all.sine);
      column->wave[1] += hann * (longer.cosine + I * longer.sine);
      column->lit[0] += hann * px[j] * (all.cosine + I * all.sine);
      column->lit[1] += hann * px[j] * (longer.cosine + I * longer.sine);
    }
}

/* Each with its neighbours: one column of a noisy frame tells little. */
static void
smooth (const Across *self, guint which, double *smoothed)
{
  for (guint i = 0; i < self->n; i++)
    smoothed[i] = cabs (0.5 * contrast_of (&self->columns[i], which) +
                        0.25 * contrast_of (&self->columns[i > 0 ? i - 1 : i], which) +
                        0.25 * contrast_of (&self->columns[i + 1 < self->n ? i + 1 : i], which));
}

static void
across_init (Across *self, const ShimStrip *strip, const ShimLattice *lattice)
{
  /* Near its ends the scale may only seem to go on. */
  const double inside = STRETCH_SHARE * (lattice->last_reading_mm - lattice->first_reading_mm);
  const double half = MAX (MIN (STRETCH_TICKS * lattice->tick_mm, inside), lattice->tick_mm);
  const double mid = CLAMP (shim_lattice_reading (lattice, lattice->v_best), lattice->first_reading_mm + inside,
                            lattice->last_reading_mm - inside);

  self->first = -strip->n_u / 2;
  self->n = (guint) strip->n_u;
  self->columns = g_new0 (Column, self->n);
  self->all = g_new0 (double, self->n);
  self->longer = g_new0 (double, self->n);
  for (int i = 0; i < strip->n_v; i++)
    add_row (self, strip, lattice, i, mid, half);
  smooth (self, 0, self->all);
  smooth (self, 1, self->longer);
}

/* The first place from column @from in direction @side where a profile crosses @level, falling (or rising); NAN = nowhere. */
static double
crossing (const double *profile, guint n, guint from, int side, double level, gboolean rising)
{
  for (int i = (int) from; i + side >= 0 && i + side < (int) n; i += side)
    {
      const double here = profile[i] - level, next = profile[i + side] - level;

      if (rising ? here < 0.0 && next >= 0.0 : here >= 0.0 && next < 0.0)
        return i + 0.5 + side * here / (here - next);
    }
  return NAN;
}

/**
 * shim_coarse_lane_alone:
 * @strip: pixels about the lane of a lattice
 * @lattice: a lattice of longer ticks or of numerals
 * @tick_mm: distance of the ticks that are looked for
 * @beside_px: (out): how far beside its lane they stand, pixels where v = v_ref
 *
 * Looks for the columns with such a period but without one twice as long, as those where ticks of five stand alone.
 *
 * Returns: whether there are any
 */
gboolean
shim_coarse_lane_alone (const ShimStrip *strip, const ShimLattice *lattice, double tick_mm, double *beside_px)
{
  ShimLattice finer = *lattice;
  g_auto (Across) across = { 0 };
  double most = ALONE_LEAST;

  g_return_val_if_fail (strip != NULL && lattice != NULL && beside_px != NULL, FALSE);

  finer.tick_mm = tick_mm;
  across_init (&across, strip, &finer);
  for (guint i = 1; i + 1 < across.n; i++)
    {
      const double alone = across.all[i] - 2.0 * across.longer[i];

      if (alone > most)
        {
          most = alone;
          *beside_px = across.first + (int) i + 0.5;
        }
    }
  return most > ALONE_LEAST;
}

static guint
strongest (const Across *self, double reach_px)
{
  guint best = self->n / 2;

  for (guint i = 0; i < self->n; i++)
    if (fabs (self->first + (int) i + 0.5) <= reach_px && self->all[i] > self->all[best])
      best = i;
  return best;
}

/* On which side every second tick goes on: where it has risen first. */
static int
longer_side (const Across *self, guint best, double level)
{
  const double up = crossing (self->longer, self->n, best, +1, level, TRUE);
  const double down = crossing (self->longer, self->n, best, -1, level, TRUE);

  if (isnan (up) && isnan (down))
    return 0;
  return isnan (down) || fabs (up - best) < fabs (down - best) ? +1 : -1;
}

static int
first_longer (const Across *self, double from, double to, gboolean dark)
{
  double complex sum = 0.0;

  for (guint i = (guint) MAX (0.0, MIN (from, to)); i < MIN (self->n, MAX (from, to)); i++)
    sum += contrast_of (&self->columns[i], 1);
  return creal (dark ? -sum : sum) >= 0.0 ? 0 : 1;
}

static ShimTickReach
reach_of (const ShimTickLane *lane, double one_px, double other_px)
{
  const double from = MIN (one_px, other_px), to = MAX (one_px, other_px), half = 0.5 * lane->width_px;
  const double inside = MIN (to, lane->offset_px + half) - MAX (from, lane->offset_px - half);

  return (ShimTickReach) { from, to, lane->width_px > 0.0 ? MAX (LEAST_SHARE, inside / lane->width_px) : 1.0 };
}

/* Ticks of one millimetre end where those of five begin to stand alone. */
static ShimTickLane
finest_lane (const ShimLattice *lattice, double end_px, int side)
{
  const double length = FINEST_LENGTH_MM * ACROSS / shim_lattice_mm_per_px (lattice, lattice->v_best);

  if (lattice->tick_mm != 5.0)
    return (ShimTickLane) { .every = 1 };
  return (ShimTickLane) {
    .offset_px = end_px + 0.5 * side * (FINEST_MARGIN_PX - length),
    .width_px = length + FINEST_MARGIN_PX,
    .every = 1,
    .whole = TRUE,
  };
}

/**
 * shim_coarse_lane_find:
 * @strip: pixels, with room beside the lattice's lane
 * @lattice: a lattice
 * @lane: (out): a lane that holds its ticks from beyond one end to beyond the other
 * @finest: (out): the lane of the finest ticks beside it; of width 0 where they are not a fifth of these
 *
 * Returns: whether the lattice is one of longer ticks, the finest ones being beyond the pixels, and there is such a lane
 */
gboolean
shim_coarse_lane_find (const ShimStrip *strip, const ShimLattice *lattice, ShimTickLane *lane, ShimTickLane *finest)
{
  g_auto (Across) across = { 0 };
  double greatest, inner, outer, end, margin, from, to;
  guint best;
  int side;

  g_return_val_if_fail (strip != NULL && lattice != NULL && lane != NULL, FALSE);

  if (lattice->tick_mm < COARSE_MM)
    return FALSE;
  across_init (&across, strip, lattice);
  best = strongest (&across, 0.5 * lattice->lane_width_px + 1.0);
  greatest = across.all[best];
  side = longer_side (&across, best, LONGER_SHARE * greatest);
  if (side == 0)
    return FALSE;
  inner = crossing (across.all, across.n, best, -side, INNER_SHARE * greatest, FALSE);
  outer = crossing (across.all, across.n, best, side, OUTER_SHARE * greatest, FALSE);
  if (isnan (inner) || isnan (outer))
    return FALSE;
  end = crossing (across.longer, across.n, (guint) (outer + side), side, LONGER_SHARE * greatest, FALSE);
  inner += across.first;
  outer += across.first;
  if (isnan (end))
    end = outer + side * 2.0 * OUTER_MOST_PX;
  else
    end += across.first;
  *finest = finest_lane (lattice, inner, side);
  margin = CLAMP (0.5 * fabs (end - outer), OUTER_LEAST_PX, OUTER_MOST_PX);
  from = inner - side * INNER_MARGIN_PX;
  to = outer + side * margin;
  *lane = (ShimTickLane) {
    .offset_px = 0.5 * (from + to),
    .width_px = fabs (to - from),
    .every = 2,
    .first_tick = first_longer (&across, outer - across.first, to + side - across.first, lattice->dark_ticks),
    .whole = TRUE,
    .halved = lattice->tick_mm != 5.0,
  };
  lane->reach[0] = reach_of (lane, outer, end);
  lane->reach[1] = reach_of (lane, inner, outer);
  lane->reach[2] = lane->halved ? reach_of (lane, from, to)
                                : reach_of (finest, inner, inner - side * FINEST_TO_EDGE * finest->width_px);
  return TRUE;
}
