/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-frame-doubts.h"
#include "shim-ops-summary.h"
#include "shim-optics.h"
#include "shim-register-pairs.h"
#include "shim-register-reads.h"
#include "shim-tolerance.h"

/* What a body takes when nobody recorded its range: the commonest one (common practice, no source). */
#define USUAL_RANGE 20
/* Of a 36 × 24 mm picture; used for the expected step alone, when neither test nor body says. */
#define USUAL_COC_MM 0.030

G_DEFINE_BOXED_TYPE (ShimTestSummary, shim_test_summary, shim_test_summary_ref, shim_test_summary_unref)

static void
frame_summary_free (ShimFrameSummary *self)
{
  g_clear_object (&self->frame);
  g_clear_object (&self->program);
  g_clear_object (&self->eye);
  g_clear_object (&self->verdict);
  g_clear_object (&self->counted);
  g_free (self->sentence);
  g_strfreev (self->doubts);
  g_free (self);
}

static void
round_summary_free (ShimRoundSummary *self)
{
  g_clear_object (&self->round);
  g_ptr_array_unref (self->frames);
  g_free (self);
}

static void
summary_clear (gpointer data)
{
  ShimTestSummary *self = data;

  g_clear_object (&self->test);
  g_clear_object (&self->pair);
  g_clear_object (&self->body);
  g_clear_object (&self->lens);
  g_clear_object (&self->converter);
  g_clear_pointer (&self->rounds, g_ptr_array_unref);
  g_clear_pointer (&self->points, g_array_unref);
  g_clear_pointer (&self->decisions, g_ptr_array_unref);
  g_clear_pointer (&self->prediction, shim_pair_prediction_free);
  g_free (self->advice_sentence);
}

/**
 * shim_test_summary_ref:
 * @self: a summary
 *
 * Returns: (transfer full): @self
 */
ShimTestSummary *
shim_test_summary_ref (ShimTestSummary *self)
{
  return g_atomic_rc_box_acquire (self);
}

/**
 * shim_test_summary_unref:
 * @self: (transfer full): a summary
 */
void
shim_test_summary_unref (ShimTestSummary *self)
{
  g_atomic_rc_box_release_full (self, summary_clear);
}

/**
 * shim_test_summary_has_decision:
 * @self: a summary
 * @id: of a decision
 *
 * Returns: whether it was made before the summary was
 */
gboolean
shim_test_summary_has_decision (const ShimTestSummary *self, const char *id)
{
  g_return_val_if_fail (self != NULL, FALSE);

  for (guint i = 0; i < self->decisions->len; i++)
    if (g_strcmp0 (shim_record_get_id (self->decisions->pdata[i]), id) == 0)
      return TRUE;
  return FALSE;
}

/* --- rounds and frames --- */

static ShimReading *
choose_reading (const ShimTestFrame *frame)
{
  if (frame->eye != NULL && isfinite (frame->eye->offset_mm))
    return frame->eye;
  if (frame->program != NULL && isfinite (frame->program->offset_mm)
      && g_strcmp0 (frame->program->refusal, "none") == 0)
    return frame->program;
  return NULL;
}

static ShimFrameSummary *
summarise_frame (const ShimTestFrame *source)
{
  ShimFrameSummary *self = g_new0 (ShimFrameSummary, 1);
  ShimReading *counted = choose_reading (source);

  self->frame = g_object_ref (source->frame);
  self->program = source->program != NULL ? g_object_ref (source->program) : NULL;
  self->eye = source->eye != NULL ? g_object_ref (source->eye) : NULL;
  self->verdict = source->verdict != NULL ? g_object_ref (source->verdict) : NULL;
  self->counted = counted != NULL ? g_object_ref (counted) : NULL;
  return self;
}

static ShimRoundSummary *
summarise_round (const ShimTestRound *source)
{
  ShimRoundSummary *self = g_new0 (ShimRoundSummary, 1);

  self->round = g_object_ref (source->round);
  self->is_reference = g_strcmp0 (source->round->kind, "reference") == 0;
  self->frames = g_ptr_array_new_with_free_func ((GDestroyNotify) frame_summary_free);
  for (guint i = 0; i < source->frames->len; i++)
    g_ptr_array_add (self->frames, summarise_frame (g_ptr_array_index (source->frames, i)));
  return self;
}

static ShimRoundFrame
round_frame (const ShimFrameSummary *frame)
{
  const ShimReading *counted = frame->counted;
  ShimRoundFrame result = { NAN, NAN, NAN, SHIM_APPROACH_UNKNOWN, FALSE };

  if (counted != NULL)
    {
      result.offset_mm = counted->offset_mm;
      result.se_mm = counted->offset_se_mm;
      result.common_se_mm = counted->common_se_mm;
    }
  if (frame->frame->approach != NULL)
    shim_approach_from_name (frame->frame->approach, &result.approach);
  result.left_out = frame->verdict != NULL && !frame->verdict->use;
  return result;
}

static char *
sentence_for_frame (const ShimFrameSummary *frame)
{
  switch (frame->use)
    {
    case SHIM_FRAME_LEFT_OUT:
      if (frame->verdict != NULL && !frame->verdict->use)
        return g_strdup (frame->verdict->reason != NULL ? frame->verdict->reason : _ ("It was left out by hand."));
      if (frame->program != NULL && frame->program->reason != NULL)
        return g_strdup (frame->program->reason);
      return g_strdup (_ ("It has not been measured."));
    case SHIM_FRAME_STRAY:
      return g_strdup (_ ("It lies far from the other frames of its round and counts for less."));
    case SHIM_FRAME_UNCERTAIN:
      return g_strdup (_ ("Its own standard error is far larger than that of the other frames, so it says little."));
    case SHIM_FRAME_USED:
    default:
      return NULL;
    }
}

static void
count_round (ShimRoundSummary *round, const ShimScatter *pooled)
{
  const guint n = round->frames->len;
  g_autofree ShimRoundFrame *frames = g_new0 (ShimRoundFrame, n + 1);
  g_autofree ShimFrameVerdict *verdicts = g_new0 (ShimFrameVerdict, n + 1);

  for (guint i = 0; i < n; i++)
    frames[i] = round_frame (g_ptr_array_index (round->frames, i));
  shim_round_stats (frames, n, pooled, verdicts, &round->stats);
  for (guint i = 0; i < n; i++)
    {
      ShimFrameSummary *frame = g_ptr_array_index (round->frames, i);

      frame->use = verdicts[i];
      g_free (frame->sentence);
      frame->sentence = sentence_for_frame (frame);
    }
}

/* Twice: the scatter pooled over all rounds is not known before each round was looked at by itself. */
static void
count_rounds (ShimTestSummary *self)
{
  const guint n = self->rounds->len;
  g_autofree ShimRoundStats *stats = g_new0 (ShimRoundStats, n + 1);
  gboolean is_pooled;

  for (guint i = 0; i < n; i++)
    {
      ShimRoundSummary *round = g_ptr_array_index (self->rounds, i);

      count_round (round, NULL);
      stats[i] = round->stats;
    }
  is_pooled = shim_round_pool (stats, n, &self->pooled);
  if (!is_pooled)
    self->pooled = (ShimScatter) { NAN, 0.0 };
  for (guint i = 0; is_pooled && i < n; i++)
    count_round (g_ptr_array_index (self->rounds, i), &self->pooled);
}

static void
collect_points (ShimTestSummary *self)
{
  self->points = g_array_new (FALSE, FALSE, sizeof (ShimResponsePoint));
  for (guint i = 0; i < self->rounds->len; i++)
    {
      const ShimRoundSummary *round = g_ptr_array_index (self->rounds, i);
      ShimResponsePoint point;

      if (round->is_reference)
        {
          if (round->stats.n_used > 0)
            self->reference = round;
          continue;
        }
      if (round->round->setting == SHIM_NO_INT || round->frames->len == 0)
        continue;
      point.setting = (int) round->round->setting;
      point.round = round->stats;
      g_array_append_val (self->points, point);
    }
}

static void
find_doubts (ShimTestSummary *self)
{
  for (guint i = 0; i < self->rounds->len; i++)
    {
      const ShimRoundSummary *round = g_ptr_array_index (self->rounds, i);
      ShimFrame *before = NULL;

      for (guint k = 0; k < round->frames->len; k++)
        {
          ShimFrameSummary *frame = g_ptr_array_index (round->frames, k);

          frame->doubts = _shim_frame_doubts (frame->frame, before, self, round->round->setting);
          before = frame->frame;
        }
    }
}

/* --- lengths --- */

/* The first known number of this field over the frames' readings that count. */
static double
from_readings (const ShimTestSummary *self, gsize offset)
{
  for (guint i = 0; i < self->rounds->len; i++)
    {
      const ShimRoundSummary *round = g_ptr_array_index (self->rounds, i);

      for (guint k = 0; k < round->frames->len; k++)
        {
          const ShimFrameSummary *frame = g_ptr_array_index (round->frames, k);

          if (frame->counted != NULL && isfinite (G_STRUCT_MEMBER (double, frame->counted, offset)))
            return G_STRUCT_MEMBER (double, frame->counted, offset);
        }
    }
  return NAN;
}

static void
work_out_depth_of_field (ShimTestSummary *self)
{
  ShimDepthOfField depth;

  self->coc_mm = self->test->coc_mm;
  if (isnan (self->coc_mm))
    self->coc_mm = from_readings (self, G_STRUCT_OFFSET (ShimReading, coc_mm));
  self->near_mm = self->far_mm = NAN;
  self->depth_of_field_mm = from_readings (self, G_STRUCT_OFFSET (ShimReading, depth_of_field_mm));
  if (isfinite (self->coc_mm) && isfinite (self->test->f_number)
      && shim_optics_depth_of_field (self->test->focal_mm, self->test->f_number, self->test->distance_mm,
                                     self->coc_mm, &depth))
    {
      self->near_mm = depth.near_mm;
      self->far_mm = depth.far_mm;
      self->depth_of_field_mm = depth.total_mm;
    }
  self->tolerance_mm = shim_tolerance_mm (self->depth_of_field_mm,
                                          isnan (self->test->tolerance_share) ? SHIM_TOLERANCE_DEFAULT_SHARE
                                                                              : self->test->tolerance_share);
}

static ShimSettingRange
range_of (const ShimBody *body)
{
  return (ShimSettingRange) {
    .min = body->range_min != SHIM_NO_INT ? (int) body->range_min : -USUAL_RANGE,
    .max = body->range_max != SHIM_NO_INT ? (int) body->range_max : USUAL_RANGE,
    .counts_other_way = g_strcmp0 (body->direction, "toward") == 0,
  };
}

static int
compare_doubles (gconstpointer a, gconstpointer b)
{
  const double left = *(const double *) a, right = *(const double *) b;

  return (left > right) - (left < right);
}

/**
 * shim_ops_step_um:
 * @reg: a register
 * @body: id of a body
 * @error: a #ShimStoreError
 *
 * Returns: change of defocus that one step makes on this body, µm, signed: the median over its measured pairs; NAN
 * when nothing was measured (then without @error) or cannot be read
 */
double
shim_ops_step_um (ShimRegister *reg, const char *body, GError **error)
{
  g_autoptr (GPtrArray) measurements = NULL;
  g_autoptr (GArray) steps = NULL;

  g_return_val_if_fail (reg != NULL && body != NULL, NAN);

  measurements = shim_register_measurements_of (reg, body, error);
  if (measurements == NULL)
    return NAN;
  steps = g_array_new (FALSE, FALSE, sizeof (double));
  for (guint i = 0; i < measurements->len; i++)
    {
      const ShimPairMeasurement *measured = g_ptr_array_index (measurements, i);
      double step_um;

      if (g_strcmp0 (measured->body, body) != 0 || isnan (measured->slope_mm_per_step))
        continue;
      step_um = shim_optics_defocus_small_um (measured->focal_mm, measured->distance_mm, measured->slope_mm_per_step);
      if (isfinite (step_um))
        g_array_append_val (steps, step_um);
    }
  if (steps->len == 0)
    return NAN;
  g_array_sort (steps, compare_doubles);
  return g_array_index (steps, double, steps->len / 2);
}

/**
 * shim_ops_common_step_um:
 * @body: a body
 * @lens: a lens
 *
 * Returns: change of defocus of one step before anything was measured, µm, signed: an eighth of the depth of focus to
 * one side, N × c, at the widest aperture (common practice, no source; at 50 mm, f/1.8 and 2.5 m it is 16 mm at the
 * ruler)
 */
double
shim_ops_common_step_um (ShimBody *body, ShimLens *lens)
{
  const double coc_mm = shim_optics_coc_from_format_mm (body->format_width_mm, body->format_height_mm);
  const double n = isfinite (lens->aperture_wide) ? lens->aperture_wide : 2.8;
  const double step_um = n * (isfinite (coc_mm) ? coc_mm : USUAL_COC_MM) * 1000.0 / 8.0;

  return g_strcmp0 (body->direction, "toward") == 0 ? -step_um : step_um;
}

static gboolean
work_out_step (ShimRegister *reg, ShimTestSummary *self, GError **error)
{
  g_autoptr (GError) local_error = NULL;
  double step_um;

  if (self->response.state == SHIM_RESPONSE_CLEAR || self->response.state == SHIM_RESPONSE_OUT_OF_REACH)
    {
      self->expected_step_mm = self->response.step_mm;
      self->step_source = SHIM_STEP_MEASURED;
      return TRUE;
    }
  step_um = shim_ops_step_um (reg, self->pair->body, &local_error);
  if (local_error != NULL)
    {
      g_propagate_error (error, g_steal_pointer (&local_error));
      return FALSE;
    }
  self->step_source = isnan (step_um) ? SHIM_STEP_COMMON : SHIM_STEP_BODY;
  if (isnan (step_um))
    step_um = shim_ops_common_step_um (self->body, self->lens);
  self->expected_step_mm = shim_optics_offset_mm (self->test->focal_mm, self->test->distance_mm, step_um);
  return TRUE;
}

/* --- advice --- */

static void
choose_start (ShimTestSummary *self)
{
  const ShimDecision *last = self->decisions->len > 0 ? g_ptr_array_index (self->decisions, 0) : NULL;

  if (last != NULL && last->value != SHIM_NO_INT && g_strcmp0 (last->origin, "none") != 0)
    self->start_setting = (int) last->value;
  else if (self->prediction != NULL)
    self->start_setting = self->prediction->setting;
  self->start_setting = CLAMP (self->start_setting, self->range.min, self->range.max);
}

static void
advise (ShimTestSummary *self)
{
  const ShimAdviceInput input = {
    .points = (const ShimResponsePoint *) self->points->data,
    .n_points = self->points->len,
    .range = self->range,
    .reference = self->reference != NULL ? &self->reference->stats : NULL,
    /* Before the first frame the f-number may not be known, and nothing hangs on the tolerance yet. */
    .tolerance_mm = self->tolerance_mm > 0.0 ? self->tolerance_mm : 1.0,
    .start_setting = self->start_setting,
  };

  shim_advise (&input, &self->response, &self->advice);
  self->advice_sentence = shim_advice_to_sentence (&self->advice);
}

static gboolean
get_items (ShimRegister *reg, ShimTestSummary *self, GError **error)
{
  self->pair = (ShimPair *) shim_register_get (reg, SHIM_TYPE_PAIR, self->test->pair, error);
  if (self->pair == NULL)
    return FALSE;
  self->body = (ShimBody *) shim_register_get (reg, SHIM_TYPE_BODY, self->pair->body, error);
  if (self->body == NULL)
    return FALSE;
  self->lens = (ShimLens *) shim_register_get (reg, SHIM_TYPE_LENS, self->pair->lens, error);
  if (self->lens == NULL)
    return FALSE;
  if (self->pair->converter != NULL)
    {
      self->converter = (ShimConverter *) shim_register_get (reg, SHIM_TYPE_CONVERTER, self->pair->converter, error);
      if (self->converter == NULL)
        return FALSE;
    }
  self->decisions = shim_register_decisions (reg, self->test->pair, error);
  return self->decisions != NULL;
}

/**
 * shim_ops_test_summary:
 * @reg: a register
 * @model: (nullable): the kit model, for where to begin
 * @test: id of a test
 * @error: a #ShimStoreError
 *
 * Returns: (transfer full) (nullable): the test with all that follows from it
 */
ShimTestSummary *
shim_ops_test_summary (ShimRegister *reg, const ShimModel *model, const char *test, GError **error)
{
  g_autoptr (ShimTestSummary) self = NULL;
  g_autoptr (ShimTestTree) tree = NULL;

  g_return_val_if_fail (reg != NULL && test != NULL, NULL);

  self = g_atomic_rc_box_new0 (ShimTestSummary);
  tree = shim_register_test_tree (reg, test, error);
  if (tree == NULL)
    return NULL;
  self->test = g_object_ref (tree->test);
  if (!get_items (reg, self, error))
    return NULL;
  self->rounds = g_ptr_array_new_with_free_func ((GDestroyNotify) round_summary_free);
  for (guint i = 0; i < tree->rounds->len; i++)
    g_ptr_array_add (self->rounds, summarise_round (g_ptr_array_index (tree->rounds, i)));
  count_rounds (self);
  find_doubts (self);
  collect_points (self);
  self->range = range_of (self->body);
  work_out_depth_of_field (self);
  if (model != NULL)
    self->prediction = shim_ops_model_predict (reg, model, self->pair->body, self->pair->lens, self->pair->converter,
                                               self->test->focal_mm, self->test->distance_mm, NULL);
  choose_start (self);
  advise (self);
  if (!work_out_step (reg, self, error))
    return NULL;
  return g_steal_pointer (&self);
}

/**
 * shim_test_summary_find_frame:
 * @self: a summary
 * @frame: id of a frame
 * @round: (out) (optional) (nullable) (transfer none): its round
 *
 * Returns: (transfer none) (nullable): the frame
 */
const ShimFrameSummary *
shim_test_summary_find_frame (const ShimTestSummary *self, const char *frame, const ShimRoundSummary **round)
{
  g_return_val_if_fail (self != NULL && frame != NULL, NULL);

  for (guint i = 0; i < self->rounds->len; i++)
    {
      const ShimRoundSummary *candidate = g_ptr_array_index (self->rounds, i);

      for (guint k = 0; k < candidate->frames->len; k++)
        {
          const ShimFrameSummary *found = g_ptr_array_index (candidate->frames, k);

          if (g_strcmp0 (shim_record_get_id (SHIM_RECORD (found->frame)), frame) != 0)
            continue;
          if (round != NULL)
            *round = candidate;
          return found;
        }
    }
  if (round != NULL)
    *round = NULL;
  return NULL;
}
