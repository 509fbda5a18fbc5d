/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "shim-due.h"
#include "shim-tolerance.h"

static void
test_reasons (void)
{
  static const struct
  {
    ShimDueFacts facts;
    ShimDueReasons reasons;
    double in_days;
  } cases[] = {
    { { .age_days = 10, .max_age_days = 365 }, SHIM_DUE_NONE, 355 },
    { { .age_days = 10, .max_age_days = 0 }, SHIM_DUE_NONE, INFINITY },
    { { .age_days = 365, .max_age_days = 365 }, SHIM_DUE_NONE, 0 },
    { { .age_days = 366, .max_age_days = 365 }, SHIM_DUE_AGE, 0 },
    { { .age_days = -0.4, .max_age_days = 365 }, SHIM_DUE_NONE, 365 },
    { { .age_days = -30, .max_age_days = 365 }, SHIM_DUE_CLOCK, 0 },
    { { .age_days = NAN, .max_age_days = 365 }, SHIM_DUE_PREDICTED, 0 },
    { { .age_days = 1, .body_event = TRUE }, SHIM_DUE_BODY_EVENT, 0 },
    { { .age_days = 1, .converter_event = TRUE }, SHIM_DUE_CONVERTER_EVENT, 0 },
    { { .age_days = 1, .lens_event = TRUE, .contradicted = TRUE }, SHIM_DUE_LENS_EVENT | SHIM_DUE_CONTRADICTED, 0 },
    { { .age_days = 1, .slot_overwritten = TRUE, .reset_since_keyed = TRUE }, SHIM_DUE_OVERWRITTEN | SHIM_DUE_RESET, 0 },
    { { .age_days = 1, .predicted_only = TRUE }, SHIM_DUE_PREDICTED, 0 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_assert_cmpint (shim_due_reasons (&cases[i].facts), ==, cases[i].reasons);
      check_near (shim_due_in_days (&cases[i].facts), cases[i].in_days, 1e-12);
    }
}

static void
test_names (void)
{
  g_auto (GStrv) names = shim_due_reasons_to_names (SHIM_DUE_AGE | SHIM_DUE_RESET);
  ShimEventKind kind = SHIM_EVENT_NOTE;

  g_assert_cmpstr (names[0], ==, "age");
  g_assert_cmpstr (names[1], ==, "reset");
  g_assert_null (names[2]);
  for (guint i = SHIM_EVENT_NOTE; i <= SHIM_EVENT_RETURNED; i++)
    {
      g_assert_true (shim_event_kind_from_name (shim_event_kind_to_name (i), &kind));
      g_assert_cmpint (kind, ==, i);
    }
  g_assert_false (shim_event_kind_from_name ("stolen by a magpie", &kind));
  for (guint bit = 0; bit < 8; bit++)
    g_assert_true (g_str_has_suffix (shim_due_reason_to_sentence (1 << bit), "."));
  g_assert_true (shim_event_casts_doubt (SHIM_EVENT_KNOCK));
  g_assert_true (shim_event_casts_doubt (SHIM_EVENT_SERVICE));
  g_assert_false (shim_event_casts_doubt (SHIM_EVENT_RESET));
}

static void
test_tolerance (void)
{
  /* a tenth of the depth of field at 50 mm f/1.8 and 2.5 m, c = 0.030 mm: 2639.6925 − 2374.3494 mm (computed
   * independently) */
  check_near (shim_tolerance_mm (265.3431, SHIM_TOLERANCE_DEFAULT_SHARE), 26.53431, 1e-9);
  g_assert_true (isnan (shim_tolerance_mm (265.0, 0.0)));
  g_assert_true (isnan (shim_tolerance_mm (-1.0, 0.1)));
  g_assert_true (isinf (shim_tolerance_mm (INFINITY, 0.1)));
  check_near (shim_tolerance_error (-13.0, 26.0), 0.5, 1e-12);
  g_assert_true (isnan (shim_tolerance_error (1.0, 0.0)));
  /* t(0.975; 4) = 2.776 (e-Handbook 1.3.6.7.2): the tolerance at just that many standard errors holds 95 % */
  check_near (shim_tolerance_chance_inside (0.0, 1.0, 4.0, 2.776), 0.95, 1e-4);
  check_near (shim_tolerance_chance_inside (10.0, 0.001, INFINITY, 10.0), 0.5, 1e-9);
  check_near (shim_tolerance_chance_inside (9.0, 0.0, INFINITY, 10.0), 1.0, 0.0);
  g_assert_true (isnan (shim_tolerance_chance_inside (9.0, 1.0, 0.0, 10.0)));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/due/reasons", test_reasons);
  g_test_add_func ("/core/due/names", test_names);
  g_test_add_func ("/core/tolerance", test_tolerance);
  return g_test_run ();
}
