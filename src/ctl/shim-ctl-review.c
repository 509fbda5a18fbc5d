/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-ctl-request.h"
#include "shim-ctl.h"
#include "shim-format.h"
#include "shim-json.h"
#include "shim-ops-frames.h"
#include "shim-ops-summary.h"

/* Commands on the frames of a test: list them, read one by eye, leave one out. */

static void
print_frame (ShimCtl *ctl, JsonBuilder *builder, const ShimRoundSummary *round, const ShimFrameSummary *frame)
{
  if (!ctl->json)
    {
      g_autofree char *name = g_path_get_basename (frame->frame->path);
      g_autofree char *offset = frame->counted != NULL
                                    ? shim_format_signed_error (frame->counted->offset_mm, frame->counted->offset_se_mm, "mm")
                                    : g_strdup (_ ("not measured"));

      g_print ("  %s  ", SHIM_RECORD (frame->frame)->id);
      shim_ctl_print_cell (name, 23);
      g_print ("%s%s%s\n", offset, frame->sentence != NULL ? "  " : "",
               frame->sentence != NULL ? frame->sentence : "");
    }
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "frame", SHIM_RECORD (frame->frame)->id);
  shim_json_add_text (builder, "round", SHIM_RECORD (round->round)->id);
  shim_json_add_text (builder, "file", frame->frame->path);
  shim_json_add_real (builder, "offset_mm", frame->counted != NULL ? frame->counted->offset_mm : NAN);
  shim_json_add_real (builder, "offset_se_mm", frame->counted != NULL ? frame->counted->offset_se_mm : NAN);
  shim_json_add_text (builder, "method", frame->counted != NULL ? frame->counted->method : NULL);
  shim_json_add_text (builder, "use", shim_frame_verdict_to_name (frame->use));
  shim_json_add_text (builder, "remark", frame->sentence);
  json_builder_end_object (builder);
}

static void
print_round_head (const ShimRoundSummary *round)
{
  g_autofree char *setting = shim_format_setting (round->round->setting);

  if (round->is_reference)
    g_print (_ ("Reference round %s\n"), SHIM_RECORD (round->round)->id);
  else
    g_print (_ ("Round %s, setting %s\n"), SHIM_RECORD (round->round)->id, setting);
}

static int
run_frames (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autoptr (ShimTestSummary) summary = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, 1))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  summary = shim_ops_test_summary (ctl->reg, NULL, argv[1], &error);
  if (summary == NULL)
    return shim_ctl_fail (error);
  json_builder_begin_array (builder);
  for (guint r = 0; r < summary->rounds->len; r++)
    {
      const ShimRoundSummary *round = summary->rounds->pdata[r];

      if (!ctl->json)
        print_round_head (round);
      for (guint i = 0; i < round->frames->len; i++)
        print_frame (ctl, builder, round, round->frames->pdata[i]);
    }
  json_builder_end_array (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  return SHIM_CTL_OK;
}

static int
set_use (ShimCtl *ctl, int argc, char **argv, gboolean use)
{
  g_autofree char *reason = NULL;
  const GOptionEntry entries[] = {
    { "reason", 0, 0, G_OPTION_ARG_STRING, &reason, N_ ("Why"), N_ ("TEXT") },
    { NULL },
  };
  g_autoptr (ShimRecord) frame = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, 1))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  frame = shim_register_get (ctl->reg, SHIM_TYPE_FRAME, argv[1], &error);
  if (frame == NULL || !shim_ops_frames_set_use (ctl->reg, frame->id, use, reason, &error))
    return shim_ctl_fail (error);
  return shim_ctl_done (ctl, "frame", frame->id, use ? _ ("The frame counts again") : _ ("The frame is left out"));
}

static int
run_leave_out (ShimCtl *ctl, int argc, char **argv)
{
  return set_use (ctl, argc, argv, FALSE);
}

static int
run_count (ShimCtl *ctl, int argc, char **argv)
{
  return set_use (ctl, argc, argv, TRUE);
}

static int
run_read (ShimCtl *ctl, int argc, char **argv)
{
  g_autofree char *target = NULL, *sharp = NULL;
  ShimEyeMarks marks = { .se_mm = NAN };
  const GOptionEntry entries[] = {
    { "target", 0, 0, G_OPTION_ARG_STRING, &target, N_ ("Where you see the target line, on the ruler"), "X,Y" },
    { "sharp", 0, 0, G_OPTION_ARG_STRING, &sharp, N_ ("Where you see the sharp line, on the ruler"), "X,Y" },
    { "error", 0, 0, G_OPTION_ARG_DOUBLE, &marks.se_mm, N_ ("How sure, one standard error; one tick if left out"), "MM" },
    { NULL },
  };
  g_autoptr (ShimReading) reading = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, 1))
    return SHIM_CTL_USAGE;
  if (target == NULL || sharp == NULL)
    return shim_ctl_usage (_ ("a reading by eye needs --target and --sharp"));
  if (!shim_ctl_parse_point ("--target", target, &marks.target_px) || !shim_ctl_parse_point ("--sharp", sharp, &marks.sharp_px))
    return SHIM_CTL_USAGE;
  if (marks.se_mm <= 0.0)
    return shim_ctl_usage (_ ("--error must be more than 0 mm"));
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  reading = shim_ops_frames_read_by_eye (ctl->reg, argv[1], &marks, &error);
  if (reading == NULL)
    return shim_ctl_fail (error);
  if (ctl->json)
    {
      g_autoptr (JsonNode) node = shim_json_from_record (SHIM_RECORD (reading));

      shim_ctl_print_json (node);
    }
  else
    {
      g_autofree char *offset = shim_format_signed_error (reading->offset_mm, reading->offset_se_mm, "mm");

      g_print (_ ("By eye: offset %s\n"), offset);
    }
  return SHIM_CTL_OK;
}

static void
print_reading (ShimReading *reading)
{
  g_autofree char *offset = shim_format_signed_error (reading->offset_mm, reading->offset_se_mm, "mm");

  if (reading->reason != NULL)
    g_print (_ ("%s: refused (%s). %s\n"), reading->frame, reading->refusal, reading->reason);
  else
    g_print (_ ("%s: offset %s\n"), reading->frame, offset);
}

/* The marked frame first, then those that its marks were carried over to. */
static void
print_marked (ShimCtl *ctl, ShimReading *marked, GPtrArray *carried)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  json_builder_begin_array (builder);
  shim_json_add_record (builder, SHIM_RECORD (marked));
  for (guint i = 0; i < carried->len; i++)
    shim_json_add_record (builder, g_ptr_array_index (carried, i));
  json_builder_end_array (builder);
  if (ctl->json)
    {
      shim_ctl_print_built (builder);
      return;
    }
  print_reading (marked);
  for (guint i = 0; i < carried->len; i++)
    print_reading (g_ptr_array_index (carried, i));
}

static int
mark_frame (ShimCtl *ctl, const char *frame, const ShimMeasureRequest *request)
{
  g_autoptr (ShimReading) marked = NULL;
  g_autoptr (GPtrArray) carried = NULL;
  g_autoptr (GError) error = NULL;

  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  marked = shim_ops_frames_remeasure (ctl->reg, frame, request, NULL, &error);
  if (marked != NULL)
    carried = shim_ops_frames_carry (ctl->reg, frame, NULL, &error);
  if (carried == NULL)
    return shim_ctl_fail (error);
  print_marked (ctl, marked, carried);
  return SHIM_CTL_OK;
}

static int
run_mark (ShimCtl *ctl, int argc, char **argv)
{
  ShimCtlRequest options = { 0 };
  const GOptionEntry entries[] = { SHIM_CTL_REQUEST_ENTRIES (options), { NULL } };
  ShimMeasureRequest request;
  int status = SHIM_CTL_USAGE;

  if (shim_ctl_parse (ctl, entries, &argc, &argv) && shim_ctl_want_args (argv, argc, 1, 1)
      && shim_ctl_request_parse (&options, &request))
    status = mark_frame (ctl, argv[1], &request);
  shim_ctl_request_clear (&options);
  return status;
}

const ShimCtlCommand shim_ctl_review_commands[] = {
  { "frames", "TEST", N_ ("List the frames of a test with their ids and offsets"), run_frames },
  { "read", "--target X,Y --sharp X,Y [--error MM] FRAME", N_ ("Read a stored frame by eye; both readings are kept"), run_read },
  { "mark", "[options of measure] FRAME",
    N_ ("Mark target line or strip on a stored frame, measure it, and carry the marks over to the others of its test"), run_mark },
  { "leave-out", "[--reason TEXT] FRAME", N_ ("Leave a frame out of its round"), run_leave_out },
  { "count", "[--reason TEXT] FRAME", N_ ("Let a frame count that was left out"), run_count },
  { NULL, NULL, NULL, NULL },
};
