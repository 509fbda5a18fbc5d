/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-readiness.h"

/* What a job still needs, made up without a register: one body with three slots, lenses and pairs by table. */

static ShimJobKit *
kit_new (const char *tells_by, gint64 n_slots)
{
  ShimJobKit *kit = shim_job_kit_new ();
  ShimBody *body = g_object_new (SHIM_TYPE_BODY, "id", "body", "label", "Orrin One", "mount", "K", "range-min", G_GINT64_CONSTANT (-20),
                                 "range-max", G_GINT64_CONSTANT (20), "slot-count", n_slots, "tells-lenses-by", tells_by, NULL);
  const ShimSlotCount count = { .total = n_slots, .free = n_slots };

  kit->job = g_object_new (SHIM_TYPE_JOB, "name", "Sports day", "holder", "Mina", NULL);
  g_ptr_array_add (kit->bodies, body);
  g_array_append_val (kit->slots, count);
  return kit;
}

static ShimLens *
add_lens (ShimJobKit *kit, const char *id, const char *mount)
{
  ShimLens *lens = g_object_new (SHIM_TYPE_LENS, "id", id, "label", id, "model", "85 mm", "mount", mount, NULL);

  g_ptr_array_add (kit->lenses, lens);
  return lens;
}

static ShimPairNow *
add_pair (ShimJobKit *kit, const char *lens, ShimPairState state, ShimDueReasons reasons, gint64 value)
{
  ShimPairNow *now = shim_pair_now_new ("body", lens);

  now->pair = g_strconcat ("pair-", lens, NULL);
  now->state = state;
  now->reasons = reasons;
  now->value = value;
  g_ptr_array_add (kit->pairs, now);
  return now;
}

static void
key_in (ShimPairNow *now, gint64 slot)
{
  now->slot = slot;
  now->slot_state = SHIM_SLOT_KEYED;
  now->slot_value = now->value;
}

/* The kinds of the list, joined, in its order. */
static char *
kinds_of (ShimJobKit *kit)
{
  g_autoptr (GPtrArray) list = shim_job_kit_readiness (kit);
  GString *kinds = g_string_new (NULL);

  for (guint i = 0; i < list->len; i++)
    {
      const ShimNotReady *line = list->pdata[i];

      g_test_message ("%s", line->sentence);
      g_string_append_printf (kinds, "%s%s", i > 0 ? " " : "", shim_readiness_kind_to_name (line->kind));
    }
  return g_string_free (kinds, FALSE);
}

static void
test_pair_states (void)
{
  static const struct
  {
    ShimPairState state;
    ShimDueReasons reasons;
    gint64 value;
    gint64 slot; /* 0 = not keyed in */
    const char *kinds;
  } cases[] = {
    { SHIM_PAIR_UNTESTED, 0, SHIM_NO_INT, 0, "untested" },
    { SHIM_PAIR_IN_TEST, 0, SHIM_NO_INT, 0, "in-test" },
    { SHIM_PAIR_OUT_OF_REACH, 0, 20, 0, "out-of-reach" },
    { SHIM_PAIR_TUNED, 0, 4, 2, "" },
    { SHIM_PAIR_TUNED, 0, 4, 0, "not-keyed-in" },
    { SHIM_PAIR_DUE, SHIM_DUE_AGE, 4, 2, "due" },
    { SHIM_PAIR_DUE, SHIM_DUE_RESET, 4, 0, "not-keyed-in" },
    { SHIM_PAIR_DUE, SHIM_DUE_RESET | SHIM_DUE_AGE, 4, 0, "due" },
    { SHIM_PAIR_NOT_NEEDED, 0, SHIM_NO_INT, 0, "" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimJobKit) kit = kit_new ("serial", 3);
      g_autofree char *kinds = NULL;
      ShimPairNow *now;

      add_lens (kit, "one", "K");
      now = add_pair (kit, "one", cases[i].state, cases[i].reasons, cases[i].value);
      now->not_needed = cases[i].state == SHIM_PAIR_NOT_NEEDED;
      if (cases[i].slot > 0)
        key_in (now, cases[i].slot);
      kinds = kinds_of (kit);
      g_assert_cmpstr (kinds, ==, cases[i].kinds);
    }
}

/* Nothing to be said of pairs is not the same as ready. */
static void
test_one_half (void)
{
  g_autoptr (ShimJobKit) kit = kit_new ("serial", 3);
  g_autofree char *no_lens = kinds_of (kit);
  g_autofree char *no_body = NULL;

  g_assert_cmpstr (no_lens, ==, "no-lens");
  g_ptr_array_set_size (kit->bodies, 0);
  g_array_set_size (kit->slots, 0);
  add_lens (kit, "one", "K");
  no_body = kinds_of (kit);
  g_assert_cmpstr (no_body, ==, "no-body");
}

static void
test_misfits (void)
{
  g_autoptr (ShimJobKit) kit = kit_new ("serial", 3);
  g_autofree char *kinds = NULL;
  g_autofree char *with_blind_ring = NULL;
  g_autofree char *with_ring = NULL;

  add_lens (kit, "foreign", "F");
  kinds = kinds_of (kit);
  g_assert_cmpstr (kinds, ==, "no-body no-lens");
  /* A ring that passes nothing on makes it fit, but there is nothing to adjust. */
  g_ptr_array_add (kit->adapters, g_object_new (SHIM_TYPE_ADAPTER, "lens-mount", "F", "body-mount", "K", NULL));
  with_blind_ring = kinds_of (kit);
  g_assert_cmpstr (with_blind_ring, ==, "");
  g_object_set (kit->adapters->pdata[0], "passes-data", TRUE, NULL);
  with_ring = kinds_of (kit);
  g_assert_cmpstr (with_ring, ==, "untested");
}

static void
test_slots_run_out (void)
{
  g_autoptr (ShimJobKit) kit = kit_new ("serial", 1);
  g_autofree char *kinds = NULL;

  add_lens (kit, "one", "K");
  add_lens (kit, "two", "K");
  add_pair (kit, "one", SHIM_PAIR_TUNED, 0, 1);
  add_pair (kit, "two", SHIM_PAIR_TUNED, 0, 2);
  kinds = kinds_of (kit);
  /* The second finds none left, and the body has fewer than the job has lenses. */
  g_assert_cmpstr (kinds, ==, "no-slot no-slot not-keyed-in");
}

/* A lens that keeps its values itself is not sent to a slot of the body. */
static void
test_own_table (void)
{
  g_autoptr (ShimJobKit) kit = kit_new ("serial", 3);
  g_autoptr (GPtrArray) list = NULL;
  const ShimNotReady *line;

  g_object_set (add_lens (kit, "one", "K"), "own-table", TRUE, NULL);
  add_pair (kit, "one", SHIM_PAIR_TUNED, 0, 3);
  list = shim_job_kit_readiness (kit);
  g_assert_cmpuint (list->len, ==, 1);
  line = list->pdata[0];
  g_assert_cmpint (line->kind, ==, SHIM_NOT_READY_NOT_KEYED_IN);
  g_assert_null (strstr (line->sentence, "slot"));
}

static void
test_conflict (void)
{
  static const struct
  {
    const char *tells_by;
    gint64 one, two;
    const char *model;
    const char *kinds;
  } cases[] = {
    { "model", 3, -2, "85 mm", "conflict" }, { "model", 3, 3, "85 mm", "" },
    { "model", 3, -2, "50 mm", "" },         { "serial", 3, -2, "85 mm", "" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimJobKit) kit = kit_new (cases[i].tells_by, 3);
      g_autofree char *kinds = NULL;

      add_lens (kit, "one", "K");
      g_object_set (add_lens (kit, "two", "K"), "model", cases[i].model, NULL);
      key_in (add_pair (kit, "one", SHIM_PAIR_TUNED, 0, cases[i].one), 1);
      key_in (add_pair (kit, "two", SHIM_PAIR_TUNED, 0, cases[i].two), 2);
      kinds = kinds_of (kit);
      g_assert_cmpstr (kinds, ==, cases[i].kinds);
    }
}

static void
test_whereabouts (void)
{
  static const struct
  {
    const char *event, *who, *holder;
    const char *kinds;
  } cases[] = {
    { NULL, NULL, NULL, "" },         { NULL, NULL, "Mina", "" },     { NULL, NULL, "Jonas", "held" },
    { "loan", "Jonas", NULL, "held" }, { "loan", "mina", NULL, "" },  { "loan", NULL, NULL, "held" },
    { "sent", NULL, NULL, "service" }, { "sale", NULL, NULL, "held" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (ShimJobKit) kit = kit_new ("serial", 3);
      g_autofree char *kinds = NULL;

      g_object_set (add_lens (kit, "one", "K"), "holder", cases[i].holder, NULL);
      key_in (add_pair (kit, "one", SHIM_PAIR_TUNED, 0, 1), 1);
      if (cases[i].event != NULL)
        g_ptr_array_add (kit->away, g_object_new (SHIM_TYPE_EVENT, "item", "one", "kind", cases[i].event, "who", cases[i].who,
                                                  "happened-on", "2026-05-01", NULL));
      kinds = kinds_of (kit);
      g_assert_cmpstr (kinds, ==, cases[i].kinds);
    }
}

static void
test_no_adjustment (void)
{
  g_autoptr (ShimJobKit) kit = kit_new ("serial", 0);
  g_autofree char *kinds = NULL;

  g_object_set (kit->bodies->pdata[0], "range-min", SHIM_NO_INT, "range-max", SHIM_NO_INT, NULL);
  add_lens (kit, "one", "K");
  kinds = kinds_of (kit);
  g_assert_cmpstr (kinds, ==, "");
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/kit/readiness/pair-states", test_pair_states);
  g_test_add_func ("/kit/readiness/one-half", test_one_half);
  g_test_add_func ("/kit/readiness/misfits", test_misfits);
  g_test_add_func ("/kit/readiness/slots-run-out", test_slots_run_out);
  g_test_add_func ("/kit/readiness/own-table", test_own_table);
  g_test_add_func ("/kit/readiness/conflict", test_conflict);
  g_test_add_func ("/kit/readiness/whereabouts", test_whereabouts);
  g_test_add_func ("/kit/readiness/no-adjustment", test_no_adjustment);
  return g_test_run ();
}
