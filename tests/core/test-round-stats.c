/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "normal-numbers.h"
#include "shim-round-stats.h"
#include "shim-stats.h"

static ShimRoundFrame
frame (double offset_mm, double se_mm, double common_se_mm)
{
  return (ShimRoundFrame) { .offset_mm = offset_mm, .se_mm = se_mm, .common_se_mm = common_se_mm };
}

/* Without strays and without a common part: the textbook's mean, s / √n and t. */
static void
test_plain (void)
{
  const ShimRoundFrame frames[] = { frame (10, 0, 0), frame (12, 0, 0), frame (11, 0, 0), frame (9, 0, 0), frame (13, 0, 0) };
  ShimFrameVerdict verdicts[5];
  ShimRoundStats round;

  g_assert_true (shim_round_stats (frames, 5, NULL, verdicts, &round));
  check_near (round.mean_mm, 11.0, 1e-9);
  check_near (round.scatter_mm, sqrt (2.5), 1e-9);
  check_near (round.se_mm, sqrt (2.5 / 5.0), 1e-9);
  check_near (round.df, 4.0, 1e-9);
  /* t(0.975; 4) = 2.776: NIST/SEMATECH e-Handbook 1.3.6.7.2 */
  check_near (shim_round_half_width_mm (&round, 0.95), 2.776 * sqrt (0.5), 5e-4);
  g_assert_cmpuint (round.n_stray, ==, 0);
  for (guint i = 0; i < 5; i++)
    g_assert_cmpint (verdicts[i], ==, SHIM_FRAME_USED);
}

static void
test_verdicts (void)
{
  ShimRoundFrame frames[] = { frame (10, 1, 0.5), frame (12, 1, 0.5), frame (11, 1, 0.5), frame (60, 1, 0.5),
                              frame (NAN, NAN, NAN), frame (11.5, 1, 0.5), frame (12, 30, 0.5) };
  ShimFrameVerdict verdicts[G_N_ELEMENTS (frames)];
  ShimRoundStats round;

  frames[5].left_out = TRUE;
  g_assert_true (shim_round_stats (frames, G_N_ELEMENTS (frames), NULL, verdicts, &round));
  g_assert_cmpuint (round.n_frames, ==, 7);
  g_assert_cmpuint (round.n_used, ==, 4);
  g_assert_cmpuint (round.n_stray, ==, 1);
  g_assert_cmpint (verdicts[0], ==, SHIM_FRAME_USED);
  g_assert_cmpint (verdicts[3], ==, SHIM_FRAME_STRAY);
  g_assert_cmpint (verdicts[4], ==, SHIM_FRAME_LEFT_OUT);
  g_assert_cmpint (verdicts[5], ==, SHIM_FRAME_LEFT_OUT);
  g_assert_cmpint (verdicts[6], ==, SHIM_FRAME_UNCERTAIN);
  /* The stray of 60 would carry the plain mean to 23. */
  check_near (round.mean_mm, 11.5, 1.5);
  g_assert_cmpstr (shim_frame_verdict_to_name (verdicts[3]), ==, "stray");
}

/* The standard error is never below the common part, nor below what the frames' own errors leave after averaging. */
static void
test_floors (void)
{
  const ShimRoundFrame lucky[] = { frame (5, 2.5, 1.5), frame (5.001, 2.5, 1.5), frame (4.999, 2.5, 1.5), frame (5, 2.5, 1.5) };
  const ShimScatter tiny = { .sd_mm = 1e-6, .df = 50 };
  ShimRoundStats round;

  g_assert_true (shim_round_stats (lucky, 4, NULL, NULL, &round));
  check_near (round.common_se_mm, 1.5, 1e-12);
  check_near (round.random_se_mm, 2.0 / sqrt (4.0), 1e-12); /* √(2.5² − 1.5²) = 2 each */
  check_near (round.se_mm, hypot (1.5, 1.0), 1e-12);
  check_near (round.focus_scatter_mm, 0.0, 1e-12);
  g_assert_true (shim_round_stats (lucky, 4, &tiny, NULL, &round));
  check_near (round.se_mm, hypot (1.5, 1.0), 1e-12);
}

static void
test_one_frame (void)
{
  const ShimRoundFrame frames[] = { frame (7, 2, 1) };
  const ShimScatter pooled = { .sd_mm = 4, .df = 8 };
  ShimRoundStats round;

  g_assert_true (shim_round_stats (frames, 1, NULL, NULL, &round));
  check_near (round.mean_mm, 7, 0);
  check_near (round.se_mm, 2, 1e-12);
  check_near (round.df, 0, 0);
  g_assert_true (isinf (shim_round_half_width_mm (&round, 0.95)));
  g_assert_true (shim_round_stats (frames, 1, &pooled, NULL, &round));
  check_near (round.se_mm, hypot (4, 1), 1e-12);
  g_assert_cmpfloat (round.df, >=, 8);
  g_assert_false (shim_round_stats (frames, 0, NULL, NULL, &round));
  g_assert_true (isnan (round.mean_mm));
}

static void
test_approaches (void)
{
  ShimRoundFrame frames[] = { frame (10, 0.5, 0), frame (10.4, 0.5, 0), frame (9.7, 0.5, 0),
                              frame (16, 0.5, 0), frame (16.3, 0.5, 0), frame (15.6, 0.5, 0) };
  ShimRoundStats round;

  for (guint i = 0; i < 6; i++)
    frames[i].approach = i < 3 ? SHIM_APPROACH_NEAR : SHIM_APPROACH_FAR;
  g_assert_true (shim_round_stats (frames, 6, NULL, NULL, &round));
  g_assert_cmpuint (round.n_near, ==, 3);
  g_assert_cmpuint (round.n_far, ==, 3);
  check_near (round.approach_gap_mm, 47.9 / 3 - 30.1 / 3, 1e-9);
  check_near (round.approach_gap_se_mm, 0.5 * sqrt (2.0 / 3.0), 1e-9);
  g_assert_true (round.approaches_differ);

  /* The same frames mixed: nothing to see. */
  for (guint i = 0; i < 6; i++)
    frames[i].approach = i % 2 == 0 ? SHIM_APPROACH_NEAR : SHIM_APPROACH_FAR;
  g_assert_true (shim_round_stats (frames, 6, NULL, NULL, &round));
  g_assert_false (round.approaches_differ);
}

/* For a scatter of 0.25, 0.5, 1 and 2 steps (95 %, power 90 %): 3, 7, 23, 86, from an independent simulation.
 * 23 is also what the usual tables of sample size give for a difference of one standard deviation at this
 * power. */
static void
test_frames_needed (void)
{
  g_assert_cmpuint (shim_round_frames_needed (0.25, 1, 0.95, 0.9), ==, 3);
  g_assert_cmpuint (shim_round_frames_needed (0.5, 1, 0.95, 0.9), ==, 7);
  g_assert_cmpuint (shim_round_frames_needed (15, -15, 0.95, 0.9), ==, 23);
  g_assert_cmpuint (shim_round_frames_needed (2, 1, 0.95, 0.9), ==, 86);
  g_assert_cmpuint (shim_round_frames_needed (1, 0, 0.95, 0.9), ==, G_MAXUINT);
  g_assert_cmpuint (shim_round_frames_needed (1e6, 1, 0.95, 0.9), ==, G_MAXUINT);
  /* by hand from the t table: 2.776 s/√5 ≤ 1.25 s, 3.182 s/√4 > 1.25 s */
  g_assert_cmpuint (shim_round_frames_for_half_width (1.0, 1.25, 0.95), ==, 5);
  g_assert_cmpuint (shim_round_frames_for_half_width (0.0, 1.0, 0.95), ==, 2);
  g_assert_cmpuint (shim_round_frames_for_half_width (1.0, 0.0, 0.95), ==, G_MAXUINT);
}

/* Simulated tests of four rounds: how often does the 95 % interval of a round hold the truth? */
static double
coverage_of (guint n_frames, gboolean use_pool, double stray_share, guint32 seed)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (seed);
  const guint n_tests = 2500;
  guint held = 0;

  for (guint test = 0; test < n_tests; test++)
    {
      ShimRoundFrame frames[4][8];
      ShimRoundStats rounds[4];
      ShimScatter pooled;

      for (guint r = 0; r < 4; r++)
        {
          for (guint i = 0; i < n_frames; i++)
            {
              const gboolean stray = g_rand_double (random) < stray_share;

              frames[r][i] = frame (20.0 * r + 5.0 * normal_number (random) * (stray ? 8.0 : 1.0), 1.0, 0.0);
            }
          g_assert_true (shim_round_stats (frames[r], n_frames, NULL, NULL, &rounds[r]));
        }
      g_assert_true (shim_round_pool (rounds, 4, &pooled));
      check_near (pooled.df, 4.0 * (n_frames - 1.0), 0.0);
      for (guint r = 0; r < 4; r++)
        {
          if (use_pool)
            g_assert_true (shim_round_stats (frames[r], n_frames, &pooled, NULL, &rounds[r]));
          held += fabs (rounds[r].mean_mm - 20.0 * r) <= shim_round_half_width_mm (&rounds[r], 0.95);
        }
    }
  return held / (4.0 * n_tests);
}

static void
test_coverage (void)
{
  static const struct
  {
    guint n_frames;
    gboolean pool;
    double stray_share, least, most;
  } cases[] = {
    /* standard error of a share: 0.22 % for single rounds, up to 0.4 % where four share one pooled scatter */
    { 4, TRUE, 0.0, 0.94, 0.96 },   { 5, TRUE, 0.0, 0.94, 0.96 },   { 4, FALSE, 0.0, 0.94, 0.96 },
    { 5, FALSE, 0.0, 0.94, 0.96 },  { 8, FALSE, 0.0, 0.94, 0.96 },
    /* every twentieth frame with eight times the scatter: not below what it says, and not much too wide */
    { 5, TRUE, 0.05, 0.94, 0.98 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      const double share = coverage_of (cases[i].n_frames, cases[i].pool, cases[i].stray_share, 2026 + i);

      g_test_message ("%u frames, %s, strays %g: %.2f %%", cases[i].n_frames, cases[i].pool ? "pooled" : "alone",
                      cases[i].stray_share, 100.0 * share);
      g_assert_cmpfloat (share, >=, cases[i].least);
     g_assert_cmpfloat (share, <=, cases[i].most);
    }
}

static void
test_names (void)
{
  ShimApproach approach = SHIM_APPROACH_UNKNOWN;

  for (guint i = SHIM_APPROACH_UNKNOWN; i <= SHIM_APPROACH_FAR; i++)
    {
      g_assert_true (shim_approach_from_name (shim_approach_to_name (i), &approach));
      g_assert_cmpint (approach, ==, i);
    }
  g_assert_false (shim_approach_from_name ("sideways", &approach));
  g_assert_false (shim_approach_from_name (NULL, &approach));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/round-stats/plain", test_plain);
  g_test_add_func ("/core/round-stats/verdicts", test_verdicts);
  g_test_add_func ("/core/round-stats/floors", test_floors);
  g_test_add_func ("/core/round-stats/one-frame", test_one_frame);
  g_test_add_func ("/core/round-stats/approaches", test_approaches);
  g_test_add_func ("/core/round-stats/frames-needed", test_frames_needed);
  g_test_add_func ("/core/round-stats/coverage", test_coverage);
  g_test_add_func ("/core/round-stats/names", test_names);
  return g_test_run ();
}
