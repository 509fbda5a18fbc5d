/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * ShimApproach:
 *
 * From which side the lens was run to the target before a frame was focused.
 */
typedef enum
{
  SHIM_APPROACH_UNKNOWN,
  SHIM_APPROACH_NEAR, /* from the near end of its travel */
  SHIM_APPROACH_FAR,  /* from infinity */
} ShimApproach;

/**
 * ShimFrameVerdict:
 *
 * What a round makes of one of its frames.
 */
typedef enum
{
  SHIM_FRAME_USED,
  SHIM_FRAME_LEFT_OUT,  /* the person left it out, or it was refused */
  SHIM_FRAME_STRAY,     /* far from the other frames: it counts for less, and is named */
  SHIM_FRAME_UNCERTAIN, /* its own standard error is far larger than the others': it says little */
} ShimFrameVerdict;

/**
 * ShimRoundFrame:
 * @offset_mm: what was measured, NAN when refused
 * @se_mm: its standard error, all doubts included; 0 or NAN = not known
 * @common_se_mm: the part of @se_mm that all frames of the set-up share; 0 or NAN = not known
 * @approach: from which side it was focused
 * @left_out: whether the person left it out
 */
typedef struct
{
  double offset_mm;
  double se_mm;
  double common_se_mm;
  ShimApproach approach;
  gboolean left_out;
} ShimRoundFrame;

/**
 * ShimRoundStats:
 * @n_frames: frames handed in
 * @n_used: frames that were counted: strays with their lower weight, uncertain and left-out ones not at all
 * @n_stray: of these, how many are strays
 * @mean_mm: robust mean offset; NAN when no frame counts
 * @se_mm: its standard error: scatter of the frames, their own errors and the common part
 * @random_se_mm: the part of @se_mm that more frames lower
 * @common_se_mm: the part they do not lower
 * @df: degrees of freedom of @se_mm (Welch–Satterthwaite); 0 when nothing tells the scatter of the autofocus
 *   (a single frame and no pooled scatter): @se_mm is then only the frame's own error, and no interval exists
 * @scatter_mm: standard deviation of one frame about the mean, robust, from this round alone; NAN for one frame
 * @focus_scatter_mm: the part of @scatter_mm that the frames' own errors do not explain: the autofocus
 * @n_near: frames approached from the near side
 * @n_far: frames approached from the far side
 * @near_mm: their mean, NAN without
 * @far_mm: their mean, NAN without
 * @approach_gap_mm: @far_mm − @near_mm, NAN unless both sides have two frames
 * @approach_gap_se_mm: its standard error
 * @approaches_differ: whether the gap is significant at 99 %
 */
typedef struct
{
  guint n_frames;
  guint n_used;
  guint n_stray;
  double mean_mm;
  double se_mm;
  double random_se_mm;
  double common_se_mm;
  double df;
  double scatter_mm;
  double focus_scatter_mm;
  guint n_near;
  guint n_far;
  double near_mm;
  double far_mm;
  double approach_gap_mm;
  double approach_gap_se_mm;
  gboolean approaches_differ;
} ShimRoundStats;

/**
 * ShimScatter:
 * @sd_mm: standard deviation of one frame about the mean of its round
 * @df: degrees of freedom it rests on
 *
 * The scatter pooled over the rounds of a test; sd_mm = NAN or df = 0 means that nothing is known.
 */
typedef struct
{
  double sd_mm;
  double df;
} ShimScatter;

/**
 * shim_round_stats:
 * @frames: (array length=n): the frames of one setting
 * @n: how many
 * @pooled: (nullable): scatter pooled over the rounds of the test (shim_round_pool()); used instead of this
 *   round's own scatter for the standard error, because four or five frames alone tell their scatter badly
 * @verdicts: (out) (array length=n) (optional): the verdict on each frame
 * @result: (out): what came out
 *
 * Returns: whether at least one frame counts
 */
gboolean    shim_round_stats           (const ShimRoundFrame *frames, gsize n, const ShimScatter *pooled,
                                        ShimFrameVerdict *verdicts, ShimRoundStats *result);

/**
 * shim_round_pool:
 * @rounds: (array length=n): rounds of one test, each computed without a pooled scatter
 * @n: how many
 * @result: (out): the pooled scatter
 *
 * Returns: whether any round had two frames
 */
gboolean    shim_round_pool            (const ShimRoundStats *rounds, gsize n, ShimScatter *result);

/**
 * ShimRoundFrames:
 * @frames: (array length=n): the frames of one round
 * @n: how many
 * @verdicts: (array length=n) (nullable): where to put the verdicts
 */
typedef struct
{
  const ShimRoundFrame *frames;
  gsize n;
  ShimFrameVerdict *verdicts;
} ShimRoundFrames;

/**
 * shim_round_test_stats:
 * @rounds: (array length=n): the rounds of one test
 * @n: how many
 * @results: (out) (array length=n): what came out of each
 * @scatter: (out) (optional): the pooled scatter
 *
 * All rounds of a test at once: each alone first, then again with the scatter pooled over all. What
 * shim_response() and shim_advise() are to be given.
 */
void shim_round_test_stats (const ShimRoundFrames *rounds, gsize n, ShimRoundStats *results, ShimScatter *scatter);

/**
 * shim_round_half_width_mm:
 * @self: a round
 * @level: confidence, as 0.95
 *
 * Returns: Student's t × standard error: the mean lies within this of the truth with probability @level;
 *   INFINITY when nothing tells the scatter
 */
double      shim_round_half_width_mm   (const ShimRoundStats *self, double level);

/**
 * shim_round_frames_needed:
 * @scatter_mm: standard deviation of one frame
 * @step_mm: change of offset by one step of the setting, sign ignored
 * @confidence: two-sided, as 0.95
 * @power: chance to see the difference when it is there, as 0.9
 *
 * Frames per setting that tell two settings one step apart: the smallest n with n ≥ 2 (t(1 − α/2) +
 * t(power))² (scatter/step)² on 2 n − 2 degrees of freedom (usual sample-size formula for two means).
 *
 * Returns: the number; G_MAXUINT when more than 100 000 would be needed
 */
guint       shim_round_frames_needed   (double scatter_mm, double step_mm, double confidence, double power);

/**
 * shim_round_frames_for_half_width:
 * @scatter_mm: standard deviation of one frame
 * @half_width_mm: wanted half-width of the interval of the mean, the common part not counted
 * @level: confidence
 *
 * Returns: the smallest number of frames n ≥ 2 with t(n − 1) scatter / √n ≤ half width; G_MAXUINT when above 100 000
 */
guint       shim_round_frames_for_half_width (double scatter_mm, double half_width_mm, double level);

const char *shim_frame_verdict_to_name (ShimFrameVerdict verdict);
const char *shim_approach_to_name      (ShimApproach approach);
gboolean    shim_approach_from_name    (const char *name, ShimApproach *approach);

G_END_DECLS
