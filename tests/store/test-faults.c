/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "fault-vfs.h"
#include "shim-schema.h"
#include "store-fixture.h"

/* Every write and every sync of every kind of change fails once: afterwards the register is sound, and the change is there wholly
 * or not at all. */

/* More than any of the changes below needs; a change that goes on failing would loop for ever. */
#define MAX_SWEEP 2000
/* Sanitizers make each attempt several times as long; a prime stride still meets all parts of the way. */
#ifdef __SANITIZE_ADDRESS__
#define STRIDE 5
#else
#define STRIDE 1
#endif

typedef gboolean (*Change) (StoreFixture *f, GError **error);

static gint64
count (StoreFixture *f, GType type)
{
  g_autoptr (ShimQuery) query = shim_query_new ();

  shim_query_set_include_archived (query, TRUE);
  return shim_register_count (f->reg, type, query, NULL);
}

/* A figure that tells states apart. */
static guint64
fingerprint (StoreFixture *f)
{
  guint64 sum = 0;
  const GType *types;
  guint n_types;

  types = shim_kind_list_types (&n_types);
  for (guint i = 0; i < n_types; i++)
    sum = sum * 31 + (guint64) count (f, types[i]);
  return sum;
}

static void
assert_sound (StoreFixture *f)
{
  g_autoptr (GPtrArray) problems = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_true (shim_register_check (f->reg, &problems, &error));
  g_assert_no_error (error);
  for (guint i = 0; i < problems->len; i++)
    g_test_message ("%s", (char *) problems->pdata[i]);
  g_assert_cmpuint (problems->len, ==, 0);
}

static gboolean
add_lens (StoreFixture *f, GError **error)
{
  g_autoptr (ShimLens) lens = store_lens_new ("Quast 35", "0042");

  return shim_register_insert (f->reg, SHIM_RECORD (lens), error);
}

static gboolean
add_many (StoreFixture *f, GError **error)
{
  if (!shim_register_begin (f->reg, "Import", error))
    return FALSE;
  for (guint i = 0; i < 25; i++)
    {
      g_autofree char *label = g_strdup_printf ("Import %u with a long name, so that more pages are written", i);
      g_autoptr (ShimLens) lens = store_lens_new (label, NULL);

      if (!shim_register_insert (f->reg, SHIM_RECORD (lens), error))
        {
          shim_register_rollback (f->reg);
          return FALSE;
        }
    }
  return shim_register_commit (f->reg, error);
}

static gboolean
undo (StoreFixture *f, GError **error)
{
  return shim_register_undo (f->reg, NULL, error);
}

static gboolean
rebuild (StoreFixture *f, GError **error)
{
  return shim_register_rebuild (f->reg, error);
}

/* One empty and one filled register serve all runs as copies: making a new one each time would take longer than the faults. */
static GBytes *empty_file, *filled_file;

static GBytes *
take_file (StoreFixture *f)
{
  char *data;
  gsize size;

  g_clear_pointer (&f->reg, shim_register_free);
  g_assert_true (g_file_get_contents (f->path, &data, &size, NULL));
  return g_bytes_new_take (data, size);
}

static void
make_files (void)
{
  StoreFixture f;

  store_fixture_set_up (&f);
  empty_file = take_file (&f);
  store_fixture_reopen (&f);
  store_fixture_fill (&f);
  filled_file = take_file (&f);
  store_fixture_tear_down (&f);
}

static void
put_file (const char *path, GBytes *bytes)
{
  gsize size;
  const char *data = g_bytes_get_data (bytes, &size);

  g_assert_true (g_file_set_contents_full (path, data, (gssize) size, G_FILE_SET_CONTENTS_NONE, 0600, NULL));
}

static void
set_up_copy (StoreFixture *f)
{
  memset (f, 0, sizeof *f);
  f->folder = g_dir_make_tmp ("shimbook-store-XXXXXX", NULL);
  f->path = store_fixture_file (f, "kit.shimbook");
  put_file (f->path, filled_file);
  store_fixture_reopen (f);
}

typedef struct
{
  guint64 before;
  guint64 after;
  gboolean done;
  guint n_failed;
} Run;

static Run
run_once (FaultKind kind, Change change, guint n, GError **error)
{
  StoreFixture f;
  Run run;

  set_up_copy (&f);
  run.before = fingerprint (&f);
  fault_vfs_arm (kind, n);
  run.done = change (&f, error);
  /* The program ends while the disk still fails, and starts again when it works. */
  g_clear_pointer (&f.reg, shim_register_free);
  run.n_failed = fault_vfs_disarm ();
  store_fixture_reopen (&f);
  run.after = fingerprint (&f);
  assert_sound (&f);
  store_fixture_tear_down (&f);
  return run;
}

static void
sweep (FaultKind kind, Change change, gboolean changes_something)
{
  const Run whole = run_once (kind, change, G_MAXUINT, NULL);

  g_assert_true (whole.done && (whole.after != whole.before) == changes_something);
  for (guint n = 0; n < MAX_SWEEP; n += STRIDE)
    {
      g_autoptr (GError) error = NULL;
      const Run run = run_once (kind, change, n, &error);

      g_assert_true (run.done == (error == NULL));
      /* What could not be synced was written all the same: after a failed sync it may come back, but whole. */
      if (run.done || (kind == FAULT_SYNC && run.after != whole.before))
        g_assert_cmpuint (run.after, ==, whole.after);
      else
        g_assert_cmpuint (run.after, ==, whole.before);
      if (!run.done && kind == FAULT_FULL)
        g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_FULL);
      if (run.n_failed == 0)
        {
          g_test_message ("%u writes or syncs swept", n);
          return;
        }
    }
  g_assert_not_reached ();
}

static void
test_sweep (gconstpointer data)
{
  FaultKind kind = GPOINTER_TO_INT (data);

  sweep (kind, add_lens, TRUE);
  sweep (kind, add_many, TRUE);
  sweep (kind, undo, TRUE);
  sweep (kind, rebuild, FALSE);
}

/* Making a register: afterwards there is one, or nothing that is taken for one. */
static void
test_create (gconstpointer data)
{
  FaultKind kind = GPOINTER_TO_INT (data);

  for (guint n = 0; n < MAX_SWEEP; n += STRIDE)
    {
      g_autofree char *folder = g_dir_make_tmp ("shimbook-store-XXXXXX", NULL);
      g_autofree char *path = g_build_filename (folder, "kit.shimbook", NULL);
      g_autoptr (ShimRegister) reg = NULL;
      g_autoptr (ShimRegister) again = NULL;
      g_autoptr (GError) error = NULL;
      guint n_failed;

      fault_vfs_arm (kind, n);
      reg = shim_register_open (path, SHIM_REGISTER_CREATE, &error);
      g_assert_true ((reg != NULL) == (error == NULL));
      g_clear_pointer (&reg, shim_register_free);
      g_clear_error (&error);
      n_failed = fault_vfs_disarm ();
      again = shim_register_open (path, SHIM_REGISTER_CREATE, &error);
      g_assert_no_error (error);
      g_assert_cmpint (shim_register_count (again, SHIM_TYPE_MOUNT, NULL, NULL), ==, 30);
      g_clear_pointer (&again, shim_register_free);
      store_fixture_remove (folder);
      if (n_failed == 0)
        return;
    }
  g_assert_not_reached ();
}

/* Bringing up to date: afterwards the old version or the new one, whole, and the next attempt succeeds. */
static void
test_migrate (gconstpointer data)
{
  FaultKind kind = GPOINTER_TO_INT (data);
  g_auto (GStrv) known = shim_schema_dup_steps ();
  const char *const steps[] = { known[0], known[1], known[2],
                                "ALTER TABLE lens ADD COLUMN colour TEXT; UPDATE lens SET colour = 'black'", NULL };

  for (guint n = 0; n < MAX_SWEEP; n += STRIDE)
    {
      StoreFixture f;
      g_autoptr (ShimDb) db = NULL;
      g_autoptr (GError) error = NULL;
      guint n_failed;

      set_up_copy (&f);
      g_clear_pointer (&f.reg, shim_register_free);
      fault_vfs_arm (kind, n);
      db = shim_schema_open (f.path, SHIM_REGISTER_DEFAULT, steps, &error);
      g_assert_true ((db != NULL) == (error == NULL));
      g_clear_pointer (&db, shim_db_free);
      g_clear_error (&error);
      n_failed = fault_vfs_disarm ();
      if (store_query_int (f.path, "PRAGMA user_version") == 3)
        {
          g_assert_cmpint (store_query_int (f.path, "SELECT count(*) FROM pragma_table_info ('lens') WHERE name = 'colour'"), ==, 0);
          db = shim_schema_open (f.path, SHIM_REGISTER_DEFAULT, steps, &error);
          g_assert_no_error (error);
          g_clear_pointer (&db, shim_db_free);
        }
      g_assert_cmpint (store_query_int (f.path, "PRAGMA user_version"), ==, 4);
      g_assert_cmpint (store_query_int (f.path, "SELECT count(*) FROM lens WHERE colour = 'black'"), ==, 2);
      store_fixture_tear_down (&f);
      if (n_failed == 0)
        return;
    }
  g_assert_not_reached ();
}

/* A backup that fails leaves no file behind, and leaves an older backup as it was. */
static void
test_backup (gconstpointer data)
{
  FaultKind kind = GPOINTER_TO_INT (data);

  for (guint n = 0; n < MAX_SWEEP; n += STRIDE)
    {
      StoreFixture f;
      g_autoptr (GError) error = NULL;
      g_autofree char *fresh = NULL;
      g_autofree char *older = NULL;
      gboolean fresh_done, older_done;
      guint n_failed;

      set_up_copy (&f);
      fresh = store_fixture_file (&f, "fresh.shimbook");
      older = store_fixture_file (&f, "older.shimbook");
      put_file (older, empty_file);
      fault_vfs_arm (kind, n);
      fresh_done = shim_register_backup (f.reg, fresh, FALSE, NULL);
      older_done = shim_register_backup (f.reg, older, TRUE, NULL);
      n_failed = fault_vfs_disarm ();
      g_assert_true (fresh_done == g_file_test (fresh, G_FILE_TEST_EXISTS));
      if (fresh_done)
        g_assert_cmpint (store_query_int (fresh, "SELECT count(*) FROM lens"), ==, 2);
      g_assert_cmpint (store_query_int (older, "SELECT count(*) FROM lens"), ==, older_done ? 2 : 0);
      store_fixture_tear_down (&f);
      if (n_failed == 0)
        {
          g_assert_true (fresh_done && older_done);
          return;
        }
    }
  g_assert_not_reached ();
}

/* Going back to a backup fails as a whole or succeeds as a whole, and what was there is somewhere in either case. */
static void
test_restore (gconstpointer data)
{
  FaultKind kind = GPOINTER_TO_INT (data);

  /* Some hundred writes each time. */
  for (guint n = 0; n < MAX_SWEEP; n += 7)
    {
      StoreFixture f;
      g_autoptr (GError) error = NULL;
      g_autofree char *backup = NULL, *kept = NULL;
      gboolean done;
      guint n_failed;

      set_up_copy (&f);
      backup = store_fixture_file (&f, "empty.shimbook");
      put_file (backup, empty_file);
      fault_vfs_arm (kind, n);
      done = shim_register_restore (f.reg, backup, &kept, &error);
      n_failed = fault_vfs_disarm ();
      g_assert_true (done == (error == NULL));
      g_clear_pointer (&f.reg, shim_register_free);
      g_assert_cmpint (store_query_int (f.path, "SELECT count(*) FROM lens"), ==, done ? 0 : 2);
      if (done)
        g_assert_cmpint (store_query_int (kept, "SELECT count(*) FROM lens"), ==, 2);
      store_fixture_tear_down (&f);
      if (n_failed == 0)
        {
          g_assert_true (done);
          return;
        }
    }
  g_assert_not_reached ();
}

/* A full disk is no reason to start the program again. */
static void
test_goes_on (void)
{
  StoreFixture f;
  g_autoptr (GError) error = NULL;
  guint64 before;

  store_fixture_set_up (&f);
  store_fixture_fill (&f);
  before = fingerprint (&f);
  g_clear_pointer (&f.reg, shim_register_free);
  store_fixture_reopen (&f);
  fault_vfs_arm (FAULT_FULL, 0);
  g_assert_false (add_lens (&f, &error));
  g_assert_error (error, SHIM_STORE_ERROR, SHIM_STORE_ERROR_FULL);
  g_assert_nonnull (strstr (error->message, "make room"));
  fault_vfs_disarm ();
  /* The same register goes on as soon as there is room. */
  g_assert_cmpuint (fingerprint (&f), ==, before);
  g_assert_true (add_lens (&f, NULL));
  g_assert_cmpuint (fingerprint (&f), !=, before);
  store_fixture_tear_down (&f);
}

/* --- Killed while writing --- */

static int
run_writer (const char *path)
{
  g_autoptr (ShimRegister) reg = shim_register_open (path, SHIM_REGISTER_DEFAULT, NULL);

  for (guint i = 0; reg != NULL; i++)
    {
      g_autoptr (ShimLens) left = store_lens_new ("Left", NULL);
      g_autoptr (ShimLens) right = store_lens_new ("Right", NULL);

      if (!shim_register_begin (reg, "Two at once", NULL) || !shim_register_insert (reg, SHIM_RECORD (left), NULL)
          || !shim_register_insert (reg, SHIM_RECORD (right), NULL) || !shim_register_commit (reg, NULL))
        return 1;
      printf ("%u\n", i);
      fflush (stdout);
    }
  return 1;
}

static void
kill_after (StoreFixture *f, const char *self, guint n_changes)
{
  const char *const argv[] = { self, "--writer", f->path, NULL };
  g_autoptr (GError) error = NULL;
  GPid pid;
  int out;
  FILE *lines;
  char line[64];
  gint64 before = count (f, SHIM_TYPE_LENS);

  g_clear_pointer (&f->reg, shim_register_free);
  g_spawn_async_with_pipes (NULL, (char **) argv, NULL, G_SPAWN_DO_NOT_REAP_CHILD | G_SPAWN_LEAVE_DESCRIPTORS_OPEN, NULL, NULL, &pid,
                            NULL, &out, NULL, &error);
  g_assert_no_error (error);
  lines = fdopen (out, "r");
  for (guint i = 0; i < n_changes; i++)
    g_assert_nonnull (fgets (line, sizeof line, lines));
  kill (pid, SIGKILL);
  while (fgets (line, sizeof line, lines) != NULL)
    ;
  fclose (lines);
  g_spawn_close_pid (pid);
  store_fixture_reopen (f);
  assert_sound (f);
  g_assert_cmpint (count (f, SHIM_TYPE_LENS), >=, before + 2 * n_changes);
  g_assert_cmpint (count (f, SHIM_TYPE_LENS) % 2, ==, 0);
}

static const char *program;

static void
test_killed (void)
{
  StoreFixture f;

  store_fixture_set_up (&f);
  for (guint i = 0; i < 8; i++)
    kill_after (&f, program, 1 + i * 3);
  store_fixture_tear_down (&f);
}

int
main (int argc, char **argv)
{
  int result;

  if (argc == 3 && strcmp (argv[1], "--writer") == 0)
    return run_writer (argv[2]);
  program = argv[0];
  g_test_init (&argc, &argv, NULL);
  fault_vfs_install ();
  make_files ();
  g_test_add_data_func ("/store/faults/full", GINT_TO_POINTER (FAULT_FULL), test_sweep);
  g_test_add_data_func ("/store/faults/torn", GINT_TO_POINTER (FAULT_SHORT), test_sweep);
  g_test_add_data_func ("/store/faults/sync", GINT_TO_POINTER (FAULT_SYNC), test_sweep);
  g_test_add_data_func ("/store/faults/create-full", GINT_TO_POINTER (FAULT_FULL), test_create);
  g_test_add_data_func ("/store/faults/create-torn", GINT_TO_POINTER (FAULT_SHORT), test_create);
  g_test_add_data_func ("/store/faults/create-sync", GINT_TO_POINTER (FAULT_SYNC), test_create);
  g_test_add_data_func ("/store/faults/migrate-full", GINT_TO_POINTER (FAULT_FULL), test_migrate);
  g_test_add_data_func ("/store/faults/migrate-torn", GINT_TO_POINTER (FAULT_SHORT), test_migrate);
  g_test_add_data_func ("/store/faults/migrate-sync", GINT_TO_POINTER (FAULT_SYNC), test_migrate);
  g_test_add_data_func ("/store/faults/backup-full", GINT_TO_POINTER (FAULT_FULL), test_backup);
  g_test_add_data_func ("/store/faults/backup-torn", GINT_TO_POINTER (FAULT_SHORT), test_backup);
  g_test_add_data_func ("/store/faults/restore-full", GINT_TO_POINTER (FAULT_FULL), test_restore);
  g_test_add_data_func ("/store/faults/restore-torn", GINT_TO_POINTER (FAULT_SHORT), test_restore);
  g_test_add_func ("/store/faults/goes-on", test_goes_on);
  g_test_add_func ("/store/faults/killed", test_killed);
  result = g_test_run ();
  g_bytes_unref (empty_file);
  g_bytes_unref (filled_file);
  return result;
}
