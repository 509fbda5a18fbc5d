/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-field.h"
#include "shim-pair-now.h"

/**
 * shim_pair_now_new:
 * @body: id
 * @lens: id
 *
 * Returns: (transfer full): an untested combination
 */
ShimPairNow *
shim_pair_now_new (const char *body, const char *lens)
{
  ShimPairNow *self = g_new0 (ShimPairNow, 1);

  self->body = g_strdup (body);
  self->lens = g_strdup (lens);
  self->value = self->value_long = SHIM_NO_INT;
  self->slot = self->slot_value = self->slot_value_long = SHIM_NO_INT;
  self->age_days = self->residual_mm = self->residual_se_mm = self->tolerance_mm = self->error_tolerances = NAN;
  return self;
}

void
shim_pair_now_free (ShimPairNow *self)
{
  if (self == NULL)
    return;
  g_free (self->pair);
  g_free (self->body);
  g_free (self->lens);
  g_free (self->converter);
  g_free (self->adapter);
  g_free (self->decision);
  g_free (self->decided_at);
  g_free (self->tested_at);
  g_free (self);
}

/**
 * shim_pair_now_to_be_keyed_in:
 * @self: a pair
 *
 * Returns: whether a setting is decided that no slot holds as it was decided
 */
gboolean
shim_pair_now_to_be_keyed_in (const ShimPairNow *self)
{
  g_return_val_if_fail (self != NULL, FALSE);

  if (self->not_needed || self->out_of_reach || (self->value == SHIM_NO_INT && self->n_table_cells == 0))
    return FALSE;
  if (self->slot_state != SHIM_SLOT_KEYED)
    return TRUE;
  /* What the lens keeps is a table, not one value. */
  return self->slot != 0 && (self->slot_value != self->value || self->slot_value_long != self->value_long);
}

void
shim_slot_free (ShimSlot *self)
{
  if (self == NULL)
    return;
  g_free (self->entry);
  g_free (self->pair);
  g_free (self->lens);
  g_free (self->converter);
  g_free (self->lens_label);
  g_free (self->converter_label);
  g_free (self->decision);
  g_free (self->done_at);
  g_free (self);
}

static const struct
{
  const char *name;
  const char *label;
} pair_states[] = {
  [SHIM_PAIR_UNTESTED] = { "untested", N_ ("Untested") },
  [SHIM_PAIR_IN_TEST] = { "in-test", N_ ("In test") },
  [SHIM_PAIR_TUNED] = { "tuned", N_ ("Tuned") },
  [SHIM_PAIR_DUE] = { "due", N_ ("Due") },
  [SHIM_PAIR_OUT_OF_REACH] = { "out-of-reach", N_ ("Out of reach") },
  [SHIM_PAIR_NOT_NEEDED] = { "not-needed", N_ ("Not needed") },
};

static const struct
{
  const char *name;
  const char *label;
} slot_states[] = {
  [SHIM_SLOT_FREE] = { "free", N_ ("Free") },
  [SHIM_SLOT_KEYED] = { "keyed", N_ ("Keyed in") },
  [SHIM_SLOT_LOST] = { "lost", N_ ("Lost by a reset") },
  [SHIM_SLOT_OVERWRITTEN] = { "overwritten", N_ ("Overwritten") },
};

/**
 * shim_pair_state_to_name:
 * @state: a state
 *
 * Returns: (transfer none): its name in JSON and commands
 */
const char *
shim_pair_state_to_name (ShimPairState state)
{
  g_return_val_if_fail (state < G_N_ELEMENTS (pair_states), NULL);

  return pair_states[state].name;
}

/**
 * shim_pair_state_from_name:
 * @name: a name
 * @state: (out): the state
 *
 * Returns: whether there is such a state
 */
gboolean
shim_pair_state_from_name (const char *name, ShimPairState *state)
{
  g_return_val_if_fail (name != NULL && state != NULL, FALSE);

  for (guint i = 0; i < G_N_ELEMENTS (pair_states); i++)
    if (g_str_equal (name, pair_states[i].name))
      {
        *state = i;
        return TRUE;
      }
  return FALSE;
}

/**
 * shim_pair_state_to_label:
 * @state: a state
 *
 * Returns: (transfer none): its name for people
 */
const char *
shim_pair_state_to_label (ShimPairState state)
{
  g_return_val_if_fail (state < G_N_ELEMENTS (pair_states), NULL);

  return _ (pair_states[state].label);
}

const char *
shim_slot_state_to_name (ShimSlotState state)
{
  g_return_val_if_fail (state < G_N_ELEMENTS (slot_states), NULL);

  return slot_states[state].name;
}

const char *
shim_slot_state_to_label (ShimSlotState state)
{
  g_return_val_if_fail (state < G_N_ELEMENTS (slot_states), NULL);

  return _ (slot_states[state].label);
}
