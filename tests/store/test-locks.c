/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gio/gio.h>

#include "store-fixture.h"

/* The trap is described in "How To Corrupt An SQLite Database File", section 2.2 (sqlite.org/howtocorrupt.html). */

static const char *program;

/* Another process opens the register, counts the bodies and closes it again. */
static int
count_elsewhere (StoreFixture *self)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *output = NULL;
  g_autoptr (GSubprocess) child = g_subprocess_new (G_SUBPROCESS_FLAGS_STDOUT_PIPE, &error, program, "--count", self->path, NULL);

  g_assert_no_error (error);
  g_subprocess_communicate_utf8 (child, NULL, NULL, &output, NULL, &error);
  g_assert_no_error (error);
  g_assert_true (g_subprocess_get_successful (child));
  return atoi (output);
}

static int
count (const char *path)
{
  g_autoptr (GError) error = NULL;
  ShimRegister *reg = shim_register_open (path, SHIM_REGISTER_DEFAULT, &error);

  g_assert_no_error (error);
  g_print ("%d\n", (int) shim_register_count (reg, SHIM_TYPE_BODY, NULL, &error));
  shim_register_free (reg);
  return 0;
}

/* What a file chooser does with every file it lists. */
static void
look_into (const char *path)
{
  g_autofree char *data = NULL;

  g_file_get_contents (path, &data, NULL, NULL);
}

static void
test_looked_into (void)
{
  StoreFixture fixture = { NULL };
  g_autofree char *wal = NULL, *shm = NULL;
  g_autoptr (GError) error = NULL;
  ShimRegister *reader;
  int before;

  store_fixture_set_up (&fixture);
  store_fixture_fill (&fixture);
  reader = shim_register_open (fixture.path, SHIM_REGISTER_READ_ONLY, &error);
  g_assert_no_error (error);
  wal = g_strconcat (fixture.path, "-wal", NULL);
  shm = g_strconcat (fixture.path, "-shm", NULL);
  before = count_elsewhere (&fixture);

  look_into (fixture.path);
  look_into (wal);
  look_into (shm);
  g_assert_cmpint (count_elsewhere (&fixture), ==, before);
  /* What this process stores now must be seen by everybody. */
  g_free (store_add (fixture.reg, store_body_new ("Later", "L-1")));
  g_assert_cmpint (count_elsewhere (&fixture), ==, before + 1);
  g_assert_cmpint ((int) shim_register_count (reader, SHIM_TYPE_BODY, NULL, &error), ==, before + 1);

  shim_register_free (reader);
  store_fixture_tear_down (&fixture);
}

/* Others still exclude us and we them. */
static void
test_excluded (void)
{
  StoreFixture fixture = { NULL };
  g_autoptr (GError) error = NULL;

  store_fixture_set_up (&fixture);
  store_fixture_fill (&fixture);
  for (guint i = 0; i < 20; i++)
    {
      g_autofree char *serial = g_strdup_printf ("S-%u", i);
      int before = count_elsewhere (&fixture);

      look_into (fixture.path);
      g_free (store_add (fixture.reg, store_body_new (serial, serial)));
      g_assert_cmpint (count_elsewhere (&fixture), ==, before + 1);
    }
  store_fixture_reopen (&fixture);
  g_assert_cmpint (store_query_int (fixture.path, "SELECT count (*) FROM pragma_integrity_check WHERE integrity_check = 'ok'"), ==, 1);
  store_fixture_tear_down (&fixture);
}

int
main (int argc, char *argv[])
{
  if (argc == 3 && g_str_equal (argv[1], "--count"))
    return count (argv[2]);
  program = argv[0];
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/store/locks/looked-into", test_looked_into);
  g_test_add_func ("/store/locks/excluded", test_excluded);
  return g_test_run ();
}
