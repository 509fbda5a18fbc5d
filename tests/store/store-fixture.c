/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <sqlite3.h>
#include <string.h>

#include "store-fixture.h"

void
store_fixture_remove (const char *folder)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  const char *name;

  g_chmod (folder, 0700);
  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (folder, name, NULL);

      if (g_file_test (path, G_FILE_TEST_IS_DIR))
        store_fixture_remove (path);
      else
        g_unlink (path);
    }
  g_rmdir (folder);
}

char *
store_fixture_file (StoreFixture *self, const char *name)
{
  return g_build_filename (self->folder, name, NULL);
}

void
store_fixture_set_up (StoreFixture *self)
{
  g_autoptr (GError) error = NULL;

  memset (self, 0, sizeof *self);
  self->folder = g_dir_make_tmp ("shimbook-store-XXXXXX", &error);
  g_assert_no_error (error);
  self->path = store_fixture_file (self, "kit.shimbook");
  self->reg = shim_register_open (self->path, SHIM_REGISTER_CREATE, &error);
  g_assert_no_error (error);
  g_assert_nonnull (self->reg);
}

void
store_fixture_reopen (StoreFixture *self)
{
  g_autoptr (GError) error = NULL;

  g_clear_pointer (&self->reg, shim_register_free);
  self->reg = shim_register_open (self->path, SHIM_REGISTER_DEFAULT, &error);
  g_assert_no_error (error);
}

void
store_fixture_tear_down (StoreFixture *self)
{
  g_clear_pointer (&self->reg, shim_register_free);
  store_fixture_remove (self->folder);
  g_free (self->folder);
  g_free (self->path);
  g_free (self->body);
  g_free (self->body_two);
  g_free (self->lens);
  g_free (self->lens_two);
}

/* Two bodies, one of which tells lenses apart by model only, and two copies of one lens. */
void
store_fixture_fill (StoreFixture *self)
{
  g_autoptr (ShimBody) one = store_body_new ("Orrin One", "0012345");
  g_autoptr (ShimBody) two = store_body_new ("Orrin Two", "0012346");
  g_autoptr (ShimLens) first = store_lens_new ("Velle 85 first", "7001");
  g_autoptr (ShimLens) second = store_lens_new ("Velle 85 second", "7002");

  STORE_SET (two, "tells-lenses-by", "model");
  self->body = store_add (self->reg, one);
  self->body_two = store_add (self->reg, two);
  self->lens = store_add (self->reg, first);
  self->lens_two = store_add (self->reg, second);
}

char *
store_add (ShimRegister *reg, gpointer record)
{
  g_autoptr (GError) error = NULL;
  gboolean added = shim_register_insert (reg, record, &error);

  g_assert_no_error (error);
  g_assert_true (added);
  return g_strdup (SHIM_RECORD (record)->id);
}

ShimBody *
store_body_new (const char *label, const char *serial)
{
  ShimBody *body = shim_body_new ();

  STORE_SET (body, "label", label, "maker", "Orrin", "model", "One", "serial", serial, "mount", "K", "range-min",
             G_GINT64_CONSTANT (-20), "range-max", G_GINT64_CONSTANT (20), "slot-count", G_GINT64_CONSTANT (3),
             "tells-lenses-by", "serial");
  return body;
}

ShimLens *
store_lens_new (const char *label, const char *serial)
{
  ShimLens *lens = shim_lens_new ();

  STORE_SET (lens, "label", label, "maker", "Velle", "model", "85 mm f/1.8", "serial", serial, "mount", "K", "focal-min-mm", 85.0,
             "focal-max-mm", 85.0, "aperture-wide", 1.8);
  return lens;
}

char *
store_add_pair (ShimRegister *reg, const char *body, const char *lens)
{
  g_autoptr (ShimPair) pair = shim_pair_new ();

  STORE_SET (pair, "body", body, "lens", lens);
  return store_add (reg, pair);
}

char *
store_add_test (ShimRegister *reg, const char *pair, const char *started_at)
{
  g_autoptr (ShimTest) test = shim_test_new ();

  STORE_SET (test, "pair", pair, "started-at", started_at, "focal-mm", 85.0, "distance-mm", 4250.0, "f-number", 1.8);
  return store_add (reg, test);
}

char *
store_add_round (ShimRegister *reg, const char *test, gint64 setting)
{
  g_autoptr (ShimRound) round = shim_round_new ();

  STORE_SET (round, "test", test, "started-at", "2026-05-01T10:05:00Z", "kind", "setting", "setting", setting);
  return store_add (reg, round);
}

ShimFrame *
store_frame_new (const char *round, guint number)
{
  g_autofree char *sha = g_strdup_printf ("%064x", number);
  g_autofree char *path = g_strdup_printf ("/frames/%04u.jpg", number);
  g_autoptr (GBytes) evidence = g_bytes_new_static ("strip", 5);
  ShimFrame *frame = shim_frame_new ();

  STORE_SET (frame, "round", round, "added-at", "2026-05-01T10:06:00Z", "path", path, "sha256", sha, "evidence", evidence);
  return frame;
}

char *
store_add_decision (ShimRegister *reg, const char *pair, const char *test, const char *at, gint64 value)
{
  g_autoptr (ShimDecision) decision = shim_decision_new ();

  STORE_SET (decision, "pair", pair, "test", test, "decided-at", at, "end", "all", "origin", "measured", "value", value,
             "residual-mm", 1.5, "residual-se-mm", 0.4, "tolerance-mm", 6.0, "slope-mm-per-step", 2.0, "focal-mm", 85.0,
             "distance-mm", 4250.0);
  return store_add (reg, decision);
}

char *
store_add_slot (ShimRegister *reg, const char *body, gint64 number, const char *pair, gint64 value, const char *action,
                const char *at)
{
  g_autoptr (ShimSlotEntry) entry = shim_slot_entry_new ();

  STORE_SET (entry, "body", body, "number", number, "pair", pair, "value", value, "action", action, "done-at", at);
  return store_add (reg, entry);
}

char *
store_add_event (ShimRegister *reg, const char *kind, const char *item, const char *what, const char *day, gboolean casts_doubt)
{
  g_autoptr (ShimEvent) event = shim_event_new ();
  g_autofree char *noted = g_strconcat (day, "T18:00:00Z", NULL);

  STORE_SET (event, "item-kind", kind, "item", item, "kind", what, "happened-on", day, "noted-at", noted, "casts-doubt",
             casts_doubt);
  return store_add (reg, event);
}

static int
store_int (void *data, int n, char **values, char **names)
{
  *(gint64 *) data = values[0] != NULL ? g_ascii_strtoll (values[0], NULL, 10) : G_MININT64;
  return 0;
}

/* Past the store, as another program would. */
gint64
store_query_int (const char *path, const char *sql)
{
  sqlite3 *handle = NULL;
  gint64 value = G_MININT64;

  g_assert_cmpint (sqlite3_open (path, &handle), ==, SQLITE_OK);
  g_assert_cmpint (sqlite3_exec (handle, sql, store_int, &value, NULL), ==, SQLITE_OK);
  sqlite3_close (handle);
  return value;
}

void
store_exec (const char *path, const char *sql)
{
  sqlite3 *handle = NULL;

  g_assert_cmpint (sqlite3_open (path, &handle), ==, SQLITE_OK);
  g_assert_cmpint (sqlite3_exec (handle, sql, NULL, NULL, NULL), ==, SQLITE_OK);
  sqlite3_close (handle);
}

/* As the first program left it. */
void
store_make_version_1 (const char *path)
{
  store_exec (path, "DROP TABLE contradicted; DROP TABLE outstanding; DROP INDEX search_text_by_sort_key;"
                    "ALTER TABLE search_text DROP COLUMN sort_key;"
                    "CREATE INDEX search_text_by_title ON search_text (kind, title COLLATE NOCASE, id, archived, words);"
                    "PRAGMA user_version = 1");
}
