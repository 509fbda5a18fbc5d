/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "shim-db.h"
#include "shim-kit-error.h"
#include "store-fixture.h"

static const char *
type_of (const ShimField *field)
{
  switch (field->type)
    {
    case SHIM_FIELD_INT:
    case SHIM_FIELD_BOOL:
      return "INTEGER";
    case SHIM_FIELD_REAL:
      return "REAL";
    case SHIM_FIELD_BLOB:
      return "BLOB";
    default:
      return "TEXT";
    }
}

/* The history keeps changes by column number, so tables must follow the field tables in name, order and type. */
static void
test_tables_follow_fields (void)
{
  StoreFixture f;
  const GType *types;
  guint n_types;

  store_fixture_set_up (&f);
  types = shim_kind_list_types (&n_types);
  for (guint i = 0; i < n_types; i++)
    {
      const ShimKind *kind = shim_kind_for_type (types[i]);
      g_autoptr (GError) error = NULL;
      g_autoptr (ShimDb) db = shim_db_open (f.path, SQLITE_OPEN_READONLY, &error);
      g_autofree char *sql = g_strdup_printf ("SELECT name, type, \"notnull\" FROM pragma_table_info ('%s') ORDER BY cid", kind->name);
      g_autoptr (ShimStatement) row = shim_db_prepare (db, sql, &error);

      g_assert_no_error (error);
      g_assert_cmpint (shim_statement_step (row, &error), ==, SHIM_STEP_ROW);
      g_assert_cmpstr (shim_statement_get_text (row, 0), ==, "id");
      for (guint j = 0; j < kind->n_fields; j++)
        {
          const ShimField *field = &kind->fields[j];
          gboolean required = (field->flags & SHIM_FIELD_REQUIRED) != 0 || field->type == SHIM_FIELD_BOOL;

          g_assert_cmpint (shim_statement_step (row, &error), ==, SHIM_STEP_ROW);
          g_assert_cmpstr (shim_statement_get_text (row, 0), ==, field->name);
          g_assert_cmpstr (shim_statement_get_text (row, 1), ==, type_of (field));
          g_assert_cmpint (shim_statement_get_int (row, 2), ==, required);
        }
      g_assert_cmpint (shim_statement_step (row, &error), ==, SHIM_STEP_DONE);
    }
  store_fixture_tear_down (&f);
}

static void
fill_every_field (ShimRecord *record)
{
  const ShimKind *kind = shim_record_get_kind (record);
  g_autoptr (GBytes) bytes = g_bytes_new_static ("\0\1\2", 3);

  for (guint i = 0; i < kind->n_fields; i++)
    {
      const ShimField *field = &kind->fields[i];
      double middle = field->min == field->max ? 2.0 : (field->min + field->max) / 2.0;

      if (shim_record_is_known (record, field) && field->type != SHIM_FIELD_BOOL)
        continue;
      switch (field->type)
        {
        case SHIM_FIELD_INT:
          shim_record_set_int (record, field, (gint64) middle);
          break;
        case SHIM_FIELD_BOOL:
          shim_record_set_int (record, field, 1);
          break;
        case SHIM_FIELD_REAL:
          shim_record_set_real (record, field, middle);
          break;
        case SHIM_FIELD_CHOICE:
          shim_record_set_text (record, field, field->choices[0].value);
          break;
        case SHIM_FIELD_DATE:
          shim_record_set_text (record, field, "2026-02-28");
          break;
        case SHIM_FIELD_TIME:
          shim_record_set_text (record, field, "2026-02-28T23:59:59Z");
          break;
        case SHIM_FIELD_BLOB:
          shim_record_set_blob (record, field, bytes);
          break;
        case SHIM_FIELD_TEXT:
        case SHIM_FIELD_REF:
        default:
          shim_record_set_text (record, field, "0021 – “öÅ”");
          break;
        }
    }
}

/* Every field of items that need nothing else comes back as it was. */
static void
test_round_trip (void)
{
  const GType types[] = { SHIM_TYPE_MOUNT, SHIM_TYPE_ADAPTER, SHIM_TYPE_BODY, SHIM_TYPE_LENS, SHIM_TYPE_CONVERTER, SHIM_TYPE_JOB };
  StoreFixture f;

  store_fixture_set_up (&f);
  for (guint i = 0; i < G_N_ELEMENTS (types); i++)
    {
      g_autoptr (ShimRecord) record = g_object_new (types[i], NULL);
      g_autoptr (ShimRecord) back = NULL;
      g_autoptr (GError) error = NULL;
      g_autofree char *id = NULL;
      const char *const mounts[] = { "mount", "lens_mount", "body_mount" };

      for (guint j = 0; j < G_N_ELEMENTS (mounts); j++)
        if (shim_kind_find_field (shim_record_get_kind (record), mounts[j]) != NULL)
          shim_record_set_text (record, shim_kind_find_field (shim_record_get_kind (record), mounts[j]), "K");
      fill_every_field (record);
      id = store_add (f.reg, record);
      back = shim_register_get (f.reg, types[i], id, &error);
      g_assert_no_error (error);
      g_assert_true (shim_record_equal (record, back));
    }
  store_fixture_tear_down (&f);
}

static void
test_evidence_round_trip (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  {
    g_autofree char *pair = store_add_pair (f.reg, f.body, f.lens);
    g_autofree char *test = store_add_test (f.reg, pair, "2026-05-01T10:00:00Z");
    g_autofree char *round = store_add_round (f.reg, test, -5);
    g_autoptr (ShimFrame) frame = store_frame_new (round, 1);
    g_autoptr (ShimReading) reading = shim_reading_new ();
    g_autofree char *id = NULL;
    g_autofree char *reading_id = NULL;
    g_autoptr (ShimRecord) back = NULL;
    g_autoptr (ShimRecord) reading_back = NULL;
    g_autoptr (GPtrArray) without = NULL;

    fill_every_field (SHIM_RECORD (frame));
    frame->override = 1;
    id = store_add (f.reg, frame);
    STORE_SET (reading, "frame", id);
    fill_every_field (SHIM_RECORD (reading));
    reading_id = store_add (f.reg, reading);
    back = shim_register_get (f.reg, SHIM_TYPE_FRAME, id, &error);
    reading_back = shim_register_get (f.reg, SHIM_TYPE_READING, reading_id, &error);
    g_assert_no_error (error);
    g_assert_true (shim_record_equal (SHIM_RECORD (frame), back));
    g_assert_true (shim_record_equal (SHIM_RECORD (reading), reading_back));
    /* A list leaves the picture out. */
    without = shim_register_list (f.reg, SHIM_TYPE_FRAME, NULL, &error);
    g_assert_no_error (error);
    g_assert_cmpuint (without->len, ==, 1);
    g_assert_null (SHIM_FRAME (without->pdata[0])->evidence);
  }
  store_fixture_tear_down (&f);
}

static void
assert_refused (ShimRegister *reg, gpointer record, GQuark domain, int code)
{
  g_autoptr (GError) error = NULL;
  gint64 before = shim_register_count (reg, G_OBJECT_TYPE (record), NULL, NULL);

  g_assert_false (shim_register_insert (reg, record, &error));
  g_assert_error (error, domain, code);
  g_assert_null (SHIM_RECORD (record)->id);
  g_assert_cmpint (shim_register_count (reg, G_OBJECT_TYPE (record), NULL, NULL), ==, before);
}

static void
test_refusals (void)
{
  StoreFixture f;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  {
    g_autoptr (ShimLens) nameless = store_lens_new (NULL, NULL);
    g_autoptr (ShimLens) nowhere = store_lens_new ("Nowhere", NULL);
    g_autoptr (ShimLens) foreign = store_lens_new ("Foreign", NULL);
    g_autoptr (ShimMount) mount = shim_mount_new ();
    g_autoptr (ShimPair) misfit = shim_pair_new ();
    g_autoptr (ShimPair) twice = shim_pair_new ();
    g_autoptr (ShimEvent) event = shim_event_new ();
    g_autofree char *pair = store_add_pair (f.reg, f.body, f.lens);
    g_autoptr (ShimDecision) decision = shim_decision_new ();
    g_autoptr (ShimSlotEntry) entry = shim_slot_entry_new ();

    assert_refused (f.reg, nameless, SHIM_KIT_ERROR, SHIM_KIT_ERROR_MISSING);
    STORE_SET (nowhere, "mount", "Nowhere");
    assert_refused (f.reg, nowhere, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CONSTRAINT);
    STORE_SET (mount, "name", "K");
    assert_refused (f.reg, mount, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE);
    STORE_SET (foreign, "mount", "Z");
    g_free (store_add (f.reg, foreign));
    STORE_SET (misfit, "body", f.body, "lens", SHIM_RECORD (foreign)->id);
    assert_refused (f.reg, misfit, SHIM_KIT_ERROR, SHIM_KIT_ERROR_MOUNT);
    STORE_SET (twice, "body", f.body, "lens", f.lens);
    assert_refused (f.reg, twice, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE);
    STORE_SET (event, "item-kind", "lens", "item", f.body, "kind", "knock", "happened-on", "2026-05-01", "noted-at",
               "2026-05-01T10:00:00Z");
    assert_refused (f.reg, event, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CONSTRAINT);
    STORE_SET (event, "item", f.lens, "happened-on", "1 May");
    assert_refused (f.reg, event, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID);
    STORE_SET (decision, "pair", pair, "decided-at", "2026-05-01T10:00:00Z", "end", "all", "origin", "measured", "value",
               G_GINT64_CONSTANT (21));
    assert_refused (f.reg, decision, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID);
    STORE_SET (entry, "body", f.body, "number", G_GINT64_CONSTANT (4), "pair", pair, "value", G_GINT64_CONSTANT (1), "action", "keyed",
               "done-at", "2026-05-01T10:00:00Z");
    assert_refused (f.reg, entry, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID);
  }
  store_fixture_tear_down (&f);
}

static void
test_adapter_makes_it_fit (void)
{
  StoreFixture f;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  {
    g_autoptr (ShimLens) screw = store_lens_new ("Quast 50 screw", NULL);
    g_autoptr (ShimAdapter) adapter = shim_adapter_new ();
    g_autoptr (ShimPair) pair = shim_pair_new ();
    g_autoptr (ShimRecord) back = NULL;
    g_autofree char *lens = NULL;
    g_autofree char *ring = NULL;
    g_autofree char *id = NULL;

    STORE_SET (screw, "mount", "M42 (42x1 screw)");
    lens = store_add (f.reg, screw);
    STORE_SET (pair, "body", f.body, "lens", lens);
    assert_refused (f.reg, pair, SHIM_KIT_ERROR, SHIM_KIT_ERROR_MOUNT);
    STORE_SET (adapter, "label", "Flush ring", "lens-mount", "M42 (42x1 screw)", "body-mount", "K");
    ring = store_add (f.reg, adapter);
    id = store_add (f.reg, pair);
    back = shim_register_get (f.reg, SHIM_TYPE_PAIR, id, NULL);
    g_assert_cmpstr (SHIM_PAIR (back)->adapter, ==, ring);
  }
  store_fixture_tear_down (&f);
}

static void
test_frame_rules (void)
{
  StoreFixture f;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  {
    g_autofree char *pair = store_add_pair (f.reg, f.body, f.lens);
    g_autofree char *test = store_add_test (f.reg, pair, "2026-05-01T10:00:00Z");
    g_autofree char *other_test = store_add_test (f.reg, pair, "2026-05-02T10:00:00Z");
    g_autofree char *round = store_add_round (f.reg, test, 0);
    g_autofree char *next_round = store_add_round (f.reg, test, 5);
    g_autofree char *other_round = store_add_round (f.reg, other_test, 5);
    g_autoptr (ShimFrame) frame = store_frame_new (round, 1);
    g_autoptr (ShimFrame) again = store_frame_new (next_round, 1);
    g_autoptr (ShimFrame) elsewhere = store_frame_new (other_round, 1);
    g_autoptr (ShimFrame) stranger = store_frame_new (round, 2);
    g_autoptr (ShimRecord) found = NULL;

    g_free (store_add (f.reg, frame));
    assert_refused (f.reg, again, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE);
    g_free (store_add (f.reg, elsewhere));
    /* Leading zeros count: 12345 is not 0012345. */
    STORE_SET (stranger, "body-serial", "12345");
    assert_refused (f.reg, stranger, SHIM_KIT_ERROR, SHIM_KIT_ERROR_CONFLICT);
    STORE_SET (stranger, "body-serial", " 0012345 ", "lens-serial", "7002");
    assert_refused (f.reg, stranger, SHIM_KIT_ERROR, SHIM_KIT_ERROR_CONFLICT);
    STORE_SET (stranger, "override", TRUE);
    g_free (store_add (f.reg, stranger));
    found = shim_register_find_frame (f.reg, test, frame->sha256, NULL);
    g_assert_cmpstr (found->id, ==, SHIM_RECORD (frame)->id);
    g_clear_object (&found);
    found = shim_register_find_frame (f.reg, other_test, stranger->sha256, NULL);
    g_assert_null (found);
  }
  store_fixture_tear_down (&f);
}

/* What was measured or decided cannot be changed past the store either. */
static void
test_evidence_is_kept (void)
{
  static const char *const statements[] = {
    "UPDATE %s SET id = 'x'", "DELETE FROM %s", "INSERT OR REPLACE INTO %s SELECT * FROM %s LIMIT 1",
  };
  static const char *const tables[] = { "test", "round", "frame", "reading", "verdict", "decision", "slot_entry", "retraction" };
  StoreFixture f;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  {
    g_autofree char *pair = store_add_pair (f.reg, f.body, f.lens);
    g_autofree char *test = store_add_test (f.reg, pair, "2026-05-01T10:00:00Z");
    g_autofree char *round = store_add_round (f.reg, test, 0);
    g_autoptr (ShimFrame) frame = store_frame_new (round, 1);
    g_autoptr (ShimReading) reading = shim_reading_new ();
    g_autoptr (ShimVerdict) verdict = shim_verdict_new ();
    g_autofree char *id = store_add (f.reg, frame);

    STORE_SET (reading, "frame", id, "read-at", "2026-05-01T10:07:00Z", "method", "eye");
    g_free (store_add (f.reg, reading));
    STORE_SET (verdict, "frame", id, "decided-at", "2026-05-01T10:07:00Z", "use", TRUE);
    g_free (store_add (f.reg, verdict));
    g_free (store_add_decision (f.reg, pair, test, "2026-05-01T11:00:00Z", 3));
    g_free (store_add_slot (f.reg, f.body, 1, pair, 3, "keyed", "2026-05-01T11:10:00Z"));
    g_assert_true (shim_register_undo (f.reg, NULL, NULL));
  }
  g_clear_pointer (&f.reg, shim_register_free);
  for (guint i = 0; i < G_N_ELEMENTS (tables); i++)
    for (guint j = 0; j < G_N_ELEMENTS (statements); j++)
      {
        g_autofree char *sql = g_strdup_printf (statements[j], tables[i], tables[i]);
        sqlite3 *handle = NULL;

        g_assert_cmpint (sqlite3_open (f.path, &handle), ==, SQLITE_OK);
        g_assert_cmpint (sqlite3_exec (handle, sql, NULL, NULL, NULL), ==, SQLITE_CONSTRAINT);
        sqlite3_close (handle);
      }
  store_fixture_tear_down (&f);
}

static void
test_mount_renamed (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  {
    g_autoptr (ShimQuery) query = shim_query_new ();
    g_autoptr (GPtrArray) mounts = NULL;
    g_autoptr (ShimRecord) lens = NULL;

    shim_query_add_filter (query, "name", "K");
    mounts = shim_register_list (f.reg, SHIM_TYPE_MOUNT, query, &error);
    g_assert_cmpuint (mounts->len, ==, 1);
    STORE_SET (mounts->pdata[0], "name", "K bayonet");
    g_assert_true (shim_register_update (f.reg, mounts->pdata[0], &error));
    g_assert_no_error (error);
    lens = shim_register_get (f.reg, SHIM_TYPE_LENS, f.lens, &error);
    g_assert_cmpstr (SHIM_LENS (lens)->mount, ==, "K bayonet");
    g_assert_true (shim_register_undo (f.reg, NULL, &error));
    g_assert_no_error (error);
    g_clear_object (&lens);
    lens = shim_register_get (f.reg, SHIM_TYPE_LENS, f.lens, &error);
    g_assert_cmpstr (SHIM_LENS (lens)->mount, ==, "K");
    g_assert_true (shim_register_redo (f.reg, NULL, &error));
    g_assert_no_error (error);
  }
  store_fixture_tear_down (&f);
}

static void
test_remove_and_come_back (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  {
    g_autoptr (ShimJob) job = shim_job_new ();
    g_autoptr (ShimJobItem) item = shim_job_item_new ();
    g_autoptr (ShimJobItem) again = shim_job_item_new ();
    g_autofree char *job_id = NULL;
    g_autofree char *first = NULL;
    g_autofree char *second = NULL;

    STORE_SET (job, "name", "School play");
    job_id = store_add (f.reg, job);
    STORE_SET (item, "job", job_id, "item-kind", "lens", "item", f.lens, "note", "with hood");
    first = store_add (f.reg, item);
    g_assert_false (shim_register_remove (f.reg, SHIM_TYPE_LENS, f.lens, &error));
    g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_CONSTRAINT);
    g_clear_error (&error);
    g_assert_true (shim_register_remove (f.reg, SHIM_TYPE_JOB_ITEM, first, &error));
    g_assert_null (shim_register_get (f.reg, SHIM_TYPE_JOB_ITEM, first, NULL));
    g_assert_false (shim_register_remove (f.reg, SHIM_TYPE_JOB_ITEM, first, &error));
    g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_FOUND);
    g_clear_error (&error);
    STORE_SET (again, "job", job_id, "item-kind", "lens", "item", f.lens, "note", "without hood");
    second = store_add (f.reg, again);
    g_assert_cmpstr (first, ==, second);
    g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_JOB_ITEM, NULL, NULL), ==, 1);
    g_assert_true (shim_register_undo (f.reg, NULL, &error));
    g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_JOB_ITEM, NULL, NULL), ==, 0);
    g_assert_true (shim_register_undo (f.reg, NULL, &error));
    {
      g_autoptr (ShimRecord) back = shim_register_get (f.reg, SHIM_TYPE_JOB_ITEM, first, &error);

      g_assert_no_error (error);
      g_assert_cmpstr (SHIM_JOB_ITEM (back)->note, ==, "with hood");
    }
  }
  store_fixture_tear_down (&f);
}

static void
test_list (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&f);
  for (guint i = 0; i < 30; i++)
    {
      g_autofree char *label = g_strdup_printf ("%c lens %02u", i % 2 ? 'a' : 'B', i);
      g_autoptr (ShimLens) lens = store_lens_new (label, NULL);

      STORE_SET (lens, "archived", i % 10 == 9, "mount", i % 3 == 0 ? "E" : "K", "focal-min-mm", 20.0 + i);
      if (i > 4)
        STORE_SET (lens, "place", "Shelf");
      g_free (store_add (f.reg, lens));
    }
  {
    g_autoptr (ShimQuery) query = shim_query_new ();
    g_autoptr (ShimQuery) copy = NULL;
    g_autoptr (GPtrArray) list = NULL;
    const char *const values[] = { "E", "Z", NULL };

    g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_LENS, NULL, NULL), ==, 27);
    shim_query_set_include_archived (query, TRUE);
    g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_LENS, query, NULL), ==, 30);
    shim_query_add_filter_in (query, "mount", values);
    shim_query_add_order (query, "label", FALSE);
    shim_query_set_window (query, 2, 3);
    copy = shim_query_copy (query);
    list = shim_register_list (f.reg, SHIM_TYPE_LENS, copy, &error);
    g_assert_no_error (error);
    g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_LENS, copy, NULL), ==, 10);
    g_assert_cmpuint (list->len, ==, 3);
    g_assert_cmpstr (SHIM_LENS (list->pdata[0])->label, ==, "a lens 15");
    g_assert_cmpstr (SHIM_LENS (list->pdata[2])->label, ==, "a lens 27");
    shim_query_leave_out (copy, SHIM_RECORD (list->pdata[0])->id);
    g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_LENS, copy, NULL), ==, 9);
    g_assert_false (shim_query_equal (query, copy));
    shim_query_leave_out (copy, NULL);
    g_clear_pointer (&list, g_ptr_array_unref);
    shim_query_add_filter (copy, "place", NULL);
    g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_LENS, copy, NULL), ==, 2);
    shim_query_add_filter (copy, "focal_min_mm", "23");
    g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_LENS, copy, NULL), ==, 1);
    shim_query_add_filter (copy, "label\" OR 1", "23");
    g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_LENS, copy, &error), ==, -1);
    g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_FAILED);
    g_clear_error (&error);
  }
  {
    /* Not known comes last, whichever way it is sorted; alike ones in the order of entry. */
    g_autoptr (ShimQuery) query = shim_query_new ();
    g_autoptr (GPtrArray) list = NULL;

    shim_query_add_order (query, "place", TRUE);
    shim_query_add_order (query, "focal_min_mm", TRUE);
    list = shim_register_list (f.reg, SHIM_TYPE_LENS, query, &error);
    g_assert_cmpstr (SHIM_LENS (list->pdata[0])->label, ==, "B lens 28");
    g_assert_cmpstr (SHIM_LENS (list->pdata[26])->label, ==, "B lens 00");
  }
  store_fixture_tear_down (&f);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/store/records/tables-follow-fields", test_tables_follow_fields);
  g_test_add_func ("/store/records/round-trip", test_round_trip);
  g_test_add_func ("/store/records/evidence-round-trip", test_evidence_round_trip);
  g_test_add_func ("/store/records/refusals", test_refusals);
  g_test_add_func ("/store/records/adapter", test_adapter_makes_it_fit);
  g_test_add_func ("/store/records/frames", test_frame_rules);
  g_test_add_func ("/store/records/evidence-is-kept", test_evidence_is_kept);
  g_test_add_func ("/store/records/mount-renamed", test_mount_renamed);
  g_test_add_func ("/store/records/remove", test_remove_and_come_back);
  g_test_add_func ("/store/records/list", test_list);
  return g_test_run ();
}
