/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * ShimSlotLens:
 * @wanted: the setting at which this lens would have no error on the body, not rounded
 * @tolerance_steps: its tolerance in steps of the setting, above 0
 * @must_have: whether it is to get a slot whatever the numbers say
 *
 * A lens that competes for a slot. Lenses with an own table do not compete and are not handed in.
 */
typedef struct
{
  double wanted;
  double tolerance_steps;
  gboolean must_have;
} ShimSlotLens;

/**
 * ShimSlotBody:
 * @n_slots: slots that may be given away
 * @min: smallest setting
 * @max: largest
 * @chooses_all_value: whether the value for all lenses without a slot is part of the plan
 * @all_value: otherwise the value that such lenses work at; 0 where the body has none
 */
typedef struct
{
  guint n_slots;
  int min;
  int max;
  gboolean chooses_all_value;
  int all_value;
} ShimSlotBody;

/**
 * ShimSlotChoice:
 * @gets_slot: whether it gets a slot
 * @setting: what to key into it; for a lens without a slot the all-lens value it works at
 * @error: error left, in tolerances
 * @error_without: error it would have without a slot
 */
typedef struct
{
  gboolean gets_slot;
  int setting;
  double error;
  double error_without;
} ShimSlotChoice;

/**
 * ShimSlotPlan:
 * @all_value: the value for all lenses without a slot
 * @n_used: slots given away
 * @worst: largest error, in tolerances
 * @total: sum of the errors, in tolerances
 * @n_outside: lenses that stay outside their tolerance
 */
typedef struct
{
  int all_value;
  guint n_used;
  double worst;
  double total;
  guint n_outside;
} ShimSlotPlan;

/**
 * shim_slot_plan:
 * @lenses: (array length=n): the lenses
 * @n: how many, 0 allowed
 * @body: the body
 * @choices: (out) (array length=n): what each lens gets
 * @result: (out): the plan
 * @error: INVALID (a number that is not finite, an empty range, more must-haves than slots)
 *
 * The plan with the least worst error, of those with the least total error, of those with the fewest slots,
 * then with the all-lens value nearest to 0. Exact: for a given all-lens value the choice is by size, and
 * every all-lens value is tried.
 *
 * Returns: whether there is a plan
 */
gboolean shim_slot_plan (const ShimSlotLens *lenses, gsize n, const ShimSlotBody *body, ShimSlotChoice *choices,
                         ShimSlotPlan *result, GError **error);

G_END_DECLS
