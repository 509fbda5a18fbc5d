/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <errno.h>
#include <gsl/gsl_sort_double.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>

#include "accuracy-frame.h"
#include "frame-sets.h"

/* How exact is a measurement? Frames of known truth, kind by kind, are made, measured with the target line given and nothing
 * else, and thrown away again. One line for each kind: errors of the offset in % of the depth of field (circle of
 * confusion 0.030 mm), error over standard error, how many lie within 1, 2 and 3 of them, and what was refused. */

#define WRONG_SE 4.0
#define WRONG_PERCENT 10.0
#define MAX_THREADS 2

typedef struct
{
  guint n_frames;
  guint n_measured;
  guint n_warned;
  guint n_wrong;      /* by more than both limits at once */
  guint n_off_ruler;  /* sharp line off the ruler */
  guint n_off_measured;
  guint verdicts[ACCURACY_BOUND_WRONG + 1];
  guint within[3];
  guint refused[SHIM_REFUSAL_SHAKEN + 1];
  double bias_mm;
  double ratio2;
  GArray *percent;
} Summary;

typedef struct
{
  guint32 seed;
  int count;
  int first;
  gboolean whole;
  gboolean list;
  gboolean keep;
  char *folder;
} Options;

static void
run_frame (gpointer data, gpointer user_data)
{
  accuracy_frame_run (data);
}

static void
add_to_summary (Summary *summary, const AccuracyFrame *frame)
{
  const ShimMeasurement *measurement = frame->measurement;
  double error_mm, percent, ratio;

  summary->n_frames++;
  summary->n_off_ruler += !frame->truth.on_ruler && frame->scene.ruler;
  summary->verdicts[accuracy_frame_judge (frame)]++;
  if (measurement == NULL || measurement->refusal != SHIM_REFUSAL_NONE)
    {
      summary->refused[measurement != NULL ? measurement->refusal : SHIM_REFUSAL_UNREADABLE]++;
      return;
    }
  error_mm = accuracy_frame_error_mm (frame);
  ratio = fabs (error_mm) / measurement->offset_se_mm;
  percent = 100.0 * fabs (error_mm) / accuracy_frame_depth_of_field_mm (frame);
  summary->n_measured++;
  summary->n_off_measured += !frame->truth.on_ruler;
  summary->n_warned += measurement->warnings != NULL;
  summary->bias_mm += error_mm;
  summary->ratio2 += ratio * ratio;
  summary->n_wrong += !(ratio <= WRONG_SE) && !(percent <= WRONG_PERCENT);
  for (guint k = 0; k < 3; k++)
    summary->within[k] += ratio <= k + 1.0;
  g_array_append_val (summary->percent, percent);
}

static double
quantile (GArray *values, double share)
{
  if (values->len == 0)
    return NAN;
  gsl_sort ((double *) (gpointer) values->data, 1, values->len);
  return gsl_stats_quantile_from_sorted_data ((const double *) (gpointer) values->data, 1, values->len, share);
}

static void
print_header (void)
{
  g_print ("%-12s %6s %8s %6s %8s %8s %8s %8s %6s %5s %5s %5s  %s\n", "kind", "frames", "measured", "warned", "bias mm", "median %",
           "95% below", "worst %", "rms/se", "1 se", "2 se", "3 se", "refused");
}

static void
print_share (guint n, guint of)
{
  if (of > 0)
    g_print (" %4.0f%%", 100.0 * n / of);
  else
    g_print ("     -");
}

static void
print_summary (const char *name, const Summary *summary)
{
  g_print ("%-12s %6u %8u %6u %8.2f %8.2f %8.2f %8.2f %6.2f", name, summary->n_frames, summary->n_measured, summary->n_warned,
           summary->n_measured > 0 ? summary->bias_mm / summary->n_measured : NAN, quantile (summary->percent, 0.5),
           quantile (summary->percent, 0.95), quantile (summary->percent, 1.0),
           summary->n_measured > 0 ? sqrt (summary->ratio2 / summary->n_measured) : NAN);
  for (guint k = 0; k < 3; k++)
    print_share (summary->within[k], summary->n_measured);
  g_print (" ");
  for (guint i = 0; i < G_N_ELEMENTS (summary->refused); i++)
    if (summary->refused[i] > 0)
      g_print (" %s %u", shim_refusal_to_name ((ShimRefusal) i), summary->refused[i]);
  if (summary->n_off_ruler > 0)
    g_print (" off the ruler %u, side right %u", summary->n_off_ruler, summary->verdicts[ACCURACY_SIDE_RIGHT]);
  if (summary->n_off_measured > 0)
    g_print (" OFF THE RULER BUT MEASURED %u", summary->n_off_measured);
  if (summary->verdicts[ACCURACY_SIDE_WRONG] > 0)
    g_print (" SIDE WRONG %u", summary->verdicts[ACCURACY_SIDE_WRONG]);
  if (summary->verdicts[ACCURACY_BOUND_WRONG] > 0)
    g_print (" BOUND DOES NOT HOLD %u", summary->verdicts[ACCURACY_BOUND_WRONG]);
  if (summary->n_wrong > 0)
    g_print (" WRONG %u", summary->n_wrong);
  g_print ("\n");
}

static GPtrArray *
draw_set (const char *name, int count, const Options *options)
{
  GPtrArray *frames = g_ptr_array_new_with_free_func ((GDestroyNotify) accuracy_frame_free);

  for (int i = options->first; i < options->first + count; i++)
    {
      AccuracyFrame *frame = accuracy_frame_new (name, options->seed, i, options->whole);
      g_autofree char *file = g_strdup_printf ("%s-%u-%03d.jpg", name, options->seed, i);

      frame->path = g_build_filename (options->folder, file, NULL);
      frame->keep = options->keep;
      g_ptr_array_add (frames, frame);
    }
  return frames;
}

/* Returns whether none was wrong. */
static gboolean
run_set (const char *name, int count, const Options *options, Summary *total)
{
  g_autoptr (GPtrArray) frames = draw_set (name, count, options);
  Summary summary = { .percent = g_array_new (FALSE, FALSE, sizeof (double)) };
  GThreadPool *pool = g_thread_pool_new (run_frame, NULL, (int) MIN (g_get_num_processors (), MAX_THREADS), TRUE, NULL);

  for (guint i = 0; i < frames->len; i++)
    g_thread_pool_push (pool, frames->pdata[i], NULL);
  g_thread_pool_free (pool, FALSE, TRUE);
  for (guint i = 0; i < frames->len; i++)
    {
      add_to_summary (&summary, frames->pdata[i]);
      add_to_summary (total, frames->pdata[i]);
      if (options->list)
        accuracy_frame_print (frames->pdata[i]);
    }
  print_summary (name, &summary);
  g_array_unref (summary.percent);
  return summary.n_wrong == 0;
}

int
main (int argc, char **argv)
{
  Options options = { .count = 6, .seed = 1 };
  char **names = NULL;
  int seed = 1;
  const GOptionEntry entries[] = {
    { "set", 's', 0, G_OPTION_ARG_STRING_ARRAY, &names, "Only this kind of frames (may be repeated)", "NAME" },
    { "count", 'n', 0, G_OPTION_ARG_INT, &options.count, "Frames of each kind (of good ones four times as many)", "N" },
    { "first", 0, 0, G_OPTION_ARG_INT, &options.first, "Begin with this frame of each kind", "N" },
    { "seed", 0, 0, G_OPTION_ARG_INT, &seed, "Other numbers draw other frames", "N" },
    { "whole", 0, 0, G_OPTION_ARG_NONE, &options.whole, "Make whole pictures, not only the middle of each", NULL },
    { "list", 'l', 0, G_OPTION_ARG_NONE, &options.list, "Print a line for each frame too", NULL },
    { "keep", 0, 0, G_OPTION_ARG_FILENAME, &options.folder, "Keep the frames here, and use those that are here", "FOLDER" },
    { NULL },
  };
  g_autoptr (GOptionContext) context = g_option_context_new ("- how exact is a measurement?");
  g_autoptr (GError) error = NULL;
  Summary total = { .percent = g_array_new (FALSE, FALSE, sizeof (double)) };
  const char *const *sets;
  gboolean ok = TRUE;

  g_option_context_add_main_entries (context, entries, NULL);
  if (g_option_context_parse (context, &argc, &argv, &error))
    {
      options.keep = options.folder != NULL;
      if (options.keep && g_mkdir_with_parents (options.folder, 0755) != 0)
        error = g_error_new (G_FILE_ERROR, g_file_error_from_errno (errno), "%s: %s", options.folder, g_strerror (errno));
      if (!options.keep)
        options.folder = g_dir_make_tmp ("accuracy-XXXXXX", &error);
    }
  if (error != NULL)
    {
      g_printerr ("%s\n", error->message);
      return 2;
    }
  options.seed = (guint32) seed;
  sets = names != NULL ? (const char *const *) names : frame_set_names ();
  print_header ();
  for (guint i = 0; sets[i] != NULL; i++)
    ok = run_set (sets[i], g_str_equal (sets[i], "good") ? 4 * options.count : options.count, &options, &total) && ok;
  if (sets[0] != NULL && sets[1] != NULL)
    print_summary ("all", &total);
  g_array_unref (total.percent);
  if (!options.keep)
    g_rmdir (options.folder);
  g_print ("wrong by more than %.0f standard errors and %.0f %% of the depth of field at once: %u\n", WRONG_SE, WRONG_PERCENT,
           total.n_wrong);
  return ok ? 0 : 1;
}
