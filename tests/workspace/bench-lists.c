/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <stdlib.h>
#include <string.h>

#include "../store/big-bench.h"
#include "shim-kit-sheet.h"
#include "shim-ops-pair.h"
#include "shim-ops-slots-view.h"
#include "shim-pair-grid.h"
#include "shim-pair-list.h"
#include "shim-pixels.h"
#include "workspace-fixture.h"

/* How much longer does a person wait for the first screenful in a store-room's register than in a bag's? And than in a small one whose
 * bodies have as many lenses ("same"), for what is about one body or pair? Each thing is done on all in turn; the medians of the processor
 * time are compared. What comes behind the first screen while the person looks at it is given apart. Prints only: machines differ. */

#define REPEATS 31
#define SCREEN_ROWS 30
#define SCREEN_COLUMNS 12

typedef struct
{
  const char *path;
  const BigRegisterSize *size;
  ShimWorkspace *workspace;
  GListModel *list;
  ShimPairGrid *grid;
  guint turn;
} Subject;

/* A task is timed up to its first screen; what it leaves in the subject is finished and let go of untimed. */
typedef void (*Task) (Subject *subject);

/* --- what is waited for --- */

static gboolean
has_rows (gpointer list)
{
  return g_list_model_get_n_items (list) > 0;
}

static void
look_at_screen (GListModel *list)
{
  workspace_run_until (has_rows, list);
  for (guint i = 0; i < MIN (SCREEN_ROWS, g_list_model_get_n_items (list)); i++)
    g_object_unref (g_list_model_get_item (list, i));
}

static void
open_it (Subject *subject)
{
  g_autoptr (GError) error = NULL;

  subject->workspace = shim_workspace_open (subject->path, &error);
  g_assert_no_error (error);
}

static void
list_records (Subject *subject, GType type, const char *words)
{
  g_autoptr (ShimQuery) query = shim_query_new ();

  shim_query_add_order (query, "label", FALSE);
  shim_query_set_search (query, words);
  subject->list = G_LIST_MODEL (shim_record_list_new (subject->workspace, type, query));
  look_at_screen (subject->list);
}

static void
start (Subject *subject)
{
  open_it (subject);
  list_records (subject, SHIM_TYPE_BODY, NULL);
}

static void
kit_lenses (Subject *subject)
{
  list_records (subject, SHIM_TYPE_LENS, NULL);
}

static void
search_letter (Subject *subject)
{
  list_records (subject, SHIM_TYPE_LENS, "v");
}

static void
search_words (Subject *subject)
{
  list_records (subject, SHIM_TYPE_LENS, "velle 2");
}

static void
pairs_matrix (Subject *subject)
{
  ShimRecordList *lenses, *bodies;

  subject->grid = shim_pair_grid_new (subject->workspace);
  lenses = shim_pair_grid_get_lenses (subject->grid);
  bodies = shim_pair_grid_get_bodies (subject->grid);
  workspace_run_until (has_rows, lenses);
  workspace_run_until (has_rows, bodies);
  for (guint row = 0; row < SCREEN_ROWS; row++)
    for (guint column = 0; column < SCREEN_COLUMNS; column++)
      shim_pair_grid_get_cell (subject->grid, row, column);
}

static void
list_pairs (Subject *subject, ShimPairOrder order, guint states)
{
  const ShimPairFilter filter = { .order = order, .states = states };

  subject->list = G_LIST_MODEL (shim_pair_list_new (subject->workspace, &filter));
  look_at_screen (subject->list);
}

static void
pairs_worst (Subject *subject)
{
  list_pairs (subject, SHIM_PAIR_ORDER_WORST, 0);
}

static void
pairs_due (Subject *subject)
{
  list_pairs (subject, SHIM_PAIR_ORDER_OLDEST, 1u << SHIM_PAIR_DUE);
}

static void
call (Subject *subject, ShimRegisterFunc func, char *id)
{
  WorkspaceWait wait = { NULL };
  g_autoptr (GError) error = NULL;

  shim_workspace_call_async (subject->workspace, func, id, g_free, NULL, NULL, workspace_wait_cb, &wait);
  workspace_finish (subject->workspace, &wait, &error);
  g_assert_no_error (error);
}

static gpointer
slots_func (ShimRegister *reg, gpointer body, GCancellable *cancellable, GError **error)
{
  ShimSlotsView *view = shim_ops_slots_view (reg, body, error);

  g_assert_nonnull (view);
  shim_slots_view_free (view);
  return GINT_TO_POINTER (TRUE);
}

static void
slots_of_body (Subject *subject)
{
  call (subject, slots_func, big_register_id ("body", big_bench_pick (&subject->turn, subject->size->n_bodies)));
}

static gpointer
pair_func (ShimRegister *reg, gpointer pair, GCancellable *cancellable, GError **error)
{
  ShimPairView *view = shim_ops_pair_view (reg, pair, error);

  g_assert_nonnull (view);
  shim_pair_view_free (view);
  return GINT_TO_POINTER (TRUE);
}

static void
page_of_pair (Subject *subject)
{
  call (subject, pair_func, big_register_id ("pair", big_bench_pick (&subject->turn, subject->size->n_bodies * subject->size->n_pairs_per_body)));
}

static gpointer
sheet_func (ShimRegister *reg, gpointer job, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimJobKit) kit = shim_register_job_kit (reg, job, error);
  g_autoptr (GDateTime) now = g_date_time_new_from_unix_utc (1772323200);
  g_autoptr (ShimKitSheet) sheet = NULL;
  g_autofree char *json = NULL;

  g_assert_nonnull (kit);
  sheet = shim_kit_sheet_new (kit, now);
  json = shim_kit_sheet_to_json (sheet);
  return GINT_TO_POINTER (json != NULL);
}

static void
kit_sheet (Subject *subject)
{
  call (subject, sheet_func, big_register_id ("job", big_bench_pick (&subject->turn, subject->size->n_jobs)));
}

static const struct
{
  const char *name;
  Task task;
} tasks[] = {
  { "start: open, first bodies", start },
  { "Kit: first lenses", kit_lenses },
  { "Kit: search, one letter", search_letter },
  { "Kit: search, two words", search_words },
  { "Pairs: first screen of the table", pairs_matrix },
  { "Pairs: worst first", pairs_worst },
  { "Pairs: those due, oldest first", pairs_due },
  { "Pairs: page of a pair", page_of_pair },
  { "Slots: a body with its plan", slots_of_body },
  { "Jobs: kit sheet", kit_sheet },
};

/* --- timing --- */

static gboolean
is_idle (gpointer data)
{
  Subject *subject = data;

  if (subject->grid != NULL)
    return !shim_record_list_is_loading (shim_pair_grid_get_lenses (subject->grid))
           && !shim_record_list_is_loading (shim_pair_grid_get_bodies (subject->grid));
  if (SHIM_IS_RECORD_LIST (subject->list))
    return !shim_record_list_is_loading (SHIM_RECORD_LIST (subject->list));
  return subject->list == NULL || !shim_pair_list_is_loading (SHIM_PAIR_LIST (subject->list));
}

static void
run (Subject *subject, Task task, double *first_ms, double *rest_ms)
{
  double begin, shown;

  if (task == start)
    g_clear_object (&subject->workspace);
  while (g_main_context_iteration (NULL, FALSE))
    ;
  begin = big_bench_processor_ms ();
  task (subject);
  shown = big_bench_processor_ms ();
  workspace_run_until (is_idle, subject);
  *first_ms = shown - begin;
  *rest_ms = big_bench_processor_ms () - shown;
  g_clear_object (&subject->list);
  g_clear_object (&subject->grid);
}

typedef struct
{
  double first_ms[REPEATS];
  double rest_ms[REPEATS];
} Times;

/* In turn, so that a busy machine is busy for all. */
static void
compare (Subject *demo, Subject *same, Subject *big, const char *name, Task task)
{
  Times times[3];
  double median_ms[3];

  for (guint i = 0; i < REPEATS; i++)
    {
      run (demo, task, &times[0].first_ms[i], &times[0].rest_ms[i]);
      run (same, task, &times[1].first_ms[i], &times[1].rest_ms[i]);
      run (big, task, &times[2].first_ms[i], &times[2].rest_ms[i]);
    }
  for (guint k = 0; k < 3; k++)
    median_ms[k] = big_bench_median (times[k].first_ms, REPEATS);
  g_print ("%-34s %6.2f ms %6.2f ms %6.2f ms  %5.2f of demo  %5.2f of same   (behind it: %.2f ms)\n", name, median_ms[0], median_ms[1],
           median_ms[2], median_ms[2] / median_ms[0], median_ms[2] / median_ms[1], big_bench_median (times[2].rest_ms, REPEATS));
}

/* bench-lists [big|quick [PATH [NAME]]]: PATH names where the large register is kept from run to run; only what has NAME in its name is
 * timed, for a profiler. */
int
main (int argc, char *argv[])
{
  const char *which = argc > 1 ? argv[1] : "big";
  g_autofree char *folder = NULL;
  g_autofree char *demo_path = NULL;
  g_autofree char *same_path = NULL;
  g_autofree char *big_path = NULL;
  Subject demo = { .size = big_bench_size ("demo") }, same = { .size = big_bench_size ("same") }, big = { NULL };

  if (big_bench_make_if_asked (argc, argv))
    return 0;
  big.size = big_bench_size (which);
  /* As the program does. */
  shim_pixels_keep_freed ();
  folder = g_dir_make_tmp ("shimbook-bench-XXXXXX", NULL);
  demo.path = demo_path = g_build_filename (folder, "demo.shimbook", NULL);
  same.path = same_path = g_build_filename (folder, "same.shimbook", NULL);
  big.path = big_path = argc >= 3 ? g_strdup (argv[2]) : g_build_filename (folder, "big.shimbook", NULL);
  big_bench_make (argv[0], demo_path, "demo");
  big_bench_make (argv[0], same_path, "same");
  big_bench_make (argv[0], big_path, which);
  open_it (&demo);
  open_it (&same);
  open_it (&big);
  for (guint i = 0; i < G_N_ELEMENTS (tasks); i++)
    if (argc < 4 || strstr (tasks[i].name, argv[3]) != NULL)
      compare (&demo, &same, &big, tasks[i].name, tasks[i].task);
  g_print ("%-34s %7.0f MB at most\n", "memory", big_bench_memory_mb ("VmHWM:"));
  g_clear_object (&demo.workspace);
  g_clear_object (&same.workspace);
  g_clear_object (&big.workspace);
  big_bench_remove (demo_path);
  big_bench_remove (same_path);
  if (argc < 3)
    big_bench_remove (big_path);
  g_rmdir (folder);
  return 0;
}
