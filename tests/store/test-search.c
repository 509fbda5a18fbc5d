/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "shim-uuid.h"
#include "store-fixture.h"

static gint64
count_found (ShimRegister *reg, GType type, const char *words)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GError) error = NULL;
  gint64 n;

  shim_query_set_search (query, words);
  n = shim_register_count (reg, type, query, &error);
  g_assert_no_error (error);
  return n;
}

/* As one types, a letter at a time, and what people paste. */
static void
test_words (void)
{
  static const struct
  {
    const char *words;
    gint64 n_lenses;
  } cases[] = {
    { "", 4 },
    { "   ", 4 },
    { "v", 3 },
    { "Ve", 3 },
    { "velle", 3 },
    { "VELLE 85", 2 },
    { "85 ve", 2 },
    { "elle", 0 },
    { "24-70", 1 },
    { "24 – 70", 1 },
    { "70 24", 1 },
    { "öresund", 1 },
    { "oresund", 1 },
    { "Ore", 1 },
    { "0012345", 1 },
    { "12345", 1 }, /* part of a serial */
    { "345", 1 },
    { "45", 0 },    /* too short for an ending */
    { "0012", 1 },
    { "mina", 1 },
    { "mina jonas", 0 },
    { "zzz", 0 },
    { "\"", 4 },
    { "' OR 1=1 --", 0 },
    { "* ^ NEAR( ) {kind}", 0 },
    { "velle AND NOT 85", 0 },
    { "kind:body", 0 },
    { "\xff\xfe", 4 },
    { "a a a a a a a a a a a a a a a a a a a a a a a a", 1 },
  };
  StoreFixture f;

  store_fixture_set_up (&f);
  {
    g_autoptr (ShimLens) one = store_lens_new ("Velle 85", "0012345");
    g_autoptr (ShimLens) two = store_lens_new ("Velle 85 old", "A-778");
    g_autoptr (ShimLens) three = store_lens_new ("Velle 24-70", NULL);
    g_autoptr (ShimLens) four = store_lens_new ("Quast 35", NULL);

    STORE_SET (one, "holder", "Mina");
    STORE_SET (three, "model", "24-70 f/4", "note", "lent to Öresund");
    STORE_SET (four, "maker", "Quast", "model", "35 mm");
    g_free (store_add (f.reg, one));
    g_free (store_add (f.reg, two));
    g_free (store_add (f.reg, three));
    g_free (store_add (f.reg, four));
  }
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *shown = g_strescape (cases[i].words, NULL);

      g_test_message ("%u: %s", i, shown);
      g_assert_cmpint (count_found (f.reg, SHIM_TYPE_LENS, cases[i].words), ==, cases[i].n_lenses);
    }
  g_assert_cmpint (count_found (f.reg, SHIM_TYPE_BODY, "velle"), ==, 0);
  store_fixture_tear_down (&f);
}

static void
test_everything (void)
{
  StoreFixture f;
  g_autoptr (GPtrArray) found = NULL;
  g_autoptr (GPtrArray) few = NULL;
  g_autoptr (GPtrArray) gone = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  {
    g_autoptr (ShimJob) job = shim_job_new ();
    g_autoptr (ShimEvent) event = shim_event_new ();

    STORE_SET (job, "name", "Orrin lake regatta");
    STORE_SET (event, "item-kind", "body", "item", f.body, "kind", "knock", "happened-on", "2026-05-01", "noted-at",
               "2026-05-01T10:00:00Z", "note", "fell off orrin bridge");
    g_free (store_add (f.reg, event));
    g_free (store_add (f.reg, job));
  }
  found = shim_register_search (f.reg, "orrin", 0, NULL);
  g_assert_cmpuint (found->len, ==, 4);
  g_assert_cmpstr (((ShimFound *) found->pdata[0])->title, ==, "Orrin One");
  g_assert_cmpstr (((ShimFound *) found->pdata[2])->kind, ==, "job");
  g_assert_cmpstr (((ShimFound *) found->pdata[3])->title, ==, "fell off orrin bridge");
  few = shim_register_search (f.reg, "orrin", 3, NULL);
  g_assert_cmpuint (few->len, ==, 3);
  /* What was undone is not found. */
  g_assert_true (shim_register_undo (f.reg, NULL, NULL));
  gone = shim_register_search (f.reg, "regatta", 0, NULL);
  g_assert_cmpuint (gone->len, ==, 0);
  store_fixture_tear_down (&f);
}

static void
test_serial (void)
{
  StoreFixture f;
  g_autoptr (GPtrArray) exact = NULL;
  g_autoptr (GPtrArray) none = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  exact = shim_register_find_serial (f.reg, SHIM_TYPE_BODY, " 0012345 ", NULL);
  g_assert_cmpuint (exact->len, ==, 1);
  g_assert_cmpstr (SHIM_RECORD (exact->pdata[0])->id, ==, f.body);
  none = shim_register_find_serial (f.reg, SHIM_TYPE_BODY, "12345", NULL);
  g_assert_cmpuint (none->len, ==, 0);
  store_fixture_tear_down (&f);
}

/* RFC 9562 section 5.7: version 7 in the 13th digit, variant 10 in the 17th; ours sort in the order of making. */
static void
test_ids (void)
{
  g_autofree char *last = shim_uuid_new ();

  for (guint i = 0; i < 20000; i++)
    {
      char *id = shim_uuid_new ();

      g_assert_cmpuint (strlen (id), ==, 36);
      g_assert_true (g_uuid_string_is_valid (id));
      g_assert_cmpint (id[14], ==, '7');
      g_assert_nonnull (strchr ("89ab", id[19]));
      g_assert_cmpstr (id, >, last);
      g_free (last);
      last = id;
    }
  {
    gint64 ms = g_get_real_time () / 1000;
    g_autofree char *stamp = g_strndup (last, 8);
    g_autofree char *low = g_strndup (last + 9, 4);
    gint64 of_id = (gint64) (g_ascii_strtoull (stamp, NULL, 16) << 16 | g_ascii_strtoull (low, NULL, 16));

    /* 20000 ids in a loop may run a little ahead of the clock. */
    g_assert_cmpint (ABS (ms - of_id), <, 60000);
  }
}

/* Ten thousand lenses in one change, found, counted, paged and undone. */
static void
test_ten_thousand (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GPtrArray) page = NULL;

  store_fixture_set_up (&f);
  g_assert_true (shim_register_begin (f.reg, "Import of the store-room", &error));
  for (guint i = 0; i < 10000; i++)
    {
      g_autofree char *label = g_strdup_printf ("Lens %05u", (i * 7919) % 10000);
      g_autofree char *serial = g_strdup_printf ("%07u", i * 13);
      g_autoptr (ShimLens) lens = store_lens_new (label, serial);

      g_assert_true (shim_register_insert (f.reg, SHIM_RECORD (lens), &error));
    }
  g_assert_true (shim_register_commit (f.reg, &error));
  g_assert_no_error (error);
  g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_LENS, NULL, NULL), ==, 10000);
  shim_query_add_order (query, "label", FALSE);
  shim_query_set_window (query, 9990, 20);
  page = shim_register_list (f.reg, SHIM_TYPE_LENS, query, &error);
  g_assert_cmpuint (page->len, ==, 10);
  g_assert_cmpstr (SHIM_LENS (page->pdata[9])->label, ==, "Lens 09999");
  g_assert_cmpint (count_found (f.reg, SHIM_TYPE_LENS, "0129987"), ==, 1);
  g_assert_true (shim_register_undo (f.reg, NULL, &error));
  g_assert_no_error (error);
  g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_LENS, NULL, NULL), ==, 0);
  g_assert_cmpint (count_found (f.reg, SHIM_TYPE_LENS, "lens"), ==, 0);
  store_fixture_tear_down (&f);
}

/* As people put them in order (common practice, no source): words by their letters, numbers by their size. */
static const char *const in_order[] = { "24–70", "50", "50/1.4", "50/1.8", "50 A", "050 spare", "105", "1000", "123456789", "1234567890",
                                        "ärmel", "Armel 2", "ÄRMEL 10", "Box", "Zoom 4", "zoom 12" };

/* Under each order of asking: all of them, a few found, of one mount. */
static void
assert_in_order (ShimRegister *reg, const char *words, const char *mount, gboolean descending)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GPtrArray) ids = NULL;
  g_autoptr (GPtrArray) list = NULL;
  g_autoptr (GError) error = NULL;
  const guint n = G_N_ELEMENTS (in_order);

  shim_query_add_order (query, "label", descending);
  shim_query_set_search (query, words);
  if (mount != NULL)
    shim_query_add_filter (query, "mount", mount);
  list = shim_register_list (reg, SHIM_TYPE_LENS, query, &error);
  g_assert_no_error (error);
  ids = shim_register_list_ids (reg, SHIM_TYPE_LENS, query, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (list->len, ==, n);
  for (guint i = 0; i < n; i++)
    {
      g_assert_cmpstr (SHIM_LENS (list->pdata[i])->label, ==, in_order[descending ? n - 1 - i : i]);
      g_assert_cmpstr (SHIM_RECORD (list->pdata[i])->id, ==, ids->pdata[i]);
    }
}

static void
assert_all_in_order (ShimRegister *reg)
{
  assert_in_order (reg, NULL, NULL, FALSE);
  assert_in_order (reg, NULL, NULL, TRUE);
  assert_in_order (reg, "few", NULL, FALSE);
  assert_in_order (reg, NULL, "E", FALSE);
}

/* Of each kind of name so many: together more than are fetched and sorted. */
#define N_EACH 160u

static void
assert_beginning_first (ShimRegister *reg, const char *words, const char *mount, guint n_beginning, guint n_other)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GPtrArray) all = NULL;
  g_autoptr (GPtrArray) window = NULL;

  shim_query_add_order (query, "label", FALSE);
  shim_query_set_search (query, words);
  if (mount != NULL)
    shim_query_add_filter (query, "mount", mount);
  all = shim_register_list_ids (reg, SHIM_TYPE_LENS, query, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (all->len, ==, n_beginning + n_other);
  g_assert_cmpint (shim_register_count (reg, SHIM_TYPE_LENS, query, NULL), ==, all->len);
  shim_query_set_window (query, n_beginning - 1, 3);
  window = shim_register_list (reg, SHIM_TYPE_LENS, query, &error);
  g_assert_cmpuint (window->len, ==, 3);
  for (guint i = 0; i < 3; i++)
    g_assert_cmpstr (SHIM_RECORD (window->pdata[i])->id, ==, all->pdata[n_beginning - 1 + i]);
  g_assert_true (g_str_has_prefix (SHIM_LENS (window->pdata[0])->label, "Zoom"));
  g_assert_true (g_str_has_prefix (SHIM_LENS (window->pdata[1])->label, "Box"));
  g_assert_true (g_str_has_prefix (SHIM_LENS (window->pdata[2])->label, "Box"));
}

/* Whoever types the beginning of a name means that name (common practice, no source), not one that holds the word in its note. */
static void
test_beginning (void)
{
  StoreFixture f;

  store_fixture_set_up (&f);
  g_assert_true (shim_register_begin (f.reg, "Import", NULL));
  for (guint i = 0; i < 2 * N_EACH; i++)
    {
      g_autofree char *label = g_strdup_printf ("%s %u", i % 2 == 0 ? "Box" : "Zoom", 10 + i / 2);
      g_autoptr (ShimLens) lens = store_lens_new (label, NULL);

      STORE_SET (lens, "mount", "E", "note", i % 2 == 0 ? "zoom 12" : i == 5 ? "rare" : "none");
      g_assert_true (shim_register_insert (f.reg, SHIM_RECORD (lens), NULL));
    }
  g_assert_true (shim_register_commit (f.reg, NULL));
  assert_beginning_first (f.reg, "zoom", NULL, N_EACH, N_EACH);
  assert_beginning_first (f.reg, "ZÓ", NULL, N_EACH, N_EACH);
  assert_beginning_first (f.reg, "zoom", "E", N_EACH, N_EACH);
  assert_beginning_first (f.reg, "zoom 12", NULL, 1, N_EACH + 10);   /* Zoom 120 to 129 come after the boxes */
  store_fixture_tear_down (&f);
}

static void
test_order (void)
{
  StoreFixture f;

  store_fixture_set_up (&f);
  for (guint i = 0; i < G_N_ELEMENTS (in_order); i++)
    {
      g_autoptr (ShimLens) lens = store_lens_new (in_order[(i * 7) % G_N_ELEMENTS (in_order)], NULL);

      STORE_SET (lens, "mount", "E", "note", "few");
      g_free (store_add (f.reg, lens));
    }
  assert_all_in_order (f.reg);
  g_clear_pointer (&f.reg, shim_register_free);
  store_make_version_1 (f.path);
  store_fixture_reopen (&f);
  assert_all_in_order (f.reg);
  store_fixture_tear_down (&f);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/store/search/words", test_words);
  g_test_add_func ("/store/search/everything", test_everything);
  g_test_add_func ("/store/search/serial", test_serial);
  g_test_add_func ("/store/search/ids", test_ids);
  g_test_add_func ("/store/search/order", test_order);
  g_test_add_func ("/store/search/beginning", test_beginning);
  g_test_add_func ("/store/search/ten-thousand", test_ten_thousand);
  return g_test_run ();
}
