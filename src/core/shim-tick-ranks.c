/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

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
    for (int j = 0; j < strip->n_u; j++)
      {
        const double u = strip->u_first[i] + j + 0.5, v = strip->v_first + i + 0.5;
        const double value = shim_strip_row (strip, i)[j];
        const int k = (int) lrint (shim_lattice_reading_uv (lattice, u, v) / slot) - slots->first;

        if (!isfinite (value) || fabs (u - shim_lattice_u_at (lattice, v) - middle) > half || k < 0 || k >= slots->n)
          continue;
        light[k] += value;
        count[k] += 1.0;
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

/* Means of the classes modulo @period slots; class @only modulo @step alone takes part. */
static Fold
fold (const Slots *slots, int period, int step, int only)
{
  g_autofree double *sum = g_new0 (double, period);
  g_autofree double *weight = g_new0 (double, period);
  g_autofree double *smooth = g_new0 (double, period);
  double others = 0.0, n_others = 0.0, squares = 0.0, all = 0.0, in_class = 0.0;
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
      smooth[q] = step > 1 ? sum[q]
        : 0.25 * sum[(q + period - 1) % period] + 0.5 * sum[q] + 0.25 * sum[(q + 1) % period];
      if (weight[q] > 0.0 && fabs (smooth[q]) > fabs (best.height))
        best = (Fold) { .slot = q, .height = smooth[q] };
    }
  for (int q = 0; q < period; q++)
    if (weight[q] > 0.0 && MIN (ABS (q - best.slot), period - ABS (q - best.slot)) > 2)
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

static void
shift_readings (ShimLattice *lattice, double by_mm)
{
  lattice->map[0] += by_mm;
  lattice->map[1] += by_mm * lattice->map[2];
  lattice->first_reading_mm += by_mm;
  lattice->last_reading_mm += by_mm;
}

static ShimTickFamily
judge_family (const Slots *slots, const Fold *fives, const Fold *twos, int *zero_slot)
{
  Fold by_four, by_ten;

  if (MAX (fives->z, twos->z) < SURE)
    return SHIM_TICK_FAMILY_UNKNOWN;
  if (fives->z > twos->z)
    {
      *zero_slot = fives->slot;
      return SHIM_TICK_FAMILY_FIVES;
    }
  by_four = fold (slots, 4 * SLOTS_PER_TICK, 2 * SLOTS_PER_TICK, twos->slot);
  by_ten = fold (slots, 10 * SLOTS_PER_TICK, 2 * SLOTS_PER_TICK, twos->slot);
  *zero_slot = by_ten.z > by_four.z ? by_ten.slot : by_four.slot;
  if (MAX (by_four.z, by_ten.z) < SURE / 2.0)
    return SHIM_TICK_FAMILY_TWOS;
  return by_ten.z > by_four.z ? SHIM_TICK_FAMILY_HALVES : SHIM_TICK_FAMILY_BINARY;
}

/* Ticks of ten reach farther still: columns beyond those of five, as shares of the finest ticks' length beyond
 * the lane. */
static void
find_tens (const ShimLuma *luma, const ShimLattice *lattice, int side, const Fold *fives, int *zero_slot)
{
  const double half = 0.5 * lattice->lane_width_px;
  const double length = lattice->edge_side != 0 ? half + lattice->edge_px : 2.0 * half;
  Slots slots = { 0 };
  Fold tens = { 0 };

  if (gather (luma, lattice, side * (half + TENS_FROM_SHARE * length), side * (half + TENS_TO_SHARE * length),
              &slots))
    tens = fold (&slots, 10 * SLOTS_PER_TICK, 1, 0);
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
  const double half = 0.5 * lattice->lane_width_px;
  const double length = lattice->edge_side != 0 ? half + lattice->edge_px : 2.0 * half;
  const double near = half + BESIDE_FROM_PX;

  if (!gather (luma, lattice, side * near, side * (near + MAX (BESIDE_SHARE * length, BESIDE_MIN_PX)), &look->slots))
    return;
  look->fives = fold (&look->slots, 5 * SLOTS_PER_TICK, 1, 0);
  look->twos = fold (&look->slots, 2 * SLOTS_PER_TICK, 1, 0);
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
  int zero = 0, side;

  look_beside (luma, lattice, +1, &looks[0]);
  look_beside (luma, lattice, -1, &looks[1]);
  best = MAX (looks[0].fives.z, looks[0].twos.z) >= MAX (looks[1].fives.z, looks[1].twos.z) ? &looks[0] : &looks[1];
  side = best == &looks[0] ? +1 : -1;
  if (best->slots.dark != NULL)
    family = judge_family (&best->slots, &best->fives, &best->twos, &zero);
  if (family == SHIM_TICK_FAMILY_FIVES)
    find_tens (luma, lattice, side, &best->fives, &zero);
  if (family != SHIM_TICK_FAMILY_UNKNOWN)
    {
      fold_used = family == SHIM_TICK_FAMILY_FIVES ? &best->fives : &best->twos;
      lattice->dark_ticks = fold_used->height > 0.0;
      lattice->dark_known = TRUE;
      lattice->long_every = family == SHIM_TICK_FAMILY_FIVES ? 5 : 2;
      shift_readings (lattice, -zero * slot);
      set_edge_opposite (lattice, side);
    }
  slots_clear (&looks[0].slots);
  slots_clear (&looks[1].slots);
  return family;
}
