/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-ctl.h"
#include "shim-format.h"
#include "shim-json.h"
#include "shim-lens-reach.h"
#include "shim-ops-accept.h"
#include "shim-ops-model.h"
#include "shim-ops-test.h"
#include "shim-optics.h"

/* A setting that was not measured: found on last year's list, in the body itself, by a technician; or predicted from the kit. */

static ShimDecision *
decide_end (ShimCtl *ctl, const char *pair, const char *end, gint64 value, gint64 slot, const char *origin, const char *note,
            GError **error)
{
  ShimAccept request;

  shim_accept_init (&request);
  request.pair = pair;
  request.value = value;
  request.end = end;
  request.origin = origin;
  request.slot = slot;
  request.note = note;
  return shim_ops_accept (ctl->reg, &request, NULL, error);
}

/* For two values the long end is decided first, so that keying in the wide one writes both into the slot. */
static int
decide (ShimCtl *ctl, const char *pair, gint64 setting, gint64 setting_long, gint64 slot, const char *origin, const char *note)
{
  const char *end = setting_long != SHIM_NO_INT ? "wide" : "all";
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimDecision) far_end = NULL;
  g_autoptr (ShimDecision) decision = NULL;

  if (setting_long != SHIM_NO_INT)
    {
      far_end = decide_end (ctl, pair, "long", setting_long, SHIM_SLOT_NONE, origin, note, &error);
      if (far_end == NULL)
        return shim_ctl_fail (error);
    }
  decision = decide_end (ctl, pair, end, setting, slot, origin, note, &error);
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
  g_autofree char *note = NULL;
  const GOptionEntry entries[] = {
    { "setting", 0, 0, G_OPTION_ARG_INT64, &setting, N_ ("The setting"), "N" },
    { "long", 0, 0, G_OPTION_ARG_INT64, &setting_long, N_ ("Another one for the long end of a zoom"), "N" },
    { "predicted", 0, 0, G_OPTION_ARG_NONE, &predicted, N_ ("Take the setting that the rest of the kit predicts"), NULL },
    { "keyed-in", 0, 0, G_OPTION_ARG_NONE, &keyed, N_ ("It is in the next free slot"), NULL },
    { "note", 0, 0, G_OPTION_ARG_STRING, &note, N_ ("Where it comes from"), N_ ("TEXT") },
    { NULL },
  };
  g_autoptr (ShimRecord) body = NULL;
  g_autoptr (ShimRecord) lens = NULL;
  g_autoptr (ShimPair) pair = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, entries, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, 2))
    return SHIM_CTL_USAGE;
  if (predicted ? setting != SHIM_NO_INT || setting_long != SHIM_NO_INT : setting == SHIM_NO_INT)
    return shim_ctl_usage (_ ("decide needs either --setting or --predicted"));
  if (shim_ctl_register (ctl) == NULL || (body = shim_ctl_find (ctl, SHIM_TYPE_BODY, argv[1])) == NULL
      || (lens = shim_ctl_find (ctl, SHIM_TYPE_LENS, argv[2])) == NULL)
    return SHIM_CTL_FAILED;
  if (predicted && (setting = predicted_setting (ctl, body, lens)) == SHIM_NO_INT)
    return SHIM_CTL_FAILED;
  pair = shim_ops_test_find_pair (ctl->reg, body->id, lens->id, NULL, TRUE, &error);
  if (pair == NULL)
    return shim_ctl_fail (error);
  return decide (ctl, SHIM_RECORD (pair)->id, setting, setting_long, keyed ? SHIM_SLOT_NEXT : SHIM_SLOT_NONE,
                 predicted ? "predicted" : "copied", note);
}

const ShimCtlCommand shim_ctl_decide_commands[] = {
  { "decide", "--setting N [--long N]|--predicted [--keyed-in] [--note TEXT] BODY LENS",
    N_ ("Write down a setting that was found elsewhere, or predicted"),
    run_decide },
  { NULL, NULL, NULL, NULL },
};
