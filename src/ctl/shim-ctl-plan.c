/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-ctl.h"
#include "shim-format.h"
#include "shim-json.h"
#include "shim-ops-model.h"

/* Which lenses get the slots of a body. */

static const char *
what_it_gets (const ShimPlannedSlot *slot)
{
  if (slot->in_lens)
    return _ ("keeps its value itself");
  if (!slot->known)
    return _ ("no value known; test it first");
  return slot->choice.gets_slot ? _ ("gets a slot") : _ ("goes without");
}

static void
print_planned (ShimCtl *ctl, JsonBuilder *builder, const ShimPlannedSlot *slot)
{
  g_autoptr (ShimRecord) lens = shim_register_get (ctl->reg, SHIM_TYPE_LENS, slot->lens, NULL);
  const char *label = lens != NULL ? SHIM_LENS (lens)->label : slot->lens;
  gboolean planned = slot->known && !slot->in_lens;

  if (!ctl->json)
    {
      g_autofree char *setting = planned ? shim_format_setting (slot->choice.setting) : g_strdup ("");
      g_autofree char *left = planned ? shim_format_number (slot->choice.error, 1) : NULL;
      g_autofree char *error = planned ? g_strdup_printf (_ ("error left: %s tolerances"), left) : g_strdup ("");

      shim_ctl_print_cell (label, 27);
      shim_ctl_print_cell (setting, -3);
      g_print ("%s%s%s%s\n", what_it_gets (slot), planned ? ", " : "", error,
               planned && slot->predicted ? _ (" (predicted)") : "");
    }
  json_builder_begin_object (builder);
  shim_json_add_text (builder, "lens", label);
  shim_json_add_text (builder, "pair", slot->pair);
  shim_json_add_bool (builder, "known", slot->known);
  shim_json_add_bool (builder, "predicted", slot->predicted);
  shim_json_add_bool (builder, "in_lens", slot->in_lens);
  shim_json_add_bool (builder, "gets_slot", planned && slot->choice.gets_slot);
  shim_json_add_int (builder, "setting", planned ? slot->choice.setting : SHIM_NO_INT);
  shim_json_add_real (builder, "error_tolerances", planned ? slot->choice.error : NAN);
  shim_json_add_real (builder, "error_without", planned ? slot->choice.error_without : NAN);
  shim_json_add_int (builder, "slot_now", slot->number > 0 ? slot->number : SHIM_NO_INT);
  json_builder_end_object (builder);
}

static int
print_plan (ShimCtl *ctl, const ShimBodyPlan *plan)
{
  g_autoptr (JsonBuilder) builder = json_builder_new ();

  json_builder_begin_object (builder);
  shim_json_add_int (builder, "all_lens_value", plan->plan.all_value);
  shim_json_add_int (builder, "n_slots_used", plan->plan.n_used);
  shim_json_add_real (builder, "worst_tolerances", plan->plan.worst);
  shim_json_add_int (builder, "n_outside", plan->plan.n_outside);
  shim_json_add_text (builder, "sentence", plan->sentence);
  json_builder_set_member_name (builder, "lenses");
  json_builder_begin_array (builder);
  for (guint i = 0; i < plan->lenses->len; i++)
    print_planned (ctl, builder, plan->lenses->pdata[i]);
  json_builder_end_array (builder);
  json_builder_end_object (builder);
  if (ctl->json)
    shim_ctl_print_built (builder);
  else
    g_print ("%s\n", plan->sentence);
  return SHIM_CTL_OK;
}

static GPtrArray *
ids_of (ShimCtl *ctl, char **words)
{
  g_autoptr (GPtrArray) ids = g_ptr_array_new_with_free_func (g_free);

  for (guint i = 0; words[i] != NULL; i++)
    {
      g_autoptr (ShimRecord) lens = shim_ctl_find (ctl, SHIM_TYPE_LENS, words[i]);

      if (lens == NULL)
        return NULL;
      g_ptr_array_add (ids, g_strdup (lens->id));
    }
  g_ptr_array_add (ids, NULL);
  return g_steal_pointer (&ids);
}

static int
run_plan (ShimCtl *ctl, int argc, char **argv)
{
  g_autoptr (ShimRecord) body = NULL;
  g_autoptr (GPtrArray) lenses = NULL;
  g_autoptr (ShimModel) model = NULL;
  g_autoptr (ShimBodyPlan) plan = NULL;
  g_autoptr (GError) error = NULL;

  if (!shim_ctl_parse (ctl, NULL, &argc, &argv) || !shim_ctl_want_args (argv, argc, 2, -1))
    return SHIM_CTL_USAGE;
  if (shim_ctl_register (ctl) == NULL || (body = shim_ctl_find (ctl, SHIM_TYPE_BODY, argv[1])) == NULL
      || (lenses = ids_of (ctl, argv + 2)) == NULL)
    return SHIM_CTL_FAILED;
  model = shim_ops_model_around (ctl->reg, body->id, NULL, NULL, &error);
  if (model != NULL)
    plan = shim_ops_model_plan_slots (ctl->reg, model, body->id, (const char *const *) lenses->pdata, &error);
  return plan != NULL ? print_plan (ctl, plan) : shim_ctl_fail (error);
}

const ShimCtlCommand shim_ctl_plan_commands[] = {
  { "plan", "BODY LENS…", N_ ("Choose which lenses get the slots of a body"), run_plan },
  { NULL, NULL, NULL, NULL },
};
