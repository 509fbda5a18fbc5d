/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "big-bench.h"
#include "shim-readiness.h"
#include "shim-register-pairs.h"
#include "shim-register-reads.h"

/* How much longer does a person wait on a store-room than on the demo's bag? Each thing is done on both registers in turn, and the
 * medians of the processor time are compared, which a busy machine does not alter; the time on the wall is given beside it. The demo's size is 3 bodies and 9 lenses, so that is what is asked for in both; what a large screen
 * would show of the large register is given beside it. */

#define REPEATS 201

/* 2026-03-01T00:00:00Z. */
#define CLOCK_S (G_GINT64_CONSTANT (20513) * 86400)

typedef struct
{
  const char *path;
  const BigRegisterSize *size;
  ShimRegister *reg;
  guint turn; /* other rows each time, so that not one lucky page is measured */
} Subject;

typedef void (*Task) (Subject *subject);

static void
open_it (Subject *subject)
{
  ShimRegister *reg = shim_register_open (subject->path, SHIM_REGISTER_DEFAULT, NULL);

  g_assert_nonnull (reg);
  shim_register_can_undo (reg, NULL);
  shim_register_can_redo (reg, NULL);
  shim_register_free (reg);
}

static guint
list_lenses (Subject *subject, const char *words, guint offset, guint limit)
{
  g_autoptr (ShimQuery) query = shim_query_new ();
  g_autoptr (GPtrArray) list = NULL;

  shim_query_set_search (query, words);
  shim_query_add_order (query, "label", FALSE);
  shim_query_set_window (query, offset, limit);
  list = shim_register_list (subject->reg, SHIM_TYPE_LENS, query, NULL);
  g_assert_nonnull (list);
  return list->len;
}

static void
first_page (Subject *subject)
{
  list_lenses (subject, NULL, 0, 9);
}

static void
last_page (Subject *subject)
{
  list_lenses (subject, NULL, subject->size->n_lenses - 9, 9);
}

static void
count_lenses (Subject *subject)
{
  g_autoptr (ShimQuery) query = shim_query_new ();

  shim_query_add_order (query, "label", FALSE);
  g_assert_cmpint (shim_register_count (subject->reg, SHIM_TYPE_LENS, query, NULL), ==, subject->size->n_lenses);
}

static void
search_letter (Subject *subject)
{
  list_lenses (subject, "v", 0, 3);
}

static void
search_word (Subject *subject)
{
  list_lenses (subject, "velle 2", 0, 3);
}

static void
search_serial (Subject *subject)
{
  g_autofree char *serial = g_strdup_printf ("%08u", big_bench_pick (&subject->turn, subject->size->n_lenses) * 53);

  g_assert_cmpuint (list_lenses (subject, serial, 0, 3), >=, 1);
}

static void
search_everything (Subject *subject)
{
  g_autoptr (GPtrArray) found = shim_register_search (subject->reg, "orrin", 3, NULL);

  g_assert_cmpuint (found->len, ==, 3);
}

static void
find_serial (Subject *subject)
{
  g_autofree char *serial = g_strdup_printf ("%07u", big_bench_pick (&subject->turn, subject->size->n_bodies) * 37);
  g_autoptr (GPtrArray) found = shim_register_find_serial (subject->reg, SHIM_TYPE_BODY, serial, NULL);

  g_assert_cmpuint (found->len, ==, 1);
}

static guint
matrix (Subject *subject, guint n_bodies, guint n_lenses)
{
  g_auto (GStrv) bodies = g_new0 (char *, n_bodies + 1);
  g_auto (GStrv) lenses = g_new0 (char *, n_lenses + 1);
  guint n_mounts = subject->size->n_mounts;
  guint first = big_bench_pick (&subject->turn, subject->size->n_bodies - n_bodies * n_mounts + n_mounts);
  g_autoptr (GPtrArray) cells = NULL;

  for (guint i = 0; i < n_bodies; i++)
    bodies[i] = big_register_id ("body", first + i * n_mounts);
  for (guint i = 0; i < n_lenses; i++)
    lenses[i] = big_register_id ("lens", big_register_lens (subject->size, first, 60 + i));
  cells = shim_register_pair_cells (subject->reg, (const char *const *) bodies, n_bodies, (const char *const *) lenses, n_lenses, NULL);
  g_assert_nonnull (cells);
  return cells->len;
}

static void
matrix_window (Subject *subject)
{
  matrix (subject, 3, 9);
}

static void
page_of_pairs (Subject *subject, ShimPairOrder order, guint states, const char *lens_mount, guint offset)
{
  const ShimPairFilter filter = { .order = order, .states = states, .lens_mount = lens_mount, .offset = offset, .limit = 2 };
  g_autoptr (GPtrArray) pairs = shim_register_pairs (subject->reg, &filter, NULL);

  g_assert_nonnull (pairs);
}

static void
oldest_pairs (Subject *subject)
{
  page_of_pairs (subject, SHIM_PAIR_ORDER_OLDEST, 0, NULL, 0);
}

static void
worst_due_pairs (Subject *subject)
{
  page_of_pairs (subject, SHIM_PAIR_ORDER_WORST, 1u << SHIM_PAIR_DUE, NULL, 0);
}

static void
oldest_of_mount (Subject *subject)
{
  page_of_pairs (subject, SHIM_PAIR_ORDER_OLDEST, 0, "K", 0);
}

static void
one_pair (Subject *subject)
{
  guint n = big_bench_pick (&subject->turn, subject->size->n_bodies * subject->size->n_pairs_per_body);
  g_autofree char *id = big_register_id ("pair", n);
  g_autofree char *test = big_register_id ("test", n);
  g_autoptr (ShimPairNow) now = shim_register_pair_now (subject->reg, id, NULL);
  g_autoptr (GPtrArray) decisions = shim_register_decisions (subject->reg, id, NULL);
  g_autoptr (GPtrArray) doubts = shim_register_doubts (subject->reg, id, NULL);
  g_autoptr (ShimTestTree) tree = shim_register_test_tree (subject->reg, test, NULL);

  g_assert_true (now != NULL && decisions != NULL && doubts != NULL && tree != NULL);
}

static void
slots_of_body (Subject *subject)
{
  g_autofree char *id = big_register_id ("body", big_bench_pick (&subject->turn, subject->size->n_bodies));
  g_autoptr (GPtrArray) slots = shim_register_slots (subject->reg, id, NULL);

  g_assert_cmpuint (slots->len, ==, 40);
}

static void
job_readiness (Subject *subject)
{
  g_autofree char *id = big_register_id ("job", big_bench_pick (&subject->turn, subject->size->n_jobs));
  g_autoptr (ShimJobKit) kit = shim_register_job_kit (subject->reg, id, NULL);
  g_autoptr (GPtrArray) list = NULL;

  g_assert_cmpuint (kit->lenses->len, ==, 9);
  list = shim_job_kit_readiness (kit);
  g_assert_nonnull (list);
}

static void
history_page (Subject *subject)
{
  g_autoptr (GPtrArray) list = shim_register_history (subject->reg, NULL, 20, 0, NULL);

  g_assert_cmpuint (list->len, ==, 20);
}

/* --- Changes --- */

static void
change_lens (Subject *subject)
{
  g_autofree char *id = big_register_id ("lens", big_bench_pick (&subject->turn, subject->size->n_lenses));
  g_autoptr (ShimRecord) lens = shim_register_get (subject->reg, SHIM_TYPE_LENS, id, NULL);
  g_autofree char *note = g_strdup_printf ("note %u", subject->turn);

  g_object_set (lens, "note", note, NULL);
  g_assert_true (shim_register_update (subject->reg, lens, NULL));
}

static void
note_knock (Subject *subject)
{
  g_autofree char *id = big_register_id ("lens", big_bench_pick (&subject->turn, subject->size->n_lenses));
  g_autoptr (ShimEvent) event = g_object_new (SHIM_TYPE_EVENT, "item-kind", "lens", "item", id, "kind", "knock", "happened-on",
                                              "2026-02-01", "noted-at", "2026-02-01T00:00:00Z", "casts-doubt", TRUE, NULL);

  g_assert_true (shim_register_insert (subject->reg, SHIM_RECORD (event), NULL));
}

static const struct
{
  const char *name;
  Task task;
} tasks[] = {
  { "open the register", open_it },
  { "first page of lenses", first_page },
  { "last page of lenses", last_page },
  { "count the lenses", count_lenses },
  { "search: one letter", search_letter },
  { "search: two words", search_word },
  { "search: a serial", search_serial },
  { "search everything", search_everything },
  { "find a body's serial", find_serial },
  { "window of the matrix", matrix_window },
  { "oldest pairs", oldest_pairs },
  { "worst due pairs", worst_due_pairs },
  { "oldest pairs of a mount", oldest_of_mount },
  { "a pair with its test", one_pair },
  { "slots of a body", slots_of_body },
  { "readiness of a job", job_readiness },
  { "page of the history", history_page },
  { "change a lens", change_lens },
  { "note a knock", note_knock },
};

static void
run_us (Subject *subject, Task task, double *processor, double *wall)
{
  gint64 wall_start = g_get_monotonic_time ();
  double start_ms = big_bench_processor_ms ();

  task (subject);
  *processor = (big_bench_processor_ms () - start_ms) * 1e3;
  *wall = (double) (g_get_monotonic_time () - wall_start);
}

/* In turn, so that a busy machine is busy for both. */
static void
compare (Subject *demo, Subject *big, const char *name, Task task)
{
  double demo_us[REPEATS], big_us[REPEATS], demo_wall_us[REPEATS], big_wall_us[REPEATS];
  double small, large;

  for (guint i = 0; i < REPEATS; i++)
    {
      run_us (demo, task, &demo_us[i], &demo_wall_us[i]);
      run_us (big, task, &big_us[i], &big_wall_us[i]);
    }
  small = big_bench_median (demo_us, REPEATS);
  large = big_bench_median (big_us, REPEATS);
  printf ("%-26s %9.0f us %9.0f us   ratio %6.2f   (wall %.0f us, %.0f us)\n", name, small, large, large / MAX (small, 1.0),
          big_bench_median (demo_wall_us, REPEATS), big_bench_median (big_wall_us, REPEATS));
  fflush (stdout);
}

static void
print_screen (Subject *big)
{
  double times[51];
  guint n_cells = 0;

  for (guint i = 0; i < G_N_ELEMENTS (times); i++)
    {
      double start_ms = big_bench_processor_ms ();

      n_cells = matrix (big, 12, 40);
      times[i] = (big_bench_processor_ms () - start_ms) * 1e3;
    }
  printf ("%-26s %9.0f us (%u pairs in 12 x 40 cells)\n", "matrix, a whole screen", big_bench_median (times, G_N_ELEMENTS (times)), n_cells);
  for (guint i = 0; i < G_N_ELEMENTS (times); i++)
    {
      double start_ms = big_bench_processor_ms ();

      list_lenses (big, "v", 0, 50);
      times[i] = (big_bench_processor_ms () - start_ms) * 1e3;
    }
  printf ("%-26s %9.0f us\n", "search, a whole screen", big_bench_median (times, G_N_ELEMENTS (times)));
}

static void
open_subject (Subject *subject)
{
  subject->reg = shim_register_open (subject->path, SHIM_REGISTER_DEFAULT, NULL);
  g_assert_nonnull (subject->reg);
  shim_register_set_clock (subject->reg, CLOCK_S);
}

int
main (int argc, char **argv)
{
  const char *which = argc > 1 ? argv[1] : "big";
  g_autofree char *folder = NULL;
  g_autofree char *demo_path = NULL;
  g_autofree char *big_path = NULL;
  Subject demo = { .size = big_bench_size ("demo") }, big = { NULL };
  gint64 start = g_get_monotonic_time ();

  if (big_bench_make_if_asked (argc, argv))
    return 0;
  big.size = big_bench_size (which);
  folder = g_dir_make_tmp ("shimbook-bench-XXXXXX", NULL);
  demo.path = demo_path = g_build_filename (folder, "demo.shimbook", NULL);
  /* A second argument names where the large one is kept from run to run. */
  big.path = big_path = argc == 3 ? g_strdup (argv[2]) : g_build_filename (folder, "big.shimbook", NULL);
  big_bench_make (argv[0], demo_path, "demo");
  big_bench_make (argv[0], big_path, which);
  printf ("made in %.0f s\n", (double) (g_get_monotonic_time () - start) / 1e6);
  open_subject (&demo);
  open_subject (&big);
  for (guint i = 0; i < G_N_ELEMENTS (tasks); i++)
    compare (&demo, &big, tasks[i].name, tasks[i].task);
  print_screen (&big);
  printf ("%-26s %9.0f MB resident after all of it\n", "memory", big_bench_memory_mb ("VmRSS:"));
  shim_register_free (demo.reg);
  shim_register_free (big.reg);
  big_bench_remove (demo_path);
  if (argc < 3)
    big_bench_remove (big_path);
  g_rmdir (folder);
  return 0;
}
