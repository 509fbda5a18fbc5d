/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>

#include "shim-format.h"
#include "shim-ops-slots-view.h"
#include "shim-ops-slots.h"
#include "shim-register-pairs.h"

/* A plan over more lenses than these is for a store-room, where no body meets them all; the job says which ones matter. */
#define LENSES_PLANNED 500

static void
plan_line_free (ShimPlanLine *self)
{
  g_free (self->lens);
  g_free (self->sentence);
  g_free (self);
}

/* Why a slot does not hold what the plan wants. */
static const char *
want_of (const ShimSlot *slot)
{
  if (slot == NULL)
    return _ ("key %s in; it has no slot yet");
  if (slot->state == SHIM_SLOT_LOST)
    return _ ("key %s in again; a reset took it");
  return _ ("key %s in; the slot holds another value");
}

static char *
setting_text (const ShimPlannedSlot *planned)
{
  g_autofree char *setting = shim_format_setting (planned->choice.setting);
  g_autofree char *long_end = planned->long_end != SHIM_NO_INT ? shim_format_setting (planned->long_end) : NULL;

  return long_end != NULL ? g_strdup_printf ("%s / %s", setting, long_end) : g_steal_pointer (&setting);
}

/* What the plan wants against what was keyed in last. */
static char *
line_sentence (const ShimPlannedSlot *planned, const ShimSlot *slot, gboolean *in_order)
{
  g_autofree char *setting = setting_text (planned);
  g_autofree char *error = shim_format_number (planned->choice.error, 1);

  *in_order = TRUE;
  if (planned->in_lens)
    return g_strdup (_ ("keeps its own values, needs no slot"));
  if (!planned->known)
    return g_strdup (slot == NULL ? _ ("nothing known yet: test it first")
                                  : _ ("its value was not tested on this body: test it, and it can be planned"));
  if (!planned->choice.gets_slot)
    {
      *in_order = slot == NULL;
      return g_strdup_printf (slot == NULL ? _ ("no slot; error %s tolerances") : _ ("could give up its slot; error %s tolerances without"),
                              error);
    }
  *in_order = slot != NULL && slot->state == SHIM_SLOT_KEYED && slot->value == planned->choice.setting && slot->value_long == planned->long_end;
  if (*in_order)
    return g_strdup_printf (_ ("%s in slot %d, as planned"), setting, (int) slot->number);
  return g_strdup_printf (want_of (slot), setting);
}

static const ShimSlot *
slot_of (GPtrArray *slots, const ShimPlannedSlot *planned)
{
  for (guint i = 0; i < slots->len; i++)
    {
      const ShimSlot *slot = slots->pdata[i];

      if (slot->state != SHIM_SLOT_FREE && g_strcmp0 (slot->lens, planned->lens) == 0
          && g_strcmp0 (slot->converter, planned->converter) == 0)
        return slot;
    }
  return NULL;
}

/* The kit model says what to expect of lenses without a value; where all have one, nobody need wait for it. */
static gboolean
add_plan (ShimRegister *reg, ShimSlotsView *self, GError **error)
{
  const char *body = SHIM_RECORD (self->body)->id;
  ShimPairFilter filter = { .body = body, .limit = LENSES_PLANNED };
  g_autoptr (GPtrArray) pairs = shim_register_pairs (reg, &filter, error);
  g_autoptr (GPtrArray) lenses = g_ptr_array_new ();
  g_autoptr (ShimModel) model = NULL;
  gboolean lacks_value = FALSE;

  if (pairs == NULL)
    return FALSE;
  for (guint i = 0; i < pairs->len; i++)
    {
      const ShimPairNow *now = pairs->pdata[i];

      if (now->conflict)
        g_ptr_array_add (self->conflicts, g_strdup (now->pair));
      if (now->converter != NULL || now->state == SHIM_PAIR_NOT_NEEDED)
        continue;
      g_ptr_array_add (lenses, now->lens);
      lacks_value |= now->value == SHIM_NO_INT;
    }
  if (lenses->len == 0)
    return TRUE;
  g_ptr_array_add (lenses, NULL);
  /* A kit that cannot be explained still has slots. */
  if (lacks_value)
    model = shim_ops_model_around (reg, body, NULL, NULL, NULL);
  self->plan = shim_ops_model_plan_slots (reg, model, body, (const char *const *) lenses->pdata, error);
  return self->plan != NULL;
}

static void
add_lines (ShimSlotsView *self)
{
  for (guint i = 0; self->plan != NULL && i < self->plan->lenses->len; i++)
    {
      const ShimPlannedSlot *planned = self->plan->lenses->pdata[i];
      const ShimSlot *slot = slot_of (self->slots, planned);
      ShimPlanLine *line = g_new0 (ShimPlanLine, 1);

      line->planned = planned;
      line->lens = g_strdup (planned->label);
      line->sentence = line_sentence (planned, slot, &line->in_order);
      line->lacks_slot = slot == NULL && planned->decided && planned->known && !planned->in_lens && planned->choice.gets_slot;
      g_ptr_array_add (self->lines, line);
    }
}

/**
 * shim_ops_slots_view:
 * @reg: a register
 * @body: id
 * @error: return location for an error of the store
 *
 * Returns: (transfer full) (nullable): the slots of a body with the plan beside them
 */
ShimSlotsView *
shim_ops_slots_view (ShimRegister *reg, const char *body, GError **error)
{
  g_autoptr (ShimSlotsView) self = g_new0 (ShimSlotsView, 1);

  self->conflicts = g_ptr_array_new_with_free_func (g_free);
  self->lines = g_ptr_array_new_with_free_func ((GDestroyNotify) plan_line_free);
  self->body = SHIM_BODY (shim_register_get (reg, SHIM_TYPE_BODY, body, error));
  if (self->body == NULL || !shim_register_slot_counts (reg, &body, 1, &self->counts, error))
    return NULL;
  self->slots = shim_register_slots (reg, body, error);
  if (self->slots == NULL)
    return NULL;
  if (self->body->slot_count != 0 && !add_plan (reg, self, error))
    return NULL;
  add_lines (self);
  return g_steal_pointer (&self);
}

/**
 * shim_slots_view_is_in_conflict:
 * @self: a view
 * @pair: (nullable): id of a pair
 *
 * Returns: whether the body takes its lens for another copy of the same model that needs another value
 */
gboolean
shim_slots_view_is_in_conflict (const ShimSlotsView *self, const char *pair)
{
  return pair != NULL && g_ptr_array_find_with_equal_func (self->conflicts, pair, g_str_equal, NULL);
}

/**
 * shim_slots_view_free:
 * @self: (transfer full) (nullable): a view
 */
void
shim_slots_view_free (ShimSlotsView *self)
{
  if (self == NULL)
    return;
  g_clear_object (&self->body);
  g_clear_pointer (&self->slots, g_ptr_array_unref);
  g_clear_pointer (&self->conflicts, g_ptr_array_unref);
  g_clear_pointer (&self->plan, shim_body_plan_free);
  g_clear_pointer (&self->lines, g_ptr_array_unref);
  g_free (self);
}
