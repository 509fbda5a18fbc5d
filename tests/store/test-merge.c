/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "store-fixture.h"

/* Two registers that began as one, changed apart and brought together again. */

typedef struct
{
  StoreFixture a;
  StoreFixture b;
} Two;

static void
two_set_up (Two *two)
{
  store_fixture_set_up (&two->a);
  store_fixture_fill (&two->a);
  store_fixture_set_up (&two->b);
  g_clear_pointer (&two->b.reg, shim_register_free);
  g_assert_true (shim_register_backup (two->a.reg, two->b.path, TRUE, NULL));
  store_fixture_reopen (&two->b);
  two->b.body = g_strdup (two->a.body);
  two->b.body_two = g_strdup (two->a.body_two);
  two->b.lens = g_strdup (two->a.lens);
  two->b.lens_two = g_strdup (two->a.lens_two);
}

static void
two_tear_down (Two *two)
{
  store_fixture_tear_down (&two->a);
  store_fixture_tear_down (&two->b);
}

static ShimMergeReport *
merge (StoreFixture *into, StoreFixture *from)
{
  g_autoptr (GError) error = NULL;
  ShimMergeReport *report = shim_register_merge (into->reg, from->path, FALSE, &error);
  g_autoptr (GPtrArray) problems = NULL;

  g_assert_no_error (error);
  g_assert_true (shim_register_check (into->reg, &problems, &error));
  for (guint i = 0; i < problems->len; i++)
    g_test_message ("%s", (char *) problems->pdata[i]);
  g_assert_cmpuint (problems->len, ==, 0);
  return report;
}

static void
set_text (StoreFixture *f, const char *lens, const char *field, const char *value)
{
  g_autoptr (ShimRecord) record = shim_register_get (f->reg, SHIM_TYPE_LENS, lens, NULL);

  shim_record_set_text (record, shim_kind_find_field (shim_record_get_kind (record), field), value);
  g_assert_true (shim_register_update (f->reg, record, NULL));
}

static void
assert_text (StoreFixture *f, const char *lens, const char *field, const char *value)
{
  g_autoptr (ShimRecord) record = shim_register_get (f->reg, SHIM_TYPE_LENS, lens, NULL);

  g_assert_cmpstr (shim_record_get_text (record, shim_kind_find_field (shim_record_get_kind (record), field)), ==, value);
}

static void
test_nothing_new (void)
{
  Two two;
  g_autoptr (ShimMergeReport) report = NULL;
  g_autoptr (GError) error = NULL;

  two_set_up (&two);
  report = merge (&two.a, &two.b);
  g_assert_cmpuint (report->added + report->updated + report->conflicts->len, ==, 0);
  g_assert_cmpuint (report->unchanged, ==, 34);
  g_assert_null (shim_register_merge (two.a.reg, two.a.folder, FALSE, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_OPEN);
  two_tear_down (&two);
}

/* Different fields of one record changed apart: both changes stay, and there is nothing to argue about. */
static void
test_fields (void)
{
  Two two;
  g_autoptr (ShimMergeReport) report = NULL;
  g_autoptr (ShimMergeReport) back = NULL;

  two_set_up (&two);
  set_text (&two.a, two.a.lens, "holder", "Mina");
  set_text (&two.b, two.a.lens, "place", "Blue cupboard");
  report = merge (&two.a, &two.b);
  g_assert_cmpuint (report->updated, ==, 1);
  g_assert_cmpuint (report->conflicts->len, ==, 0);
  assert_text (&two.a, two.a.lens, "holder", "Mina");
  assert_text (&two.a, two.a.lens, "place", "Blue cupboard");
  back = merge (&two.b, &two.a);
  g_assert_cmpuint (back->updated, ==, 1);
  assert_text (&two.b, two.a.lens, "holder", "Mina");
  two_tear_down (&two);
}

/* One field changed in both: the newer change wins, the report names both values, and the loser is in the history. */
static void
test_conflict (void)
{
  Two two;
  g_autoptr (ShimMergeReport) report = NULL;
  const ShimMergeConflict *conflict;

  two_set_up (&two);
  set_text (&two.a, two.a.lens, "holder", "Mina");
  set_text (&two.b, two.a.lens, "holder", "Jonas");
  g_clear_pointer (&two.b.reg, shim_register_free);
  /* Made later, without waiting for it. */
  store_exec (two.b.path, "DROP TRIGGER history_same; UPDATE history SET at = '2099-01-01T00:00:00Z' WHERE changeset IS NOT NULL");
  store_fixture_reopen (&two.b);
  report = merge (&two.a, &two.b);
  g_assert_cmpuint (report->conflicts->len, ==, 1);
  conflict = report->conflicts->pdata[0];
  g_assert_cmpstr (conflict->ours, ==, "Mina");
  g_assert_cmpstr (conflict->theirs, ==, "Jonas");
  g_assert_true (conflict->kept_theirs);
  assert_text (&two.a, two.a.lens, "holder", "Jonas");
  {
    g_autoptr (GPtrArray) history = shim_register_history (two.a.reg, two.a.lens, 0, 0, NULL);
    gboolean found = FALSE;

    for (guint i = 0; i < history->len; i++)
      {
        const ShimHistoryEntry *entry = history->pdata[i];

        for (guint j = 0; j < entry->changes->len; j++)
          found = found || g_strcmp0 (((ShimHistoryChange *) entry->changes->pdata[j])->before, "Mina") == 0;
      }
    g_assert_true (found);
  }
  two_tear_down (&two);
}

static void
test_measured (void)
{
  Two two;
  g_autoptr (ShimMergeReport) dry = NULL;
  g_autoptr (ShimMergeReport) report = NULL;
  g_autoptr (ShimMergeReport) again = NULL;
  g_autoptr (GError) error = NULL;

  two_set_up (&two);
  {
    g_autofree char *pair = store_add_pair (two.b.reg, two.b.body, two.b.lens);
    g_autofree char *test = store_add_test (two.b.reg, pair, "2026-05-01T10:00:00Z");
    g_autofree char *round = store_add_round (two.b.reg, test, 0);
    g_autoptr (ShimFrame) frame = store_frame_new (round, 1);
    g_autoptr (ShimPairNow) now = NULL;
    g_autoptr (ShimRecord) back = NULL;
    g_autofree char *frame_id = store_add (two.b.reg, frame);

    g_free (store_add_decision (two.b.reg, pair, test, "2026-05-01T11:00:00Z", 3));
    g_free (store_add_slot (two.b.reg, two.b.body, 1, pair, 3, "keyed", "2026-05-01T11:10:00Z"));
    dry = shim_register_merge (two.a.reg, two.b.path, TRUE, &error);
    g_assert_no_error (error);
    g_assert_cmpuint (dry->added, ==, 6);
    g_assert_cmpint (shim_register_count (two.a.reg, SHIM_TYPE_PAIR, NULL, NULL), ==, 0);
    report = merge (&two.a, &two.b);
    g_assert_cmpuint (report->added, ==, 6);
    now = shim_register_pair_now (two.a.reg, pair, &error);
    g_assert_no_error (error);
    g_assert_cmpint (now->value, ==, 3);
    g_assert_cmpint (now->slot, ==, 1);
    back = shim_register_get (two.a.reg, SHIM_TYPE_FRAME, frame_id, &error);
    g_assert_cmpuint (g_bytes_get_size (SHIM_FRAME (back)->evidence), ==, 5);
    again = merge (&two.a, &two.b);
    g_assert_cmpuint (again->added + again->updated + again->conflicts->len, ==, 0);
    /* One undo takes all of it back. */
    g_assert_true (shim_register_undo (two.a.reg, NULL, &error));
    g_assert_no_error (error);
    g_assert_cmpint (shim_register_count (two.a.reg, SHIM_TYPE_PAIR, NULL, NULL), ==, 0);
  }
  two_tear_down (&two);
}

/* The same pair entered in both goes by two ids; what was measured there hangs on ours here. */
static void
test_same_pair (void)
{
  Two two;

  two_set_up (&two);
  {
    g_autofree char *ours = store_add_pair (two.a.reg, two.a.body, two.a.lens);
    g_autofree char *theirs = store_add_pair (two.b.reg, two.b.body, two.b.lens);
    g_autofree char *test = store_add_test (two.b.reg, theirs, "2026-05-01T10:00:00Z");
    g_autoptr (ShimMergeReport) report = NULL;
    g_autoptr (ShimMergeReport) back = NULL;
    g_autoptr (ShimPairNow) now = NULL;

    g_assert_cmpstr (ours, !=, theirs);
    g_free (store_add_decision (two.b.reg, theirs, test, "2026-05-01T11:00:00Z", -7));
    report = merge (&two.a, &two.b);
    g_assert_cmpuint (report->added, ==, 2);
    now = shim_register_pair_now (two.a.reg, ours, NULL);
    g_assert_cmpint (now->value, ==, -7);
    /* And the way back finds nothing new. */
    back = merge (&two.b, &two.a);
    g_assert_cmpuint (back->added + back->conflicts->len, ==, 0);
  }
  two_tear_down (&two);
}

static void
test_mount_renamed_here (void)
{
  Two two;
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GPtrArray) mounts = NULL;
  g_autoptr (ShimMergeReport) report = NULL;
  g_autoptr (ShimLens) lens = store_lens_new ("Quast 28", NULL);
  g_autofree char *id = NULL;

  two_set_up (&two);
  shim_query_add_filter (query, "name", "K");
  mounts = shim_register_list (two.a.reg, SHIM_TYPE_MOUNT, query, NULL);
  STORE_SET (mounts->pdata[0], "name", "K bayonet");
  g_assert_true (shim_register_update (two.a.reg, mounts->pdata[0], NULL));
  id = store_add (two.b.reg, lens);
  report = merge (&two.a, &two.b);
  g_assert_cmpuint (report->added, ==, 1);
  assert_text (&two.a, id, "mount", "K bayonet");
  two_tear_down (&two);
}

static void
test_removed_there (void)
{
  Two two;
  g_autoptr (ShimMergeReport) report = NULL;
  g_autoptr (ShimMergeReport) again = NULL;

  two_set_up (&two);
  g_assert_true (shim_register_remove (two.b.reg, SHIM_TYPE_LENS, two.b.lens_two, NULL));
  report = merge (&two.a, &two.b);
  g_assert_cmpuint (report->updated, ==, 1);
  g_assert_null (shim_register_get (two.a.reg, SHIM_TYPE_LENS, two.a.lens_two, NULL));
  /* Brought back there: back here too. */
  g_assert_true (shim_register_undo (two.b.reg, NULL, NULL));
  g_clear_pointer (&two.b.reg, shim_register_free);
  store_exec (two.b.path, "DROP TRIGGER retraction_same; UPDATE retraction SET at = '2099-01-01T00:00:00Z' WHERE retracted = 0");
  store_fixture_reopen (&two.b);
  again = merge (&two.a, &two.b);
  g_assert_cmpuint (again->updated, ==, 1);
  assert_text (&two.a, two.a.lens_two, "label", "Velle 85 second");
  two_tear_down (&two);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/store/merge/nothing-new", test_nothing_new);
  g_test_add_func ("/store/merge/fields", test_fields);
  g_test_add_func ("/store/merge/conflict", test_conflict);
  g_test_add_func ("/store/merge/measured", test_measured);
  g_test_add_func ("/store/merge/same-pair", test_same_pair);
  g_test_add_func ("/store/merge/mount-renamed", test_mount_renamed_here);
  g_test_add_func ("/store/merge/removed", test_removed_there);
  return g_test_run ();
}
