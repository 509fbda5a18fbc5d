/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <stdlib.h>

#include "shim-core-error.h"
#include "shim-slot-plan.h"

/* Errors closer than this, in tolerances, are equal: the rest is rounding. */
#define EQUAL 1e-9

#define LONGEST_RANGE 1000

/* One lens under one all-lens value. */
typedef struct
{
  gsize lens;
  gboolean must_have;
  double with;    /* error with a slot */
  double without; /* error at the all-lens value */
  gboolean slot;
} Seat;

static int
best_setting (const ShimSlotLens *lens, const ShimSlotBody *body)
{
  return (int) lround (CLAMP (lens->wanted, (double) body->min, (double) body->max));
}

static double
error_at (const ShimSlotLens *lens, int setting)
{
  return fabs (setting - lens->wanted) / lens->tolerance_steps;
}

static gboolean
check (const ShimSlotLens *lenses, gsize n, const ShimSlotBody *body, GError **error)
{
  gsize n_must_have = 0;

  if (body->min > body->max || (gint64) body->max - body->min > LONGEST_RANGE)
    {
      g_set_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID,
                   "The range of settings, %d to %d, is not one of a body.", body->min, body->max);
      return FALSE;
    }
  for (gsize i = 0; i < n; i++)
    {
      n_must_have += lenses[i].must_have != FALSE;
      if (!isfinite (lenses[i].wanted) || !(lenses[i].tolerance_steps > 0.0))
        {
          g_set_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID,
                       "Lens %" G_GSIZE_FORMAT " of the plan lacks a setting or a tolerance.", i + 1);
          return FALSE;
        }
    }
  if (n_must_have > body->n_slots)
    {
      g_set_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID,
                   "%" G_GSIZE_FORMAT " lenses must have a slot, but the body has only %u.", n_must_have,
                   body->n_slots);
      return FALSE;
    }
  return TRUE;
}

/* Those that must have a slot first; then those a slot helps, the greatest error without it first. */
static int
by_need (const void *one, const void *other)
{
  const Seat *a = one, *b = other;
  const gboolean a_helped = a->with < a->without - EQUAL, b_helped = b->with < b->without - EQUAL;

  if (a->must_have != b->must_have)
    return a->must_have ? -1 : 1;
  if (a_helped != b_helped)
    return a_helped ? -1 : 1;
  if (a->without != b->without)
    return a->without > b->without ? -1 : 1;
  return a->lens < b->lens ? -1 : a->lens > b->lens;
}

/* Those that have a slot already first; then by what a slot gains. */
static int
by_gain (const void *one, const void *other)
{
  const Seat *a = one, *b = other;
  const double a_gain = a->without - a->with, b_gain = b->without - b->with;

  if (a->slot != b->slot)
    return a->slot ? -1 : 1;
  if (a_gain != b_gain)
    return a_gain > b_gain ? -1 : 1;
  return a->lens < b->lens ? -1 : a->lens > b->lens;
}

/* The least worst error that any choice of slots can reach, with @seats sorted by need. A slot goes to the
 * lens that is worst without one as long as it helps: whoever else it went to, that lens would keep its
 * error. */
static double
least_worst (const Seat *seats, gsize n, guint n_slots)
{
  double worst = 0.0;

  for (gsize i = 0; i < n; i++)
    {
      const gboolean slot = seats[i].must_have || (i < n_slots && seats[i].with < seats[i].without - EQUAL);

      worst = MAX (worst, slot ? seats[i].with : seats[i].without);
    }
  return worst;
}

/* The best use of the slots for one all-lens value. */
static void
plan_for (
    const ShimSlotLens *lenses, gsize n, const ShimSlotBody *body, int all_value, Seat *seats, ShimSlotPlan *plan)
{
  double worst;

  for (gsize i = 0; i < n; i++)
    seats[i] = (Seat) {
      .lens = i,
      .must_have = lenses[i].must_have != FALSE,
      .with = error_at (&lenses[i], best_setting (&lenses[i], body)),
      .without = error_at (&lenses[i], all_value),
    };
  qsort (seats, n, sizeof *seats, by_need);
  worst = least_worst (seats, n, body->n_slots);

  /* Who would be above the least worst error without a slot has to have one; the slots that are left go where
   * they gain most. */
  *plan = (ShimSlotPlan) { .all_value = all_value };
  for (gsize i = 0; i < n; i++)
    {
      seats[i].slot =
          seats[i].must_have || (seats[i].without > worst + EQUAL && seats[i].with < seats[i].without - EQUAL);
      plan->n_used += seats[i].slot;
    }
  qsort (seats, n, sizeof *seats, by_gain);
  for (gsize i = plan->n_used; i < n && plan->n_used < body->n_slots; i++)
    {
      if (!(seats[i].with < seats[i].without - EQUAL))
        break;
      seats[i].slot = TRUE;
      plan->n_used++;
    }
  for (gsize i = 0; i < n; i++)
    {
      const double error = seats[i].slot ? seats[i].with : seats[i].without;

      plan->worst = MAX (plan->worst, error);
      plan->total += error;
      plan->n_outside += error > 1.0 + EQUAL;
    }
}

static gboolean
is_better (const ShimSlotPlan *plan, const ShimSlotPlan *best)
{
  if (fabs (plan->worst - best->worst) > EQUAL)
    return plan->worst < best->worst;
  if (fabs (plan->total - best->total) > EQUAL)
    return plan->total < best->total;
  if (plan->n_used != best->n_used)
    return plan->n_used < best->n_used;
  return ABS (plan->all_value) < ABS (best->all_value);
}

gboolean
shim_slot_plan (const ShimSlotLens *lenses, gsize n, const ShimSlotBody *body, ShimSlotChoice *choices,
                ShimSlotPlan *result, GError **error)
{
  g_autofree Seat *seats = g_new0 (Seat, MAX (n, 1));
  int first, last;

  g_return_val_if_fail (n == 0 || (lenses != NULL && choices != NULL), FALSE);
  g_return_val_if_fail (body != NULL && result != NULL, FALSE);

  if (!check (lenses, n, body, error))
    return FALSE;
  first = body->chooses_all_value ? body->min : body->all_value;
  last = body->chooses_all_value ? body->max : body->all_value;
  for (int all_value = first; all_value <= last; all_value++)
    {
      ShimSlotPlan plan;

      plan_for (lenses, n, body, all_value, seats, &plan);
      if (all_value == first || is_better (&plan, result))
        *result = plan;
    }

  plan_for (lenses, n, body, result->all_value, seats, result);
  for (gsize i = 0; i < n; i++)
    choices[seats[i].lens] = (ShimSlotChoice) {
      .gets_slot = seats[i].slot,
      .setting = seats[i].slot ? best_setting (&lenses[seats[i].lens], body) : result->all_value,
      .error = seats[i].slot ? seats[i].with : seats[i].without,
      .error_without = seats[i].without,
    };
  return TRUE;
}
