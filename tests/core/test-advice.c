/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "check-values.h"
#include "normal-numbers.h"
#include "shim-advice.h"

static ShimResponsePoint
point (int setting, double mean_mm, double scatter_mm, guint n, double common_mm)
{
  const double random_mm = scatter_mm / sqrt (n);

  return (ShimResponsePoint) { setting,
                               { .n_frames = n, .n_used = n, .mean_mm = mean_mm, .scatter_mm = scatter_mm, .random_se_mm = random_mm,
                                 .common_se_mm = common_mm, .se_mm = hypot (random_mm, common_mm), .df = n > 1 ? n - 1.0 : 0.0 } };
}

/* One case: up to four rounds, and what is to be advised. Range −20 to 20, tolerance 10 mm, five frames a round. */
typedef struct
{
  const char *what;
  gsize n;
  struct
  {
    int setting;
    double mean_mm, scatter_mm;
    guint n_frames;
    double common_mm;
  } rounds[4];
  gboolean other_way;
  ShimAdviceAction action;
  ShimAdviceReason reason;
  int setting;
} Case;

static const Case cases[] = {
  { "nothing yet", 0, { { 0 } }, FALSE, SHIM_ADVICE_START, SHIM_REASON_FIRST_ROUND, 3 },
  { "all refused", 1, { { 4, NAN, NAN, 0, 0 } }, FALSE, SHIM_ADVICE_MORE_FRAMES, SHIM_REASON_NO_COUNTED_FRAME, 4 },
  /* coarse steps of 5, then 2, then 1: common practice, no source. Past the target asks for a smaller setting. */
  { "far past", 1, { { 0, 60, 4, 5, 0 } }, FALSE, SHIM_ADVICE_TRY, SHIM_REASON_COARSE_STEP, -5 },
  { "far in front", 1, { { 0, -60, 4, 5, 0 } }, FALSE, SHIM_ADVICE_TRY, SHIM_REASON_COARSE_STEP, 5 },
  { "far past, counts the other way", 1, { { 0, 60, 4, 5, 0 } }, TRUE, SHIM_ADVICE_TRY, SHIM_REASON_COARSE_STEP, 5 },
  { "somewhat past", 1, { { 0, 20, 4, 5, 0 } }, FALSE, SHIM_ADVICE_TRY, SHIM_REASON_COARSE_STEP, -2 },
  { "just past", 1, { { 0, 12, 4, 5, 0 } }, FALSE, SHIM_ADVICE_TRY, SHIM_REASON_COARSE_STEP, -1 },
  { "far past near the end", 1, { { -18, 60, 4, 5, 0 } }, FALSE, SHIM_ADVICE_TRY, SHIM_REASON_COARSE_STEP, -20 },
  { "far past at the end", 1, { { -20, 60, 4, 5, 0 } }, FALSE, SHIM_ADVICE_TRY, SHIM_REASON_COARSE_STEP, -15 },
  { "inside at once", 1, { { 0, 2, 3, 5, 0 } }, FALSE, SHIM_ADVICE_ACCEPT, SHIM_REASON_INSIDE, 0 },
  { "inside, two frames", 1, { { 0, 1, 0.1, 2, 0 } }, FALSE, SHIM_ADVICE_MORE_FRAMES, SHIM_REASON_NOT_PROVEN, 0 },
  { "inside, one frame", 1, { { 0, 1, 0.1, 1, 0 } }, FALSE, SHIM_ADVICE_MORE_FRAMES, SHIM_REASON_NOT_PROVEN, 0 },
  { "inside, scatter hides it", 1, { { 0, 4, 8, 5, 0 } }, FALSE, SHIM_ADVICE_MORE_FRAMES, SHIM_REASON_SCATTER, 0 },
  { "inside, hopeless scatter", 1, { { 0, 4, 40, 5, 0 } }, FALSE, SHIM_ADVICE_TRY, SHIM_REASON_SPREAD, -5 },
  { "two settings", 2, { { 0, 60, 4, 5, 0 }, { -5, 10.5, 4, 5, 0 } }, FALSE, SHIM_ADVICE_TRY, SHIM_REASON_LINE, -6 },
  { "three, best is inside", 3, { { 0, 60, 4, 5, 0 }, { -5, 10.5, 4, 5, 0 }, { -6, 0, 4, 5, 0 } }, FALSE, SHIM_ADVICE_ACCEPT,
    SHIM_REASON_INSIDE, -6 },
  { "two, not clear", 2, { { 0, 15, 40, 5, 0 }, { -5, 14, 40, 5, 0 } }, FALSE, SHIM_ADVICE_TRY, SHIM_REASON_SPREAD, -10 },
  { "no response", 2, { { -10, 50, 2, 10, 0 }, { 10, 50, 2, 10, 0 } }, FALSE, SHIM_ADVICE_CHECK_SETUP, SHIM_REASON_NO_RESPONSE, 10 },
  { "no response, few frames", 2, { { -10, 50, 2, 5, 0 }, { 10, 50, 2, 5, 0 } }, FALSE, SHIM_ADVICE_MORE_FRAMES, SHIM_REASON_NO_RESPONSE, -10 },
  { "wrong way", 2, { { 0, 60, 4, 5, 0 }, { -5, 110, 4, 5, 0 } }, FALSE, SHIM_ADVICE_CHECK_SETUP, SHIM_REASON_WRONG_WAY, -5 },
  { "out of reach", 2, { { 0, 400, 4, 5, 0 }, { -5, 350, 4, 5, 0 } }, FALSE, SHIM_ADVICE_SERVICE, SHIM_REASON_OUT_OF_RANGE, -20 },
  /* wanted −20.7, one step 10 mm: at −20 seven are left, inside the tolerance, so the end of the range is
   * worth trying */
  { "just out of reach", 2, { { 0, 207, 2, 5, 0 }, { -10, 107, 2, 5, 0 } }, FALSE, SHIM_ADVICE_TRY, SHIM_REASON_LINE, -20 },
  { "set-up in doubt", 3, { { 0, 60, 2, 5, 8 }, { -5, 10.5, 2, 5, 8 }, { -6, 0, 2, 5, 8 } }, FALSE, SHIM_ADVICE_CHECK_SETUP,
    SHIM_REASON_COMMON_PART, -6 },
  /* one step is 30 mm: no whole setting comes inside 10 mm, and −2 is as near as it gets */
  { "steps too coarse", 3, { { 0, 73, 2, 5, 0 }, { -5, -77, 2, 5, 0 }, { -2, 13, 2, 5, 0 } }, FALSE, SHIM_ADVICE_ACCEPT,
    SHIM_REASON_BEST_THERE_IS, -2 },
};

static void
run_case (const Case *test, ShimAdvice *advice)
{
  ShimResponsePoint points[4];
  const ShimAdviceInput input = {
    .points = points, .n_points = test->n, .range = { -20, 20, test->other_way }, .tolerance_mm = 10, .start_setting = 3,
  };

  for (gsize i = 0; i < test->n; i++)
    points[i] = point (test->rounds[i].setting, test->rounds[i].mean_mm, test->rounds[i].scatter_mm, test->rounds[i].n_frames,
                       test->rounds[i].common_mm);
  shim_advise (&input, NULL, advice);
}

static void
test_cases (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *sentence = NULL;
      ShimAdvice advice;

      run_case (&cases[i], &advice);
      sentence = shim_advice_to_sentence (&advice);
      g_test_message ("%s: %s", cases[i].what, sentence);
      g_assert_cmpstr (shim_advice_action_to_name (advice.action), ==, shim_advice_action_to_name (cases[i].action));
      g_assert_cmpstr (shim_advice_reason_to_name (advice.reason), ==, shim_advice_reason_to_name (cases[i].reason));
      g_assert_cmpint (advice.setting, ==, cases[i].setting);
      g_assert_true (g_str_has_suffix (sentence, "."));
      g_assert_null (strstr (sentence, "nan"));
      g_assert_null (strstr (sentence, "inf "));
    }
}

static void
test_sentence (void)
{
  const ShimAdvice advice = {
    .action = SHIM_ADVICE_ACCEPT, .reason = SHIM_REASON_INSIDE, .setting = -6, .offset_mm = -1.26, .se_mm = 0.84,
    .tolerance_mm = 26.4, .chance_inside = 0.99997, .wanted_setting = -5.9,
  };
  g_autofree char *sentence = shim_advice_to_sentence (&advice);

  g_assert_cmpstr (sentence, ==,
                   "Accept setting −6. The offset is 1.3 ± 0.8 mm in front of the target, inside the tolerance of 26 mm with 99 % "
                   "certainty.");
}

/* A pair with a true response, tuned as the advice says until it says stop. Returns the true offset at the
 * accepted setting. */
static ShimAdvice
tune (GRand *random, double step_mm, double wanted, double scatter_mm, double tolerance_mm, gboolean other_way, guint *n_frames)
{
  ShimRoundFrame frames[20][40];
  ShimRoundFrames rounds[20];
  ShimRoundStats stats[20];
  ShimResponsePoint points[20];
  ShimAdvice advice;
  gsize n = 0;

  *n_frames = 0;
  while (TRUE)
    {
      const ShimAdviceInput input = {
        .points = points, .n_points = n, .range = { -20, 20, other_way }, .tolerance_mm = tolerance_mm,
      };

      shim_advise (&input, NULL, &advice);
      if (advice.n_frames == 0)
        return advice;
      g_assert_cmpuint (n, <, 20);
      g_assert_cmpuint (advice.n_frames, <=, 40);
      for (guint i = 0; i < advice.n_frames; i++)
        frames[n][i] = (ShimRoundFrame) { .offset_mm = step_mm * (advice.setting - wanted) + scatter_mm * normal_number (random),
                                          .se_mm = 0.5 };
      rounds[n] = (ShimRoundFrames) { frames[n], advice.n_frames, NULL };
      points[n].setting = advice.setting;
      *n_frames += advice.n_frames;
      n++;
      shim_round_test_stats (rounds, n, stats, NULL);
      for (gsize i = 0; i < n; i++)
        points[i].round = stats[i];
    }
}

/* Many simulated pairs. "Proven" must be true at least as often as it says; pairs out of reach go to service,
 * and no others do. */
static void
test_simulated (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (20261125);
  guint n_accepted = 0, n_wrong = 0, n_service = 0, n_other = 0, n_frames_all = 0;
  const guint n_pairs = 1500;

  for (guint i = 0; i < n_pairs; i++)
    {
      const gboolean other_way = i % 2 == 1, out_of_reach = i % 10 == 0;
      const double wanted = out_of_reach ? copysign (g_rand_double_range (random, 30, 45), g_rand_double (random) - 0.5)
                                         : g_rand_double_range (random, -18, 18);
      const double step_mm = g_rand_double_range (random, 10, 20) * (other_way ? -1 : 1);
      const double scatter_mm = g_rand_double_range (random, 2, 15);
      guint n_frames = 0;
      const ShimAdvice advice = tune (random, step_mm, wanted, scatter_mm, 26.0, other_way, &n_frames);

      n_frames_all += n_frames;
      if (out_of_reach)
        {
          n_service += advice.action == SHIM_ADVICE_SERVICE;
          continue;
        }
      if (advice.action == SHIM_ADVICE_ACCEPT && advice.reason == SHIM_REASON_INSIDE)
        {
          n_accepted++;
          n_wrong += fabs (step_mm * (advice.setting - wanted)) > 26.0;
        }
      else
        n_other++;
    }
  g_test_message ("accepted %u, of these wrong %u; out of reach and sent to service %u of %u; others %u; %.1f frames a pair",
                  n_accepted, n_wrong, n_service, n_pairs / 10, n_other, (double) n_frames_all / n_pairs);
  g_assert_cmpuint (n_accepted, >=, n_pairs * 9 / 10 * 95 / 100);
  g_assert_cmpuint (n_wrong, <=, n_accepted * 5 / 100);
  g_assert_cmpuint (n_service, >=, n_pairs / 10 * 95 / 100);
  g_assert_cmpuint (n_frames_all, <=, 25 * n_pairs);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/advice/cases", test_cases);
  g_test_add_func ("/core/advice/sentence", test_sentence);
  g_test_add_func ("/core/advice/simulated", test_simulated);
  return g_test_run ();
}
