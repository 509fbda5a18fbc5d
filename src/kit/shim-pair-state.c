/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-pair-state.h"

/**
 * shim_pair_state_from_facts:
 * @facts: what is known of a pair
 * @reasons: (out): why it is due; nothing in all other states
 *
 * "Not needed" goes before all, then a test under way. A pair out of reach becomes due only when something happened to its body,
 * lens or converter, since nothing else can change the finding.
 *
 * Returns: the state of the pair
 */
ShimPairState
shim_pair_state_from_facts (const ShimPairFacts *facts, ShimDueReasons *reasons)
{
  ShimDueReasons found;

  g_return_val_if_fail (facts != NULL && reasons != NULL, SHIM_PAIR_UNTESTED);

  *reasons = SHIM_DUE_NONE;
  if (facts->not_needed)
    return SHIM_PAIR_NOT_NEEDED;
  if (facts->test_open)
    return SHIM_PAIR_IN_TEST;
  if (!facts->has_value && !facts->out_of_reach)
    return SHIM_PAIR_UNTESTED;
  found = shim_due_reasons (&facts->due);
  if (facts->out_of_reach)
    found &= SHIM_DUE_BODY_EVENT | SHIM_DUE_LENS_EVENT | SHIM_DUE_CONVERTER_EVENT;
  if (found == SHIM_DUE_NONE)
    return facts->out_of_reach ? SHIM_PAIR_OUT_OF_REACH : SHIM_PAIR_TUNED;
  *reasons = found;
  return SHIM_PAIR_DUE;
}

/**
 * shim_pair_now_set_age:
 * @self: what is true of a pair but for its age
 * @age_days: since its newest test; NAN when never tested
 * @max_age_days: how old a test may be; 0 = any age
 *
 * Adds what the passing of time alone does to a pair that is tuned or due.
 */
void
shim_pair_now_set_age (ShimPairNow *self, double age_days, double max_age_days)
{
  const ShimDueFacts facts = { .age_days = age_days, .max_age_days = max_age_days };
  ShimDueReasons reasons;

  g_return_if_fail (self != NULL);

  self->age_days = age_days;
  if (isnan (age_days) || (self->state != SHIM_PAIR_TUNED && self->state != SHIM_PAIR_DUE) || self->out_of_reach)
    return;
  reasons = shim_due_reasons (&facts) & (SHIM_DUE_AGE | SHIM_DUE_CLOCK);
  if (reasons == SHIM_DUE_NONE)
    return;
  self->state = SHIM_PAIR_DUE;
  self->reasons |= reasons;
}
