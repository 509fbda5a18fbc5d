/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gstdio.h>
#include <gsl/gsl_sort_double.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>

#include "frame-render.h"
#include "frame-sets.h"
#include "frame-truth.h"
#include "shim-frame-measure.h"
#include "shim-optics.h"

/* How exact is a measurement? Frames of known truth, kind by kind, are made, measured with the target line given and nothing
 * else, and thrown away again. One line for each kind: errors of the offset in % of the depth of field (circle of
 * confusion 0.030 mm), how many lie within 1, 2 and 3 of their standard errors, and what was refused. */

#define COC_MM 0.030
#define WRONG_SE 4.0
#define WRONG_PERCENT 10.0
#define MAX_THREADS 2

typedef struct
{
  FrameScene scene;
  FrameTruth truth;
  char *path;
  ShimMeasurement *measurement;   /* NULL when the frame could not be made or read */
} Frame;

typedef struct
{
  const char *name;
  GPtrArray *frames;
} Set;

typedef struct
{
  guint n_frames;
  guint n_measured;
  guint n_warned;
  guint n_wrong;      /* by more than both limits at once */
  guint n_bad_bound;  /* off the ruler to the wrong side, or not as far as said */
  guint within[3];
  guint refused[SHIM_REFUSAL_SHAKEN + 1];
  double bias_mm;
  GArray *percent;
} Summary;

static void
frame_free (gpointer data)
{
  Frame *self = data;

  g_clear_pointer (&self->measurement, shim_measurement_free);
  g_free (self->path);
  g_free (self);
}

static void
make_and_measure (gpointer data, gpointer user_data)
{
  Frame *self = data;
  ShimMeasureRequest request;
  g_autoptr (GError) error = NULL;

  if (frame_render_file (&self->scene, self->path, &self->truth, &error))
    {
      shim_measure_request_init (&request);
      request.has_target = TRUE;
      request.target_px = (ShimPoint) { self->truth.aligned.upright.x, self->truth.aligned.upright.y };
      self->measurement = shim_frame_measure (self->path, &request, NULL, NULL, &error);
    }
  if (error != NULL)
    g_printerr ("%s: %s\n", self->path, error->message);
  g_unlink (self->path);
}

static double
depth_of_field_mm (const FrameScene *scene)
{
  ShimDepthOfField depth;

  return shim_optics_depth_of_field (scene->focal_mm, scene->f_number, scene->distance_mm, COC_MM, &depth) ? depth.total_mm : NAN;
}

static gboolean
bound_holds (const Frame *frame)
{
  const ShimMeasurement *measurement = frame->measurement;

  if (measurement->refusal == SHIM_REFUSAL_OFF_RULER_NEAR)
    return !(measurement->offset_bound_mm < frame->truth.delta_mm);
  if (measurement->refusal == SHIM_REFUSAL_OFF_RULER_FAR)
    return !(measurement->offset_bound_mm > frame->truth.delta_mm);
  return TRUE;
}

static void
add_to_summary (Summary *summary, const Frame *frame)
{
  const ShimMeasurement *measurement = frame->measurement;
  double error_mm, percent, ratio;

  summary->n_frames++;
  if (measurement == NULL || measurement->refusal != SHIM_REFUSAL_NONE)
    {
      summary->refused[measurement != NULL ? measurement->refusal : SHIM_REFUSAL_UNREADABLE]++;
      summary->n_bad_bound += measurement != NULL && !bound_holds (frame);
      return;
    }
  error_mm = measurement->offset_mm - frame->truth.delta_mm;
  ratio = fabs (error_mm) / measurement->offset_se_mm;
  percent = 100.0 * fabs (error_mm) / depth_of_field_mm (&frame->scene);
  summary->n_measured++;
  summary->n_warned += measurement->warnings != NULL;
  summary->bias_mm += error_mm;
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
  g_print ("%-12s %6s %8s %6s %8s %8s %8s %8s %5s %5s %5s  %s\n", "kind", "frames", "measured", "warned", "bias mm", "median %",
           "95% below", "worst %", "1 se", "2 se", "3 se", "refused");
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
  g_print ("%-12s %6u %8u %6u %8.2f %8.2f %8.2f %8.2f", name, summary->n_frames, summary->n_measured, summary->n_warned,
           summary->n_measured > 0 ? summary->bias_mm / summary->n_measured : NAN, quantile (summary->percent, 0.5),
           quantile (summary->percent, 0.95), quantile (summary->percent, 1.0));
  for (guint k = 0; k < 3; k++)
    print_share (summary->within[k], summary->n_measured);
  g_print (" ");
  for (guint i = 0; i < G_N_ELEMENTS (summary->refused); i++)
    if (summary->refused[i] > 0)
      g_print (" %s %u", shim_refusal_to_name ((ShimRefusal) i), summary->refused[i]);
  if (summary->n_bad_bound > 0)
    g_print (" BOUND DOES NOT HOLD %u", summary->n_bad_bound);
  if (summary->n_wrong > 0)
    g_print (" WRONG %u", summary->n_wrong);
  g_print ("\n");
}

static Set
draw_set (const char *name, guint32 seed, int count, const char *folder)
{
  Set set = { name, g_ptr_array_new_with_free_func (frame_free) };

  for (int i = 0; i < count; i++)
    {
      Frame *frame = g_new0 (Frame, 1);
      g_autofree char *file = g_strdup_printf ("%s-%d.jpg", name, i);

      frame->path = g_build_filename (folder, file, NULL);
      g_ptr_array_add (set.frames, frame);
      if (!frame_set_draw (name, seed, i, &frame->scene, NULL))
        g_error ("There is no set “%s”.", name);
    }
  return set;
}

static guint
run_set (const char *name, guint32 seed, int count, const char *folder)
{
  Set set = draw_set (name, seed, count, folder);
  Summary summary = { .percent = g_array_new (FALSE, FALSE, sizeof (double)) };
  GThreadPool *pool = g_thread_pool_new (make_and_measure, NULL, (int) MIN (g_get_num_processors (), MAX_THREADS), TRUE, NULL);
  guint n_wrong;

  for (guint i = 0; i < set.frames->len; i++)
    g_thread_pool_push (pool, set.frames->pdata[i], NULL);
  g_thread_pool_free (pool, FALSE, TRUE);
  for (guint i = 0; i < set.frames->len; i++)
    add_to_summary (&summary, set.frames->pdata[i]);
  print_summary (name, &summary);
  n_wrong = summary.n_wrong;
  g_array_unref (summary.percent);
  g_ptr_array_unref (set.frames);
  return n_wrong;
}

int
main (int argc, char **argv)
{
  static char **names = NULL;
  static int count = 6, seed = 1;
  static const GOptionEntry entries[] = {
    { "set", 's', 0, G_OPTION_ARG_STRING_ARRAY, &names, "Only this kind of frames (may be repeated)", "NAME" },
    { "count", 'n', 0, G_OPTION_ARG_INT, &count, "Frames of each kind (of good ones four times as many)", "N" },
    { "seed", 0, 0, G_OPTION_ARG_INT, &seed, "Other numbers draw other frames", "N" },
    { NULL },
  };
  g_autoptr (GOptionContext) context = g_option_context_new ("- how exact is a measurement?");
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = NULL;
  const char *const *sets;
  guint n_wrong = 0;

  g_option_context_add_main_entries (context, entries, NULL);
  if (!g_option_context_parse (context, &argc, &argv, &error) || (folder = g_dir_make_tmp ("accuracy-XXXXXX", &error)) == NULL)
    {
      g_printerr ("%s\n", error->message);
      return 2;
    }
  sets = names != NULL ? (const char *const *) names : frame_set_names ();
  print_header ();
  for (guint i = 0; sets[i] != NULL; i++)
    n_wrong += run_set (sets[i], (guint32) seed, g_str_equal (sets[i], "good") ? 4 * count : count, folder);
  g_rmdir (folder);
  g_print ("wrong by more than %.0f standard errors and %.0f %% of the depth of field at once: %u\n", WRONG_SE, WRONG_PERCENT, n_wrong);
  return n_wrong == 0 ? 0 : 1;
}
