/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-response.h"

G_BEGIN_DECLS

/**
 * ShimAdviceAction:
 *
 * What to do next on the bench.
 */
typedef enum
{
  SHIM_ADVICE_START,        /* take the first round, at @setting */
  SHIM_ADVICE_MORE_FRAMES,  /* stay at @setting and take @n_frames more frames */
  SHIM_ADVICE_TRY,          /* key in @setting and take a round */
  SHIM_ADVICE_ACCEPT,       /* the error at @setting is inside the tolerance, and proven */
  SHIM_ADVICE_CHECK_SETUP,  /* stop: something in the set-up or in the records is wrong */
  SHIM_ADVICE_SERVICE,      /* out of reach: a qualified technician */
} ShimAdviceAction;

/**
 * ShimAdviceReason:
 *
 * Why.
 */
typedef enum
{
  SHIM_REASON_FIRST_ROUND,       /* nothing measured yet */
  SHIM_REASON_NO_COUNTED_FRAME,  /* every frame of the last round was refused or left out */
  SHIM_REASON_COARSE_STEP,       /* one setting known: a step of 5, 2 or 1 the right way */
  SHIM_REASON_LINE,              /* the line says that @setting is best, and it was not tried yet */
  SHIM_REASON_SPREAD,            /* the line is not clear: a setting farther away tells most */
  SHIM_REASON_SCATTER,           /* the error may be inside the tolerance, but the scatter hides it */
  SHIM_REASON_NOT_PROVEN,        /* the setting is best, but too few frames to prove it */
  SHIM_REASON_INSIDE,            /* inside the tolerance, proven */
  SHIM_REASON_BEST_THERE_IS,     /* not inside the tolerance, but no whole setting does better */
  SHIM_REASON_COMMON_PART,       /* more frames cannot prove it: the set-up's own doubt is too large */
  SHIM_REASON_NO_RESPONSE,       /* the offset does not follow the setting */
  SHIM_REASON_WRONG_WAY,         /* the offset runs against the way the body is recorded to count */
  SHIM_REASON_OUT_OF_RANGE,      /* the setting that would be needed is beyond the body's range */
} ShimAdviceReason;

/**
 * ShimAdvice:
 * @action: what to do
 * @reason: why
 * @setting: the setting it is about
 * @n_frames: frames to take (START, TRY: a whole round; MORE_FRAMES: how many more); 0 where none
 * @offset_mm: the offset it rests on: measured at @setting where there is a round, else by the line; NAN without
 * @se_mm: its standard error
 * @tolerance_mm: the tolerance
 * @chance_inside: how sure it is that the true offset at @setting is inside the tolerance; NAN without
 * @wanted_setting: the zero crossing, not rounded; NAN before there is a clear line
 */
typedef struct
{
  ShimAdviceAction action;
  ShimAdviceReason reason;
  int setting;
  guint n_frames;
  double offset_mm;
  double se_mm;
  double tolerance_mm;
  double chance_inside;
  double wanted_setting;
} ShimAdvice;

/**
 * ShimAdviceInput:
 * @points: (array length=n_points): the rounds so far, in the order taken
 * @n_points: how many
 * @range: what the body takes
 * @reference: (nullable): the reference round
 * @tolerance_mm: the tolerance, above 0
 * @start_setting: where to begin: a prediction of the kit model, the value in the slot, or 0
 * @frames_per_round: how many frames a round has; 0 = 5
 * @proof: how sure "inside the tolerance" must be; 0 = 0.95
 */
typedef struct
{
  const ShimResponsePoint *points;
  gsize n_points;
  ShimSettingRange range;
  const ShimRoundStats *reference;
  double tolerance_mm;
  int start_setting;
  guint frames_per_round;
  double proof;
} ShimAdviceInput;

/**
 * shim_advise:
 * @input: what is known
 * @response: (out) (optional): the response it rests on
 * @result: (out): the advice
 *
 * Before two settings are known: coarse steps of 5, then 2, then 1, the way that brings the offset down
 * (common practice, no source).
 */
void        shim_advise                (const ShimAdviceInput *input, ShimResponse *response, ShimAdvice *result);

/**
 * shim_advice_to_sentence:
 * @self: an advice
 *
 * Returns: (transfer full): one or two plain English sentences: what to do, and why, with the numbers
 */
char       *shim_advice_to_sentence    (const ShimAdvice *self);
const char *shim_advice_action_to_name (ShimAdviceAction action);
const char *shim_advice_reason_to_name (ShimAdviceReason reason);

G_END_DECLS
