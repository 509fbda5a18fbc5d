/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-names.h"
#include "shim-round-stats.h"
#include "shim-stats.h"

/* A frame is named a stray when it lies farther from the others than chance allows in one round of a hundred.
 * Its influence on the mean is limited much earlier, from 1.5 robust standard deviations on. */
#define STRAY_CHANCE 0.01

/* A frame whose own error is this many times the others' (and larger than the scatter) would have a twentieth
 * of their weight or less. It is left uncounted and named, rather than weighed: a judgement that keeps the
 * round's mean a plain thing. */
#define UNCERTAIN_RATIO 4.5

/* The variance of Huber's location over that of the mean for 3 to 8 normal values, k = 1.5, MAD scale: 1.06
 * with the floor of half the expected scatter, 1.09 without (simulated, 40 000 rounds each). Where no frame
 * was pulled it is the mean itself. */
#define HUBER_COST 1.09

#define MOST_FRAMES 100000

static const char *const verdict_names[] = {
  [SHIM_FRAME_USED] = "used",
  [SHIM_FRAME_LEFT_OUT] = "left-out",
  [SHIM_FRAME_STRAY] = "stray",
  [SHIM_FRAME_UNCERTAIN] = "uncertain",
};

static const char *const approach_names[] = {
  [SHIM_APPROACH_UNKNOWN] = "unknown",
  [SHIM_APPROACH_NEAR] = "near",
  [SHIM_APPROACH_FAR] = "far",
};

const char *
shim_frame_verdict_to_name (ShimFrameVerdict verdict)
{
  g_return_val_if_fail ((guint) verdict < G_N_ELEMENTS (verdict_names), "used");

  return verdict_names[verdict];
}

const char *
shim_approach_to_name (ShimApproach approach)
{
  g_return_val_if_fail ((guint) approach < G_N_ELEMENTS (approach_names), "unknown");

  return approach_names[approach];
}

gboolean
shim_approach_from_name (const char *name, ShimApproach *approach)
{
  guint index = 0;

  g_return_val_if_fail (approach != NULL, FALSE);

  if (!shim_names_find (approach_names, G_N_ELEMENTS (approach_names), name, &index))
    return FALSE;
  *approach = (ShimApproach) index;
  return TRUE;
}

/* The error of a single frame that is its own, not shared by the set-up. */
static double
own_error (const ShimRoundFrame *frame)
{
  const double all = frame->se_mm > 0.0 ? frame->se_mm : 0.0;
  const double common = frame->common_se_mm > 0.0 ? frame->common_se_mm : 0.0;

  return sqrt (MAX (all * all - common * common, 0.0));
}

static double
root_mean_square (const double *values, gsize n)
{
  double squares = 0.0;

  for (gsize i = 0; i < n; i++)
    squares += values[i] * values[i];
  return sqrt (squares / n);
}

/* Marks as uncertain the frames whose own error is far larger than the others' and than the scatter. */
static void
find_uncertain (const ShimRoundFrame *frames, gsize n, ShimFrameVerdict *verdicts)
{
  g_autofree double *errors = g_new (double, n);
  g_autofree double *offsets = g_new (double, n);
  gsize n_counted = 0;
  double limit;

  for (gsize i = 0; i < n; i++)
    if (verdicts[i] == SHIM_FRAME_USED)
      {
        errors[n_counted] = own_error (&frames[i]);
        offsets[n_counted++] = frames[i].offset_mm;
      }
  if (n_counted < 3)
    return;

  limit = MAX (UNCERTAIN_RATIO * shim_stats_median (errors, n_counted), shim_stats_mad (offsets, n_counted));
  if (!(shim_stats_median (errors, n_counted) > 0.0))
    return;
  for (gsize i = 0; i < n; i++)
    if (verdicts[i] == SHIM_FRAME_USED && own_error (&frames[i]) > limit)
      verdicts[i] = SHIM_FRAME_UNCERTAIN;
}

/* Copies what counts; returns how many. */
static gsize
collect (const ShimRoundFrame *frames, gsize n, const ShimFrameVerdict *verdicts, double *offsets, double *own,
         double *common)
{
  gsize n_counted = 0;

  for (gsize i = 0; i < n; i++)
    {
      if (verdicts[i] != SHIM_FRAME_USED)
        continue;
      offsets[n_counted] = frames[i].offset_mm;
      own[n_counted] = own_error (&frames[i]);
      common[n_counted++] = frames[i].common_se_mm > 0.0 ? frames[i].common_se_mm : 0.0;
    }
  return n_counted;
}

static gboolean
is_known (const ShimScatter *scatter)
{
  return scatter != NULL && scatter->df > 0.0 && scatter->sd_mm > 0.0;
}

/* The round's own scatter is preferred to the pooled one only where it is larger beyond chance (99 %): then
 * something disturbed this round. */
static gboolean
is_disturbed (const ShimRoundStats *round, const ShimScatter *pooled)
{
  const double ratio = round->scatter_mm / pooled->sd_mm;

  return shim_stats_f_tail (ratio * ratio, round->n_used - 1.0, pooled->df) < 0.01;
}

/* Without strays the plain standard deviation: the variance that belongs to Huber's estimate clips every
 * fourth of normal frames and, with four or five, comes out too small. With a named stray that one, or the
 * stray would set the scatter. */
static double
scatter_of (const double *offsets, gsize n, guint n_stray, const ShimHuber *huber)
{
  return n_stray == 0 ? shim_stats_sd (offsets, n) : huber->se * sqrt (n);
}

/* Standard error and degrees of freedom, from scatter, own errors and common part. */
static void
set_errors (ShimRoundStats *self, double own_rms, gboolean is_mean, const ShimScatter *pooled)
{
  const double cost = is_mean ? 1.0 : HUBER_COST;
  double scatter_mm = self->scatter_mm, by_scatter, df = self->n_used - 1.0, variances[2], dfs[2];

  if (is_known (pooled) && (self->n_used < 2 || !is_disturbed (self, pooled)))
    {
      scatter_mm = pooled->sd_mm;
      df = pooled->df;
    }
  by_scatter = scatter_mm * sqrt (cost / self->n_used);
  /* The frames' own errors are part of the scatter that is seen; frames that agree by luck do not make them
   * smaller. */
  self->random_se_mm = own_rms / sqrt (self->n_used);
  if (by_scatter > self->random_se_mm)
    self->random_se_mm = by_scatter;

  self->se_mm = hypot (self->random_se_mm, self->common_se_mm);
  variances[0] = self->random_se_mm * self->random_se_mm;
  variances[1] = self->common_se_mm * self->common_se_mm;
  dfs[0] = df;
  dfs[1] = INFINITY;
  self->df = df > 0.0 ? shim_stats_combined_df (variances, dfs, 2) : 0.0;
  if (!(self->df > 0.0) && self->se_mm == 0.0)
    self->se_mm = self->random_se_mm = NAN; /* nothing is known of any error */
}

/* Mean and sum of squares about it of the counted frames of one approach, strays apart. */
static guint
sum_approach (const ShimRoundFrame *frames, gsize n, const ShimFrameVerdict *verdicts, ShimApproach approach,
              double *mean_mm, double *squares)
{
  g_autofree double *offsets = g_new (double, MAX (n, 1));
  gsize n_counted = 0;

  for (gsize i = 0; i < n; i++)
    if (verdicts[i] == SHIM_FRAME_USED && frames[i].approach == approach)
      offsets[n_counted++] = frames[i].offset_mm;
  *mean_mm = n_counted > 0 ? shim_stats_mean (offsets, n_counted) : NAN;
  *squares = n_counted > 1 ? pow (shim_stats_sd (offsets, n_counted), 2.0) * (n_counted - 1.0) : 0.0;
  return n_counted;
}

static void
compare_approaches (ShimRoundStats *self, const ShimRoundFrame *frames, gsize n, const ShimFrameVerdict *verdicts,
                    double own_rms)
{
  double near_squares, far_squares, sd, df;

  self->n_near = sum_approach (frames, n, verdicts, SHIM_APPROACH_NEAR, &self->near_mm, &near_squares);
  self->n_far = sum_approach (frames, n, verdicts, SHIM_APPROACH_FAR, &self->far_mm, &far_squares);
  if (self->n_near < 2 || self->n_far < 2)
    return;

  df = self->n_near + self->n_far - 2.0;
  sd = MAX (sqrt ((near_squares + far_squares) / df), own_rms);
  self->approach_gap_mm = self->far_mm - self->near_mm;
  self->approach_gap_se_mm = sd * sqrt (1.0 / self->n_near + 1.0 / self->n_far);
  self->approaches_differ =
      fabs (self->approach_gap_mm) > shim_stats_t_quantile (0.995, df) * self->approach_gap_se_mm;
}

/* How far frame @i of the counted ones lies from the others, and the limit for that. With a pooled scatter
 * the limit is its own; without, the scatter of the others: with four or five frames the usual limit of 3.5
 * MADs would find a stray in every fifth good round (simulated). */
static gboolean
is_stray (const double *offsets, gsize n, gsize i, double own_rms, const ShimScatter *pooled)
{
  g_autofree double *others = g_new (double, n);
  gsize n_others = 0;
  double sd, df;

  for (gsize j = 0; j < n; j++)
    if (j != i)
      others[n_others++] = offsets[j];
  sd = is_known (pooled) ? pooled->sd_mm : shim_stats_sd (others, n_others);
  df = is_known (pooled) ? pooled->df : n_others - 1.0;
  return fabs (offsets[i] - shim_stats_median (others, n_others))
         > shim_stats_t_quantile (1.0 - 0.5 * STRAY_CHANCE / n, df) * MAX (sd, own_rms) * sqrt (1.0 + 1.0 / n_others);
}

/* @offsets are those of the frames with the verdict "used", in order. */
static void
name_strays (ShimRoundStats *self, const double *offsets, gsize n_frames, double own_rms, const ShimScatter *pooled,
             ShimFrameVerdict *verdicts)
{
  const gsize n = self->n_used;
  gsize at = 0;

  /* Of two frames nobody can say which is the stray one. */
  if (n < 3)
    return;
  for (gsize i = 0; i < n_frames; i++)
    if (verdicts[i] == SHIM_FRAME_USED && is_stray (offsets, n, at++, own_rms, pooled))
      {
        verdicts[i] = SHIM_FRAME_STRAY;
        self->n_stray++;
      }
}

gboolean
shim_round_stats (const ShimRoundFrame *frames, gsize n, const ShimScatter *pooled, ShimFrameVerdict *verdicts,
                  ShimRoundStats *result)
{
  g_autofree ShimFrameVerdict *own_verdicts = NULL;
  g_autofree double *offsets = NULL, *own = NULL, *common = NULL;
  double own_rms, expected_mm;
  ShimHuber huber;

  g_return_val_if_fail (frames != NULL || n == 0, FALSE);
  g_return_val_if_fail (result != NULL, FALSE);

  *result = (ShimRoundStats) {
    .n_frames = n, .mean_mm = NAN, .se_mm = NAN, .random_se_mm = NAN, .common_se_mm = NAN, .scatter_mm = NAN,
    .focus_scatter_mm = NAN, .near_mm = NAN, .far_mm = NAN, .approach_gap_mm = NAN, .approach_gap_se_mm = NAN,
  };
  if (n == 0)
    return FALSE;
  if (verdicts == NULL)
    verdicts = own_verdicts = g_new (ShimFrameVerdict, n);
  for (gsize i = 0; i < n; i++)
    verdicts[i] = frames[i].left_out || !isfinite (frames[i].offset_mm) ? SHIM_FRAME_LEFT_OUT : SHIM_FRAME_USED;
  find_uncertain (frames, n, verdicts);

  offsets = g_new (double, n);
  own = g_new (double, n);
  common = g_new (double, n);
  result->n_used = collect (frames, n, verdicts, offsets, own, common);
  if (result->n_used == 0)
    return FALSE;

  own_rms = root_mean_square (own, result->n_used);
  expected_mm = MAX (own_rms, is_known (pooled) ? pooled->sd_mm : 0.0);
  shim_stats_huber (offsets, result->n_used, expected_mm, &huber);
  result->mean_mm = huber.location;
  result->common_se_mm = root_mean_square (common, result->n_used);
  name_strays (result, offsets, n, own_rms, pooled, verdicts);
  result->scatter_mm = scatter_of (offsets, result->n_used, result->n_stray, &huber);
  result->focus_scatter_mm = sqrt (MAX (result->scatter_mm * result->scatter_mm - own_rms * own_rms, 0.0));
  if (result->n_used < 2)
    result->focus_scatter_mm = NAN;
  set_errors (result, own_rms, huber.n_pulled == 0, pooled);
  compare_approaches (result, frames, n, verdicts, own_rms);
  return TRUE;
}

gboolean
shim_round_pool (const ShimRoundStats *rounds, gsize n, ShimScatter *result)
{
  g_autofree double *sds = g_new (double, MAX (n, 1));
  g_autofree guint *counts = g_new (guint, MAX (n, 1));

  g_return_val_if_fail (rounds != NULL || n == 0, FALSE);
  g_return_val_if_fail (result != NULL, FALSE);

  for (gsize i = 0; i < n; i++)
    {
      sds[i] = rounds[i].scatter_mm;
      counts[i] = rounds[i].n_used;
    }
  result->sd_mm = shim_stats_pooled_sd (sds, counts, n, &result->df);
  return result->df > 0.0;
}

void
shim_round_test_stats (const ShimRoundFrames *rounds, gsize n, ShimRoundStats *results, ShimScatter *scatter)
{
  ShimScatter pooled = { NAN, 0.0 };

  g_return_if_fail ((rounds != NULL && results != NULL) || n == 0);

  for (gsize i = 0; i < n; i++)
    shim_round_stats (rounds[i].frames, rounds[i].n, NULL, rounds[i].verdicts, &results[i]);
  if (shim_round_pool (results, n, &pooled))
    for (gsize i = 0; i < n; i++)
      shim_round_stats (rounds[i].frames, rounds[i].n, &pooled, rounds[i].verdicts, &results[i]);
  if (scatter != NULL)
    *scatter = pooled;
}

double
shim_round_half_width_mm (const ShimRoundStats *self, double level)
{
  g_return_val_if_fail (self != NULL, NAN);
  g_return_val_if_fail (level > 0.0 && level < 1.0, NAN);

  if (!(self->df > 0.0))
    return self->n_used > 0 ? INFINITY : NAN;
  return shim_stats_t_quantile (0.5 + 0.5 * level, self->df) * self->se_mm;
}

guint
shim_round_frames_needed (double scatter_mm, double step_mm, double confidence, double power)
{
  double ratio, z, first;

  g_return_val_if_fail (confidence > 0.0 && confidence < 1.0, 0);
  g_return_val_if_fail (power > 0.0 && power < 1.0, 0);

  ratio = scatter_mm * scatter_mm / (step_mm * step_mm);
  if (!isfinite (ratio))
    return G_MAXUINT;
  /* t is never below the normal quantile, so no smaller number can do. */
  z = shim_stats_normal_quantile (0.5 + 0.5 * confidence) + shim_stats_normal_quantile (power);
  first = MAX (2.0, floor (2.0 * z * z * ratio));
  for (double n = first; n <= MOST_FRAMES; n += 1.0)
    {
      const double df = 2.0 * n - 2.0;
      const double t = shim_stats_t_quantile (0.5 + 0.5 * confidence, df) + shim_stats_t_quantile (power, df);

      if (n >= 2.0 * t * t * ratio)
        return (guint) n;
    }
  return G_MAXUINT;
}

guint
shim_round_frames_for_half_width (double scatter_mm, double half_width_mm, double level)
{
  double ratio, z;

  g_return_val_if_fail (level > 0.0 && level < 1.0, 0);

  ratio = scatter_mm / half_width_mm;
  if (!(half_width_mm > 0.0) || !isfinite (ratio))
    return G_MAXUINT;
  z = shim_stats_normal_quantile (0.5 + 0.5 * level) * ratio;
  for (double n = MAX (2.0, floor (z * z)); n <= MOST_FRAMES; n += 1.0)
    if (shim_stats_t_quantile (0.5 + 0.5 * level, n - 1.0) * ratio <= sqrt (n))
      return (guint) n;
  return G_MAXUINT;
}
