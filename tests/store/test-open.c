/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <string.h>
#include <unistd.h>

#include "shim-schema.h"
#include "store-fixture.h"

/* Opening what is not as it should be, and bringing up to date what is old. */

static void
assert_refused (const char *path, ShimRegisterFlags flags, ShimStoreError code)
{
  g_autoptr (GError) error = NULL;
  ShimRegister *reg = shim_register_open (path, flags, &error);

  g_assert_null (reg);
  g_assert_error (error, SHIM_STORE_ERROR, (int) code);
  /* A sentence, with the way out. */
  g_assert_cmpint (error->message[strlen (error->message) - 1], ==, '.');
}

static char *
digest_of (const char *path)
{
  g_autofree char *data = NULL;
  gsize size;

  g_assert_true (g_file_get_contents (path, &data, &size, NULL));
  return g_compute_checksum_for_data (G_CHECKSUM_SHA256, (guchar *) data, size);
}

/* Refused, and not a byte of it touched. */
static void
assert_refused_untouched (const char *path, ShimStoreError code)
{
  g_autofree char *before = digest_of (path);
  g_autofree char *after = NULL;

  assert_refused (path, SHIM_REGISTER_DEFAULT, code);
  assert_refused (path, SHIM_REGISTER_CREATE, code);
  assert_refused (path, SHIM_REGISTER_READ_ONLY, code);
  after = digest_of (path);
  g_assert_cmpstr (before, ==, after);
}

static void
test_missing (void)
{
  StoreFixture f;
  g_autofree char *missing = NULL, *deep = NULL;
  g_autoptr (ShimRegister) reg = NULL;
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&f);
  missing = store_fixture_file (&f, "none.shimbook");
  assert_refused (missing, SHIM_REGISTER_DEFAULT, SHIM_STORE_ERROR_OPEN);
  assert_refused (missing, SHIM_REGISTER_READ_ONLY, SHIM_STORE_ERROR_OPEN);
  g_assert_false (g_file_test (missing, G_FILE_TEST_EXISTS));
  assert_refused (f.folder, SHIM_REGISTER_CREATE, SHIM_STORE_ERROR_OPEN);
  deep = g_build_filename (f.folder, "a", "b", "kit", NULL);
  reg = shim_register_open (deep, SHIM_REGISTER_CREATE, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (shim_register_get_path (reg), ==, deep);
  g_assert_cmpuint (strlen (shim_register_get_id (reg)), ==, 36);
  g_clear_pointer (&reg, shim_register_free);
  store_fixture_tear_down (&f);
}

static void
test_empty_file (void)
{
  StoreFixture f;
  g_autofree char *path = NULL;
  g_autoptr (ShimRegister) reg = NULL;
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&f);
  path = store_fixture_file (&f, "empty.shimbook");
  g_assert_true (g_file_set_contents (path, "", 0, NULL));
  assert_refused (path, SHIM_REGISTER_DEFAULT, SHIM_STORE_ERROR_NOT_A_REGISTER);
  reg = shim_register_open (path, SHIM_REGISTER_CREATE, &error);
  g_assert_no_error (error);
  g_clear_pointer (&reg, shim_register_free);
  store_fixture_tear_down (&f);
}

static void
test_not_a_register (void)
{
  StoreFixture f;
  g_autofree char *text = NULL, *picture = NULL, *foreign = NULL, *number = NULL;

  store_fixture_set_up (&f);
  text = store_fixture_file (&f, "letter.txt");
  picture = store_fixture_file (&f, "picture.jpg");
  foreign = store_fixture_file (&f, "foreign.db");
  number = store_fixture_file (&f, "number.db");
  g_assert_true (g_file_set_contents (text, "Dear crew, the lenses are in the blue cupboard.\n", -1, NULL));
  g_assert_true (g_file_set_contents (picture, "\xff\xd8\xff\xe0 and so on and so on, for a hundred bytes or so, and then some more, "
                                               "and then some more, and then the end.", -1, NULL));
  store_exec (foreign, "CREATE TABLE mail (id INTEGER PRIMARY KEY); PRAGMA user_version = 1");
  store_exec (number, "CREATE TABLE mail (id INTEGER PRIMARY KEY); PRAGMA application_id = 1234; PRAGMA user_version = 1");
  assert_refused_untouched (text, SHIM_STORE_ERROR_NOT_A_REGISTER);
  assert_refused_untouched (picture, SHIM_STORE_ERROR_NOT_A_REGISTER);
  assert_refused_untouched (foreign, SHIM_STORE_ERROR_NOT_A_REGISTER);
  assert_refused_untouched (number, SHIM_STORE_ERROR_NOT_A_REGISTER);
  store_fixture_tear_down (&f);
}

static void
test_newer (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  g_clear_pointer (&f.reg, shim_register_free);
  store_exec (f.path, "PRAGMA user_version = 4");
  assert_refused_untouched (f.path, SHIM_STORE_ERROR_NEWER);
  g_assert_null (shim_register_open (f.path, SHIM_REGISTER_DEFAULT, &error));
  g_assert_nonnull (strstr (error->message, "newer Shimbook"));
  store_fixture_tear_down (&f);
}

/* Cut short, or with a hole in the middle. */
static void
test_damaged (void)
{
  StoreFixture f;
  g_autofree char *data = NULL, *cut = NULL, *hole = NULL;
  gsize size;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  g_clear_pointer (&f.reg, shim_register_free);
  g_assert_true (g_file_get_contents (f.path, &data, &size, NULL));
  cut = store_fixture_file (&f, "cut.shimbook");
  g_assert_true (g_file_set_contents (cut, data, size / 2, NULL));
  assert_refused_untouched (cut, SHIM_STORE_ERROR_CORRUPT);
  hole = store_fixture_file (&f, "hole.shimbook");
  memset (data + 4096 * 3, 0x5a, 4096 * 4);
  g_assert_true (g_file_set_contents (hole, data, size, NULL));
  assert_refused (hole, SHIM_REGISTER_DEFAULT, SHIM_STORE_ERROR_CORRUPT);
  store_fixture_tear_down (&f);
}

static void
test_locked (void)
{
  StoreFixture f;
  sqlite3 *other = NULL;
  g_autoptr (ShimLens) lens = store_lens_new ("Velle 24", NULL);
  g_autoptr (GError) error = NULL;
  g_autofree char *fresh = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  g_assert_cmpint (sqlite3_open (f.path, &other), ==, SQLITE_OK);
  g_assert_cmpint (sqlite3_exec (other, "BEGIN IMMEDIATE; UPDATE lens SET holder = 'Jonas'", NULL, NULL, NULL), ==, SQLITE_OK);
  shim_register_set_patience (f.reg, 50);
  g_assert_false (shim_register_insert (f.reg, SHIM_RECORD (lens), &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_BUSY);
  /* Reading goes on meanwhile, and sees the state before. */
  {
    g_autoptr (ShimRecord) before = shim_register_get (f.reg, SHIM_TYPE_LENS, f.lens, NULL);

    g_assert_null (SHIM_LENS (before)->holder);
  }
  g_assert_cmpint (sqlite3_exec (other, "COMMIT", NULL, NULL, NULL), ==, SQLITE_OK);
  sqlite3_close (other);
  g_assert_true (shim_register_insert (f.reg, SHIM_RECORD (lens), NULL));
  store_fixture_tear_down (&f);
}

static void
test_read_only (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRegister) reg = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  g_clear_pointer (&f.reg, shim_register_free);
  g_chmod (f.path, 0400);
  g_chmod (f.folder, 0500);
  if (access (f.folder, W_OK) == 0)
    g_test_skip ("the administrator may write everywhere");
  else
    {
      g_autoptr (ShimLens) lens = store_lens_new ("Velle 24", NULL);

      reg = shim_register_open (f.path, SHIM_REGISTER_READ_ONLY, &error);
      g_assert_no_error (error);
      g_assert_cmpint (shim_register_count (reg, SHIM_TYPE_LENS, NULL, NULL), ==, 2);
      g_assert_false (shim_register_insert (reg, SHIM_RECORD (lens), &error));
      g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_READ_ONLY);
      assert_refused (f.path, SHIM_REGISTER_DEFAULT, SHIM_STORE_ERROR_READ_ONLY);
    }
  g_clear_pointer (&reg, shim_register_free);
  g_chmod (f.folder, 0700);
  store_fixture_tear_down (&f);
}

/* --- Versions to come --- */

static const char *const version_four = "ALTER TABLE lens ADD COLUMN colour TEXT; UPDATE lens SET colour = 'black'";

static void
test_migration (void)
{
  StoreFixture f;
  g_autofree char *copy = NULL;
  g_auto (GStrv) known = shim_schema_dup_steps ();
  const char *const steps[] = { known[0], known[1], known[2], version_four, NULL };
  g_autoptr (ShimDb) db = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_cmpuint (g_strv_length (known), ==, 3);
  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  g_clear_pointer (&f.reg, shim_register_free);
  g_assert_null (shim_schema_open (f.path, SHIM_REGISTER_READ_ONLY, steps, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_READ_ONLY);
  g_clear_error (&error);
  db = shim_schema_open (f.path, SHIM_REGISTER_DEFAULT, steps, &error);
  g_assert_no_error (error);
  g_clear_pointer (&db, shim_db_free);
  g_assert_cmpint (store_query_int (f.path, "PRAGMA user_version"), ==, 4);
  g_assert_cmpint (store_query_int (f.path, "SELECT count(*) FROM lens WHERE colour = 'black'"), ==, 2);
  /* What it was before lies beside it, whole. */
  copy = store_fixture_file (&f, "kit-before-v4.shimbook");
  g_assert_cmpint (store_query_int (copy, "PRAGMA user_version"), ==, 3);
  g_assert_cmpint (store_query_int (copy, "SELECT count(*) FROM lens"), ==, 2);
  /* And this program, which knows only version 3, refuses the new one. */
  assert_refused_untouched (f.path, SHIM_STORE_ERROR_NEWER);
  store_fixture_tear_down (&f);
}

/* A step that fails leaves the version before, whole and usable. */
static void
test_failing_migration (void)
{
  static const char *const failures[] = {
    "ALTER TABLE lens ADD COLUMN colour TEXT; SELECT no_such_function ()",
    "ALTER TABLE lens ADD COLUMN colour TEXT; PRAGMA defer_foreign_keys = ON; UPDATE lens SET mount = 'nowhere'",
    "ALTER TABLE lens ADD COLUMN colour TEXT; INSERT INTO book VALUES (2, 'x', 'y')",
  };

  for (guint i = 0; i < G_N_ELEMENTS (failures); i++)
    {
      StoreFixture f;
      g_auto (GStrv) known = shim_schema_dup_steps ();
      const char *const steps[] = { known[0], known[1], known[2], failures[i], NULL };
      g_autoptr (GError) error = NULL;

      store_fixture_set_up (&f);
      store_fixture_fill (&f);
      g_clear_pointer (&f.reg, shim_register_free);
      g_assert_null (shim_schema_open (f.path, SHIM_REGISTER_DEFAULT, steps, &error));
      g_assert_nonnull (error);
      g_assert_cmpint (store_query_int (f.path, "PRAGMA user_version"), ==, 3);
      g_assert_cmpint (store_query_int (f.path, "SELECT count(*) FROM pragma_table_info ('lens') WHERE name = 'colour'"), ==, 0);
      store_fixture_reopen (&f);
      g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_LENS, NULL, NULL), ==, 2);
      store_fixture_tear_down (&f);
    }
}

static void
test_settings (void)
{
  StoreFixture f;

  store_fixture_set_up (&f);
  g_assert_cmpint (store_query_int (f.path, "PRAGMA application_id"), ==, SHIM_SCHEMA_APPLICATION_ID);
  g_assert_cmpint (store_query_int (f.path, "SELECT count(*) FROM pragma_journal_mode WHERE journal_mode = 'wal'"), ==, 1);
  /* Every table of ours is strict, so that no text gets into a number. */
  g_assert_cmpint (store_query_int (f.path, "SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND strict = 0"
                                            " AND name NOT LIKE 'sqlite_%' AND name NOT LIKE 'search%'"),
                   ==, 0);
  store_fixture_tear_down (&f);
}

static void
test_backup (void)
{
  StoreFixture f;
  g_autofree char *copy = NULL, *letter = NULL;
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  copy = store_fixture_file (&f, "copy.shimbook");
  letter = store_fixture_file (&f, "letter.txt");
  g_assert_true (shim_register_backup (f.reg, copy, FALSE, &error));
  g_assert_no_error (error);
  g_assert_cmpint (store_query_int (copy, "SELECT count(*) FROM lens"), ==, 2);
  g_assert_false (shim_register_backup (f.reg, copy, FALSE, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE);
  g_clear_error (&error);
  g_assert_true (shim_register_undo (f.reg, NULL, NULL));
  g_assert_true (shim_register_backup (f.reg, copy, TRUE, &error));
  g_assert_no_error (error);
  {
    g_autoptr (ShimRegister) back = shim_register_open (copy, SHIM_REGISTER_DEFAULT, &error);

    g_assert_no_error (error);
    g_assert_cmpint (shim_register_count (back, SHIM_TYPE_LENS, NULL, NULL), ==, 1);
    g_assert_cmpstr (shim_register_get_id (back), ==, shim_register_get_id (f.reg));
  }
  g_assert_true (g_file_set_contents (letter, "Dear crew", -1, NULL));
  g_assert_false (shim_register_backup (f.reg, letter, TRUE, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE);
  g_clear_error (&error);
  g_assert_false (shim_register_backup (f.reg, f.path, TRUE, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_DUPLICATE);
  store_fixture_tear_down (&f);
}

/* What check finds when somebody went past the store. */
/* Back to a backup, while another connection looks on; nothing is lost. */
static void
test_restore (void)
{
  StoreFixture f;
  g_autofree char *copy = NULL, *kept = NULL, *letter = NULL;
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRegister) other = NULL;
  g_autoptr (ShimBackupInfo) info = NULL;
  gint64 before;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  copy = store_fixture_file (&f, "copy.shimbook");
  g_assert_true (shim_register_backup (f.reg, copy, FALSE, &error));
  {
    g_autoptr (ShimLens) lens = store_lens_new ("Bought since", NULL);

    g_free (store_add (f.reg, lens));
  }
  other = shim_register_open (f.path, SHIM_REGISTER_READ_ONLY, &error);
  before = shim_register_data_version (other);
  info = shim_register_look_at_backup (f.reg, copy, &error);
  g_assert_no_error (error);
  g_assert_true (info->is_same);
  g_assert_cmpint (info->n_lenses, ==, 2);
  store_make_version_1 (copy);
  g_assert_true (shim_register_restore (f.reg, copy, &kept, &error));
  g_assert_no_error (error);
  g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_LENS, NULL, NULL), ==, 2);
  g_assert_cmpint (shim_register_count (other, SHIM_TYPE_LENS, NULL, NULL), ==, 2);
  g_assert_cmpint (shim_register_data_version (other), !=, before);
  g_assert_cmpint (store_query_int (copy, "PRAGMA user_version"), ==, 1);
  g_assert_cmpint (store_query_int (kept, "SELECT count(*) FROM lens"), ==, 3);
  /* It is written to as before. */
  {
    g_autoptr (ShimLens) lens = store_lens_new ("Bought later", NULL);

    g_free (store_add (f.reg, lens));
  }
  g_assert_cmpint (shim_register_count (other, SHIM_TYPE_LENS, NULL, NULL), ==, 3);
  /* What is no register, and what a newer program wrote, changes nothing. */
  letter = store_fixture_file (&f, "letter.txt");
  g_assert_true (g_file_set_contents (letter, "Dear crew, the lenses are back from the workshop.", -1, NULL));
  g_assert_false (shim_register_restore (f.reg, letter, NULL, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NOT_A_REGISTER);
  g_clear_error (&error);
  store_exec (copy, "PRAGMA user_version = 99");
  g_assert_false (shim_register_restore (f.reg, copy, NULL, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_NEWER);
  g_assert_cmpint (shim_register_count (f.reg, SHIM_TYPE_LENS, NULL, NULL), ==, 3);
  g_clear_pointer (&other, shim_register_free);
  store_fixture_tear_down (&f);
}

static void
test_check (void)
{
  static const struct
  {
    const char *sql;
    const char *says;
  } cases[] = {
    { "PRAGMA foreign_keys = OFF; UPDATE lens SET mount = 'nowhere'", "refers to" },
    { "DELETE FROM pair_now", "out of step" },
    { "UPDATE pair_now SET decision = NULL", "out of step" },
    { "INSERT INTO retracted SELECT id FROM lens", "removed" },
    { "UPDATE lens SET focal_min_mm = -1, focal_max_mm = 4", "must lie between" },
    { "UPDATE search_text SET words = 'other'", "search index" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      StoreFixture f;
      g_autoptr (GPtrArray) problems = NULL;
      g_autofree char *pair = NULL;
      gboolean found = FALSE;

      store_fixture_set_up (&f);
      store_fixture_fill (&f);
      pair = store_add_pair (f.reg, f.body, f.lens);
      g_free (store_add_decision (f.reg, pair, NULL, "2026-05-01T11:00:00Z", 3));
      g_assert_true (shim_register_check (f.reg, &problems, NULL));
      g_assert_cmpuint (problems->len, ==, 0);
      g_clear_pointer (&problems, g_ptr_array_unref);
      store_exec (f.path, cases[i].sql);
      g_assert_true (shim_register_check (f.reg, &problems, NULL));
      for (guint j = 0; j < problems->len; j++)
        {
          g_test_message ("%s", (char *) problems->pdata[j]);
          found = found || strstr (problems->pdata[j], cases[i].says) != NULL;
        }
      g_assert_true (found);
      store_fixture_tear_down (&f);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/store/open/missing", test_missing);
  g_test_add_func ("/store/open/empty-file", test_empty_file);
  g_test_add_func ("/store/open/not-a-register", test_not_a_register);
  g_test_add_func ("/store/open/newer", test_newer);
  g_test_add_func ("/store/open/damaged", test_damaged);
  g_test_add_func ("/store/open/locked", test_locked);
  g_test_add_func ("/store/open/read-only", test_read_only);
  g_test_add_func ("/store/open/migration", test_migration);
  g_test_add_func ("/store/open/failing-migration", test_failing_migration);
  g_test_add_func ("/store/open/settings", test_settings);
  g_test_add_func ("/store/open/backup", test_backup);
  g_test_add_func ("/store/open/restore", test_restore);
  g_test_add_func ("/store/open/check", test_check);
  return g_test_run ();
}
