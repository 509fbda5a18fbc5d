/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-format.h"
#include "shim-lens-reach.h"
#include "shim-ops-kit.h"
#include "shim-ops-model-private.h"
#include "shim-ops-summary.h"
#include "shim-optics.h"
#include "shim-record-answer.h"
#include "shim-tolerance.h"
#include "shim-workspace-error.h"

static void
planned_free (ShimPlannedSlot *self)
{
  g_free (self->lens);
  g_free (self->label);
  g_free (self->converter);
  g_free (self->pair);
  g_free (self);
}

/**
 * shim_body_plan_free:
 * @self: (nullable): a plan
 */
void
shim_body_plan_free (ShimBodyPlan *self)
{
  if (self == NULL)
    return;
  g_free (self->body);
  g_free (self->sentence);
  g_ptr_array_unref (self->lenses);
  g_free (self);
}

/* Tolerance of a pair that was never tested, in steps: at 50 × focal length and the widest aperture. */
static double
usual_tolerance_steps (ShimBody *body, ShimLens *lens, double step_um)
{
  const double focal_mm = shim_lens_longest_mm (lens), distance_mm = shim_optics_test_distance_mm (focal_mm);
  const double coc_mm = shim_optics_coc_from_format_mm (body->format_width_mm, body->format_height_mm);
  ShimDepthOfField depth;
  double tolerance_mm;

  if (!shim_optics_depth_of_field (focal_mm, shim_lens_aperture_there (lens), distance_mm, coc_mm, &depth))
    return NAN;
  tolerance_mm = shim_tolerance_mm (depth.total_mm, SHIM_TOLERANCE_DEFAULT_SHARE);
  return tolerance_mm / fabs (shim_optics_offset_mm (focal_mm, distance_mm, step_um));
}

typedef struct
{
  ShimRegister *reg;
  const ShimModel *model;
  ShimBody *body;
  ShimBodyPlan *plan;
  GArray *competing;      /* of ShimSlotLens */
  GPtrArray *competitors; /* of ShimPlannedSlot, the same order */
  double step_um;         /* of the body, as measured; NAN when it was not */
} Planning;

static void
compete (Planning *planning, ShimPlannedSlot *planned, double wanted, double tolerance_steps)
{
  const ShimSlotLens lens = { .wanted = wanted, .tolerance_steps = tolerance_steps };

  planned->known = isfinite (wanted) && isfinite (tolerance_steps) && tolerance_steps > 0.0;
  if (!planned->known || planned->in_lens)
    return;
  g_array_append_val (planning->competing, lens);
  g_ptr_array_add (planning->competitors, planned);
}

/* Without a slot a zoom with two values suffers most at the end that is further from the value for all lenses. */
static double
shared_wanted (const ShimBody *body, const ShimPairNow *now)
{
  const gint64 all = body->all_lens_value != SHIM_NO_INT ? body->all_lens_value : 0;
  const gboolean long_is_further = now->value_long != SHIM_NO_INT && ABS (now->value_long - all) > ABS (now->value - all);

  return (double) (long_is_further ? now->value_long : now->value);
}

/* Wanted setting and tolerance in steps, from the decision where there is one, else from the model. */
static void
plan_lens (Planning *planning, ShimLens *lens, const ShimPairNow *now)
{
  ShimPlannedSlot *planned = g_new0 (ShimPlannedSlot, 1);
  double wanted = NAN, step_um, tolerance_steps;

  g_ptr_array_add (planning->plan->lenses, planned);
  planned->lens = g_strdup (shim_record_get_id (SHIM_RECORD (lens)));
  planned->label = g_strdup (lens->label);
  planned->in_lens = lens->own_table;
  planned->value = planned->long_end = SHIM_NO_INT;
  planned->number =
      now != NULL && now->slot_state == SHIM_SLOT_KEYED && now->slot != SHIM_NO_INT ? now->slot : SHIM_SLOT_NONE;
  planned->pair = now != NULL ? g_strdup (now->pair) : NULL;
  step_um = isnan (planning->step_um) ? shim_ops_common_step_um (planning->body, lens) : planning->step_um;
  planned->predicted = _shim_model_wanted (planning->model, planning->body, lens, step_um, &wanted);
  tolerance_steps = usual_tolerance_steps (planning->body, lens, step_um);
  if (now != NULL && now->value != SHIM_NO_INT)
    {
      wanted = shared_wanted (planning->body, now);
      planned->decided = TRUE;
      planned->value = now->value;
      planned->long_end = now->value_long;
      planned->predicted = now->predicted;
    }
  compete (planning, planned, wanted, tolerance_steps);
}

/* All of them at once: a body of a store-room has a hundred. */
static gboolean
plan_lenses (Planning *planning, const char *const *lenses, GError **error)
{
  const char *body = shim_record_get_id (SHIM_RECORD (planning->body));
  const guint n = g_strv_length ((char **) lenses);
  g_autoptr (GHashTable) records = shim_records_by_ids (planning->reg, SHIM_TYPE_LENS, lenses, error);
  g_autoptr (GHashTable) now_by_lens = g_hash_table_new (g_str_hash, g_str_equal);
  g_autoptr (GPtrArray) cells = NULL;

  if (records == NULL)
    return FALSE;
  cells = shim_register_pair_cells (planning->reg, &body, 1, lenses, n, error);
  if (cells == NULL)
    return FALSE;
  for (guint i = 0; i < cells->len; i++)
    g_hash_table_insert (now_by_lens, ((ShimPairNow *) cells->pdata[i])->lens, cells->pdata[i]);
  for (guint i = 0; i < n; i++)
    {
      ShimRecord *found = g_hash_table_lookup (records, lenses[i]);
      /* One that is not there is asked for by itself, which says so. */
      g_autoptr (ShimRecord) lens =
          found != NULL ? g_object_ref (found) : shim_register_get (planning->reg, SHIM_TYPE_LENS, lenses[i], error);

      if (lens == NULL)
        return FALSE;
      plan_lens (planning, SHIM_LENS (lens), g_hash_table_lookup (now_by_lens, lenses[i]));
    }
  return TRUE;
}

static char *
sentence_for (const Planning *planning)
{
  const ShimSlotPlan *plan = &planning->plan->plan;
  const char *body = shim_ops_kit_item_name (SHIM_RECORD (planning->body));
  g_autofree char *all = shim_format_setting (plan->all_value);

  if (planning->competitors->len == 0)
    return g_strdup_printf (_ ("No lens of these needs a slot of %s, or none has a value yet."), body);
  if (plan->n_outside == 0 && plan->n_used == 0)
    return g_strdup_printf (_ ("No lens needs a slot of %s: with %s for all of them each stays inside its tolerance."), body, all);
  if (plan->n_outside == 0)
    return g_strdup_printf (
        g_dngettext (GETTEXT_PACKAGE, "%u slot of %s keeps every lens inside its tolerance, with %s for all others.",
                     "%u slots of %s keep every lens inside its tolerance, with %s for all others.", plan->n_used),
        plan->n_used, body, all);
  return g_strdup_printf (
      g_dngettext (
          GETTEXT_PACKAGE,
          "The slots of %2$s do not suffice: %1$u lens stays outside its tolerance, the worst by %3$.1f times.",
          "The slots of %2$s do not suffice: %1$u lenses stay outside their tolerance, the worst by %3$.1f times.",
          plan->n_outside),
      plan->n_outside, body, plan->worst);
}

static gboolean
make_plan (Planning *planning, GError **error)
{
  const ShimBody *body = planning->body;
  const gboolean unlimited = body->slot_count == SHIM_NO_INT || body->slot_count < 0;
  const guint n_slots = unlimited ? planning->competing->len : (guint) body->slot_count;
  const gboolean has_all_value = body->all_lens_value != SHIM_NO_INT;
  /* It works on every lens that goes on the body, also on those that nobody has tested: it is left as it is while there are slots. */
  const ShimSlotBody core = {
    .n_slots = n_slots,
    .min = body->range_min != SHIM_NO_INT ? (int) body->range_min : -20,
    .max = body->range_max != SHIM_NO_INT ? (int) body->range_max : 20,
    .chooses_all_value = has_all_value && n_slots < planning->competing->len,
    .all_value = has_all_value ? (int) body->all_lens_value : 0,
  };
  g_autofree ShimSlotChoice *choices = g_new0 (ShimSlotChoice, planning->competing->len + 1);

  if (!shim_slot_plan ((const ShimSlotLens *) planning->competing->data, planning->competing->len, &core, choices,
                       &planning->plan->plan, error))
    return FALSE;
  for (guint i = 0; i < planning->competitors->len; i++)
    {
      ShimPlannedSlot *planned = g_ptr_array_index (planning->competitors, i);

      planned->choice = choices[i];
      /* Into a slot go both of its values, whichever was planned with. */
      if (choices[i].gets_slot && planned->long_end != SHIM_NO_INT)
        planned->choice.setting = (int) planned->value;
    }
  planning->plan->sentence = sentence_for (planning);
  return TRUE;
}

/**
 * shim_ops_model_plan_slots:
 * @reg: a register
 * @model: (nullable): its kit model, for lenses that were not tested on this body
 * @body: id
 * @lenses: (array zero-terminated=1): ids of the lenses that compete
 * @error: a #ShimStoreError
 *
 * Returns: (transfer full) (nullable): which of them should get a slot
 */
ShimBodyPlan *
shim_ops_model_plan_slots (ShimRegister *reg, const ShimModel *model, const char *body, const char *const *lenses,
                           GError **error)
{
  g_autoptr (ShimBody) record = NULL;
  g_autoptr (ShimBodyPlan) plan = NULL;
  g_autoptr (GArray) competing = NULL;
  g_autoptr (GPtrArray) competitors = NULL;
  g_autoptr (GError) problem = NULL;
  Planning planning;

  g_return_val_if_fail (reg != NULL && body != NULL && lenses != NULL, NULL);

  record = (ShimBody *) shim_register_get (reg, SHIM_TYPE_BODY, body, error);
  if (record == NULL)
    return NULL;
  plan = g_new0 (ShimBodyPlan, 1);
  plan->body = g_strdup (body);
  plan->lenses = g_ptr_array_new_with_free_func ((GDestroyNotify) planned_free);
  competing = g_array_new (FALSE, FALSE, sizeof (ShimSlotLens));
  competitors = g_ptr_array_new ();
  planning = (Planning) { reg, model, record, plan, competing, competitors, shim_ops_step_um (reg, body, &problem) };
  if (problem != NULL)
    {
      g_propagate_error (error, g_steal_pointer (&problem));
      return NULL;
    }
  if (!plan_lenses (&planning, lenses, error) || !make_plan (&planning, error))
    return NULL;
  return g_steal_pointer (&plan);
}
