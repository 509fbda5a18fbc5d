/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <sqlite3.h>
#include <string.h>

#include "big-register.h"
#include "shim-register.h"

/* A register of any size, written straight into the tables in one transaction: only a benchmark may do that. What is worked out is
 * then made by the store itself. */

/* Items are lettered, so that rows of different kinds have different ids; a number counts within a kind. */
static const struct
{
  const char *kind;
  char letter;
} letters[] = { { "body", 'a' }, { "lens", 'b' }, { "pair", 'c' }, { "test", 'd' }, { "round", 'e' }, { "job", 'f' } };

#define ID(letter, number) "printf ('01900000-0000-7000-8" letter "00-%012x', " number ")"

/**
 * big_register_id:
 * @kind: "body", "lens", "pair", "test" or "job"
 * @number: which, from 0
 *
 * Returns: (transfer full): the id it was given
 */
char *
big_register_id (const char *kind, guint number)
{
  for (guint i = 0; i < G_N_ELEMENTS (letters); i++)
    if (strcmp (letters[i].kind, kind) == 0)
      return g_strdup_printf ("01900000-0000-7000-8%c00-%012x", letters[i].letter, number);
  g_assert_not_reached ();
}

static void
run (sqlite3 *handle, const char *sql)
{
  char *message = NULL;

  if (sqlite3_exec (handle, sql, NULL, NULL, &message) != SQLITE_OK)
    g_error ("%s in %s", message, sql);
}

/* The sizes that a text may name. */
static char *
put_sizes_in (const char *text, const BigRegisterSize *size)
{
  GString *sql = g_string_new (text);
  const struct
  {
    const char *name;
    guint value;
  } sizes[] = { { "$BODIES", size->n_bodies },
                { "$LENSES", size->n_lenses },
                { "$PAIRS", size->n_pairs_per_body },
                { "$FRAMES", size->n_frames_per_pair },
                { "$MOUNTS", size->n_mounts },
                { "$SLOTS", MIN (40, size->n_pairs_per_body) } };

  for (guint i = 0; i < G_N_ELEMENTS (sizes); i++)
    {
      g_autofree char *value = g_strdup_printf ("%u", sizes[i].value);

      g_string_replace (sql, sizes[i].name, value, 0);
    }
  return g_string_free (sql, FALSE);
}

/* Rows 0 … n − 1 of one table; the number is "i". */
static void
fill (sqlite3 *handle, const BigRegisterSize *size, guint n, const char *table, const char *columns, const char *values)
{
  g_autofree char *head = g_strdup_printf ("WITH RECURSIVE c (i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM c WHERE i + 1 < %u)"
                                           " INSERT INTO %s (%s) SELECT ",
                                           n, table, columns);
  g_autofree char *own_values = put_sizes_in (values, size);
  g_autofree char *sql = g_strconcat (head, own_values, " FROM c", NULL);

  run (handle, sql);
}

/* A body and a lens go together when their numbers leave the same remainder. */
#define MOUNT "CASE i % $MOUNTS WHEN 0 THEN 'K' WHEN 1 THEN 'F' WHEN 2 THEN 'E' ELSE 'Z' END"
#define MAKER "CASE i % 3 WHEN 0 THEN 'Orrin' WHEN 1 THEN 'Velle' ELSE 'Quast' END"

static void
fill_items (sqlite3 *handle, const BigRegisterSize *size)
{
  fill (handle, size, size->n_bodies, "body",
        "id, label, maker, model, serial, mount, range_min, range_max, slot_count, zoom_values, tells_lenses_by, holder, place,"
        " archived",
        ID ("a", "i") ", 'Body ' || printf ('%05d', i), " MAKER ", 'Model ' || (i % 12), printf ('%07d', i * 37), " MOUNT
                      ", -20, 20, 40, 1, CASE i % 5 WHEN 0 THEN 'model' ELSE 'serial' END, 'Holder ' || (i % 60),"
                      " 'Shelf ' || (i % 90), 0");
  fill (handle, size, size->n_lenses, "lens",
        "id, label, maker, model, serial, mount, focal_min_mm, focal_max_mm, aperture_wide, own_table, holder, place, note, archived",
        ID ("b", "i") ", " MAKER " || ' ' || (20 + i % 180) || ' mm ' || printf ('%05d', i), " MAKER
                      ", (20 + i % 180) || ' mm', printf ('%08d', i * 53), " MOUNT
                      ", 20 + i % 180, 20 + i % 180, 1.8, 0, 'Holder ' || (i % 60), 'Shelf ' || (i % 90),"
                      " CASE i % 40 WHEN 0 THEN 'scratched hood' END, 0");
}

/* The k-th pair of body b has the number b × $PAIRS + k. */
#define LENS_OF_PAIR "((i / $PAIRS * 7 + i % $PAIRS) * $MOUNTS + i / $PAIRS % $MOUNTS) % $LENSES"
#define PAIR_OF_SLOT "(i / $SLOTS * $PAIRS + i % $SLOTS)"

/* What takes the errors of body and lens away: they add, so the kit model explains the pairs, as it does those of real kit. */
#define VALUE "(11 - i / $PAIRS % 11 - " LENS_OF_PAIR " % 13)"

/* Tests spread over the year 2025. */
#define TESTED_AT(seconds) "strftime ('%Y-%m-%dT%H:%M:%SZ', " seconds " + i * 7919 % 31000000, 'unixepoch')"

static void
fill_pairs (sqlite3 *handle, const BigRegisterSize *size)
{
  guint n = size->n_bodies * size->n_pairs_per_body;

  fill (handle, size, n, "pair", "id, body, lens, not_needed",
        ID ("c", "i") ", " ID ("a", "i / $PAIRS") ", " ID ("b", LENS_OF_PAIR) ", 0");
  fill (handle, size, n, "test", "id, pair, started_at, focal_mm, distance_mm, f_number",
        ID ("d", "i") ", " ID ("c", "i") ", " TESTED_AT ("1735689600") ", 85, 4250, 1.8");
  fill (handle, size, n, "decision",
        "id, pair, test, decided_at, end, value, origin, residual_mm, residual_se_mm, slope_mm_per_step, slope_se_mm_per_step,"
        " tolerance_mm, focal_mm, distance_mm, out_of_reach",
        ID ("1", "i") ", " ID ("c", "i") ", " ID ("d", "i") ", " TESTED_AT ("1735693200") ", 'all', " VALUE
        ", 'measured', (i * 17 % 997) / 100.0, 0.3, 16.2, 0.2, 6.0, 85, 4250, 0");
  fill (handle, size, size->n_bodies * MIN (40, size->n_pairs_per_body), "slot_entry",
        "id, body, number, pair, value, action, done_at",
        ID ("2", "i") ", " ID ("a", "i / $SLOTS") ", i % $SLOTS + 1, " ID ("c", PAIR_OF_SLOT) ", (SELECT value FROM decision WHERE id = "
        ID ("1", PAIR_OF_SLOT) "), 'keyed', '2026-02-01T00:00:00Z'");
}

static void
fill_frames (sqlite3 *handle, const BigRegisterSize *size)
{
  guint n_pairs = size->n_bodies * size->n_pairs_per_body;

  fill (handle, size, n_pairs, "round", "id, test, started_at, kind, setting",
        ID ("e", "i") ", " ID ("d", "i") ", '2026-01-01T00:00:00Z', 'setting', 0");
  fill (handle, size, n_pairs * size->n_frames_per_pair, "frame",
        "id, round, added_at, path, sha256, focal_mm, f_number, override",
        ID ("3", "i") ", " ID ("e", "i / $FRAMES") ", '2026-01-01T00:00:00Z', '/frames/' || i || '.jpg',"
        " printf ('%016x%048x', i * 2654435761 % 4294967296, i), 85, 1.8, 0");
  fill (handle, size, n_pairs * size->n_frames_per_pair, "reading",
        "id, frame, read_at, method, offset_mm, offset_se_mm, depth_of_field_mm",
        ID ("4", "i") ", " ID ("3", "i") ", '2026-01-01T00:00:00Z', 'program', i % 100 / 10.0, 0.2, 60");
}

/**
 * big_register_lens:
 * @size: of the register
 * @body: number of a body
 * @k: a count below the lenses of each body
 *
 * Returns: number of the k-th lens that the body has a pair with
 */
guint
big_register_lens (const BigRegisterSize *size, guint body, guint k)
{
  return ((body * 7 + k) * size->n_mounts + body % size->n_mounts) % size->n_lenses;
}

/* A job takes three bodies of one mount and nine lenses along that all of them have pairs with, as the demo does. */
#define JOB_BODY "i / 12 * 12 % ($BODIES - 2 * $MOUNTS)"

static void
fill_rest (sqlite3 *handle, const BigRegisterSize *size)
{
  fill (handle, size, size->n_lenses / 4, "event", "id, item_kind, item, happened_on, noted_at, kind, casts_doubt, taken_back",
        ID ("5", "i") ", 'lens', " ID ("b", "i * 3 % $LENSES") ", '2025-11-01', '2025-11-01T00:00:00Z', 'knock', 1, 0");
  fill (handle, size, size->n_jobs, "job", "id, name, on_date, archived", ID ("f", "i") ", 'Job ' || i, '2026-03-01', 0");
  fill (handle, size, size->n_jobs * 12, "job_item", "id, job, item_kind, item",
        ID ("6", "i") ", " ID ("f", "i / 12") ", CASE WHEN i % 12 < 3 THEN 'body' ELSE 'lens' END, CASE WHEN i % 12 < 3 THEN "
        ID ("a", "(" JOB_BODY " + i % 12 * $MOUNTS)")
        " ELSE " ID ("b", "((" JOB_BODY " * 7 + 60 + i % 12 - 3) * $MOUNTS + " JOB_BODY " % $MOUNTS) % $LENSES") " END");
  fill (handle, size, size->n_history, "history", "id, at, who, summary, action, own",
        ID ("7", "i") ", '2026-01-01T00:00:00Z', 'Mina', 'Import ' || i, 'change', 1");
}

/**
 * big_register_make:
 * @path: where; nothing may be there
 * @size: how large
 */
void
big_register_make (const char *path, const BigRegisterSize *size)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRegister) reg = shim_register_open (path, SHIM_REGISTER_CREATE, &error);
  sqlite3 *handle = NULL;

  g_assert_no_error (error);
  g_clear_pointer (&reg, shim_register_free);
  g_assert_cmpint (sqlite3_open (path, &handle), ==, SQLITE_OK);
  run (handle, "PRAGMA synchronous = OFF; PRAGMA cache_size = -200000; BEGIN");
  fill_items (handle, size);
  fill_pairs (handle, size);
  fill_frames (handle, size);
  fill_rest (handle, size);
  run (handle, "COMMIT");
  sqlite3_close (handle);
  reg = shim_register_open (path, SHIM_REGISTER_DEFAULT, &error);
  g_assert_no_error (error);
  shim_register_rebuild (reg, &error);
  g_assert_no_error (error);
}
