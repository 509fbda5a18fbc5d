/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-ctl.h"
#include "shim-format.h"
#include "shim-json.h"
#include "shim-lens-reach.h"
#include "shim-ops-accept.h"
#include "shim-ops-model.h"
#include "shim-ops-test.h"

/* Commands on one pair, and on what the kit model says of pairs and items. */

static gboolean
find_pair_items (ShimCtl *ctl, char **words, const char *converter_word, ShimRecord **body, ShimRecord **lens, ShimRecord **converter)
{
  return shim_ctl_register (ctl) != NULL && (*body = shim_ctl_find (ctl, SHIM_TYPE_BODY, words[0])) != NULL
         && (*lens = shim_ctl_find (ctl, SHIM_TYPE_LENS, words[1])) != NULL
         && (converter_word == NULL || (*converter = shim_ctl_find (ctl, SHIM_TYPE_CONVERTER, converter_word)) != NULL);
}

/* A pair of which something was decided. On failure it has said why. */
static ShimPair *
pair_of (ShimCtl *ctl, char **words, const char *converter_word)
{
  g_autoptr (ShimRecord) body = NULL, lens = NULL, converter = NULL;
  g_autoptr (GError) error = NULL;
  ShimPair *pair;

  if (!find_pair_items (ctl, words, converter_word, &body, &lens, &converter))
    return NULL;
  pair = shim_ops_test_find_pair (ctl->reg, body->id, lens->id, converter != NULL ? converter->id : NULL, FALSE, &error);
  if (error != NULL)
    shim_ctl_fail (error);
  else if (pair == NULL)
    shim_ctl_usage (_ ("nothing was decided of this pair yet"));
  return pair;
}

static int
run_withdraw (ShimCtl *ctl, int argc, char **argv)
{
  g_autofree char *converter = NULL, *end = NULL, *note = NULL;
  const GOptionEntry entries[] = {
    { "converter", 0, 0, G_OPTION_ARG_STRING, &converter, N_ ("With this converter"), N_ ("ITEM") },
    { "end", 0, 0, G_OPTION_ARG_STRING, &end, N_ ("Which end of a zoom it is for"), "all|wide|long" },
    { "note", 0, 0, G_OPTION_ARG_STRING, &note, N_ ("Why"), N_ ("TEXT") },
    { NULL },
  };
  static const char *const ends[] = { "all", "wide", "long", NULL };
  g_autoptr (ShimPair) pair = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2))
    return SHIM_CTL_USAGE;
  if (end != NULL && !g_strv_contains (ends, end))
    return shim_ctl_usage (_ ("--end is all, wide or long, not “%s”"), end);
  pair = pair_of (ctl, argv + 1, converter);
  if (pair == NULL)
    return SHIM_CTL_FAILED;
  if (!shim_ops_accept_withdraw (ctl->reg, SHIM_RECORD (pair)->id, end, note, &error))
    return shim_ctl_fail (error);
  return shim_ctl_done (ctl, "pair", SHIM_RECORD (pair)->id, _ ("Withdrawn; what was decided stays in the history"));
}

static int
set_needed (ShimCtl *ctl, int argc, char **argv, gboolean needed)
{
  g_autofree char *converter = NULL;
  const GOptionEntry entries[] = {
    { "converter", 0, 0, G_OPTION_ARG_STRING, &converter, N_ ("With this converter"), N_ ("ITEM") },
    { NULL },
  };
  g_autoptr (ShimRecord) body = NULL, lens = NULL, converter_item = NULL;
  g_autoptr (ShimPair) pair = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2))
    return SHIM_CTL_USAGE;
  if (!find_pair_items (ctl, argv + 1, converter, &body, &lens, &converter_item))
    return SHIM_CTL_FAILED;
  pair = shim_ops_test_set_needed (ctl->reg, body->id, lens->id, converter_item != NULL ? converter_item->id : NULL, needed, &error);
  if (pair == NULL)
    return shim_ctl_fail (error);
  return shim_ctl_done (ctl, "pair", SHIM_RECORD (pair)->id, needed ? _ ("The pair is needed") : _ ("The pair is not needed"));
}

static int
run_needed (ShimCtl *ctl, int argc, char **argv)
{
  return set_needed (ctl, argc, argv, TRUE);
}

static int
run_not_needed (ShimCtl *ctl, int argc, char **argv)
{
  return set_needed (ctl, argc, argv, FALSE);
}

static int
print_prediction (ShimCtl *ctl, const ShimPairPrediction *prediction)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  json_builder_begin_object (builder);
  shim_json_add_bool (builder, "known", prediction != NULL);
  shim_json_add_int (builder, "setting", prediction != NULL ? prediction->setting : SHIM_NO_INT);
  shim_json_add_real (builder, "wanted_setting", prediction != NULL ? prediction->wanted : NAN);
  shim_json_add_real (builder, "se_steps", prediction != NULL ? prediction->se_steps : NAN);
  shim_json_add_real (builder, "offset_mm", prediction != NULL ? prediction->offset_mm : NAN);
  shim_json_add_real (builder, "offset_se_mm", prediction != NULL ? prediction->offset_se_mm : NAN);
  shim_json_add_real (builder, "step_mm", prediction != NULL ? prediction->step_mm : NAN);
  shim_json_add_text (builder, "sentence", prediction != NULL ? prediction->sentence : NULL);
  json_builder_end_object (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else
    g_print ("%s\n", prediction != NULL ? prediction->sentence
                                        : _ ("Nothing can be said of this pair yet: test its body or its lens with something else first."));
  return SHIM_CTL_OK;
}

static int
run_predict (ShimCtl *ctl, int argc, char **argv)
{
  g_autofree char *converter_word = NULL;
  double focal_mm = NAN, distance_mm = NAN;
  const GOptionEntry entries[] = {
    { "converter", 0, 0, G_OPTION_ARG_STRING, &converter_word, N_ ("With this converter"), N_ ("ITEM") },
    { "focal", 0, 0, G_OPTION_ARG_DOUBLE, &focal_mm, N_ ("Focal length; the middle of the range if left out"), "MM" },
    { "distance", 0, 0, G_OPTION_ARG_DOUBLE, &distance_mm, N_ ("Camera to target; 50 × focal length if left out"), "MM" },
    { NULL },
  };
  g_autoptr (ShimRecord) body = NULL, lens = NULL, converter = NULL;
  g_autoptr (ShimModel) model = NULL;
  g_autoptr (ShimPairPrediction) prediction = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2))
    return SHIM_CTL_USAGE;
  if (focal_mm <= 0.0 || distance_mm <= 0.0)
    return shim_ctl_usage (_ ("--focal and --distance must be more than 0 mm"));
  if (!find_pair_items (ctl, argv + 1, converter_word, &body, &lens, &converter))
    return SHIM_CTL_FAILED;
  if (isnan (focal_mm))
    focal_mm = shim_lens_middle_mm (SHIM_LENS (lens));
  model = shim_ops_model_around (ctl->reg, body->id, lens->id, NULL, &error);
  if (model != NULL)
    prediction = shim_ops_model_predict (ctl->reg, model, body->id, lens->id, converter != NULL ? converter->id : NULL, focal_mm,
                                         isnan (distance_mm) ? 50.0 * focal_mm : distance_mm, &error);
  return error != NULL ? shim_ctl_fail (error) : print_prediction (ctl, prediction);
}

static void
print_model_item (ShimCtl *ctl, JsonBuilder *builder, const ShimModelItem *item)
{
  GType type = item->is_body ? SHIM_TYPE_BODY : SHIM_TYPE_LENS;
  g_autoptr (ShimRecord) record = shim_register_get (ctl->reg, type, item->item, NULL);
  const char *name = record == NULL ? item->item : item->is_body ? SHIM_BODY (record)->label : SHIM_LENS (record)->label;

  if (!ctl->json)
    {
      g_autofree char *level = shim_format_signed_error (item->term.level_um, item->term.se_um, "µm");

      shim_ctl_print_cell (shim_kind_for_type (type)->name, 8);
      shim_ctl_print_cell (name, 27);
      g_print ("%s%s%s\n", item->term.known ? level : _ ("not known"),
               item->sentence != NULL ? "  " : "", item->sentence != NULL ? item->sentence : "");
    }
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "kind", shim_kind_for_type (type)->name);
  shim_json_add_text (builder, "item", item->item);
  shim_json_add_text (builder, "converter", item->converter);
  shim_json_add_text (builder, "name", name);
  shim_json_add_real (builder, "level_um", item->term.known ? item->term.level_um : NAN);
  shim_json_add_real (builder, "se_um", item->term.known ? item->term.se_um : NAN);
  shim_json_add_bool (builder, "is_off", item->term.is_off);
  shim_json_add_text (builder, "sentence", item->sentence);
  json_builder_end_object (builder);
}

static int
run_model (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();
  g_autoptr (ShimModel) model = NULL;
  g_autoptr (GError) error = NULL;
  GPtrArray *list;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 0, 0))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL)
    return SHIM_CTL_FAILED;
  model = shim_ops_model (ctl->reg, &error);
  if (model == NULL)
    return shim_ctl_fail (error);
  list = shim_model_get_items (model);
  json_builder_begin_array (builder);
  for (guint i = 0; i < list->len; i++)
    print_model_item (ctl, builder, list->pdata[i]);
  json_builder_end_array (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else if (list->len == 0)
    g_print (_ ("No pair was measured yet.\n"));
  return SHIM_CTL_OK;
}

const ShimCtlCommand shim_ctl_pair_commands[] = {
  { "predict", "[--converter ITEM] [--focal MM] [--distance MM] BODY LENS", N_ ("Say where the test of a pair should start"),
    run_predict },
  { "model", "", N_ ("Say how far each body and lens is off by itself, at the sensor"), run_model },
  { "withdraw", "[--converter ITEM] [--end all|wide|long] [--note TEXT] BODY LENS", N_ ("Note that a pair's setting is not valid"),
    run_withdraw },
  { "needed", "[--converter ITEM] BODY LENS", N_ ("Note that a pair is needed after all"), run_needed },
  { "not-needed", "[--converter ITEM] BODY LENS", N_ ("Note that nobody uses a pair"), run_not_needed },
  { NULL, NULL, NULL, NULL },
};
