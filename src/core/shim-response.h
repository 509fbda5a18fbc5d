/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-line-fit.h"
#include "shim-round-stats.h"
#include "shim-zero-crossing.h"

G_BEGIN_DECLS

/**
 * ShimSettingRange:
 * @min: smallest setting the body takes
 * @max: largest
 * @counts_other_way: %FALSE: a larger setting moves focus away from the camera (offset grows with the
 *   setting); %TRUE: the reverse
 */
typedef struct
{
  int min;
  int max;
  gboolean counts_other_way;
} ShimSettingRange;

/**
 * ShimResponsePoint:
 * @setting: the setting keyed in
 * @round: the round taken there
 *
 * Several points may have the same setting (a round taken again).
 */
typedef struct
{
  int setting;
  ShimRoundStats round;
} ShimResponsePoint;

/**
 * ShimResponseState:
 *
 * How far the rounds have come.
 */
typedef enum
{
  SHIM_RESPONSE_NOTHING,      /* no round that counts */
  SHIM_RESPONSE_ONE_SETTING,  /* one setting only: no line */
  SHIM_RESPONSE_UNCLEAR,      /* a line, but its slope is not significant: the interval does not exist */
  SHIM_RESPONSE_WRONG_WAY,    /* significant, but against the way the body is recorded to count */
  SHIM_RESPONSE_CLEAR,        /* a line, and its zero crossing in reach */
  SHIM_RESPONSE_OUT_OF_REACH, /* a line, but the whole interval of its zero crossing lies out of range */
} ShimResponseState;

/**
 * ShimResponse:
 * @state: how far it has come
 * @n_settings: different settings with a round that counts
 * @reference_mm: error of the set-up that was subtracted, 0 without a reference round
 * @reference_se_mm: its standard error
 * @line: offset in mm (set-up error subtracted) over setting; valid from #SHIM_RESPONSE_UNCLEAR on
 * @zero: the zero crossing at 95 %
 * @step_mm: change of offset by one step, signed; NAN before there is a line
 * @step_se_mm: its standard error
 * @best_setting: the whole setting in range with the least offset by the line; valid from #SHIM_RESPONSE_UNCLEAR on
 * @residual_mm: offset the line leaves there
 * @residual_se_mm: its standard error
 * @chance_lower: how likely the next lower setting is better (0 where there is none in range)
 * @chance_higher: how likely the next higher one is
 * @bends: whether, with four settings or more, a bent curve fits better (99 %): the slope then holds only locally
 */
typedef struct
{
  ShimResponseState state;
  guint n_settings;
  double reference_mm;
  double reference_se_mm;
  ShimLineFit line;
  ShimCrossing zero;
  double step_mm;
  double step_se_mm;
  int best_setting;
  double residual_mm;
  double residual_se_mm;
  double chance_lower;
  double chance_higher;
  gboolean bends;
} ShimResponse;

/**
 * shim_response:
 * @points: (array length=n): the rounds of one test, as from shim_round_test_stats(); those without a counted
 *   frame are passed over
 * @n: how many
 * @range: what the body takes
 * @reference: (nullable): the reference round of the same set-up. Its mean is subtracted, its random standard
 *   error added; the common part, being the same in both, cancels
 * @result: (out): the response
 */
void        shim_response               (const ShimResponsePoint *points, gsize n, const ShimSettingRange *range,
                                         const ShimRoundStats *reference, ShimResponse *result);

/**
 * shim_response_at:
 * @self: a response with a line
 * @setting: where, not necessarily whole
 * @se_mm: (out) (optional): standard error
 * @half_width_mm: (out) (optional): of the 95 % confidence band
 *
 * Returns: offset by the line, mm, set-up error subtracted; NAN before there is a line
 */
double shim_response_at (const ShimResponse *self, double setting, double *se_mm, double *half_width_mm);

const char *shim_response_state_to_name (ShimResponseState state);

G_END_DECLS
