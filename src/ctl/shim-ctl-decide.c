/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-ctl.h"
#include "shim-format.h"
#include "shim-json.h"
#include "shim-lens-reach.h"
#include "shim-ops-model.h"
#include "shim-ops-test.h"
#include "shim-ops-write-down.h"
#include "shim-optics.h"

/* A setting that was not measured: found on last year's list, in the body itself, by a technician; or predicted from the kit. */

static int
decide (ShimCtl *ctl, const ShimWriteDown *request)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimDecision) decision = shim_ops_write_down (ctl->reg, request, &error);

  if (decision == NULL)
    return shim_ctl_fail (error);
  if (ctl->json)
    {
      g_autoptr (JsonNode) node = shim_json_from_record (SHIM_RECORD (decision));

      shim_ctl_print_json (node);
    }
  return SHIM_CTL_OK;
}

/* What the rest of the kit says of a pair; %SHIM_NO_INT when it was said why it says nothing. */
static gint64
predicted_setting (ShimCtl *ctl, ShimRecord *body, ShimRecord *lens)
{
  const double focal_mm = shim_lens_middle_mm (SHIM_LENS (lens));
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimModel) model = shim_ops_model_around (ctl->reg, body->id, lens->id, NULL, &error);
  g_autoptr (ShimPairPrediction) prediction = NULL;

  if (model != NULL)
    prediction = shim_ops_model_predict (ctl->reg, model, body->id, lens->id, NULL, focal_mm, shim_optics_test_distance_mm (focal_mm),
                                         &error);
  if (prediction != NULL)
    {
      if (!ctl->json)
        g_print ("%s\n", prediction->sentence);
      return prediction->setting;
    }
  if (error != NULL)
    shim_ctl_fail (error);
  else
    g_printerr (_ ("The rest of the kit says nothing of this pair yet: test it, or test this body and this lens with others.\n"));
  return SHIM_NO_INT;
}

static int
run_decide (ShimCtl *ctl, int argc, char **argv)
{
  gint64 setting = SHIM_NO_INT, setting_long = SHIM_NO_INT;
  gboolean keyed = FALSE, predicted = FALSE;
  g_autofree char *note = NULL, *converter_word = NULL;
  const GOptionEntry entries[] = {
    { "converter", 0, 0, G_OPTION_ARG_STRING, &converter_word, N_ ("With this converter"), N_ ("ITEM") },
    { "setting", 0, 0, G_OPTION_ARG_INT64, &setting, N_ ("The setting"), "N" },
    { "long", 0, 0, G_OPTION_ARG_INT64, &setting_long, N_ ("Another one for the long end of a zoom"), "N" },
    { "predicted", 0, 0, G_OPTION_ARG_NONE, &predicted, N_ ("Take the setting that the rest of the kit predicts"), NULL },
    { "keyed-in", 0, 0, G_OPTION_ARG_NONE, &keyed, N_ ("It is in the next free slot"), NULL },
    { "note", 0, 0, G_OPTION_ARG_STRING, &note, N_ ("Where it comes from"), N_ ("TEXT") },
    { NULL },
  };
  g_autoptr (ShimRecord) body = NULL;
  g_autoptr (ShimRecord) lens = NULL;
  g_autoptr (ShimRecord) converter = NULL;
  g_autoptr (ShimPair) pair = NULL;
  g_autoptr (ShimWriteDown) request = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2))
    return SHIM_CTL_USAGE;
  if (predicted ? setting != SHIM_NO_INT || setting_long != SHIM_NO_INT : setting == SHIM_NO_INT)
    return shim_ctl_usage (_ ("decide needs either --setting or --predicted"));
  if (predicted && converter_word != NULL)
    return shim_ctl_usage (_ ("with a converter nothing is predicted: give --setting"));
  if (shim_ctl_register (ctl) == NULL || (body = shim_ctl_find (ctl, SHIM_TYPE_BODY, argv[1])) == NULL
      || (lens = shim_ctl_find (ctl, SHIM_TYPE_LENS, argv[2])) == NULL
      || (converter_word != NULL && (converter = shim_ctl_find (ctl, SHIM_TYPE_CONVERTER, converter_word)) == NULL))
    return SHIM_CTL_FAILED;
  if (predicted && (setting = predicted_setting (ctl, body, lens)) == SHIM_NO_INT)
    return SHIM_CTL_FAILED;
  pair = shim_ops_test_find_pair (ctl->reg, body->id, lens->id, converter != NULL ? converter->id : NULL, TRUE, &error);
  if (pair == NULL)
    return shim_ctl_fail (error);
  request = shim_write_down_new (SHIM_RECORD (pair)->id, predicted ? "predicted" : "copied");
  request->setting = setting;
  request->setting_long = setting_long;
  request->slot = keyed ? SHIM_SLOT_NEXT : SHIM_SLOT_NONE;
  request->note = g_steal_pointer (&note);
  return decide (ctl, request);
}

const ShimCtlCommand shim_ctl_decide_commands[] = {
  { "decide", "[--converter ITEM] --setting N [--long N]|--predicted [--keyed-in] [--note TEXT] BODY LENS",
    N_ ("Write down a setting that was found elsewhere, or predicted"),
    run_decide },
  { NULL, NULL, NULL, NULL },
};
