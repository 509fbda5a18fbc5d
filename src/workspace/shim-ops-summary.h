/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-advice.h"
#include "shim-kinds.h"
#include "shim-ops-model.h"
#include "shim-response.h"
#include "shim-round-stats.h"

G_BEGIN_DECLS

/**
 * ShimFrameSummary:
 * @frame: the frame
 * @program: (nullable): the newest reading by the program, measured or refused
 * @eye: (nullable): the newest reading by eye
 * @verdict: (nullable): the newest word of a person on whether it counts
 * @counted: (nullable): the reading that counts: by eye where there is one, else the program's; %NULL when there is none or it was refused
 * @use: what the round makes of it
 * @sentence: (nullable): why it is left out, stray or uncertain
 * @doubts: (array zero-terminated=1): what does not forbid the frame but should be looked at, a sentence each: stopped down, another focal
 *   length, little light …
 */
typedef struct
{
  ShimFrame *frame;
  ShimReading *program;
  ShimReading *eye;
  ShimVerdict *verdict;
  ShimReading *counted;
  ShimFrameVerdict use;
  char *sentence;
  char **doubts;
} ShimFrameSummary;

/**
 * ShimRoundSummary:
 * @round: the round
 * @is_reference: whether it shows the error of the set-up
 * @frames: (element-type ShimFrameSummary): in the order they were added
 * @stats: its figures; those of a round without counted frames have mean_mm = NAN
 */
typedef struct
{
  ShimRound *round;
  gboolean is_reference;
  GPtrArray *frames;
  ShimRoundStats stats;
} ShimRoundSummary;

/**
 * ShimStepSource:
 * @SHIM_STEP_MEASURED: the response of this test
 * @SHIM_STEP_BODY: from the defocus that a step made in other tests of the body
 * @SHIM_STEP_COMMON: an eighth of the depth of focus to one side, N × circle of confusion, at the lens's widest aperture (common
 *   practice, no source)
 *
 * Where #ShimTestSummary.expected_step_mm comes from.
 */
typedef enum
{
  SHIM_STEP_MEASURED,
  SHIM_STEP_BODY,
  SHIM_STEP_COMMON,
} ShimStepSource;

/**
 * ShimTestSummary:
 * @test: the test
 * @pair: its pair
 * @body: its body
 * @lens: its lens
 * @converter: (nullable): its converter
 * @rounds: (element-type ShimRoundSummary): in the order taken
 * @pooled: scatter of one frame, pooled over the rounds
 * @reference: (nullable): the newest reference round with a counted frame, one of @rounds
 * @range: what the body takes
 * @response: offset over setting
 * @points: (element-type ShimResponsePoint): the rounds that @response rests on, in order
 * @advice: what to do next
 * @advice_sentence: the same as a sentence
 * @coc_mm: circle of confusion
 * @depth_of_field_mm: total, for the test's focal length, f-number and distance
 * @near_mm: nearest sharp distance
 * @far_mm: farthest sharp distance, INFINITY allowed
 * @tolerance_mm: largest offset accepted
 * @expected_step_mm: change of offset that one step of the setting makes, signed
 * @step_source: where that comes from
 * @start_setting: where to begin: what was decided before, else what @prediction says, else 0
 * @prediction: (nullable): what the kit model says of the pair
 * @decisions: (element-type ShimDecision): the pair's decisions, newest first
 *
 * A test with all that follows from it. It never changes once made; any thread may read it.
 */
typedef struct
{
  ShimTest *test;
  ShimPair *pair;
  ShimBody *body;
  ShimLens *lens;
  ShimConverter *converter;
  GPtrArray *rounds;
  ShimScatter pooled;
  const ShimRoundSummary *reference;
  ShimSettingRange range;
  ShimResponse response;
  GArray *points;
  ShimAdvice advice;
  char *advice_sentence;
  double coc_mm;
  double depth_of_field_mm;
  double near_mm;
  double far_mm;
  double tolerance_mm;
  double expected_step_mm;
  ShimStepSource step_source;
  int start_setting;
  ShimPairPrediction *prediction;
  GPtrArray *decisions;
} ShimTestSummary;

#define SHIM_TYPE_TEST_SUMMARY (shim_test_summary_get_type ())
GType                   shim_test_summary_get_type   (void);
ShimTestSummary        *shim_ops_test_summary        (ShimRegister *reg, const ShimModel *model, const char *test,
                                                      GError **error);
double                  shim_ops_step_um             (ShimRegister *reg, const char *body, GError **error);
double                  shim_ops_common_step_um      (ShimBody *body, ShimLens *lens);
ShimTestSummary        *shim_test_summary_ref        (ShimTestSummary *self);
void                    shim_test_summary_unref      (ShimTestSummary *self);
gboolean                shim_test_summary_has_decision (const ShimTestSummary *self, const char *id);
const ShimFrameSummary *shim_test_summary_find_frame (const ShimTestSummary *self, const char *frame,
                                                      const ShimRoundSummary **round);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimTestSummary, shim_test_summary_unref)

G_END_DECLS
