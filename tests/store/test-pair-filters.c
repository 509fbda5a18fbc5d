/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "store-fixture.h"

/* Lists of pairs narrowed down and sorted, and the values that the rest of the kit contradicts. The model's own judgement is tested with
 * the core; here it is only whether the register keeps it and lets it go. */

#define N_BODIES 4
#define N_LENSES 5

typedef struct
{
  StoreFixture f;
  char *bodies[N_BODIES];
  char *lenses[N_LENSES];
  char *pairs[N_BODIES][N_LENSES];
  char *odd; /* the pair that fits in with nothing */
} Kit;

static void
decide (ShimRegister *reg, const char *pair, const char *test, const char *at, gint64 value, double residual_mm)
{
  g_autoptr (ShimDecision) decision = shim_decision_new ();

  STORE_SET (decision, "pair", pair, "test", test, "decided-at", at, "end", "all", "origin", "measured", "value", value, "residual-mm",
             residual_mm, "residual-se-mm", 0.3, "tolerance-mm", 6.0, "slope-mm-per-step", 2.0, "focal-mm", 85.0, "distance-mm",
             4250.0);
  g_free (store_add (reg, decision));
}

static void
kit_set_up (Kit *kit)
{
  static const double of_body[N_BODIES] = { -3.0, 0.0, 1.0, 4.0 }, of_lens[N_LENSES] = { -2.0, -1.0, 0.0, 2.0, 3.0 };
  static const double noise[7] = { 0.1, -0.2, 0.05, 0.25, -0.15, -0.05, 0.2 };

  store_fixture_set_up (&kit->f);
  g_assert_true (shim_register_begin (kit->f.reg, "Fill", NULL));
  for (guint i = 0; i < N_BODIES; i++)
    {
      g_autofree char *label = g_strdup_printf ("Unit %c", 'D' - i);
      g_autoptr (ShimBody) body = store_body_new (label, NULL);

      kit->bodies[i] = store_add (kit->f.reg, body);
    }
  for (guint k = 0; k < N_LENSES; k++)
    {
      g_autofree char *label = g_strdup_printf ("Lens %c", 'V' + k);
      g_autoptr (ShimLens) lens = store_lens_new (label, NULL);

      kit->lenses[k] = store_add (kit->f.reg, lens);
    }
  for (guint i = 0; i < N_BODIES; i++)
    for (guint k = 0; k < N_LENSES; k++)
      {
        const gboolean is_odd = i == 2 && k == 3;

        kit->pairs[i][k] = store_add_pair (kit->f.reg, kit->bodies[i], kit->lenses[k]);
        decide (kit->f.reg, kit->pairs[i][k], NULL, "2026-06-01T01:00:00Z", 0,
                of_body[i] + of_lens[k] + noise[(i * N_LENSES + k) % 7] + (is_odd ? 14.0 : 0.0));
      }
  g_assert_true (shim_register_commit (kit->f.reg, NULL));
  kit->odd = kit->pairs[2][3];
}

static void
kit_tear_down (Kit *kit)
{
  for (guint i = 0; i < N_BODIES; i++)
    for (guint k = 0; k < N_LENSES; k++)
      g_free (kit->pairs[i][k]);
  for (guint i = 0; i < N_BODIES; i++)
    g_free (kit->bodies[i]);
  for (guint k = 0; k < N_LENSES; k++)
    g_free (kit->lenses[k]);
  store_fixture_tear_down (&kit->f);
}

static GPtrArray *
contradicted (Kit *kit)
{
  const ShimPairFilter filter = { .reasons = SHIM_DUE_CONTRADICTED };
  g_autoptr (GError) error = NULL;
  GPtrArray *pairs = shim_register_pairs (kit->f.reg, &filter, &error);

  g_assert_no_error (error);
  g_assert_cmpint (shim_register_count_pairs (kit->f.reg, &filter, 0, NULL), ==, pairs->len);
  return pairs;
}

static void
assert_only_odd (Kit *kit)
{
  g_autoptr (GPtrArray) found = contradicted (kit);

  g_assert_cmpuint (found->len, ==, 1);
  g_assert_cmpstr (((ShimPairNow *) found->pdata[0])->pair, ==, kit->odd);
  g_assert_cmpint (((ShimPairNow *) found->pdata[0])->state, ==, SHIM_PAIR_DUE);
}

static void
assert_none (Kit *kit)
{
  g_autoptr (GPtrArray) found = contradicted (kit);

  g_assert_cmpuint (found->len, ==, 0);
}

static void
test_contradicted (void)
{
  g_autofree char *test = NULL;
  Kit kit;

  kit_set_up (&kit);
  assert_only_odd (&kit);
  /* A value that fits in with the rest settles it, and taking that back brings the doubt back. */
  decide (kit.f.reg, kit.odd, NULL, "2026-06-02T01:00:00Z", 0, 3.1);
  assert_none (&kit);
  g_assert_true (shim_register_undo (kit.f.reg, NULL, NULL));
  assert_only_odd (&kit);
  /* So does a second test that says the same. */
  test = store_add_test (kit.f.reg, kit.odd, "2026-06-03T00:00:00Z");
  decide (kit.f.reg, kit.odd, test, "2026-06-03T01:00:00Z", 1, 19.0);
  assert_none (&kit);
  kit_tear_down (&kit);
}

static void
test_brought_up_to_date (void)
{
  Kit kit;

  kit_set_up (&kit);
  g_clear_pointer (&kit.f.reg, shim_register_free);
  store_make_version_1 (kit.f.path);
  store_exec (kit.f.path, "UPDATE pair_now SET state = 2, reasons = 0");
  store_fixture_reopen (&kit.f);
  assert_only_odd (&kit);
  g_assert_cmpint (store_query_int (kit.f.path, "SELECT count(*) FROM outstanding"), ==, 0);
  g_assert_true (shim_register_rebuild (kit.f.reg, NULL));
  assert_only_odd (&kit);
  kit_tear_down (&kit);
}

static gint64
count (Kit *kit, const ShimPairFilter *filter)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) pairs = shim_register_pairs (kit->f.reg, filter, &error);

  g_assert_no_error (error);
  g_assert_cmpint (shim_register_count_pairs (kit->f.reg, filter, 0, NULL), ==, pairs->len);
  return pairs->len;
}

static void
test_words (void)
{
  static const struct
  {
    const char *lens;
    const char *body;
    gint64 n;
  } cases[] = {
    { "lens", NULL, 20 }, { "w", NULL, 4 },     { " ", "", 20 },     { "lens w", "unit b", 1 },
    { NULL, "u", 20 },    { NULL, "unit c", 5 }, { "nothing", NULL, 0 }, { "unit", NULL, 0 },
  };
  Kit kit;

  kit_set_up (&kit);
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      const ShimPairFilter filter = { .lens_words = cases[i].lens, .body_words = cases[i].body };

      g_assert_cmpint (count (&kit, &filter), ==, cases[i].n);
    }
  kit_tear_down (&kit);
}

/* By walking an index, and by sorting what a filter left. */
static void
test_by_name (void)
{
  Kit kit;

  kit_set_up (&kit);
  for (guint i = 0; i < 2; i++)
    {
      const ShimPairFilter by_lens = { .order = SHIM_PAIR_ORDER_LENS, .body_mount = i > 0 ? "K" : NULL };
      const ShimPairFilter by_body = { .order = SHIM_PAIR_ORDER_BODY, .body_mount = i > 0 ? "K" : NULL };
      g_autoptr (GPtrArray) lenses = shim_register_pairs (kit.f.reg, &by_lens, NULL), bodies = shim_register_pairs (kit.f.reg, &by_body, NULL);

      g_assert_cmpuint (lenses->len, ==, 20);
      g_assert_cmpuint (bodies->len, ==, 20);
      for (guint k = 0; k < 20; k++)
        {
          const ShimPairNow *lens = lenses->pdata[k], *body = bodies->pdata[k];

          /* Bodies were entered from D to A, lenses from V to Z. */
          g_assert_cmpstr (lens->lens, ==, kit.lenses[k / N_BODIES]);
          g_assert_cmpstr (lens->body, ==, kit.bodies[N_BODIES - 1 - k % N_BODIES]);
          g_assert_cmpstr (body->body, ==, kit.bodies[N_BODIES - 1 - k / N_LENSES]);
          g_assert_cmpstr (body->lens, ==, kit.lenses[k % N_LENSES]);
        }
    }
  kit_tear_down (&kit);
}

static void
assert_items (Kit *kit, GType type, guint states, ShimDueReasons reasons, gint64 n)
{
  g_autoptr (ShimQuery) query = shim_query_new ();

  shim_query_add_order (query, "label", FALSE);
  shim_query_set_pair_states (query, states, reasons, FALSE);
  g_assert_cmpint (shim_register_count (kit->f.reg, type, query, NULL), ==, n);
}

/* Two copies of one model with different values, on a body that cannot tell them apart. */
static void
test_conflict (void)
{
  const ShimPairFilter filter = { .conflict = TRUE };
  g_autoptr (ShimRecord) body = NULL;
  g_autoptr (ShimQuery) query = shim_query_new ();
  Kit kit;

  kit_set_up (&kit);
  g_assert_cmpint (count (&kit, &filter), ==, 0);
  body = shim_register_get (kit.f.reg, SHIM_TYPE_BODY, kit.bodies[1], NULL);
  STORE_SET (body, "tells-lenses-by", "model");
  g_assert_true (shim_register_update (kit.f.reg, body, NULL));
  decide (kit.f.reg, kit.pairs[1][0], NULL, "2026-06-02T01:00:00Z", 2, 0.0);
  g_assert_cmpint (count (&kit, &filter), ==, N_LENSES);
  shim_query_set_pair_states (query, 0, SHIM_DUE_NONE, TRUE);
  g_assert_cmpint (shim_register_count (kit.f.reg, SHIM_TYPE_BODY, query, NULL), ==, 1);
  kit_tear_down (&kit);
}

/* Rows and columns of the table. */
static void
test_items_by_state (void)
{
  Kit kit;

  kit_set_up (&kit);
  shim_register_set_clock (kit.f.reg, G_GINT64_CONSTANT (20635) * 86400); /* 2026-07-01 */
  assert_items (&kit, SHIM_TYPE_LENS, 0, 0, N_LENSES);
  assert_items (&kit, SHIM_TYPE_LENS, 1u << SHIM_PAIR_DUE, SHIM_DUE_CONTRADICTED, 1);
  assert_items (&kit, SHIM_TYPE_BODY, 1u << SHIM_PAIR_DUE, SHIM_DUE_CONTRADICTED, 1);
  assert_items (&kit, SHIM_TYPE_LENS, 1u << SHIM_PAIR_TUNED, 0, N_LENSES);
  assert_items (&kit, SHIM_TYPE_LENS, 1u << SHIM_PAIR_DUE, 0, 1);
  assert_items (&kit, SHIM_TYPE_LENS, 1u << SHIM_PAIR_OUT_OF_REACH, 0, 0);
  /* Time passes. */
  shim_register_set_max_age (kit.f.reg, 20.0);
  assert_items (&kit, SHIM_TYPE_LENS, 1u << SHIM_PAIR_DUE, 0, N_LENSES);
  assert_items (&kit, SHIM_TYPE_LENS, 1u << SHIM_PAIR_TUNED, 0, 0);
  kit_tear_down (&kit);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/store/pair-filters/contradicted", test_contradicted);
  g_test_add_func ("/store/pair-filters/brought-up-to-date", test_brought_up_to_date);
  g_test_add_func ("/store/pair-filters/words", test_words);
  g_test_add_func ("/store/pair-filters/by-name", test_by_name);
  g_test_add_func ("/store/pair-filters/conflict", test_conflict);
  g_test_add_func ("/store/pair-filters/items-by-state", test_items_by_state);
  return g_test_run ();
}
