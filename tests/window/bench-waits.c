/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>
#include <glib/gstdio.h>

#include "shim-application.h"
#include "shim-pixels.h"
#include "waits-steps.h"

/* How long does a person wait in a store-room's register, and how long in a bag's? The window itself does what it is asked to, and the
 * time runs from the action to the end of the frame that shows the result. Both registers take turns, so that a busy machine is busy
 * for both; medians are compared. What is judged leaves out a pause that the window makes on purpose: an entry that waits
 * for more to be typed is taken at its word. */

#define REPEATS 11
#define GOAL 1.5
/* No display of 60 Hz shows anything sooner than in its next frame: what takes less is no wait, and counts as one frame. */
#define FRAME_MS (1000.0 / 60.0)
#define MOST_MB 250.0

typedef struct
{
  const char *which;
  WaitsRegister reg;
  double wall_ms[N_WAITS_STEPS][REPEATS];
  double processor_ms[N_WAITS_STEPS][REPEATS];
} Subject;

/* --- timing --- */

/* What a frame shows was known when it began: the one after the result came is waited for. */
static void
wait_for_frame (WaitsSession *self, gboolean (*shown) (WaitsSession *self))
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
close_window (WaitsSession *self)
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
  WaitsSession self = { .app = app, .reg = &subject->reg, .sheet_path = g_strdup (sheet_path) };

  for (guint i = 0; i < N_WAITS_STEPS; i++)
    {
      gint64 began;
      double processor_began;

      if (waits_steps[i].prepare != NULL)
        {
          waits_steps[i].prepare (&self);
          waits_settle (&self);
        }
      began = g_get_monotonic_time ();
      processor_began = big_bench_processor_ms ();
      waits_steps[i].act (&self);
      wait_for_frame (&self, waits_steps[i].shown);
      subject->wall_ms[i][repeat] = (double) (g_get_monotonic_time () - began) / 1e3;
      subject->processor_ms[i][repeat] = big_bench_processor_ms () - processor_began;
      waits_settle (&self);
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
  double big_ms = big_bench_median (big->wall_ms[i], REPEATS);
  double judged = MAX (big_ms, FRAME_MS) / MAX (waits_steps[i].same ? same_ms : demo_ms, FRAME_MS);

  g_print ("%-32s %6.1f %6.1f %6.1f   %5.2f%s %5.2f%s %6.2f  (processor %.2f %.2f)%s\n", waits_steps[i].name, demo_ms, same_ms, big_ms, big_ms / demo_ms,
           waits_steps[i].same ? " " : "*", big_ms / same_ms, waits_steps[i].same ? "*" : " ", judged,
           big_bench_median (big->processor_ms[i], REPEATS) / big_bench_median (demo->processor_ms[i], REPEATS),
           big_bench_median (big->processor_ms[i], REPEATS) / big_bench_median (same->processor_ms[i], REPEATS), verdict (judged, GOAL));
  return judged <= GOAL;
}

static gboolean
report_all (Subject *demo, Subject *same, Subject *big, double memory_mb)
{
  gboolean good = memory_mb <= MOST_MB;

  g_print ("ms to the frame that shows it, median of %d, and how many times as long it takes in “%s”; judged is what is marked *, with less than\n"
           "one frame of a display (%.1f ms) counted as one; goal %.2f\n"
           "%-32s %6s %6s %6s   %6s %6s %6s\n",
           REPEATS, big->which, FRAME_MS, GOAL, "", demo->which, same->which, big->which, demo->which, same->which, "judged");
  for (guint i = 0; i < N_WAITS_STEPS; i++)
    good &= report (i, demo, same, big);
  g_print ("%-32s %6.0f MB at most, of one window on “%s”; goal %.0f%s\n", "memory", memory_mb, big->which, MOST_MB, verdict (memory_mb, MOST_MB));
  return good;
}

/* Memory of the program with one window, which no other one had a share in. */
static double
measure_memory (const char *program, const Subject *subject)
{
  const char *const argv[] = { program, "--once", subject->reg.path, subject->which, NULL };
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
  self->reg.size = big_bench_size (which);
  self->reg.path = path != NULL ? g_strdup (path) : g_build_filename (folder, name, NULL);
  big_bench_make (program, self->reg.path, which);
  self->reg.reader = shim_register_open (self->reg.path, SHIM_REGISTER_READ_ONLY, &error);
  g_assert_no_error (error);
}

static void
close_subject (Subject *self, gboolean remove)
{
  shim_register_free (self->reg.reader);
  if (remove)
    big_bench_remove (self->reg.path);
  g_free (self->reg.path);
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
