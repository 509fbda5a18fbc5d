/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-lens-reach.h"
#include "shim-event-rules.h"
#include "shim-fit.h"
#include "shim-frame-check.h"
#include "shim-kit-error.h"
#include "shim-mount-match.h"
#include "shim-pair-state.h"
#include "shim-setting-check.h"
#include "shim-slot-rules.h"

static ShimBody *
body_new (const char *mount)
{
  return g_object_new (SHIM_TYPE_BODY, "label", "Orrin One", "model", "One", "serial", "0012", "mount", mount, "range-min",
                       G_GINT64_CONSTANT (-20), "range-max", G_GINT64_CONSTANT (20), "slot-count", G_GINT64_CONSTANT (3), NULL);
}

static ShimLens *
lens_new (const char *mount)
{
  return g_object_new (SHIM_TYPE_LENS, "label", "Velle 85", "model", "85 mm f/1.8", "serial", "7001", "mount", mount, "focal-min-mm",
                       85.0, "focal-max-mm", 85.0, NULL);
}

/* --- Mounts --- */

/* Designations of the trade: common practice, no source. */
static void
test_mount_match (void)
{
  static const char *const names[] = { "F", "EF / EF-S", "EF-M", "X (old SLR bayonet)", "X (mirrorless)", "Four Thirds", "Micro Four Thirds" };
  static const struct { const char *text, *name; } cases[] = {
    { "F", "F" },
    { "orrin f-mount", "F" },
    { "EF", "EF / EF-S" },
    { "Velle EF-S", "EF / EF-S" },
    { "ef-m", "EF-M" },
    { "EF / EF-S", "EF / EF-S" },
    { "Quast Four Thirds", "Four Thirds" },
    { "Quast Micro Four Thirds", "Micro Four Thirds" },
    { "X (mirrorless)", "X (mirrorless)" },
    { "X", NULL }, /* two of the trade */
    { "RF", NULL }, /* not the end of another word */
    { "mount", NULL },
    { "", NULL },
  };
  g_autoptr (GPtrArray) mounts = g_ptr_array_new_with_free_func (g_object_unref);

  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
    g_ptr_array_add (mounts, g_object_new (SHIM_TYPE_MOUNT, "name", names[i], NULL));
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    g_assert_cmpstr (shim_mount_match (mounts, cases[i].text), ==, cases[i].name);
}

static void
test_fit (void)
{
  static const struct
  {
    const char *lens, *body;
    ShimFit fit;
  } cases[] = {
    { "K", "K", SHIM_FIT_DIRECT },
    { "F", "Z", SHIM_FIT_ADAPTER },
    { "Z", "F", SHIM_FIT_NO },  /* a ring goes one way only */
    { "K", "EF / EF-S", SHIM_FIT_NO },   /* nobody has a ring for it */
    { "M42 (42x1 screw)", "K", SHIM_FIT_NO }, /* one flange distance does not make one mount */
    { "OM", "Z", SHIM_FIT_NO }, /* its ring is archived */
  };
  g_autoptr (GPtrArray) adapters = g_ptr_array_new_with_free_func (g_object_unref);

  g_ptr_array_add (adapters, g_object_new (SHIM_TYPE_ADAPTER, "label", "Blind ring", "lens-mount", "F", "body-mount", "Z", NULL));
  g_ptr_array_add (adapters, g_object_new (SHIM_TYPE_ADAPTER, "label", "Ring", "lens-mount", "F", "body-mount", "Z", "passes-data", TRUE,
                                           NULL));
  g_ptr_array_add (adapters, g_object_new (SHIM_TYPE_ADAPTER, "label", "Old ring", "lens-mount", "OM", "body-mount", "Z", "archived",
                                           TRUE, NULL));
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimBody) body = body_new (cases[i].body);
      g_autoptr (ShimLens) lens = lens_new (cases[i].lens);
      ShimAdapter *adapter = NULL;

      g_assert_cmpint (shim_fit_lens_on_body (lens, body, adapters, &adapter), ==, cases[i].fit);
      g_assert_cmpstr (adapter != NULL ? adapter->label : NULL, ==, cases[i].fit == SHIM_FIT_ADAPTER ? "Ring" : NULL);
    }
}

static void
test_converter (void)
{
  g_autoptr (ShimBody) body = body_new ("F");
  g_autoptr (ShimLens) lens = lens_new ("F");
  g_autoptr (ShimConverter) same = g_object_new (SHIM_TYPE_CONVERTER, "label", "1.4×", "mount", "F", "factor", 1.4, NULL);
  g_autoptr (ShimConverter) other = g_object_new (SHIM_TYPE_CONVERTER, "label", "2×", "mount", "K", "factor", 2.0, NULL);
  g_autoptr (GError) error = NULL;

  g_assert_true (shim_fit_check (lens, body, same, NULL, NULL, &error));
  g_assert_false (shim_fit_check (lens, body, other, NULL, NULL, &error));
  g_assert_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_MOUNT);
}

/* Flange distances and the differences between them: trade tables as named in the register's list of mounts; the differences by
 * subtraction. */
static void
test_ring (void)
{
  static const struct
  {
    double lens_mm, body_mm, ring_mm;
  } cases[] = { { 46.50, 44.00, 2.50 }, { 44.00, 46.50, -2.50 }, { 46.50, 16.00, 30.50 }, { 45.46, 44.00, 1.46 },
                { 44.50, 18.00, 26.50 } };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimMount) lens = g_object_new (SHIM_TYPE_MOUNT, "flange-mm", cases[i].lens_mm, NULL);
      g_autoptr (ShimMount) body = g_object_new (SHIM_TYPE_MOUNT, "flange-mm", cases[i].body_mm, NULL);

      g_assert_cmpfloat_with_epsilon (shim_fit_ring_mm (lens, body), cases[i].ring_mm, 1e-9);
    }
}

/* --- Frames --- */

static void
test_serials (void)
{
  static const struct
  {
    const char *body, *lens;
    gboolean accepted;
  } cases[] = {
    { NULL, NULL, TRUE },     { "0012", NULL, TRUE }, { " 0012 ", "7001", TRUE }, { "12", NULL, FALSE },
    { NULL, "7002", FALSE },  { "0012", "7002", FALSE },
  };
  g_autoptr (ShimBody) body = body_new ("K");
  g_autoptr (ShimLens) lens = lens_new ("K");

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimFrame) frame = g_object_new (SHIM_TYPE_FRAME, "body-serial", cases[i].body, "lens-serial", cases[i].lens, NULL);
      g_autoptr (GError) error = NULL;

      g_assert_cmpint (shim_frame_check_serials (frame, body, lens, &error), ==, cases[i].accepted);
      g_assert_true (cases[i].accepted || g_error_matches (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_CONFLICT));
    }
  {
    /* A serial that the register does not know contradicts nothing. */
    g_autoptr (ShimFrame) frame = g_object_new (SHIM_TYPE_FRAME, "body-serial", "99", NULL);

    g_object_set (body, "serial", NULL, NULL);
    g_assert_true (shim_frame_check_serials (frame, body, lens, NULL));
  }
}

static void
test_doubts (void)
{
  static const struct
  {
    double focal, f_number, exposure;
    gint64 adjustment, setting;
    const char *says; /* NULL = nothing */
  } cases[] = {
    { 85.0, 1.8, 0.01, SHIM_NO_INT, 5, NULL },
    { NAN, NAN, NAN, SHIM_NO_INT, 5, NULL },
    { 86.0, 1.8, 0.01, 5, 5, NULL },
    { 70.0, 1.8, 0.01, 5, 5, "test is for 85 mm" },
    { 85.0, 4.0, 0.01, 5, 5, "Stopped down to f/4" },
    { 85.0, 1.4, 0.01, 5, 5, "f/1.4" },
    { 85.0, 1.8, 0.01, 0, 5, "setting 0; the round is for +5" },
    { 85.0, 1.8, 0.01, 0, SHIM_NO_INT, NULL },
    { 85.0, 1.8, 1.0, 5, 5, "Exposed" },
  };
  g_autoptr (ShimBody) body = body_new ("K");
  g_autoptr (ShimLens) lens = lens_new ("K");
  g_autoptr (ShimTest) test = g_object_new (SHIM_TYPE_TEST, "focal-mm", 85.0, "f-number", 1.8, NULL);

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimFrame) frame = shim_frame_new ();
      g_auto (GStrv) doubts = NULL;

      frame->focal_mm = cases[i].focal;
      frame->f_number = cases[i].f_number;
      frame->exposure_s = cases[i].exposure;
      frame->adjustment = cases[i].adjustment;
      doubts = shim_frame_find_doubts (frame, body, lens, NULL, test, cases[i].setting);
      g_assert_cmpuint (g_strv_length (doubts), ==, cases[i].says != NULL);
      if (cases[i].says != NULL)
        g_assert_nonnull (strstr (doubts[0], cases[i].says));
    }
}

/* A camera may or may not count the converter in. */
static void
test_doubts_with_converter (void)
{
  static const struct
  {
    double focal;
    guint n_doubts;
  } cases[] = { { 85.0, 0 }, { 119.0, 0 }, { 170.0, 1 } };
  g_autoptr (ShimBody) body = body_new ("K");
  g_autoptr (ShimLens) lens = lens_new ("K");
  g_autoptr (ShimConverter) converter = g_object_new (SHIM_TYPE_CONVERTER, "factor", 1.4, NULL);
  g_autoptr (ShimTest) test = g_object_new (SHIM_TYPE_TEST, "focal-mm", 119.0, NULL);

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimFrame) frame = g_object_new (SHIM_TYPE_FRAME, "focal-mm", cases[i].focal, NULL);
      g_auto (GStrv) doubts = shim_frame_find_doubts (frame, body, lens, converter, test, 0);

      g_assert_cmpuint (g_strv_length (doubts), ==, cases[i].n_doubts);
    }
}

/* --- Settings and slots --- */

static void
test_settings (void)
{
  static const struct
  {
    gint64 setting;
    gboolean accepted;
  } cases[] = { { 0, TRUE }, { -20, TRUE }, { 20, TRUE }, { 21, FALSE }, { -21, FALSE }, { SHIM_NO_INT, TRUE } };
  g_autoptr (ShimBody) body = body_new ("K");
  g_autoptr (ShimBody) unknown = g_object_new (SHIM_TYPE_BODY, "label", "Unknown", NULL);
  g_autoptr (ShimBody) none = g_object_new (SHIM_TYPE_BODY, "slot-count", G_GINT64_CONSTANT (0), NULL);

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_assert_cmpint (shim_body_check_setting (body, cases[i].setting, NULL), ==, cases[i].accepted);
      g_assert_true (shim_body_check_setting (unknown, cases[i].setting, NULL));
    }
  g_assert_true (shim_body_check_slot (body, 3, NULL));
  g_assert_false (shim_body_check_slot (body, 4, NULL));
  g_assert_true (shim_body_check_slot (body, 0, NULL));
  g_assert_false (shim_body_check_slot (none, 1, NULL));
  g_assert_true (shim_body_check_slot (unknown, 500, NULL));
  g_assert_true (shim_body_can_adjust (body));
  g_assert_false (shim_body_can_adjust (none));
}

/* Slots as text: number and state letter (f free, k keyed, l lost), then the pair. */
static GPtrArray *
slots_new (const char *text)
{
  GPtrArray *slots = g_ptr_array_new_with_free_func ((GDestroyNotify) shim_slot_free);
  g_auto (GStrv) words = g_strsplit (text, " ", -1);

  for (guint i = 0; words[i] != NULL && *words[i] != '\0'; i++)
    {
      ShimSlot *slot = g_new0 (ShimSlot, 1);

      slot->number = words[i][0] - '0';
      slot->state = words[i][1] == 'k' ? SHIM_SLOT_KEYED : words[i][1] == 'l' ? SHIM_SLOT_LOST : SHIM_SLOT_FREE;
      slot->pair = words[i][2] != '\0' ? g_strdup (words[i] + 2) : NULL;
      g_ptr_array_add (slots, slot);
    }
  return slots;
}

static void
test_next_slot (void)
{
  static const struct
  {
    const char *slots;
    gint64 count;
    const char *pair;
    gint64 next, keyed, lost, free;
  } cases[] = {
    { "", 3, "a", 1, 0, 0, 3 },
    { "1kA 2kB", 3, "C", 3, 2, 0, 1 },
    { "1kA 2kB 3kC", 3, "D", 0, 3, 0, 0 },
    { "1kA 2kB 3kC", 3, "B", 2, 3, 0, 0 },
    { "1kA 2f 3kC", 3, "D", 2, 2, 0, 1 },
    { "1f 2f 3kC", 3, "C", 3, 1, 0, 2 },
    { "2kB", 3, "D", 1, 1, 0, 2 },        /* numbers left out are free */
    { "1kA 4kB", 9, "D", 2, 2, 0, 7 },
    { "1lA 2lB 3f", 3, "D", 3, 0, 2, 1 }, /* a lost value keeps its slot */
    { "1lA 2lB", 2, "D", 0, 0, 2, 0 },
    { "1lA 2lB", 2, "B", 2, 0, 2, 0 },
    { "1kA 2kB", -1, "C", 3, 2, 0, -1 },
    { "", 0, "A", 0, 0, 0, 0 },
    { "1kA", 3, NULL, 2, 1, 0, 2 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GPtrArray) slots = slots_new (cases[i].slots);
      ShimSlotCount count;

      shim_slots_count (slots, cases[i].count, &count);
      g_assert_cmpint (shim_slots_next (slots, cases[i].count, cases[i].pair), ==, cases[i].next);
      g_assert_cmpint (count.keyed, ==, cases[i].keyed);
      g_assert_cmpint (count.lost, ==, cases[i].lost);
      g_assert_cmpint (count.free, ==, cases[i].free);
    }
}

/* --- States --- */

static void
test_state (void)
{
  static const struct
  {
    ShimPairFacts facts;
    ShimPairState state;
    ShimDueReasons reasons;
  } cases[] = {
    { { .not_needed = TRUE, .test_open = TRUE, .has_value = TRUE }, SHIM_PAIR_NOT_NEEDED, 0 },
    { { 0 }, SHIM_PAIR_UNTESTED, 0 },
    { { .test_open = TRUE, .has_value = TRUE, .due.body_event = TRUE }, SHIM_PAIR_IN_TEST, 0 },
    { { .has_value = TRUE }, SHIM_PAIR_TUNED, 0 },
    { { .has_value = TRUE, .due.age_days = 400, .due.max_age_days = 365 }, SHIM_PAIR_DUE, SHIM_DUE_AGE },
    { { .has_value = TRUE, .due.age_days = 400 }, SHIM_PAIR_TUNED, 0 },
    { { .has_value = TRUE, .due.lens_event = TRUE, .due.reset_since_keyed = TRUE },
      SHIM_PAIR_DUE,
      SHIM_DUE_LENS_EVENT | SHIM_DUE_RESET },
    { { .has_value = TRUE, .due.predicted_only = TRUE }, SHIM_PAIR_DUE, SHIM_DUE_PREDICTED },
    { { .has_value = TRUE, .out_of_reach = TRUE, .due.age_days = 400, .due.max_age_days = 365 }, SHIM_PAIR_OUT_OF_REACH, 0 },
    { { .has_value = TRUE, .out_of_reach = TRUE, .due.body_event = TRUE }, SHIM_PAIR_DUE, SHIM_DUE_BODY_EVENT },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      ShimDueReasons reasons;

      g_assert_cmpint (shim_pair_state_from_facts (&cases[i].facts, &reasons), ==, cases[i].state);
      g_assert_cmphex (reasons, ==, cases[i].reasons);
    }
}

static void
test_age (void)
{
  static const struct
  {
    ShimPairState before;
    double age, max_age;
    ShimPairState after;
    ShimDueReasons reasons;
  } cases[] = {
    { SHIM_PAIR_TUNED, 364, 365, SHIM_PAIR_TUNED, 0 },
    { SHIM_PAIR_TUNED, 366, 365, SHIM_PAIR_DUE, SHIM_DUE_AGE },
    { SHIM_PAIR_TUNED, 9999, 0, SHIM_PAIR_TUNED, 0 },
    { SHIM_PAIR_TUNED, -3, 365, SHIM_PAIR_DUE, SHIM_DUE_CLOCK },
    { SHIM_PAIR_UNTESTED, NAN, 365, SHIM_PAIR_UNTESTED, 0 },
    { SHIM_PAIR_IN_TEST, 999, 365, SHIM_PAIR_IN_TEST, 0 },
    { SHIM_PAIR_NOT_NEEDED, 999, 365, SHIM_PAIR_NOT_NEEDED, 0 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimPairNow) now = shim_pair_now_new ("b", "l");

      now->state = cases[i].before;
      shim_pair_now_set_age (now, cases[i].age, cases[i].max_age);
      g_assert_cmpint (now->state, ==, cases[i].after);
      g_assert_cmphex (now->reasons, ==, cases[i].reasons);
    }
}

static void
test_events (void)
{
  static const struct
  {
    const char *kind;
    gboolean doubt;
  } cases[] = {
    { "knock", TRUE }, { "water", TRUE }, { "service", TRUE }, { "mount", TRUE }, { "firmware", TRUE }, { "reset", FALSE },
    { "loan", FALSE }, { "return", FALSE }, { "sent", FALSE }, { "sale", FALSE }, { "note", FALSE }, { NULL, FALSE },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_assert_cmpint (shim_event_doubt_by_default (cases[i].kind), ==, cases[i].doubt);
      if (cases[i].kind != NULL)
        {
          g_autoptr (ShimEvent) event = g_object_new (SHIM_TYPE_EVENT, "kind", cases[i].kind, "casts-doubt", cases[i].doubt, NULL);
          g_autofree char *sentence = shim_event_dup_consequence (event);
          const ShimField *field = shim_kind_find_field (shim_kind_for_type (SHIM_TYPE_EVENT), "kind");

          g_assert_nonnull (shim_field_choice_label (field, cases[i].kind));
          g_assert_cmpint (sentence[strlen (sentence) - 1], ==, '.');
        }
    }
}

/* A prime is entered with one focal length and one aperture. */
static void
test_reach (void)
{
  g_autoptr (ShimLens) prime = shim_lens_new ();
  g_autoptr (ShimLens) zoom = shim_lens_new ();

  g_object_set (prime, "focal-min-mm", 50.0, "aperture-wide", 1.8, NULL);
  g_object_set (zoom, "focal-min-mm", 24.0, "focal-max-mm", 70.0, "aperture-wide", 2.8, "aperture-long", 4.0, NULL);
  g_assert_cmpfloat (shim_lens_longest_mm (prime), ==, 50.0);
  g_assert_cmpfloat (shim_lens_middle_mm (prime), ==, 50.0);
  g_assert_cmpfloat (shim_lens_aperture_there (prime), ==, 1.8);
  g_assert_cmpfloat (shim_lens_longest_mm (zoom), ==, 70.0);
  g_assert_cmpfloat (shim_lens_middle_mm (zoom), ==, 47.0);
  g_assert_cmpfloat (shim_lens_aperture_there (zoom), ==, 4.0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/kit/rules/reach", test_reach);
  g_test_add_func ("/kit/rules/mount-match", test_mount_match);
  g_test_add_func ("/kit/rules/fit", test_fit);
  g_test_add_func ("/kit/rules/converter", test_converter);
  g_test_add_func ("/kit/rules/ring", test_ring);
  g_test_add_func ("/kit/rules/serials", test_serials);
  g_test_add_func ("/kit/rules/doubts", test_doubts);
  g_test_add_func ("/kit/rules/doubts-with-converter", test_doubts_with_converter);
  g_test_add_func ("/kit/rules/settings", test_settings);
  g_test_add_func ("/kit/rules/next-slot", test_next_slot);
  g_test_add_func ("/kit/rules/state", test_state);
  g_test_add_func ("/kit/rules/age", test_age);
  g_test_add_func ("/kit/rules/events", test_events);
  return g_test_run ();
}
