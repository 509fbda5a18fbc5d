/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "check-values.h"
#include "normal-numbers.h"
#include "shim-response.h"

static const ShimSettingRange range_20 = { -20, 20, FALSE };
static const ShimSettingRange other_way = { -20, 20, TRUE };

/* A round of @n frames whose mean and scatter are exactly as told. */
static ShimRoundStats
exact_round (double mean_mm, double scatter_mm, guint n, double common_mm)
{
  const double random_mm = scatter_mm / sqrt (n);

  return (ShimRoundStats) {
    .n_frames = n, .n_used = n, .mean_mm = mean_mm, .scatter_mm = scatter_mm, .random_se_mm = random_mm,
    .common_se_mm = common_mm, .se_mm = hypot (random_mm, common_mm), .df = n - 1.0,
  };
}

static ShimResponsePoint
point (int setting, double mean_mm, double scatter_mm, guint n)
{
  return (ShimResponsePoint) { setting, exact_round (mean_mm, scatter_mm, n, 0.0) };
}

/* A line by hand: offsets −60, −10, 40 at settings −5, 0, 5 are 10 × setting − 10: zero at 1. */
static void
test_by_hand (void)
{
  const ShimResponsePoint points[] = { point (-5, -60, 4, 4), point (0, -10, 4, 4), point (5, 40, 4, 4) };
  ShimResponse response;
  double se = 0.0, half = 0.0;

  shim_response (points, 3, &range_20, NULL, &response);
  g_assert_cmpint (response.state, ==, SHIM_RESPONSE_CLEAR);
  g_assert_cmpuint (response.n_settings, ==, 3);
  check_near (response.step_mm, 10, 1e-12);
  check_near (response.step_se_mm, 2.0 / sqrt (50.0), 1e-12);
  check_near (response.zero.at, 1, 1e-12);
  g_assert_cmpint (response.best_setting, ==, 1);
  check_near (response.residual_mm, 0, 1e-12);
  check_near (response.residual_se_mm, 2.0 * sqrt (1.0 / 3.0 + 1.0 / 50.0), 1e-12);
  check_near (response.line.df, 9, 0);
  check_near (shim_response_at (&response, 5, &se, &half), 40, 1e-12);
  check_near (se, 2.0 * sqrt (1.0 / 3.0 + 0.5), 1e-12);
  check_near (half, 2.262 * se, 1e-3); /* t(0.975; 9) = 2.262, e-Handbook 1.3.6.7.2 */
  /* The zero is 4.2 standard errors from half a step: no neighbour is better. */
  g_assert_cmpfloat (response.chance_lower, <, 0.01);
  check_near (response.chance_lower, response.chance_higher, 1e-3);
  g_assert_false (response.bends);
}

static void
test_states (void)
{
  const ShimResponsePoint one[] = { point (0, 30, 4, 5), point (0, 31, 4, 5) };
  const ShimResponsePoint flat[] = { point (-5, 3, 10, 4), point (5, 4, 10, 4) };
  const ShimResponsePoint far_off[] = { point (-5, 400, 4, 5), point (0, 450, 4, 5), point (5, 500, 4, 5) };
  const ShimResponsePoint falling[] = { point (-5, 50, 4, 5), point (5, -50, 4, 5) };
  const ShimResponsePoint none[] = { { 0, { .n_frames = 3, .mean_mm = NAN } } };
  ShimResponse response;

  shim_response (NULL, 0, &range_20, NULL, &response);
  g_assert_cmpint (response.state, ==, SHIM_RESPONSE_NOTHING);
  shim_response (none, 1, &range_20, NULL, &response);
  g_assert_cmpint (response.state, ==, SHIM_RESPONSE_NOTHING);
  shim_response (one, 2, &range_20, NULL, &response);
  g_assert_cmpint (response.state, ==, SHIM_RESPONSE_ONE_SETTING);
  g_assert_true (isnan (shim_response_at (&response, 0, NULL, NULL)));
  shim_response (flat, 2, &range_20, NULL, &response);
  g_assert_cmpint (response.state, ==, SHIM_RESPONSE_UNCLEAR);
  g_assert_false (response.zero.has_interval);
  shim_response (falling, 2, &range_20, NULL, &response);
  g_assert_cmpint (response.state, ==, SHIM_RESPONSE_WRONG_WAY);
  shim_response (falling, 2, &other_way, NULL, &response);
  g_assert_cmpint (response.state, ==, SHIM_RESPONSE_CLEAR);
  check_near (response.zero.at, 0, 1e-12);

  shim_response (far_off, 3, &range_20, NULL, &response);
  g_assert_cmpint (response.state, ==, SHIM_RESPONSE_OUT_OF_REACH);
  check_near (response.zero.at, -45, 1e-9);
  g_assert_cmpint (response.best_setting, ==, -20);
  check_near (response.residual_mm, 250, 1e-9);
  check_near (response.chance_lower, 0, 0); /* there is none in range */
  g_assert_cmpfloat (response.chance_higher, <, 1e-6);
}

/* The zero just between two settings: each is as likely the better one. */
static void
test_between_two (void)
{
  const ShimResponsePoint points[] = { point (-5, -54.9, 4, 4), point (5, 45.1, 4, 4) };
  ShimResponse response;

  shim_response (points, 2, &range_20, NULL, &response); /* 10 × setting − 4.9 */
  g_assert_cmpint (response.best_setting, ==, 0);
  check_near (response.chance_higher, 0.5, 0.05);
  g_assert_cmpfloat (response.chance_higher, <, 0.5);
  g_assert_cmpfloat (response.chance_lower, <, 0.01);
}

/* A reference round takes the set-up's error away, and with it what all frames share; its own random error
 * comes in. */
static void
test_reference (void)
{
  ShimResponsePoint points[] = { point (-5, -55, 4, 4), point (5, 45, 4, 4) };
  const ShimRoundStats reference = exact_round (5, 2, 4, 3);
  ShimResponse with, without;

  points[0].round.common_se_mm = points[1].round.common_se_mm = 3.0;
  shim_response (points, 2, &range_20, NULL, &without);
  shim_response (points, 2, &range_20, &reference, &with);
  check_near (without.zero.at, 0.5, 1e-12);
  check_near (with.zero.at, 1.0, 1e-12);
  check_near (with.reference_mm, 5, 0);
  check_near (without.line.intercept_var, 4.0 / 2.0 + 9.0, 1e-12);
  check_near (with.line.intercept_var, 4.0 / 2.0 + 1.0, 1e-12);
  check_near (with.step_mm, without.step_mm, 1e-12);
}

static void
test_bend (void)
{
  ShimResponsePoint points[5];
  ShimResponse response;

  for (int i = 0; i < 5; i++)
    {
      const double setting = -10 + 5 * i;

      points[i] = point ((int) setting, 10 * setting, 2, 4);
    }
  shim_response (points, 5, &range_20, NULL, &response);
  g_assert_false (response.bends);
  for (int i = 0; i < 5; i++)
    points[i].round.mean_mm += 0.2 * points[i].setting * points[i].setting;
  shim_response (points, 5, &range_20, NULL, &response);
  g_assert_true (response.bends);
}

/* Rounds that lie farther from a line than their own scatter allows widen its errors and leave few degrees of
 * freedom. */
static void
test_disturbed_rounds (void)
{
  const ShimResponsePoint points[] = { point (-5, -50, 1, 5), point (0, 12, 1, 5), point (5, 40, 1, 5) };
  ShimResponse response;

  shim_response (points, 3, &range_20, NULL, &response);
  /* residuals 17/3 (−1, 2, −1): χ² = 963, so nearly all of the error rests on one degree of freedom */
  check_near (response.line.df, 1.0, 0.02);
  check_near (response.step_se_mm, sqrt (6.0 * 289.0 / 9.0 / 50.0), 1e-9);
}

/* Single frames: nothing tells the scatter, so two of them are no proof; three leave the residuals to tell. */
static void
test_single_frames (void)
{
  ShimResponsePoint points[3];
  ShimResponse response;

  for (int i = 0; i < 3; i++)
    points[i] = (ShimResponsePoint) { 5 * i - 5,
                                      { .n_frames = 1, .n_used = 1, .mean_mm = 50.0 * i - 50.0 + (i == 1 ? 0.5 : 0.0), .scatter_mm = NAN,
                                        .se_mm = 1, .random_se_mm = 1 } };
  shim_response (points, 2, &range_20, NULL, &response);
  g_assert_cmpint (response.state, ==, SHIM_RESPONSE_UNCLEAR);
  g_assert_true (isinf (response.residual_se_mm));
  check_near (response.chance_higher, 0.5, 1e-12);
  shim_response (points, 3, &range_20, NULL, &response);
  g_assert_cmpint (response.state, ==, SHIM_RESPONSE_CLEAR);
  check_near (response.line.df, 1, 0);
}

/* Settings −10, 0, 10 with four frames each, scatter one step: the zero is placed within 0.32 steps (1 s), as
 * an independent trial found. */
static void
test_simulated (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (7);
  const double step_mm = 15.0, truth = 3.3;
  const guint n_tests = 3000;
  double squares = 0.0;
  guint held = 0, better = 0, n_clear = 0;
  double promised = 0.0;

  for (guint test = 0; test < n_tests; test++)
    {
      ShimRoundFrame frames[3][4];
      ShimRoundFrames rounds[3];
      ShimRoundStats stats[3];
      ShimResponsePoint points[3];
      ShimResponse response;

      for (int r = 0; r < 3; r++)
        {
          for (int i = 0; i < 4; i++)
            frames[r][i] = (ShimRoundFrame) { .offset_mm = step_mm * (10 * r - 10 - truth) + step_mm * normal_number (random), .se_mm = 1.0 };
          rounds[r] = (ShimRoundFrames) { frames[r], 4, NULL };
        }
      shim_round_test_stats (rounds, 3, stats, NULL);
      for (int r = 0; r < 3; r++)
        points[r] = (ShimResponsePoint) { 10 * r - 10, stats[r] };
      shim_response (points, 3, &range_20, NULL, &response);
      n_clear += response.state == SHIM_RESPONSE_CLEAR;
      squares += pow (response.zero.at - truth, 2.0);
      held += !response.zero.has_interval || (response.zero.low <= truth && truth <= response.zero.high);
      promised += response.chance_lower + response.chance_higher;
      better += response.best_setting != 3;
    }
  g_test_message ("rms %.3f steps, interval holds %.2f %%, neighbour better in %.2f %% (promised %.2f %%)",
                  sqrt (squares / n_tests), 100.0 * held / n_tests, 100.0 * better / n_tests, 100.0 * promised / n_tests);
  g_assert_cmpuint (n_clear, >=, 0.99 * n_tests);
  check_near (sqrt (squares / n_tests), 0.32, 0.02);
  g_assert_cmpfloat ((double) held / n_tests, >=, 0.94);
  g_assert_cmpfloat ((double) held / n_tests, <=, 0.985); /* widened errors are on the careful side */
  /* The chances are those of a Bayesian with no opinion beforehand, about settings of any truth; at this one
   * truth they need only be near. */
  check_near ((double) better / n_tests, promised / n_tests, 0.08);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/response/by-hand", test_by_hand);
  g_test_add_func ("/core/response/states", test_states);
  g_test_add_func ("/core/response/between-two", test_between_two);
  g_test_add_func ("/core/response/reference", test_reference);
  g_test_add_func ("/core/response/bend", test_bend);
  g_test_add_func ("/core/response/disturbed-rounds", test_disturbed_rounds);
  g_test_add_func ("/core/response/single-frames", test_single_frames);
  g_test_add_func ("/core/response/simulated", test_simulated);
  return g_test_run ();
}
