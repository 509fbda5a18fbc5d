/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-ctl-request.h"
#include "shim-ctl.h"
#include "shim-format.h"
#include "shim-json.h"
#include "shim-measurement.h"
#include "shim-ops-accept.h"
#include "shim-ops-frames.h"
#include "shim-ops-summary.h"
#include "shim-ops-test.h"

/* Commands on tests: open one, take frames, ask for advice, accept a setting. */

/* Names on the command line and the items they stand for; @failed once one is not found. */
static ShimRecord *
named_item (ShimCtl *ctl, GType type, const char *word, gboolean *failed)
{
  ShimRecord *record;

  if (word == NULL)
    return NULL;
  record = shim_ctl_find (ctl, type, word);
  *failed |= record == NULL;
  return record;
}

static int
open_test (ShimCtl *ctl, const char *body_word, const char *lens_word, const char *converter_word, ShimOpenTest *request)
{
  gboolean failed = FALSE;
  g_autoptr (ShimRecord) body = named_item (ctl, SHIM_TYPE_BODY, body_word, &failed);
  g_autoptr (ShimRecord) lens = named_item (ctl, SHIM_TYPE_LENS, lens_word, &failed);
  g_autoptr (ShimRecord) converter = named_item (ctl, SHIM_TYPE_CONVERTER, converter_word, &failed);
  g_autoptr (ShimTest) test = NULL;
  g_autoptr (GError) error = NULL;

  if (failed)
    return SHIM_CTL_FAILED;
  request->body = body->id;
  request->lens = lens->id;
  request->converter = converter != NULL ? converter->id : NULL;
  test = shim_ops_test_open (ctl->reg, request, &error);
  if (test == NULL)
    return shim_ctl_fail (error);
  if (ctl->json)
    {
      g_autoptr (JsonNode) node = shim_json_from_record (SHIM_RECORD (test));

      shim_ctl_print_json (node);
    }
  else
    {
      g_autofree char *distance = shim_format_distance (test->distance_mm);
      g_autofree char *focal = shim_format_focal (test->focal_mm, NAN);
      g_autofree char *f_number = shim_format_f_number (test->f_number);

      g_print (_ ("Test %s: %s at %s, ruler and target at %s\n"), SHIM_RECORD (test)->id, focal, f_number, distance);
    }
  return SHIM_CTL_OK;
}

static int
run_test (ShimCtl *ctl, int argc, char **argv)
{
  g_autofree char *body = NULL, *lens = NULL, *converter = NULL;
  ShimOpenTest request;
  const GOptionEntry entries[] = {
    { "body", 0, 0, G_OPTION_ARG_STRING, &body, N_ ("The body"), N_ ("ITEM") },
    { "lens", 0, 0, G_OPTION_ARG_STRING, &lens, N_ ("The lens"), N_ ("ITEM") },
    { "converter", 0, 0, G_OPTION_ARG_STRING, &converter, N_ ("A converter between them"), N_ ("ITEM") },
    { "focal", 0, 0, G_OPTION_ARG_DOUBLE, &request.focal_mm, N_ ("Focal length"), "MM" },
    { "distance", 0, 0, G_OPTION_ARG_DOUBLE, &request.distance_mm, N_ ("Camera to target"), "MM" },
    { "f-number", 0, 0, G_OPTION_ARG_DOUBLE, &request.f_number, N_ ("Aperture"), "N" },
    { "angle", 0, 0, G_OPTION_ARG_DOUBLE, &request.angle_deg, N_ ("Between ruler and optical axis"), "DEG" },
    { "tick", 0, 0, G_OPTION_ARG_DOUBLE, &request.tick_mm, N_ ("Distance of the finest ticks"), "MM" },
    { "coc", 0, 0, G_OPTION_ARG_DOUBLE, &request.coc_mm, N_ ("Circle of confusion"), "MM" },
    { "tolerance", 0, 0, G_OPTION_ARG_DOUBLE, &request.tolerance_share, N_ ("Tolerance as a share of the depth of field"),
      N_ ("SHARE") },
    { NULL },
  };

  shim_open_test_init (&request);
  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 0, 0))
    return SHIM_CTL_USAGE;
  if (body == NULL || lens == NULL)
    return shim_ctl_usage (_ ("a test needs --body and --lens"));
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  return open_test (ctl, body, lens, converter, &request);
}

static void
add_added (JsonBuilder *builder, const ShimAddedFrame *added)
{
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "file", added->path);
  shim_json_add_bool (builder, "stored", added->frame != NULL);
  shim_json_add_text (builder, "frame", added->frame != NULL ? SHIM_RECORD (added->frame)->id : NULL);
  shim_json_add_text (builder, "reason", added->error != NULL ? added->error->message : NULL);
  json_builder_set_member_name (builder, "reading");
  if (added->reading != NULL)
    shim_json_add_record (builder, SHIM_RECORD (added->reading));
  else
    json_builder_add_null_value (builder);
  json_builder_set_member_name (builder, "remarks");
  json_builder_begin_array (builder);
  for (guint i = 0; added->remarks != NULL && added->remarks[i] != NULL; i++)
    json_builder_add_string_value (builder, added->remarks[i]);
  json_builder_end_array (builder);
  json_builder_end_object (builder);
}

static void
print_added (const ShimAddedFrame *added)
{
  g_autofree char *name = g_path_get_basename (added->path);

  if (added->error != NULL)
    g_print (_ ("%s: not stored. %s\n"), name, added->error->message);
  else if (added->reading == NULL || isnan (added->reading->offset_mm))
    g_print (_ ("%s: stored, not measured. %s\n"), name, added->reading != NULL ? added->reading->reason : "");
  else
    {
      g_autofree char *offset = shim_format_signed_error (added->reading->offset_mm, added->reading->offset_se_mm, "mm");

      g_print (_ ("%s: offset %s\n"), name, offset);
    }
  for (guint i = 0; added->remarks != NULL && added->remarks[i] != NULL; i++)
    g_print (_ ("  note: %s\n"), added->remarks[i]);
}

/* What a person can do about frames without a target line. */
static void
print_way_out (GPtrArray *all)
{
  const char *no_target = shim_refusal_to_name (SHIM_REFUSAL_NO_TARGET);

  for (guint i = 0; i < all->len; i++)
    {
      const ShimAddedFrame *added = all->pdata[i];

      if (added->frame != NULL && added->reading != NULL && g_strcmp0 (added->reading->refusal, no_target) == 0)
        {
          g_print (_ ("Mark one of them and the others follow: shimbookctl mark --target X,Y %s\n"),
                   SHIM_RECORD (added->frame)->id);
          return;
        }
    }
}

static gboolean
is_measured (const ShimAddedFrame *added)
{
  return added->reading != NULL && !isnan (added->reading->offset_mm);
}

/* Prints what became of each file. A round of which nothing was measured is a failure: there is nothing to go on with. */
static int
print_all_added (ShimCtl *ctl, ShimRound *round, GPtrArray *all)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  int status = SHIM_CTL_OK;
  guint n_measured = 0;

  json_builder_begin_object (builder);
  shim_json_add_text (builder, "round", SHIM_RECORD (round)->id);
  json_builder_set_member_name (builder, "frames");
  json_builder_begin_array (builder);
  for (guint i = 0; i < all->len; i++)
    {
      const ShimAddedFrame *added = all->pdata[i];

      if (!ctl->json)
        print_added (added);
      add_added (builder, added);
      if (added->error != NULL)
        status = SHIM_CTL_FAILED;
      n_measured += is_measured (added);
    }
  json_builder_end_array (builder);
  json_builder_end_object (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else
    print_way_out (all);
  return n_measured > 0 ? status : SHIM_CTL_FAILED;
}

typedef struct
{
  gint64 setting;
  gboolean reference;
  char *into;
  char *approach;
  gboolean override;
} RoundOptions;

/* A new round, or one that is there and gets more frames. */
static ShimRound *
round_for (ShimCtl *ctl, const char *test, const RoundOptions *options, GError **error)
{
  if (options->into != NULL)
    return SHIM_ROUND (shim_register_get (ctl->reg, SHIM_TYPE_ROUND, options->into, error));
  if (options->reference)
    return shim_ops_test_add_reference (ctl->reg, test, error);
  return shim_ops_test_add_round (ctl->reg, test, options->setting, error);
}

/* A round made for these frames of which none was stored is taken back: nobody would know what it is for. */
static void
drop_empty_round (ShimCtl *ctl, const char *made, GPtrArray *all)
{
  g_autofree char *newest = NULL;
  g_autoptr (GError) error = NULL;

  for (guint i = 0; i < all->len; i++)
    if (((const ShimAddedFrame *) all->pdata[i])->frame != NULL)
      return;
  if (shim_register_can_undo (ctl->reg, &newest) && g_strcmp0 (newest, made) == 0
      && !shim_register_undo (ctl->reg, NULL, &error))
    g_printerr ("%s\n", error->message);
}

static int
take_round (ShimCtl *ctl, const char *test, const RoundOptions *options, const ShimMeasureRequest *request,
            const char *const *files)
{
  const ShimMarks marks = { request, options->approach, options->override };
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRound) round = round_for (ctl, test, options, &error);
  g_autoptr (GPtrArray) all = NULL;
  g_autofree char *made = NULL;

  if (round != NULL && options->into == NULL)
    shim_register_can_undo (ctl->reg, &made);
  if (round != NULL)
    all = shim_ops_frames_add (ctl->reg, SHIM_RECORD (round)->id, files, &marks, NULL, NULL, NULL, &error);
  if (all == NULL)
    return shim_ctl_fail (error);
  if (made != NULL)
    drop_empty_round (ctl, made, all);
  return print_all_added (ctl, round, all);
}

static gboolean
round_options_are_whole (const RoundOptions *options)
{
  guint n = (options->setting != SHIM_NO_INT) + options->reference + (options->into != NULL);

  if (n != 1)
    shim_ctl_usage (_ ("a round needs just one of --setting, --reference and --into"));
  else if (options->approach != NULL && !g_str_equal (options->approach, "near") && !g_str_equal (options->approach, "far"))
    shim_ctl_usage (_ ("--approach is near or far, not “%s”"), options->approach);
  else
    return TRUE;
  return FALSE;
}

static int
run_round (ShimCtl *ctl, int argc, char **argv)
{
  ShimCtlRequest request_options = { 0 };
  RoundOptions options = { .setting = SHIM_NO_INT };
  const GOptionEntry entries[] = {
    { "setting", 0, 0, G_OPTION_ARG_INT64, &options.setting, N_ ("What is keyed in"), "N" },
    { "reference", 0, 0, G_OPTION_ARG_NONE, &options.reference, N_ ("Frames focused on the image sensor itself"), NULL },
    { "into", 0, 0, G_OPTION_ARG_STRING, &options.into, N_ ("Add to this round instead of a new one"), N_ ("ROUND") },
    { "approach", 0, 0, G_OPTION_ARG_STRING, &options.approach, N_ ("From which side focus was driven"), "near|far" },
    { "override", 0, 0, G_OPTION_ARG_NONE, &options.override, N_ ("Store frames that contradict the pair"), NULL },
    SHIM_CTL_REQUEST_ENTRIES (request_options),
    { NULL },
  };
  ShimMeasureRequest request;
  int status = SHIM_CTL_USAGE;

  if (shim_ctl_parse (ctl, entries, &argc, &argv) && shim_ctl_want_args (argv, argc, 2, -1)
      && round_options_are_whole (&options) && shim_ctl_request_parse (&request_options, &request))
    status = shim_ctl_register (ctl) != NULL
                 ? take_round (ctl, argv[1], &options, &request, (const char *const *) argv + 2)
                 : SHIM_CTL_FAILED;
  shim_ctl_request_clear (&request_options);
  g_free (options.into);
  g_free (options.approach);
  return status;
}

static void
add_round_json (JsonBuilder *builder, const ShimRoundSummary *round)
{
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "round", SHIM_RECORD (round->round)->id);
  shim_json_add_text (builder, "kind", round->round->kind);
  shim_json_add_int (builder, "setting", round->round->setting);
  shim_json_add_int (builder, "n_frames", round->stats.n_frames);
  shim_json_add_int (builder, "n_used", round->stats.n_used);
  shim_json_add_real (builder, "mean_mm", round->stats.mean_mm);
  shim_json_add_real (builder, "se_mm", round->stats.se_mm);
  shim_json_add_real (builder, "scatter_mm", round->stats.scatter_mm);
  json_builder_end_object (builder);
}

static void
add_summary_json (JsonBuilder *builder, const ShimTestSummary *summary)
{
  const ShimResponse *response = &summary->response;

  json_builder_begin_object (builder);
  shim_json_add_text (builder, "test", SHIM_RECORD (summary->test)->id);
  shim_json_add_text (builder, "body", summary->body->label);
  shim_json_add_text (builder, "lens", summary->lens->label);
  shim_json_add_real (builder, "depth_of_field_mm", summary->depth_of_field_mm);
  shim_json_add_real (builder, "tolerance_mm", summary->tolerance_mm);
  json_builder_set_member_name (builder, "rounds");
  json_builder_begin_array (builder);
  for (guint i = 0; i < summary->rounds->len; i++)
    add_round_json (builder, summary->rounds->pdata[i]);
  json_builder_end_array (builder);
  shim_json_add_text (builder, "response", shim_response_state_to_name (response->state));
  shim_json_add_real (builder, "step_mm", response->step_mm);
  shim_json_add_real (builder, "step_se_mm", response->step_se_mm);
  shim_json_add_text (builder, "action", shim_advice_action_to_name (summary->advice.action));
  shim_json_add_text (builder, "advice_reason", shim_advice_reason_to_name (summary->advice.reason));
  shim_json_add_int (builder, "setting", summary->advice.setting);
  shim_json_add_int (builder, "n_frames", summary->advice.n_frames);
  shim_json_add_real (builder, "offset_mm", summary->advice.offset_mm);
  shim_json_add_real (builder, "offset_se_mm", summary->advice.se_mm);
  shim_json_add_real (builder, "wanted_setting", summary->advice.wanted_setting);
  shim_json_add_text (builder, "sentence", summary->advice_sentence);
  json_builder_end_object (builder);
}

static void
print_summary (const ShimTestSummary *summary)
{
  g_autofree char *depth = shim_format_number (summary->depth_of_field_mm, 0);
  g_autofree char *tolerance = shim_format_number (summary->tolerance_mm, 1);

  if (isnan (summary->depth_of_field_mm))
    g_print (_ ("%s on %s: the depth of field and the tolerance are known once a frame is measured\n"), summary->lens->label,
             summary->body->label);
  else
    g_print (_ ("%s on %s: depth of field %s mm, tolerance ± %s mm\n"), summary->lens->label, summary->body->label, depth,
             tolerance);
  for (guint i = 0; i < summary->rounds->len; i++)
    {
      const ShimRoundSummary *round = summary->rounds->pdata[i];
      g_autofree char *setting = shim_format_setting (round->round->setting);
      g_autofree char *mean = shim_format_signed_error (round->stats.mean_mm, round->stats.se_mm, "mm");

      if (round->is_reference)
        g_print (_ ("  Reference round: %s from %u of %u frames\n"), mean, round->stats.n_used, round->stats.n_frames);
      else
        g_print (_ ("  Setting %s: %s from %u of %u frames\n"), setting, mean, round->stats.n_used, round->stats.n_frames);
    }
  if (!isnan (summary->response.step_mm))
    {
      g_autofree char *step = shim_format_signed_error (summary->response.step_mm, summary->response.step_se_mm, "mm");

      g_print (_ ("  One step moves focus by %s\n"), step);
    }
  g_print ("%s\n", summary->advice_sentence);
}

static int
run_advise (ShimCtl *ctl, int argc, char **argv)
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
  add_summary_json (builder, summary);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else
    print_summary (summary);
  return SHIM_CTL_OK;
}

static gboolean
parse_slot (const char *word, gint64 *slot)
{
  guint64 number;

  if (word == NULL || g_str_equal (word, "next"))
    *slot = SHIM_SLOT_NEXT;
  else if (g_str_equal (word, "lens"))
    *slot = SHIM_SLOT_IN_LENS;
  else if (g_str_equal (word, "none"))
    *slot = SHIM_SLOT_NONE;
  else if (g_ascii_string_to_unsigned (word, 10, 1, 9999, &number, NULL))
    *slot = (gint64) number;
  else
    {
      shim_ctl_usage (_ ("--slot is a number, next, lens or none, not “%s”"), word);
      return FALSE;
    }
  return TRUE;
}

static void
print_accepted (ShimCtl *ctl, ShimDecision *decision, ShimSlotEntry *entry)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autofree char *value = shim_format_setting (decision->value);
  g_autofree char *residual = shim_format_signed_error (decision->residual_mm, decision->residual_se_mm, "mm");

  json_builder_begin_object (builder);
  json_builder_set_member_name (builder, "decision");
  shim_json_add_record (builder, SHIM_RECORD (decision));
  json_builder_set_member_name (builder, "slot_entry");
  if (entry != NULL)
    shim_json_add_record (builder, SHIM_RECORD (entry));
  else
    json_builder_add_null_value (builder);
  json_builder_end_object (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else if (entry == NULL)
    g_print (_ ("Accepted: %s, residual %s; not keyed in yet\n"), value, residual);
  else if (entry->number == SHIM_SLOT_IN_LENS)
    g_print (_ ("Accepted: %s, residual %s; kept in the lens\n"), value, residual);
  else
    g_print (_ ("Accepted: %s, residual %s; key it into slot %d\n"), value, residual, (int) entry->number);
}

static int
run_accept (ShimCtl *ctl, int argc, char **argv)
{
  ShimAccept request;
  gint64 setting = SHIM_NO_INT;
  g_autofree char *slot = NULL, *end = NULL, *note = NULL;
  gboolean overwrite = FALSE;
  const GOptionEntry entries[] = {
    { "setting", 0, 0, G_OPTION_ARG_INT64, &setting, N_ ("This setting instead of the best one"), "N" },
    { "slot", 0, 0, G_OPTION_ARG_STRING, &slot, N_ ("Where it is kept"), "N|next|lens|none" },
    { "end", 0, 0, G_OPTION_ARG_STRING, &end, N_ ("Which end of a zoom it is for"), "all|wide|long" },
    { "overwrite", 0, 0, G_OPTION_ARG_NONE, &overwrite, N_ ("The slot may hold another pair"), NULL },
    { "note", 0, 0, G_OPTION_ARG_STRING, &note, N_ ("Anything else"), N_ ("TEXT") },
    { NULL },
  };
  g_autoptr (ShimTestSummary) summary = NULL;
  g_autoptr (ShimDecision) decision = NULL;
  g_autoptr (ShimSlotEntry) entry = NULL;
  g_autoptr (GError) error = NULL;

  shim_accept_init (&request);
  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 1, 1) || !parse_slot (slot, &request.slot))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  summary = shim_ops_test_summary (ctl->reg, NULL, argv[1], &error);
  if (summary == NULL)
    return shim_ctl_fail (error);
  request.test = argv[1];
  request.value = setting != SHIM_NO_INT ? setting : summary->advice.setting;
  request.end = end;
  request.overwrite = overwrite;
  request.note = note;
  decision = shim_ops_accept (ctl->reg, &request, &entry, &error);
  if (decision == NULL)
    return shim_ctl_fail (error);
  if (shim_test_summary_has_decision (summary, shim_record_get_id (SHIM_RECORD (decision))))
    {
      g_autofree char *value = shim_format_setting (decision->value);

      g_printerr (_ ("shimbookctl: setting %s is accepted already; nothing was stored\n"), value);
      if (!ctl->json)
        return SHIM_CTL_OK;
    }
  print_accepted (ctl, decision, entry);
  return SHIM_CTL_OK;
}

const ShimCtlCommand shim_ctl_bench_commands[] = {
  { "test", "--body ITEM --lens ITEM [--converter ITEM] [--focal MM] [--distance MM] [--f-number N] [--angle DEG]",
    N_ ("Open a test of a pair and print its id"), run_test },
  { "round", "--setting N|--reference|--into ROUND [--approach near|far] [--override] [options of measure] TEST FILE…",
    N_ ("Take frames into a round and measure them"), run_round },
  { "advise", "TEST", N_ ("Print the figures of a test and what to do next"), run_advise },
  { "accept", "[--setting N] [--slot N|next|lens|none] [--end all|wide|long] [--overwrite] TEST",
    N_ ("Accept a setting and note where it is kept"), run_accept },
  { NULL, NULL, NULL, NULL },
};
