/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>
#include <glib/gstdio.h>
#include <time.h>

#include "../store/big-bench.h"
#include "shim-application.h"
#include "shim-item-page.h"
#include "shim-kit-place.h"
#include "shim-pair-page.h"
#include "shim-pairs-place.h"
#include "shim-pixels.h"
#include "shim-register-reads.h"
#include "shim-sheet-save.h"
#include "shim-slots-page.h"
#include "shim-job-page.h"
#include "shim-window.h"

/* How long does a person wait in a store-room's register, and how long in a bag's? The window itself does what it is asked to, and the
 * time runs from the action to the end of the frame that shows the result. Both registers take turns, so that a busy machine is busy
 * for both; medians are compared. What is judged leaves out a pause that the window makes on purpose: typing is taken as done at once. */

#define REPEATS 11
#define GOAL 1.5
#define MOST_MB 250.0

/* Long enough for everything that goes on behind the first screen, which nobody waits for. */
#define SETTLED_MS 80

#define MOST_STEPS 12

typedef struct
{
  const char *which;
  char *path;
  const BigRegisterSize *size;
  ShimRegister *reader; /* for the words to wait for */
  guint turn;           /* other things each time, so that not one lucky page is measured */
  double wall_ms[MOST_STEPS][REPEATS];
  double processor_ms[MOST_STEPS][REPEATS];
} Subject;

typedef struct
{
  GtkApplication *app;
  Subject *subject;
  GtkWidget *window;
  ShimWorkspace *workspace;
  char *sheet_path;
  char *id;       /* of what is opened */
  char *title;    /* how its page is headed */
  char *subtitle; /* of a pair's page */
  guint n_lists;  /* counts changes of the list that is looked at */
  guint n_frames; /* counts what was painted */
} Session;

/* --- finding one's way in the window --- */

static GtkWidget *
place (Session *self, const char *name)
{
  GtkWidget *stack = GTK_WIDGET (gtk_widget_get_template_child (self->window, SHIM_TYPE_WINDOW, "stack"));

  return gtk_stack_get_child_by_name (GTK_STACK (stack), name);
}

static gpointer
kit_part (Session *self, const char *name)
{
  return gtk_widget_get_template_child (place (self, "kit"), SHIM_TYPE_KIT_PLACE, name);
}

static gpointer
pairs_part (Session *self, const char *name)
{
  return gtk_widget_get_template_child (place (self, "pairs"), SHIM_TYPE_PAIRS_PLACE, name);
}

static GtkWidget *
descendant (GtkWidget *widget, GType type)
{
  GtkWidget *found = G_TYPE_CHECK_INSTANCE_TYPE (widget, type) ? widget : NULL;

  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL && found == NULL;
       child = gtk_widget_get_next_sibling (child))
    found = descendant (child, type);
  return found;
}

static gpointer
page_part (Session *self, const char *place_name, GType page, const char *name)
{
  return gtk_widget_get_template_child (descendant (place (self, place_name), page), page, name);
}

static gboolean
is_titled (GtkWidget *label, const char *title)
{
  return gtk_widget_get_mapped (label) && g_strcmp0 (gtk_label_get_label (GTK_LABEL (label)), title) == 0;
}

static GListModel *
kit_list (Session *self)
{
  return G_LIST_MODEL (gtk_list_view_get_model (kit_part (self, "list")));
}

static void
list_changed_cb (Session *self)
{
  self->n_lists++;
}

static void
watch_list (Session *self)
{
  GListModel *list = kit_list (self);

  g_signal_handlers_disconnect_by_func (list, list_changed_cb, self);
  g_signal_connect_swapped (list, "items-changed", G_CALLBACK (list_changed_cb), self);
  self->n_lists = 0;
}

/* --- what a person does, and how the result is known --- */

static void
opened_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  Session *self = user_data;
  g_autoptr (GError) error = NULL;

  self->workspace = shim_workspace_open_finish (result, &error);
  g_assert_no_error (error);
  shim_window_set_workspace (SHIM_WINDOW (self->window), self->workspace);
}

static void
painted_cb (Session *self)
{
  self->n_frames++;
}

static void
start (Session *self)
{
  self->window = GTK_WIDGET (shim_window_new (self->app));
  gtk_window_present (GTK_WINDOW (self->window));
  g_signal_connect_swapped (gtk_widget_get_frame_clock (self->window), "after-paint", G_CALLBACK (painted_cb), self);
  shim_workspace_open_async (self->subject->path, NULL, opened_cb, self);
}

static gboolean
has_kit_list (Session *self)
{
  return self->workspace != NULL && g_list_model_get_n_items (kit_list (self)) > 0;
}

static void
show_lenses (Session *self)
{
  gtk_toggle_button_set_active (kit_part (self, "lenses_button"), TRUE);
}

static gboolean
has_lenses (Session *self)
{
  g_autoptr (GObject) first = g_list_model_get_item (kit_list (self), 0);

  return SHIM_IS_LENS (first);
}

static void
search_for (Session *self, const char *words)
{
  GtkWidget *entry = kit_part (self, "search_entry");

  watch_list (self);
  gtk_editable_set_text (GTK_EDITABLE (entry), words);
  g_signal_emit_by_name (entry, "search-changed");
}

static void
search_letter (Session *self)
{
  search_for (self, "v");
}

static void
search_words (Session *self)
{
  search_for (self, "velle 24");
}

static gboolean
has_found (Session *self)
{
  return self->n_lists > 0 && g_list_model_get_n_items (kit_list (self)) > 0;
}

static void
open_item (Session *self)
{
  gtk_widget_activate_action (self->window, "win.open-item", "(ss)", "body", self->id);
}

static gboolean
has_item (Session *self)
{
  return is_titled (page_part (self, "kit", SHIM_TYPE_ITEM_PAGE, "title"), self->title);
}

static void
open_pairs (Session *self)
{
  gtk_widget_activate_action (self->window, "win.place", "s", "pairs");
}

static gboolean
has_pairs (Session *self)
{
  return gtk_widget_get_mapped (pairs_part (self, "table_window"));
}

static void
list_pairs (Session *self)
{
  gtk_toggle_button_set_active (pairs_part (self, "table_button"), FALSE);
}

static gboolean
has_pair_list (Session *self)
{
  return gtk_widget_get_mapped (pairs_part (self, "list"));
}

static void
open_pair (Session *self)
{
  gtk_widget_activate_action (self->window, "win.open-pair", "s", self->id);
}

static gboolean
has_pair (Session *self)
{
  AdwWindowTitle *title = page_part (self, "pairs", SHIM_TYPE_PAIR_PAGE, "title");

  return g_strcmp0 (adw_window_title_get_title (title), self->title) == 0
         && g_strcmp0 (adw_window_title_get_subtitle (title), self->subtitle) == 0;
}

static void
open_slots (Session *self)
{
  gtk_widget_activate_action (self->window, "win.open-slots", "s", self->id);
}

static gboolean
has_slots (Session *self)
{
  return is_titled (page_part (self, "slots", SHIM_TYPE_SLOTS_PAGE, "title"), self->title);
}

static void
open_job (Session *self)
{
  gtk_widget_activate_action (self->window, "win.open-job", "s", self->id);
}

static gboolean
has_job (Session *self)
{
  return is_titled (page_part (self, "jobs", SHIM_TYPE_JOB_PAGE, "title"), self->title);
}

static void
write_sheet (Session *self)
{
  shim_sheet_write (place (self, "jobs"), self->workspace, self->id, self->sheet_path, SHIM_PAPER_A4);
}

static gboolean
says_sheet (GtkWidget *widget)
{
  if (GTK_IS_LABEL (widget) && g_str_has_prefix (gtk_label_get_label (GTK_LABEL (widget)), "The kit sheet was saved"))
    return TRUE;
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL; child = gtk_widget_get_next_sibling (child))
    if (says_sheet (child))
      return TRUE;
  return FALSE;
}

static gboolean
has_sheet (Session *self)
{
  return g_file_test (self->sheet_path, G_FILE_TEST_EXISTS) && says_sheet (self->window);
}

/* --- letting the window come to rest --- */

static gboolean
rested_cb (gpointer rested)
{
  *(gboolean *) rested = TRUE;
  return G_SOURCE_REMOVE;
}

static void
settle (Session *self)
{
  gboolean busy = TRUE, rested;

  while (busy)
    {
      rested = FALSE;
      g_timeout_add (SETTLED_MS, rested_cb, &rested);
      while (!rested)
        g_main_context_iteration (NULL, TRUE);
      g_object_get (self->workspace, "busy", &busy, NULL);
    }
}

/* --- what is to be opened --- */

static char *
text_of (Session *self, GType type, const char *id, const char *field)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecord) record = shim_register_get (self->subject->reader, type, id, &error);
  char *text = NULL;

  g_assert_no_error (error);
  g_object_get (record, field, &text, NULL);
  return text;
}

static void
choose (Session *self, const char *kind, guint n)
{
  g_free (self->id);
  g_free (self->title);
  self->title = NULL;
  self->id = big_register_id (kind, big_bench_pick (&self->subject->turn, n));
}

static void
choose_pair (Session *self)
{
  g_autofree char *body = NULL, *lens = NULL;

  choose (self, "pair", self->subject->size->n_bodies * self->subject->size->n_pairs_per_body);
  body = text_of (self, SHIM_TYPE_PAIR, self->id, "body");
  lens = text_of (self, SHIM_TYPE_PAIR, self->id, "lens");
  g_free (self->subtitle);
  self->subtitle = text_of (self, SHIM_TYPE_BODY, body, "label");
  self->title = text_of (self, SHIM_TYPE_LENS, lens, "label");
}

/* One is open already when another one is asked for. */
static void
choose_item (Session *self)
{
  choose (self, "body", self->subject->size->n_bodies);
  open_item (self);
  settle (self);
  choose (self, "body", self->subject->size->n_bodies);
  self->title = text_of (self, SHIM_TYPE_BODY, self->id, "label");
}

static void
choose_body (Session *self)
{
  choose (self, "body", self->subject->size->n_bodies);
  self->title = text_of (self, SHIM_TYPE_BODY, self->id, "label");
  gtk_widget_activate_action (self->window, "win.place", "s", "slots");
}

static void
choose_job (Session *self)
{
  choose (self, "job", self->subject->size->n_jobs);
  self->title = text_of (self, SHIM_TYPE_JOB, self->id, "name");
  gtk_widget_activate_action (self->window, "win.place", "s", "jobs");
}

/* @same: a page whose length is that of the body's own kit is compared with one as long. */
static const struct
{
  const char *name;
  void (*prepare) (Session *self);
  void (*act) (Session *self);
  gboolean (*shown) (Session *self);
  gboolean same;
} steps[] = {
  { "start: window, register, bodies", NULL, start, has_kit_list },
  { "Kit: the lenses", NULL, show_lenses, has_lenses },
  { "Kit: search, one letter", NULL, search_letter, has_found },
  { "Kit: search, two words", NULL, search_words, has_found },
  { "Kit: page of a body", choose_item, open_item, has_item, TRUE },
  { "Pairs: the table", NULL, open_pairs, has_pairs },
  { "Pairs: the list, worst first", NULL, list_pairs, has_pair_list },
  { "Pairs: page of a pair", choose_pair, open_pair, has_pair, TRUE },
  { "Slots: a body with its plan", choose_body, open_slots, has_slots, TRUE },
  { "Jobs: page of a job", choose_job, open_job, has_job },
  { "Jobs: kit sheet, as PDF", NULL, write_sheet, has_sheet },
};

G_STATIC_ASSERT (G_N_ELEMENTS (steps) <= MOST_STEPS);

/* --- timing --- */

static double
processor_ms (void)
{
  struct timespec now;

  clock_gettime (CLOCK_PROCESS_CPUTIME_ID, &now);
  return (double) now.tv_sec * 1e3 + (double) now.tv_nsec / 1e6;
}

/* What a frame shows was known when it began: the one after the result came is waited for. */
static void
wait_for_frame (Session *self, gboolean (*shown) (Session *self))
{
  guint before;

  while (!shown (self))
    g_main_context_iteration (NULL, TRUE);
  before = self->n_frames;
  gdk_frame_clock_request_phase (gtk_widget_get_frame_clock (self->window), GDK_FRAME_CLOCK_PHASE_PAINT);
  while (self->n_frames == before)
    g_main_context_iteration (NULL, TRUE);
}

static void
close_window (Session *self)
{
  g_object_add_weak_pointer (G_OBJECT (self->window), (gpointer *) &self->window);
  g_clear_object (&self->workspace);
  gtk_window_close (GTK_WINDOW (self->window));
  while (self->window != NULL)
    g_main_context_iteration (NULL, TRUE);
}

static void
run_session (GtkApplication *app, Subject *subject, guint repeat, const char *sheet_path)
{
  Session self = { .app = app, .subject = subject, .sheet_path = g_strdup (sheet_path) };

  for (guint i = 0; i < G_N_ELEMENTS (steps); i++)
    {
      gint64 began;
      double processor_began;

      if (steps[i].prepare != NULL)
        {
          steps[i].prepare (&self);
          settle (&self);
        }
      began = g_get_monotonic_time ();
      processor_began = processor_ms ();
      steps[i].act (&self);
      wait_for_frame (&self, steps[i].shown);
      subject->wall_ms[i][repeat] = (double) (g_get_monotonic_time () - began) / 1e3;
      subject->processor_ms[i][repeat] = processor_ms () - processor_began;
      settle (&self);
    }
  close_window (&self);
  g_unlink (sheet_path);
  g_free (self.sheet_path);
  g_free (self.id);
  g_free (self.title);
  g_free (self.subtitle);
}

/* --- the outcome --- */

static const char *
verdict (double value, double goal)
{
  return value <= goal ? "" : "  OVER THE GOAL";
}

static gboolean
report (guint i, Subject *demo, Subject *same, Subject *big)
{
  double demo_ms = big_bench_median (demo->wall_ms[i], REPEATS), same_ms = big_bench_median (same->wall_ms[i], REPEATS);
  double big_ms = big_bench_median (big->wall_ms[i], REPEATS), judged = big_ms / (steps[i].same ? same_ms : demo_ms);

  g_print ("%-32s %6.1f %6.1f %6.1f   %5.2f%s %5.2f%s  (processor %.2f %.2f)%s\n", steps[i].name, demo_ms, same_ms, big_ms, big_ms / demo_ms,
           steps[i].same ? " " : "*", big_ms / same_ms, steps[i].same ? "*" : " ",
           big_bench_median (big->processor_ms[i], REPEATS) / big_bench_median (demo->processor_ms[i], REPEATS),
           big_bench_median (big->processor_ms[i], REPEATS) / big_bench_median (same->processor_ms[i], REPEATS), verdict (judged, GOAL));
  return judged <= GOAL;
}

static gboolean
report_all (Subject *demo, Subject *same, Subject *big, double memory_mb)
{
  gboolean good = memory_mb <= MOST_MB;

  g_print ("ms to the frame that shows it, median of %d, and how many times as long it takes in “%s”; goal for those marked *: %.2f\n"
           "%-32s %6s %6s %6s   %6s %6s\n",
           REPEATS, big->which, GOAL, "", demo->which, same->which, big->which, demo->which, same->which);
  for (guint i = 0; i < G_N_ELEMENTS (steps); i++)
    good &= report (i, demo, same, big);
  g_print ("%-32s %6.0f MB at most, of one window on “%s”; goal %.0f%s\n", "memory", memory_mb, big->which, MOST_MB, verdict (memory_mb, MOST_MB));
  return good;
}

/* Memory of the program with one window, which no other one had a share in. */
static double
measure_memory (const char *program, const Subject *subject)
{
  const char *const argv[] = { program, "--once", subject->path, subject->which, NULL };
  g_autoptr (GError) error = NULL;
  g_autofree char *said = NULL;

  g_spawn_sync (NULL, (char **) argv, NULL, G_SPAWN_DEFAULT, NULL, NULL, &said, NULL, NULL, &error);
  g_assert_no_error (error);
  return g_ascii_strtod (said, NULL);
}

static void
open_subject (Subject *self, const char *program, const char *folder, const char *path, const char *which)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *name = g_strconcat (which, ".shimbook", NULL);

  self->which = which;
  self->size = big_bench_size (which);
  self->path = path != NULL ? g_strdup (path) : g_build_filename (folder, name, NULL);
  big_bench_make (program, self->path, which);
  self->reader = shim_register_open (self->path, SHIM_REGISTER_READ_ONLY, &error);
  g_assert_no_error (error);
}

static void
close_subject (Subject *self, gboolean remove)
{
  shim_register_free (self->reader);
  if (remove)
    big_bench_remove (self->path);
  g_free (self->path);
}

static ShimApplication *
application_new (void)
{
  ShimApplication *app = shim_application_new ();
  g_autoptr (GError) error = NULL;

  g_application_set_flags (G_APPLICATION (app), g_application_get_flags (G_APPLICATION (app)) | G_APPLICATION_NON_UNIQUE);
  g_application_register (G_APPLICATION (app), NULL, &error);
  g_assert_no_error (error);
  return app;
}

static gboolean
compare (const char *program, const char *folder, const char *which, const char *path)
{
  static Subject demo, same, big;
  g_autofree char *sheet_path = g_build_filename (folder, "sheet.pdf", NULL);
  g_autoptr (ShimApplication) app = application_new ();
  gboolean good;

  open_subject (&demo, program, folder, NULL, "demo");
  open_subject (&same, program, folder, NULL, "same");
  open_subject (&big, program, folder, path, which);
  /* The first window of a process loads fonts and icons for all that come after it. */
  run_session (GTK_APPLICATION (app), &demo, 0, sheet_path);
  for (guint repeat = 0; repeat < REPEATS; repeat++)
    {
      run_session (GTK_APPLICATION (app), &demo, repeat, sheet_path);
      run_session (GTK_APPLICATION (app), &same, repeat, sheet_path);
      run_session (GTK_APPLICATION (app), &big, repeat, sheet_path);
    }
  good = report_all (&demo, &same, &big, measure_memory (program, &big));
  close_subject (&demo, TRUE);
  close_subject (&same, TRUE);
  close_subject (&big, path == NULL);
  return good;
}

static void
run_once (const char *program, const char *folder, const char *which, const char *path)
{
  static Subject subject;
  g_autofree char *sheet_path = g_build_filename (folder, "sheet.pdf", NULL);
  g_autoptr (ShimApplication) app = application_new ();

  open_subject (&subject, program, folder, path, which);
  run_session (GTK_APPLICATION (app), &subject, 0, sheet_path);
  close_subject (&subject, FALSE);
  g_print ("%.0f\n", big_bench_memory_mb ("VmHWM:"));
}

/* bench-waits [big|quick [PATH]]: PATH names where the large register is kept from run to run. */
int
main (int argc, char *argv[])
{
  g_autofree char *folder = NULL;
  gboolean good = TRUE;

  if (big_bench_make_if_asked (argc, argv))
    return 0;
  /* As the program does. */
  shim_pixels_keep_freed ();
  folder = g_dir_make_tmp ("shimbook-bench-XXXXXX", NULL);
  if (argc == 4 && g_str_equal (argv[1], "--once"))
    run_once (argv[0], folder, argv[3], argv[2]);
  else
    good = compare (argv[0], folder, argc > 1 ? argv[1] : "big", argc > 2 ? argv[2] : NULL);
  g_rmdir (folder);
  return good ? 0 : 1;
}
