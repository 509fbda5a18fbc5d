/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-lattice-row.h"
#include "shim-tick-ranks.h"

/* Beside the lane of the finest ticks only the longer ones are left. Their darkness is gathered by reading, two
 * slots to a tick (whole and half readings), and folded by the periods that rulers have. */
#define SLOTS_PER_TICK 2
/* The beside-lane begins this far from the lane, pixels, and reaches this share of the ticks' length beyond it. */
#define BESIDE_FROM_PX 2.0
#define BESIDE_SHARE 0.45
#define BESIDE_MIN_PX 3.0
#define TENS_FROM_SHARE 0.6
#define TENS_TO_SHARE 0.95
/* What a second rank of ticks on top of every second one must stand out by: one of several lanes may do so by chance. */
#define SURE_SECOND 4.0
#define SECOND_SHARE 0.3
/* Local mean of the light: this many slots to each side. */
#define MEAN_SLOTS 20
/* A period is believed when its longer ticks stand this far out of the scatter. */
#define SURE 6.0
/* Weight of a tick falls to a half this many ticks from where they are strongest: farther out, blur mixes them. */
#define HALF_WEIGHT_TICKS 50.0
#define MAX_SLOTS 8000
/* The lane was cut this much short of where its ticks begin. */
#define EDGE_MARGIN_PX 1.0

typedef struct
{
  int first;    /* slot number of the first one */
  int n;
  double *dark; /* 1 − light / local mean; NAN where there is nothing */
  double *weight;
} Slots;

typedef struct
{
  int slot; /* class of the longer ticks, slots modulo period */
  double height;
  double z;
} Fold;

static void
slots_clear (Slots *slots)
{
  g_free (slots->dark);
  g_free (slots->weight);
}

static double
mean_about (const double *light, const double *count, int n, int i, int reach)
{
  double sum = 0.0, weight = 0.0;

  for (int k = MAX (i - reach, 0); k <= MIN (i + reach, n - 1); k++)
    {
      sum += light[k];
      weight += count[k];
    }
  return weight > 0.0 ? sum / weight : NAN;
}

/* Gathers the light of the columns from @near to @far (distance from the lane's centre, signed) by reading. */
static gboolean
gather (const ShimLuma *luma, const ShimLattice *lattice, double near, double far, Slots *slots)
{
  const double middle = 0.5 * (near + far), half = 0.5 * fabs (far - near);
  const double slot = lattice->tick_mm / SLOTS_PER_TICK;
  g_autoptr (ShimStrip) strip =
    shim_strip_cut (luma, lattice->transposed, lattice->u0 + middle, lattice->u1, lattice->v_ref,
                    MAX (half + 1.0, 2.0), lattice->v_first, lattice->v_last);
  g_autofree double *light = NULL;
  g_autofree double *count = NULL;

  slots->first = (int) floor (lattice->first_reading_mm / slot) - 1;
  slots->n = (int) ceil (lattice->last_reading_mm / slot) + 2 - slots->first;
  if (strip == NULL || slots->n < 8 || slots->n > MAX_SLOTS)
    return FALSE;
  light = g_new0 (double, slots->n);
  count = g_new0 (double, slots->n);
  for (int i = 0; i < strip->n_v; i++)
    {
      const ShimLatticeRow row = shim_lattice_row (lattice, strip->v_first + i + 0.5);

      for (int j = 0; j < strip->n_u; j++)
        {
          const double u = strip->u_first[i] + j + 0.5, value = shim_strip_row (strip, i)[j];
          const int k = (int) lrint (shim_lattice_row_reading (&row, u) / slot) - slots->first;

          if (!isfinite (value) || fabs (u - row.line - middle) > half || k < 0 || k >= slots->n)
            continue;
          light[k] += value;
          count[k] += 1.0;
        }
    }
  slots->dark = g_new (double, slots->n);
  slots->weight = g_new (double, slots->n);
  for (int k = 0; k < slots->n; k++)
    {
      const double mean = mean_about (light, count, slots->n, k, MEAN_SLOTS);
      const double reading = (slots->first + k) * slot;
      const double beside = reading - shim_lattice_reading (lattice, lattice->v_best);
      const double off = beside / lattice->tick_mm / HALF_WEIGHT_TICKS;

      slots->dark[k] = count[k] > 0.0 && mean > 0.0 ? 1.0 - light[k] / count[k] / mean : NAN;
      slots->weight[k] = 1.0 / (1.0 + off * off);
    }
  return TRUE;
}

/* Means of the classes modulo @period slots; class @only modulo @step alone takes part. The longer ticks are the class that
 * stands off most, in the sense of @sign unless that is 0. */
static Fold
fold (const Slots *slots, int period, int step, int only, int sign)
{
  g_autofree double *sum = g_new0 (double, period);
  g_autofree double *weight = g_new0 (double, period);
  double others = 0.0, n_others = 0.0, squares = 0.0, all = 0.0, in_class = 0.0, most = 0.0;
  /* Where a period has few slots, a class and its neighbours are nearly all of it. */
  const gboolean few = step > 1 || period <= 2 * SLOTS_PER_TICK;
  const int apart = MIN (3, period / 2);
  Fold best = { .slot = 0 };

  for (int k = 0; k < slots->n; k++)
    {
      const int at = slots->first + k, class = ((at % period) + period) % period;

      if (isnan (slots->dark[k]) || ((at - only) % step) != 0)
        continue;
      sum[class] += slots->weight[k] * slots->dark[k];
      weight[class] += slots->weight[k];
    }
  for (int q = 0; q < period; q++)
    sum[q] = weight[q] > 0.0 ? sum[q] / weight[q] : 0.0;
  for (int q = 0; q < period; q++)
    {
      const double height = few ? sum[q]
        : 0.25 * sum[(q + period - 1) % period] + 0.5 * sum[q] + 0.25 * sum[(q + 1) % period];
      const double off = sign != 0 ? sign * height : fabs (height);

      if (weight[q] > 0.0 && off > most)
        {
          most = off;
          best = (Fold) { .slot = q, .height = height };
        }
    }
  /* Whole readings are compared with whole ones: beside them, ticks of another period would stand out, or the gaps between them. */
  for (int q = best.slot % SLOTS_PER_TICK; q < period; q += SLOTS_PER_TICK)
    if (weight[q] > 0.0 && MIN (ABS (q - best.slot), period - ABS (q - best.slot)) >= apart)
      others += sum[q], n_others += 1.0;
  for (int k = 0; k < slots->n; k++)
    {
      const int at = slots->first + k, class = ((at % period) + period) % period;

      if (isnan (slots->dark[k]) || ((at - only) % step) != 0)
        continue;
      squares += slots->weight[k] * pow (slots->dark[k] - sum[class], 2.0);
      all += slots->weight[k];
      in_class += class == best.slot ? slots->weight[k] : 0.0;
    }
  if (n_others > 0.0 && squares > 0.0 && in_class > 0.0)
    best.z = fabs (sum[best.slot] - others / n_others) / sqrt (squares / all / in_class);
  return best;
}

/* The finest ticks', pixels: the lane was cut short of where they begin. */
static double
finest_length (const ShimLattice *lattice)
{
  const double half = 0.5 * lattice->lane_width_px;

  return lattice->edge_side != 0 ? half + lattice->edge_px : 2.0 * half;
}

static void
shift_readings (ShimLattice *lattice, double by_mm)
{
  lattice->map[0] += by_mm;
  lattice->map[1] += by_mm * lattice->map[2];
  lattice->first_reading_mm += by_mm;
  lattice->last_reading_mm += by_mm;
}

/* Among ticks of which every second is longer: every fourth longer still are parts of an inch, every tenth half millimetres.
 * How far out that shows differs from ruler to ruler; shares of the finest ticks' length beyond the lane. */
static ShimTickFamily
judge_twos (const ShimLuma *luma, const ShimLattice *lattice, int side, const Fold *twos, int *zero_slot)
{
  static const double from_shares[] = { 0.1, 0.5, 0.8, 1.1, 1.5 };
  const double half = 0.5 * lattice->lane_width_px, length = finest_length (lattice);
  const int step = 2 * SLOTS_PER_TICK, sign = twos->height > 0.0 ? +1 : -1;
  Fold by_four = { 0 }, by_ten = { 0 };

  for (guint i = 0; i < G_N_ELEMENTS (from_shares); i++)
    {
      const double near = half + MAX (from_shares[i] * length, BESIDE_FROM_PX);
      const double far = near + MAX (SECOND_SHARE * length, BESIDE_MIN_PX);
      Slots slots = { 0 };

      if (gather (luma, lattice, side * near, side * far, &slots))
        {
          const Fold four = fold (&slots, 2 * step, step, twos->slot, sign), ten = fold (&slots, 5 * step, step, twos->slot, sign);

          by_four = four.z > by_four.z ? four : by_four;
          by_ten = ten.z > by_ten.z ? ten : by_ten;
        }
      slots_clear (&slots);
    }
  *zero_slot = twos->slot;
  if (MAX (by_four.z, by_ten.z) < SURE_SECOND)
    return SHIM_TICK_FAMILY_TWOS;
  *zero_slot = by_ten.z > by_four.z ? by_ten.slot : by_four.slot;
  return by_ten.z > by_four.z ? SHIM_TICK_FAMILY_HALVES : SHIM_TICK_FAMILY_BINARY;
}

/* Ticks of ten reach farther still: columns beyond those of five, as shares of the finest ticks' length beyond
 * the lane. */
static void
find_tens (const ShimLuma *luma, const ShimLattice *lattice, int side, const Fold *fives, int *zero_slot)
{
  const double half = 0.5 * lattice->lane_width_px, length = finest_length (lattice);
  Slots slots = { 0 };
  Fold tens = { 0 };

  if (gather (luma, lattice, side * (half + TENS_FROM_SHARE * length), side * (half + TENS_TO_SHARE * length),
              &slots))
    tens = fold (&slots, 10 * SLOTS_PER_TICK, 1, 0, 0);
  slots_clear (&slots);
  if (tens.z >= SURE && tens.slot % (5 * SLOTS_PER_TICK) == fives->slot)
    *zero_slot = tens.slot;
}

/* What the longer ticks on one side say. */
typedef struct
{
  Slots slots;
  Fold fives;
  Fold twos;
} Side;

/* Longer ticks reach away from the edge. What was taken for it on their side was the end of the finest ticks. */
static void
set_edge_opposite (ShimLattice *lattice, int long_side)
{
  if (lattice->edge_side != long_side)
    return;
  lattice->edge_side = -long_side;
  lattice->edge_px = 0.5 * lattice->lane_width_px + EDGE_MARGIN_PX;
}

static void
look_beside (const ShimLuma *luma, const ShimLattice *lattice, int side, Side *look)
{
  const double half = 0.5 * lattice->lane_width_px, length = finest_length (lattice);
  const double near = half + BESIDE_FROM_PX;

  if (!gather (luma, lattice, side * near, side * (near + MAX (BESIDE_SHARE * length, BESIDE_MIN_PX)), &look->slots))
    return;
  look->fives = fold (&look->slots, 5 * SLOTS_PER_TICK, 1, 0, 0);
  look->twos = fold (&look->slots, 2 * SLOTS_PER_TICK, 1, 0, 0);
}

/**
 * shim_tick_ranks_read:
 * @luma: pixels
 * @lattice: (inout): a lattice; the zero of its readings is moved to a longest tick, and dark_ticks, dark_known and
 *   long_every are set
 *
 * Reads which ticks are longer than the finest ones, from the columns beside the lane. They stand alone, so
 * they show without doubt whether ticks are dark or light and, with it, which half cycle of the lattice is the
 * tick.
 *
 * Returns: the family of graduation
 */
ShimTickFamily
shim_tick_ranks_read (const ShimLuma *luma, ShimLattice *lattice)
{
  const double slot = lattice->tick_mm / SLOTS_PER_TICK;
  Side looks[2] = { 0 };
  ShimTickFamily family = SHIM_TICK_FAMILY_UNKNOWN;
  const Side *best;
  const Fold *fold_used;
  gboolean by_fives;
  int zero = 0, side;

  look_beside (luma, lattice, +1, &looks[0]);
  look_beside (luma, lattice, -1, &looks[1]);
  /* Near half a cycle per pixel sampling fakes a beat of every second tick, but no fives. */
  by_fives = MAX (looks[0].fives.z, looks[1].fives.z) >= SURE;
  if (by_fives)
    best = looks[0].fives.z >= looks[1].fives.z ? &looks[0] : &looks[1];
  else
    best = looks[0].twos.z >= looks[1].twos.z ? &looks[0] : &looks[1];
  side = best == &looks[0] ? +1 : -1;
  if (by_fives)
    {
      family = SHIM_TICK_FAMILY_FIVES;
      zero = best->fives.slot;
      find_tens (luma, lattice, side, &best->fives, &zero);
    }
  else if (best->twos.z >= SURE)
    family = judge_twos (luma, lattice, side, &best->twos, &zero);
  /* "Every second" alone may be chance: it counts where the spacing is judged, and nowhere else. */
  if (family != SHIM_TICK_FAMILY_UNKNOWN && family != SHIM_TICK_FAMILY_TWOS)
    {
      fold_used = family == SHIM_TICK_FAMILY_FIVES ? &best->fives : &best->twos;
      lattice->dark_ticks = fold_used->height > 0.0;
      lattice->dark_known = TRUE;
      lattice->long_every = family == SHIM_TICK_FAMILY_FIVES ? 5 : family == SHIM_TICK_FAMILY_HALVES ? 10 : 2;
      shift_readings (lattice, -zero * slot);
      set_edge_opposite (lattice, side);
    }
  slots_clear (&looks[0].slots);
  slots_clear (&looks[1].slots);
  return family;
}
