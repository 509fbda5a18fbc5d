/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-pair-now.h"

G_BEGIN_DECLS

/**
 * ShimPairFacts:
 * @not_needed: nobody uses the pair
 * @test_open: a test was started after the last decision and nothing was decided from it
 * @has_value: a setting is decided
 * @out_of_reach: the last decision says that the best setting lies beyond the range
 * @due: the rest
 */
typedef struct
{
  gboolean not_needed;
  gboolean test_open;
  gboolean has_value;
  gboolean out_of_reach;
  ShimDueFacts due;
} ShimPairFacts;

ShimPairState shim_pair_state_from_facts (const ShimPairFacts *facts, ShimDueReasons *reasons);
void          shim_pair_now_set_age      (ShimPairNow *self, double age_days, double max_age_days);

G_END_DECLS
