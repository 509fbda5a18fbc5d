/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "shim-core-error.h"
#include "shim-slot-plan.h"

/* Every all-lens value and every set of slots, tried: the reference. */
static void
try_everything (const ShimSlotLens *lenses, guint n, const ShimSlotBody *body, double *worst, double *total)
{
  *worst = *total = INFINITY;
  for (int all = body->chooses_all_value ? body->min : body->all_value; all <= (body->chooses_all_value ? body->max : body->all_value); all++)
    for (guint set = 0; set < 1u << n; set++)
      {
        double this_worst = 0.0, this_total = 0.0;
        guint n_used = 0;
        gboolean allowed = TRUE;

        for (guint i = 0; i < n; i++)
          {
            const gboolean slot = (set >> i) & 1;
            double least = INFINITY;

            n_used += slot;
            allowed = allowed && (slot || !lenses[i].must_have);
            for (int setting = slot ? body->min : all; setting <= (slot ? body->max : all); setting++)
              least = MIN (least, fabs (setting - lenses[i].wanted) / lenses[i].tolerance_steps);
            this_worst = MAX (this_worst, least);
            this_total += least;
          }
        if (!allowed || n_used > body->n_slots)
          continue;
        if (this_worst < *worst - 1e-9 || (this_worst < *worst + 1e-9 && this_total < *total))
          {
            *worst = MIN (*worst, this_worst);
            *total = this_total;
          }
      }
}

static void
test_against_everything (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (5);

  for (guint run = 0; run < 400; run++)
    {
      const guint n = g_rand_int_range (random, 0, 9);
      ShimSlotLens lenses[9];
      ShimSlotChoice choices[9];
      const ShimSlotBody body = {
        .n_slots = g_rand_int_range (random, 0, 6),
        .min = -g_rand_int_range (random, 0, 8),
        .max = g_rand_int_range (random, 0, 8),
        .chooses_all_value = g_rand_boolean (random),
        .all_value = g_rand_int_range (random, -3, 4),
      };
      g_autoptr (GError) error = NULL;
      double worst, total, sum = 0.0, largest = 0.0;
      guint n_used = 0;
      ShimSlotPlan plan;

      for (guint i = 0; i < n; i++)
        lenses[i] = (ShimSlotLens) {
          /* halves, so that ties occur */
          .wanted = run % 2 == 0 ? g_rand_double_range (random, -12, 12) : 0.5 * g_rand_int_range (random, -20, 20),
          .tolerance_steps = run % 3 == 0 ? 2.0 : g_rand_double_range (random, 0.5, 5),
          .must_have = i < body.n_slots && g_rand_int_range (random, 0, 8) == 0,
        };
      shim_slot_plan (lenses, n, &body, choices, &plan, &error);
      g_assert_no_error (error);
      try_everything (lenses, n, &body, &worst, &total);
      check_near (plan.worst, n > 0 ? worst : 0.0, 1e-8);
      check_near (plan.total, total, 1e-8);

      /* ... and the choices are what the plan says they are. */
      for (guint i = 0; i < n; i++)
        {
          n_used += choices[i].gets_slot;
          sum += choices[i].error;
          largest = MAX (largest, choices[i].error);
          check_near (choices[i].error, fabs (choices[i].setting - lenses[i].wanted) / lenses[i].tolerance_steps, 1e-12);
          g_assert_cmpint (choices[i].gets_slot ? choices[i].setting : plan.all_value, ==, choices[i].setting);
          g_assert_true (choices[i].gets_slot || !lenses[i].must_have);
        }
      g_assert_cmpuint (n_used, ==, plan.n_used);
      g_assert_cmpuint (n_used, <=, body.n_slots);
      check_near (sum, plan.total, 1e-9);
      check_near (largest, plan.worst, 1e-9);
    }
}

/* By hand: three lenses want about 6, one wants −8; one slot. The all-lens value serves the three, the slot
 * goes to the odd one. */
static void
test_by_hand (void)
{
  const ShimSlotLens lenses[] = { { 5, 2, FALSE }, { 6, 2, FALSE }, { -8, 2, FALSE }, { 7, 2, FALSE } };
  const ShimSlotBody with_all = { 1, -10, 10, TRUE }, without_all = { 1, -10, 10, FALSE }, plenty = { 9, -10, 10, TRUE };
  ShimSlotChoice choices[4];
  ShimSlotPlan plan;

  g_assert_true (shim_slot_plan (lenses, 4, &with_all, choices, &plan, NULL));
  g_assert_cmpint (plan.all_value, ==, 6);
  g_assert_true (choices[2].gets_slot);
  g_assert_cmpint (choices[2].setting, ==, -8);
  check_near (plan.worst, 0.5, 1e-12);
  check_near (plan.total, 1.0, 1e-12);
  g_assert_cmpuint (plan.n_outside, ==, 0);

  g_assert_true (shim_slot_plan (lenses, 4, &without_all, choices, &plan, NULL));
  g_assert_cmpint (plan.all_value, ==, 0);
  g_assert_true (choices[2].gets_slot);
  check_near (plan.worst, 3.5, 1e-12);
  g_assert_cmpuint (plan.n_outside, ==, 3);

  /* Slots are not spent for nothing: the lens that the all-lens value serves exactly needs none. */
  g_assert_true (shim_slot_plan (lenses, 4, &plenty, choices, &plan, NULL));
  check_near (plan.worst, 0.0, 1e-12);
  g_assert_cmpuint (plan.n_used, ==, 3);
  g_assert_cmpint (plan.all_value, ==, 5);
}

static void
test_size (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (6);
  g_autofree ShimSlotLens *lenses = g_new (ShimSlotLens, 1000);
  g_autofree ShimSlotChoice *choices = g_new (ShimSlotChoice, 1000);
  const ShimSlotBody body = { 99, -20, 20, TRUE };
  ShimSlotPlan plan;

  for (guint i = 0; i < 1000; i++)
    lenses[i] = (ShimSlotLens) { g_rand_double_range (random, -30, 30), g_rand_double_range (random, 1, 4), FALSE };
  g_assert_true (shim_slot_plan (lenses, 1000, &body, choices, &plan, NULL));
  g_assert_cmpuint (plan.n_used, <=, 99);
}

static void
test_invalid (void)
{
  const ShimSlotLens must[] = { { 1, 1, TRUE }, { 2, 1, TRUE } }, bad[] = { { NAN, 1, FALSE } }, no_tolerance[] = { { 1, 0, FALSE } };
  const ShimSlotBody body = { 1, -10, 10, TRUE }, empty = { 1, 10, -10, TRUE };
  g_autoptr (GError) error = NULL;
  ShimSlotChoice choices[2];
  ShimSlotPlan plan;

  g_assert_false (shim_slot_plan (must, 2, &body, choices, &plan, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID);
  g_clear_error (&error);
  g_assert_false (shim_slot_plan (bad, 1, &body, choices, &plan, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID);
  g_clear_error (&error);
  g_assert_false (shim_slot_plan (no_tolerance, 1, &body, choices, &plan, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID);
  g_clear_error (&error);
  g_assert_false (shim_slot_plan (must, 1, &empty, choices, &plan, &error));
  g_assert_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/slot-plan/against-everything", test_against_everything);
  g_test_add_func ("/core/slot-plan/by-hand", test_by_hand);
  g_test_add_func ("/core/slot-plan/size", test_size);
  g_test_add_func ("/core/slot-plan/invalid", test_invalid);
  return g_test_run ();
}
