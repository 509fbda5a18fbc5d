/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <time.h>

#include "shim-readiness.h"
#include "store-fixture.h"

/* 2026-07-01T00:00:00Z, by the calendar: 20635 days after 1970-01-01. */
#define JULY_1 (G_GINT64_CONSTANT (20635) * 86400)

static ShimPairNow *
now_of (StoreFixture *f, const char *pair)
{
  g_autoptr (GError) error = NULL;
  ShimPairNow *now = shim_register_pair_now (f->reg, pair, &error);

  g_assert_no_error (error);
  return now;
}

static void
assert_state (StoreFixture *f, const char *pair, ShimPairState state, ShimDueReasons reasons)
{
  g_autoptr (ShimPairNow) now = now_of (f, pair);

  g_assert_cmpstr (shim_pair_state_to_name (now->state), ==, shim_pair_state_to_name (state));
  g_assert_cmphex (now->reasons, ==, reasons);
}

/* The life of a pair, one thing after another. */
static void
test_states (void)
{
  StoreFixture f;
  g_autofree char *pair = NULL, *test = NULL, *event = NULL, *today = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  shim_register_set_clock (f.reg, JULY_1);
  today = shim_register_now (f.reg);
  g_assert_cmpstr (today, ==, "2026-07-01T00:00:00Z");
  pair = store_add_pair (f.reg, f.body, f.lens);
  assert_state (&f, pair, SHIM_PAIR_UNTESTED, SHIM_DUE_NONE);
  test = store_add_test (f.reg, pair, "2026-06-01T00:00:00Z");
  assert_state (&f, pair, SHIM_PAIR_IN_TEST, SHIM_DUE_NONE);
  g_free (store_add_decision (f.reg, pair, test, "2026-06-01T01:00:00Z", 5));
  assert_state (&f, pair, SHIM_PAIR_TUNED, SHIM_DUE_NONE);
  {
    g_autoptr (ShimPairNow) now = now_of (&f, pair);

    g_assert_cmpint (now->value, ==, 5);
    g_assert_cmpfloat_with_epsilon (now->age_days, 30.0, 1e-9);
    g_assert_cmpfloat_with_epsilon (now->error_tolerances, 0.25, 1e-12);
    g_assert_true (shim_pair_now_to_be_keyed_in (now));
  }
  g_free (store_add_slot (f.reg, f.body, 2, pair, 5, "keyed", "2026-06-01T02:00:00Z"));
  {
    g_autoptr (ShimPairNow) now = now_of (&f, pair);

    g_assert_cmpint (now->slot, ==, 2);
    g_assert_cmpint (now->slot_state, ==, SHIM_SLOT_KEYED);
    g_assert_false (shim_pair_now_to_be_keyed_in (now));
  }
  /* Older than allowed. */
  shim_register_set_max_age (f.reg, 29.0);
  assert_state (&f, pair, SHIM_PAIR_DUE, SHIM_DUE_AGE);
  shim_register_set_max_age (f.reg, 31.0);
  assert_state (&f, pair, SHIM_PAIR_TUNED, SHIM_DUE_NONE);
  /* Something happened; before the test it would not matter. */
  g_free (store_add_event (f.reg, "lens", f.lens, "knock", "2026-05-31", TRUE));
  assert_state (&f, pair, SHIM_PAIR_TUNED, SHIM_DUE_NONE);
  g_free (store_add_event (f.reg, "body", f.body, "firmware", "2026-06-10", FALSE));
  assert_state (&f, pair, SHIM_PAIR_TUNED, SHIM_DUE_NONE);
  event = store_add_event (f.reg, "lens", f.lens, "knock", "2026-06-11", TRUE);
  assert_state (&f, pair, SHIM_PAIR_DUE, SHIM_DUE_LENS_EVENT);
  {
    g_autoptr (GPtrArray) doubts = shim_register_doubts (f.reg, pair, NULL);

    g_assert_cmpuint (doubts->len, ==, 1);
    g_assert_cmpstr (SHIM_RECORD (doubts->pdata[0])->id, ==, event);
  }
  /* Taken back. */
  {
    g_autoptr (ShimRecord) record = shim_register_get (f.reg, SHIM_TYPE_EVENT, event, NULL);

    STORE_SET (record, "taken-back", TRUE);
    g_assert_true (shim_register_update (f.reg, record, NULL));
  }
  assert_state (&f, pair, SHIM_PAIR_TUNED, SHIM_DUE_NONE);
  /* Reset, and overwritten. */
  g_assert_true (shim_register_lose_slots (f.reg, f.body, NULL, NULL, NULL));
  assert_state (&f, pair, SHIM_PAIR_DUE, SHIM_DUE_RESET);
  {
    g_autofree char *other = store_add_pair (f.reg, f.body, f.lens_two);

    g_free (store_add_slot (f.reg, f.body, 2, other, -3, "keyed", "2026-07-02T03:00:00Z"));
  }
  assert_state (&f, pair, SHIM_PAIR_DUE, SHIM_DUE_OVERWRITTEN);
  g_free (store_add_slot (f.reg, f.body, 3, pair, 5, "keyed", "2026-07-02T04:00:00Z"));
  assert_state (&f, pair, SHIM_PAIR_TUNED, SHIM_DUE_NONE);
  /* A newer test, then: not needed. */
  g_free (store_add_test (f.reg, pair, "2026-06-30T00:00:00Z"));
  assert_state (&f, pair, SHIM_PAIR_IN_TEST, SHIM_DUE_NONE);
  {
    g_autoptr (ShimRecord) record = shim_register_get (f.reg, SHIM_TYPE_PAIR, pair, NULL);

    STORE_SET (record, "not-needed", TRUE);
    g_assert_true (shim_register_update (f.reg, record, NULL));
  }
  assert_state (&f, pair, SHIM_PAIR_NOT_NEEDED, SHIM_DUE_NONE);
  store_fixture_tear_down (&f);
}

static ShimDecision *
decision_new (const char *pair, const char *at, const char *end, const char *origin, gint64 value)
{
  ShimDecision *decision = shim_decision_new ();

  STORE_SET (decision, "pair", pair, "decided-at", at, "end", end, "origin", origin, "value", value);
  return decision;
}

static void
decide (StoreFixture *f, const char *pair, const char *at, const char *end, const char *origin, gint64 value)
{
  g_autoptr (ShimDecision) decision = decision_new (pair, at, end, origin, value);

  g_free (store_add (f->reg, decision));
}

/* What the newest decisions come to: {end, origin, value}… → wide, long. */
static void
test_two_values (void)
{
  static const struct
  {
    struct
    {
      const char *end;
      const char *origin;
      gint64 value;
    } decisions[4];
    gint64 value;
    gint64 value_long;
  } cases[] = {
    { { { "all", "measured", 3 } }, 3, SHIM_NO_INT },
    { { { "wide", "measured", 3 }, { "long", "measured", -4 } }, 3, -4 },
    { { { "wide", "measured", 3 }, { "long", "measured", -4 }, { "wide", "measured", 6 } }, 6, -4 },
    { { { "wide", "measured", 3 }, { "long", "measured", -4 }, { "all", "measured", 1 } }, 1, SHIM_NO_INT },
    { { { "all", "measured", 1 }, { "long", "measured", -4 } }, 1, -4 },
    { { { "all", "measured", 1 }, { "all", "none", SHIM_NO_INT } }, SHIM_NO_INT, SHIM_NO_INT },
    { { { "wide", "measured", 3 }, { "long", "measured", -4 }, { "long", "none", SHIM_NO_INT } }, 3, SHIM_NO_INT },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      StoreFixture f;
      g_autofree char *pair = NULL;
      g_autoptr (ShimPairNow) now = NULL;

      store_fixture_set_up (&f);
      store_fixture_fill (&f);
      pair = store_add_pair (f.reg, f.body, f.lens);
      for (guint j = 0; j < 4 && cases[i].decisions[j].end != NULL; j++)
        decide (&f, pair, "2026-06-01T01:00:00Z", cases[i].decisions[j].end, cases[i].decisions[j].origin,
                cases[i].decisions[j].value);
      now = now_of (&f, pair);
      g_assert_cmpint (now->value, ==, cases[i].value);
      g_assert_cmpint (now->value_long, ==, cases[i].value_long);
      store_fixture_tear_down (&f);
    }
}

static void
test_predicted_and_out_of_reach (void)
{
  StoreFixture f;
  g_autofree char *pair = NULL;
  g_autoptr (ShimDecision) beyond = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  shim_register_set_clock (f.reg, JULY_1);
  pair = store_add_pair (f.reg, f.body, f.lens);
  decide (&f, pair, "2026-06-01T01:00:00Z", "all", "predicted", 4);
  assert_state (&f, pair, SHIM_PAIR_DUE, SHIM_DUE_PREDICTED);
  beyond = decision_new (pair, "2026-06-02T01:00:00Z", "all", "measured", 20);
  STORE_SET (beyond, "out-of-reach", TRUE);
  g_free (store_add (f.reg, beyond));
  assert_state (&f, pair, SHIM_PAIR_OUT_OF_REACH, SHIM_DUE_NONE);
  g_free (store_add_event (f.reg, "lens", f.lens, "service", "2026-06-20", TRUE));
  assert_state (&f, pair, SHIM_PAIR_DUE, SHIM_DUE_LENS_EVENT);
  store_fixture_tear_down (&f);
}

/* What happens to the converter casts doubt on the pairs with it, and on no others. */
static void
test_converter (void)
{
  StoreFixture f;
  g_autofree char *plain = NULL, *id = NULL, *with = NULL;
  g_autoptr (ShimConverter) converter = shim_converter_new ();
  g_autoptr (ShimPair) pair = shim_pair_new ();
  g_autoptr (GPtrArray) found = NULL;
  ShimPairFilter filter = { .limit = 10 };

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  shim_register_set_clock (f.reg, JULY_1);
  plain = store_add_pair (f.reg, f.body, f.lens);
  STORE_SET (converter, "label", "Orrin 1.4×", "mount", "K", "factor", 1.4);
  id = store_add (f.reg, converter);
  STORE_SET (pair, "body", f.body, "lens", f.lens, "converter", id);
  with = store_add (f.reg, pair);
  decide (&f, plain, "2026-06-01T01:00:00Z", "all", "measured", 4);
  decide (&f, with, "2026-06-01T01:00:00Z", "all", "measured", 4);
  g_free (store_add_event (f.reg, "converter", id, "knock", "2026-06-20", TRUE));
  assert_state (&f, plain, SHIM_PAIR_TUNED, SHIM_DUE_NONE);
  assert_state (&f, with, SHIM_PAIR_DUE, SHIM_DUE_CONVERTER_EVENT);
  filter.converter = id;
  found = shim_register_pairs (f.reg, &filter, NULL);
  g_assert_cmpuint (found->len, ==, 1);
  g_assert_cmpstr (((ShimPairNow *) found->pdata[0])->pair, ==, with);
  g_assert_cmpint (shim_register_count_pairs (f.reg, &filter, 0, NULL), ==, 1);
  store_fixture_tear_down (&f);
}

static void
test_own_table (void)
{
  StoreFixture f;
  g_autofree char *pair = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  shim_register_set_clock (f.reg, JULY_1);
  pair = store_add_pair (f.reg, f.body, f.lens);
  for (guint i = 0; i < 3; i++)
    {
      g_autoptr (ShimDecision) cell = decision_new (pair, "2026-06-01T01:00:00Z", "table", "measured", 2 + i);

      /* The third is for the second's cell. */
      STORE_SET (cell, "table-focal-mm", i == 0 ? 24.0 : 70.0, "table-distance-m", 3.0, "residual-mm", 1.0 + i, "tolerance-mm", 4.0);
      g_free (store_add (f.reg, cell));
    }
  {
    g_autoptr (ShimPairNow) now = now_of (&f, pair);

    g_assert_cmpint (now->state, ==, SHIM_PAIR_TUNED);
    g_assert_cmpuint (now->n_table_cells, ==, 2);
    g_assert_cmpint (now->value, ==, SHIM_NO_INT);
    g_assert_cmpfloat_with_epsilon (now->error_tolerances, 0.75, 1e-12);
    g_assert_true (shim_pair_now_to_be_keyed_in (now));
  }
  {
    g_autoptr (ShimSlotEntry) entry = shim_slot_entry_new ();
    g_autoptr (ShimPairNow) now = NULL;

    STORE_SET (entry, "body", f.body, "number", G_GINT64_CONSTANT (0), "pair", pair, "action", "keyed", "done-at",
               "2026-06-01T02:00:00Z");
    g_free (store_add (f.reg, entry));
    now = now_of (&f, pair);
    g_assert_cmpint (now->slot, ==, 0);
    g_assert_false (shim_pair_now_to_be_keyed_in (now));
  }
  store_fixture_tear_down (&f);
}

static void
test_conflict (void)
{
  static const struct
  {
    gint64 one, two;
    gboolean conflict;
  } cases[] = { { 3, -2, TRUE }, { 3, 3, FALSE } };
  StoreFixture f;

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *a = NULL, *b = NULL, *c = NULL, *d = NULL;
      g_autoptr (ShimPairNow) by_model = NULL;
      g_autoptr (ShimPairNow) by_serial = NULL;
      g_autoptr (ShimPairNow) renamed = NULL;

      store_fixture_set_up (&f);
      store_fixture_fill (&f);
      a = store_add_pair (f.reg, f.body, f.lens);
      b = store_add_pair (f.reg, f.body, f.lens_two);
      c = store_add_pair (f.reg, f.body_two, f.lens);
      d = store_add_pair (f.reg, f.body_two, f.lens_two);
      decide (&f, a, "2026-06-01T01:00:00Z", "all", "measured", cases[i].one);
      decide (&f, b, "2026-06-01T01:00:00Z", "all", "measured", cases[i].two);
      decide (&f, c, "2026-06-01T01:00:00Z", "all", "measured", cases[i].one);
      decide (&f, d, "2026-06-01T01:00:00Z", "all", "measured", cases[i].two);
      by_serial = now_of (&f, a);
      by_model = now_of (&f, d);
      g_assert_false (by_serial->conflict);
      g_assert_cmpint (by_model->conflict, ==, cases[i].conflict);
      /* Once it is known to be another model, they can be told apart. */
      {
        g_autoptr (ShimRecord) lens = shim_register_get (f.reg, SHIM_TYPE_LENS, f.lens, NULL);

        STORE_SET (lens, "model", "85 mm f/1.8 II");
        g_assert_true (shim_register_update (f.reg, lens, NULL));
      }
      renamed = now_of (&f, d);
      g_assert_false (renamed->conflict);
      store_fixture_tear_down (&f);
    }
}

static void
test_slots (void)
{
  StoreFixture f;
  g_autofree char *one = NULL, *two = NULL;
  const char *bodies[2];
  ShimSlotCount counts[2];
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  one = store_add_pair (f.reg, f.body, f.lens);
  two = store_add_pair (f.reg, f.body, f.lens_two);
  g_assert_cmpint (shim_register_next_slot (f.reg, f.body, one, &error), ==, 1);
  decide (&f, one, "2026-06-01T01:00:00Z", "all", "measured", 4);
  g_free (store_add_slot (f.reg, f.body, 2, one, 4, "keyed", "2026-06-01T02:00:00Z"));
  decide (&f, one, "2026-06-03T01:00:00Z", "all", "measured", 6);
  {
    g_autoptr (GPtrArray) slots = shim_register_slots (f.reg, f.body, &error);
    const ShimSlot *slot;

    g_assert_cmpuint (slots->len, ==, 3);
    slot = slots->pdata[0];
    g_assert_cmpint (slot->state, ==, SHIM_SLOT_FREE);
    g_assert_null (slot->pair);
    slot = slots->pdata[1];
    g_assert_cmpint (slot->number, ==, 2);
    g_assert_cmpint (slot->state, ==, SHIM_SLOT_KEYED);
    g_assert_cmpstr (slot->pair, ==, one);
    g_assert_cmpstr (slot->lens_label, ==, "Velle 85 first");
    g_assert_cmpint (slot->value, ==, 4);
    g_assert_cmpint (slot->wanted, ==, 6);
  }
  /* A pair goes where it is; another one into the lowest free slot. */
  g_assert_cmpint (shim_register_next_slot (f.reg, f.body, one, &error), ==, 2);
  g_assert_cmpint (shim_register_next_slot (f.reg, f.body, two, &error), ==, 1);
  g_free (store_add_slot (f.reg, f.body, 1, two, 1, "keyed", "2026-06-01T02:00:00Z"));
  g_assert_true (shim_register_lose_slots (f.reg, f.body, "fell into the lake", NULL, &error));
  bodies[0] = f.body;
  bodies[1] = f.body_two;
  g_assert_true (shim_register_slot_counts (f.reg, bodies, 2, counts, &error));
  g_assert_cmpint (counts[0].total, ==, 3);
  g_assert_cmpint (counts[0].keyed, ==, 0);
  g_assert_cmpint (counts[0].lost, ==, 2);
  g_assert_cmpint (counts[0].free, ==, 1);
  g_assert_cmpint (counts[1].free, ==, 3);
  g_free (store_add_slot (f.reg, f.body, 1, NULL, SHIM_NO_INT, "cleared", "2026-12-01T02:00:00Z"));
  g_assert_true (shim_register_slot_counts (f.reg, bodies, 1, counts, &error));
  g_assert_cmpint (counts[0].lost, ==, 1);
  g_assert_cmpint (counts[0].free, ==, 2);
  g_assert_no_error (error);
  store_fixture_tear_down (&f);
}

static void
test_lists_and_cells (void)
{
  StoreFixture f;
  char *lenses[12];
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  shim_register_set_clock (f.reg, JULY_1);
  for (guint i = 0; i < G_N_ELEMENTS (lenses); i++)
    {
      g_autofree char *label = g_strdup_printf ("Quast %u", i);
      g_autoptr (ShimLens) lens = store_lens_new (label, NULL);
      g_autofree char *pair = NULL;
      g_autofree char *at = g_strdup_printf ("2025-%02u-15T00:00:00Z", i + 1);
      g_autoptr (ShimDecision) decision = NULL;

      STORE_SET (lens, "model", label);
      lenses[i] = store_add (f.reg, lens);
      pair = store_add_pair (f.reg, i % 2 ? f.body : f.body_two, lenses[i]);
      if (i == 0)
        continue;
      decision = decision_new (pair, at, "all", "measured", 1);
      STORE_SET (decision, "residual-mm", (i * 7 % 11) / 10.0, "tolerance-mm", 1.0);
      g_free (store_add (f.reg, decision));
    }
  {
    const char *const bodies[] = { f.body, f.body_two };
    g_autoptr (GPtrArray) cells
        = shim_register_pair_cells (f.reg, bodies, 2, (const char *const *) lenses + 2, 4, &error);

    g_assert_no_error (error);
    g_assert_cmpuint (cells->len, ==, 4);
  }
  {
    ShimPairFilter filter = { .order = SHIM_PAIR_ORDER_WORST, .limit = 3 };
    g_autoptr (GPtrArray) worst = shim_register_pairs (f.reg, &filter, &error);
    double last = G_MAXDOUBLE;

    g_assert_cmpuint (worst->len, ==, 3);
    for (guint i = 0; i < worst->len; i++)
      {
        const ShimPairNow *now = worst->pdata[i];

        g_assert_cmpfloat (now->error_tolerances, <=, last);
        last = now->error_tolerances;
      }
    g_assert_cmpfloat_with_epsilon (((ShimPairNow *) worst->pdata[0])->error_tolerances, 1.0, 1e-12);
    g_assert_cmpint (shim_register_count_pairs (f.reg, &filter, 0, &error), ==, 12);
    g_assert_cmpint (shim_register_count_pairs (f.reg, &filter, 7, &error), ==, 7);
  }
  {
    /* Tests of January to June 2025 are older than a year on 2026-07-01; the first pair was never tested. */
    ShimPairFilter filter = { .order = SHIM_PAIR_ORDER_OLDEST, .states = 1u << SHIM_PAIR_DUE };
    g_autoptr (GPtrArray) due = shim_register_pairs (f.reg, &filter, &error);

    g_assert_cmpuint (due->len, ==, 5);
    g_assert_cmpint (shim_register_count_pairs (f.reg, &filter, 0, &error), ==, 5);
    for (guint i = 0; i < due->len; i++)
      g_assert_cmpint (((ShimPairNow *) due->pdata[i])->state, ==, SHIM_PAIR_DUE);
    filter.states = 1u << SHIM_PAIR_TUNED;
    g_assert_cmpint (shim_register_count_pairs (f.reg, &filter, 0, &error), ==, 6);
    filter.states = 1u << SHIM_PAIR_TUNED | 1u << SHIM_PAIR_UNTESTED;
    g_assert_cmpint (shim_register_count_pairs (f.reg, &filter, 0, &error), ==, 7);
    filter.states = 1u << SHIM_PAIR_TUNED | 1u << SHIM_PAIR_DUE;
    g_assert_cmpint (shim_register_count_pairs (f.reg, &filter, 0, &error), ==, 11);
    filter.states = 0;
    filter.body = f.body;
    g_assert_cmpint (shim_register_count_pairs (f.reg, &filter, 0, &error), ==, 6);
    filter.lens_mount = "EF / EF-S";
    g_assert_cmpint (shim_register_count_pairs (f.reg, &filter, 0, &error), ==, 0);
  }
  {
    g_autoptr (GPtrArray) all = shim_register_measurements (f.reg, NULL, &error);
    g_autoptr (GPtrArray) near = shim_register_measurements (f.reg, f.body, &error);

    g_assert_cmpuint (all->len, ==, 11);
    g_assert_cmpuint (near->len, ==, 6);
  }
  for (guint i = 0; i < G_N_ELEMENTS (lenses); i++)
    g_free (lenses[i]);
  store_fixture_tear_down (&f);
}

static void
test_tree (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  {
    g_autofree char *pair = store_add_pair (f.reg, f.body, f.lens);
    g_autofree char *test = store_add_test (f.reg, pair, "2026-05-01T10:00:00Z");
    g_autofree char *round = store_add_round (f.reg, test, 0);
    g_autofree char *empty = store_add_round (f.reg, test, 5);
    g_autofree char *frame_id = NULL;
    g_autoptr (ShimTestTree) tree = NULL;
    g_autoptr (ShimTestTree) after = NULL;

    for (guint i = 0; i < 3; i++)
      {
        g_autoptr (ShimFrame) frame = store_frame_new (round, i);

        g_free (frame_id);
        frame_id = store_add (f.reg, frame);
      }
    for (guint i = 0; i < 4; i++)
      {
        g_autoptr (ShimReading) reading = shim_reading_new ();

        STORE_SET (reading, "frame", frame_id, "read-at", "2026-05-01T10:10:00Z", "method", i < 3 ? "program" : "eye", "offset-mm",
                   (double) i);
        g_free (store_add (f.reg, reading));
      }
    g_free (store_add_decision (f.reg, pair, test, "2026-05-01T11:00:00Z", 3));
    tree = shim_register_test_tree (f.reg, test, &error);
    g_assert_no_error (error);
    g_assert_cmpuint (tree->rounds->len, ==, 2);
    g_assert_cmpuint (tree->decisions->len, ==, 1);
    {
      ShimTestRound *first = tree->rounds->pdata[0];
      ShimTestFrame *third = first->frames->pdata[2];

      g_assert_cmpuint (first->frames->len, ==, 3);
      g_assert_cmpfloat (third->program->offset_mm, ==, 2.0);
      g_assert_cmpfloat (third->eye->offset_mm, ==, 3.0);
      g_assert_null (third->verdict);
      g_assert_null (third->frame->evidence);
    }
    /* The decision and the reading by eye undone: gone from the tree. */
    g_assert_true (shim_register_undo (f.reg, NULL, &error));
    g_assert_true (shim_register_undo (f.reg, NULL, &error));
    after = shim_register_test_tree (f.reg, test, &error);
    g_assert_cmpuint (after->decisions->len, ==, 0);
    g_assert_null (((ShimTestFrame *) ((ShimTestRound *) after->rounds->pdata[0])->frames->pdata[2])->eye);
  }
  store_fixture_tear_down (&f);
}

static guint
count_kind (GPtrArray *list, ShimReadinessKind kind)
{
  guint n = 0;

  for (guint i = 0; i < list->len; i++)
    n += ((ShimNotReady *) list->pdata[i])->kind == kind;
  return n;
}

static void
test_job (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimJob) job = shim_job_new ();
  g_autofree char *job_id = NULL;
  const char *items[3];

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  shim_register_set_clock (f.reg, JULY_1);
  STORE_SET (job, "name", "Sports day", "holder", "Mina");
  job_id = store_add (f.reg, job);
  items[0] = f.body_two;
  items[1] = f.lens;
  items[2] = f.lens_two;
  for (guint i = 0; i < 3; i++)
    {
      g_autoptr (ShimJobItem) item = shim_job_item_new ();

      STORE_SET (item, "job", job_id, "item-kind", i == 0 ? "body" : "lens", "item", items[i]);
      g_free (store_add (f.reg, item));
    }
  {
    g_autoptr (ShimJobKit) kit = shim_register_job_kit (f.reg, job_id, &error);
    g_autoptr (GPtrArray) list = NULL;

    g_assert_no_error (error);
    g_assert_cmpuint (kit->bodies->len, ==, 1);
    g_assert_cmpuint (kit->lenses->len, ==, 2);
    list = shim_job_kit_readiness (kit);
    g_assert_cmpuint (list->len, ==, 2);
    g_assert_cmpuint (count_kind (list, SHIM_NOT_READY_UNTESTED), ==, 2);
  }
  {
    g_autofree char *one = store_add_pair (f.reg, f.body_two, f.lens);
    g_autofree char *two = store_add_pair (f.reg, f.body_two, f.lens_two);
    g_autoptr (ShimJobKit) kit = NULL;
    g_autoptr (GPtrArray) list = NULL;

    decide (&f, one, "2026-06-01T01:00:00Z", "all", "measured", 4);
    decide (&f, two, "2026-06-01T01:00:00Z", "all", "measured", -2);
    g_free (store_add_slot (f.reg, f.body_two, 1, one, 4, "keyed", "2026-06-01T02:00:00Z"));
    g_free (store_add_event (f.reg, "lens", f.lens, "loan", "2026-06-15", FALSE));
    g_free (store_add_event (f.reg, "body", f.body_two, "sent", "2026-06-16", FALSE));
    g_free (store_add_event (f.reg, "lens", f.lens_two, "sent", "2026-06-15", FALSE));
    g_free (store_add_event (f.reg, "lens", f.lens_two, "service", "2026-06-17", TRUE));
    kit = shim_register_job_kit (f.reg, job_id, &error);
    list = shim_job_kit_readiness (kit);
    for (guint i = 0; i < list->len; i++)
      g_test_message ("%s", ((ShimNotReady *) list->pdata[i])->sentence);
    g_assert_cmpuint (count_kind (list, SHIM_NOT_READY_SERVICE), ==, 1);
    g_assert_cmpuint (count_kind (list, SHIM_NOT_READY_HELD), ==, 1);
    g_assert_cmpuint (count_kind (list, SHIM_NOT_READY_CONFLICT), ==, 1);
    g_assert_cmpuint (count_kind (list, SHIM_NOT_READY_DUE), ==, 1);
    g_assert_cmpuint (list->len, ==, 4);
  }
  store_fixture_tear_down (&f);
}

/* People write down their own day, while times are kept in UTC: eight hours west, on the evening of the first, Greenwich has the
 * second. An event that was noted in the very second of the decision counts too. */
static void
test_doubt_on_the_day (void)
{
  static const struct { const char *noted_at; ShimPairState state; } cases[] = {
    { "2026-06-02T00:59:59Z", SHIM_PAIR_TUNED },
    { "2026-06-02T01:00:00Z", SHIM_PAIR_DUE },
    { "2026-06-02T05:00:00Z", SHIM_PAIR_DUE },
  };
  g_autofree char *zone = g_strdup (g_getenv ("TZ"));

  g_setenv ("TZ", "WEST8", TRUE);
  tzset ();
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *pair = NULL;
      g_autofree char *id = NULL;
      g_autoptr (ShimEvent) event = shim_event_new ();
      StoreFixture f;

      store_fixture_set_up (&f);
      store_fixture_fill (&f);
      pair = store_add_pair (f.reg, f.body, f.lens);
      g_free (store_add_decision (f.reg, pair, NULL, "2026-06-02T01:00:00Z", 5));
      STORE_SET (event, "item-kind", "lens", "item", f.lens, "kind", "knock", "happened-on", "2026-06-01", "noted-at",
                 cases[i].noted_at, "casts-doubt", TRUE);
      id = store_add (f.reg, event);
      assert_state (&f, pair, cases[i].state, cases[i].state == SHIM_PAIR_DUE ? SHIM_DUE_LENS_EVENT : SHIM_DUE_NONE);
      store_fixture_tear_down (&f);
    }
  if (zone != NULL)
    g_setenv ("TZ", zone, TRUE);
  else
    g_unsetenv ("TZ");
  tzset ();
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/store/pairs/states", test_states);
  g_test_add_func ("/store/pairs/doubt-on-the-day", test_doubt_on_the_day);
  g_test_add_func ("/store/pairs/two-values", test_two_values);
  g_test_add_func ("/store/pairs/predicted-and-out-of-reach", test_predicted_and_out_of_reach);
  g_test_add_func ("/store/pairs/converter", test_converter);
  g_test_add_func ("/store/pairs/own-table", test_own_table);
  g_test_add_func ("/store/pairs/conflict", test_conflict);
  g_test_add_func ("/store/pairs/slots", test_slots);
  g_test_add_func ("/store/pairs/lists-and-cells", test_lists_and_cells);
  g_test_add_func ("/store/pairs/tree", test_tree);
  g_test_add_func ("/store/pairs/job", test_job);
  return g_test_run ();
}
