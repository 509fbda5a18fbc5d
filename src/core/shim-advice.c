/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-advice.h"
#include "shim-stats.h"
#include "shim-tolerance.h"

#define USUAL_FRAMES 5
#define USUAL_PROOF 0.95

/* Three frames at least before anything is accepted: two can agree by chance, and of two no one can tell
 * which is wrong. */
#define FEWEST_FRAMES 3

/* After this many rounds' worth of frames at one setting more of them are not worth the time: a judgement. */
#define MOST_ROUNDS_AT_ONE_SETTING 4

/* Two settings this far apart (or the whole range) that show no response: then none is to be expected. One
 * step is typically 10 to 20 mm at 50 mm f/1.8 and 2.5 m (common practice, no source), so this is some 300
 * mm, far beyond any scatter. */
#define FULL_SPREAD 20

/* What is known at one setting. */
typedef struct
{
  guint n_frames;
  double offset_mm;
  double se_mm;
  double random_se_mm;
  double common_se_mm;
  double df;
  double chance_inside;
} Place;

typedef struct
{
  const ShimAdviceInput *input;
  ShimResponse response;
  guint frames_per_round;
  double proof;
} Bench;

static gboolean
counts (const ShimResponsePoint *point)
{
  return point->round.n_used > 0 && isfinite (point->round.mean_mm);
}

/* All rounds at @setting together, set-up error subtracted. */
static void
sum_rounds (const Bench *bench, int setting, Place *place)
{
  const ShimRoundStats *reference = bench->response.reference_se_mm > 0.0 ? bench->input->reference : NULL;
  double sum = 0.0, weights = 0.0, common_squares = 0.0, df = 0.0;
  gboolean certain = TRUE;
  guint n_rounds = 0;

  *place = (Place) { .offset_mm = NAN, .se_mm = NAN, .random_se_mm = NAN, .chance_inside = NAN };
  for (gsize i = 0; i < bench->input->n_points; i++)
    {
      const ShimRoundStats *round = &bench->input->points[i].round;
      double weight;

      if (bench->input->points[i].setting != setting || !counts (&bench->input->points[i]))
        continue;
      certain = certain && round->random_se_mm > 0.0 && round->df > 0.0;
      weight = round->random_se_mm > 0.0 ? 1.0 / (round->random_se_mm * round->random_se_mm) : round->n_used;
      sum += weight * round->mean_mm;
      weights += weight;
      common_squares += round->common_se_mm * round->common_se_mm;
      df = MAX (df, round->df);
      place->n_frames += round->n_used;
      n_rounds++;
    }
  if (n_rounds == 0)
    return;

  place->offset_mm = sum / weights - bench->response.reference_mm;
  place->random_se_mm = certain ? sqrt (1.0 / weights) : INFINITY;
  /* the same reasoning as in shim_response(): a reference round takes the common part away */
  place->common_se_mm = reference != NULL ? bench->response.reference_se_mm : sqrt (common_squares / n_rounds);
  place->se_mm = hypot (place->random_se_mm, place->common_se_mm);
  place->df = certain ? df : 0.0;
}

/* What is known at @setting: by the line where there is a clear and straight one, since it uses every round;
 * else by the rounds there. */
static void
look_at (const Bench *bench, int setting, Place *place)
{
  const ShimResponse *response = &bench->response;
  double variance;

  sum_rounds (bench, setting, place);
  if (response->state >= SHIM_RESPONSE_CLEAR && !response->bends)
    {
      place->offset_mm = shim_response_at (response, setting, &place->se_mm, NULL);
      place->df = response->line.df;
      variance = place->se_mm * place->se_mm - place->common_se_mm * place->common_se_mm;
      place->random_se_mm = sqrt (MAX (variance, 0.0));
    }
  if (place->df > 0.0 && isfinite (place->se_mm))
    place->chance_inside
      = shim_tolerance_chance_inside (place->offset_mm, place->se_mm, place->df, bench->input->tolerance_mm);
}

static gboolean
was_tried (const Bench *bench, int setting)
{
  for (gsize i = 0; i < bench->input->n_points; i++)
    if (bench->input->points[i].setting == setting && counts (&bench->input->points[i]))
      return TRUE;
  return FALSE;
}

static void
advise (const Bench *bench, ShimAdviceAction action, ShimAdviceReason reason, int setting, guint n_frames,
        ShimAdvice *result)
{
  Place place;

  look_at (bench, setting, &place);
  *result = (ShimAdvice) {
    .action = action,
    .reason = reason,
    .setting = setting,
    .n_frames = n_frames,
    .offset_mm = place.offset_mm,
    .se_mm = place.se_mm,
    .tolerance_mm = bench->input->tolerance_mm,
    .chance_inside = place.chance_inside,
    .wanted_setting = bench->response.state >= SHIM_RESPONSE_CLEAR ? bench->response.zero.at : NAN,
  };
}

/* The tried setting that is proven to be inside the tolerance, the least offset first. */
static gboolean
find_proven (const Bench *bench, int *setting)
{
  double least = INFINITY;

  for (gsize i = 0; i < bench->input->n_points; i++)
    {
      Place place;

      if (!counts (&bench->input->points[i]))
        continue;
      look_at (bench, bench->input->points[i].setting, &place);
      if (place.n_frames >= FEWEST_FRAMES && place.chance_inside >= bench->proof && fabs (place.offset_mm) < least)
        {
          least = fabs (place.offset_mm);
          *setting = bench->input->points[i].setting;
        }
    }
  return isfinite (least);
}

/* +1 where a larger setting brings the offset down, −1 where a smaller one does. */
static int
way_down (const Bench *bench, double offset_mm)
{
  return (offset_mm > 0.0) == (bench->input->range.counts_other_way != FALSE) ? 1 : -1;
}

/* Frames that are still missing at @place until the offset there is proven, if it stays what it is; 0 when no
 * number of frames can do it. */
static guint
frames_to_prove (const Bench *bench, const Place *place)
{
  const double margin_mm = bench->input->tolerance_mm - fabs (place->offset_mm);
  double wanted_se_mm, random_var, needed;

  if (!(margin_mm > 0.0) || !(place->df > 0.0) || !isfinite (place->random_se_mm))
    return 0;
  wanted_se_mm = margin_mm / shim_stats_t_quantile (bench->proof, place->df);
  random_var = wanted_se_mm * wanted_se_mm - place->common_se_mm * place->common_se_mm;
  if (!(random_var > 0.0))
    return 0;
  needed = ceil (place->n_frames * (place->random_se_mm * place->random_se_mm / random_var - 1.0));
  return (guint) CLAMP (needed, 2.0, 10000.0);
}

static int
clamp_setting (const Bench *bench, int setting)
{
  return CLAMP (setting, bench->input->range.min, bench->input->range.max);
}

/* One setting known: coarse steps of 5, then 2, then 1 by how far outside the tolerance it is (common
 * practice, no source; the limits are a judgement). Inside but not to be proven, a far setting tells more
 * about the line than a near one. */
static void
advise_first_step (const Bench *bench, int setting, const Place *place, ShimAdvice *result)
{
  const double error = shim_tolerance_error (place->offset_mm, bench->input->tolerance_mm);
  const guint missing = frames_to_prove (bench, place);
  const int step = error >= 3.0 || error < 1.0 ? 5 : error >= 1.5 ? 2 : 1;
  int next;

  if (place->n_frames < FEWEST_FRAMES)
    {
      advise (bench, SHIM_ADVICE_MORE_FRAMES, SHIM_REASON_NOT_PROVEN, setting,
              MAX (bench->frames_per_round, FEWEST_FRAMES) - MIN (place->n_frames, FEWEST_FRAMES - 1), result);
      return;
    }
  if (error < 1.0 && missing > 0 && missing <= bench->frames_per_round)
    {
      advise (bench, SHIM_ADVICE_MORE_FRAMES, SHIM_REASON_SCATTER, setting, missing, result);
      return;
    }
  next = clamp_setting (bench, setting + step * way_down (bench, place->offset_mm));
  /* At the end of the range the other side tells how far beyond it the setting would have to be. */
  if (next == setting)
    next = clamp_setting (bench, setting - 5 * way_down (bench, place->offset_mm));
  if (next == setting)
    advise (bench, SHIM_ADVICE_SERVICE, SHIM_REASON_OUT_OF_RANGE, setting, 0, result);
  else
    advise (bench, SHIM_ADVICE_TRY, error < 1.0 ? SHIM_REASON_SPREAD : SHIM_REASON_COARSE_STEP, next,
            bench->frames_per_round, result);
}

/* Two settings or more, but no clear line: spread them, the way down first. */
static void
advise_spread (const Bench *bench, ShimAdvice *result)
{
  const ShimSettingRange *range = &bench->input->range;
  int lowest = range->max, highest = range->min, next;
  gboolean single_frames = FALSE;
  Place low, high;

  for (gsize i = 0; i < bench->input->n_points; i++)
    if (counts (&bench->input->points[i]))
      {
        lowest = MIN (lowest, bench->input->points[i].setting);
        highest = MAX (highest, bench->input->points[i].setting);
        single_frames = single_frames || !(bench->input->points[i].round.df > 0.0);
      }
  look_at (bench, lowest, &low);
  look_at (bench, highest, &high);
  if (highest - lowest < MIN (FULL_SPREAD, range->max - range->min))
    {
      const gboolean up = way_down (bench, 0.5 * (low.offset_mm + high.offset_mm)) > 0;

      next = clamp_setting (bench, up ? highest + 5 : lowest - 5);
      if (was_tried (bench, next))
        next = clamp_setting (bench, up ? lowest - 5 : highest + 5);
      advise (bench, SHIM_ADVICE_TRY, SHIM_REASON_SPREAD, next, bench->frames_per_round, result);
    }
  else if (single_frames || MIN (low.n_frames, high.n_frames) < 2 * bench->frames_per_round)
    advise (bench, SHIM_ADVICE_MORE_FRAMES, SHIM_REASON_NO_RESPONSE, low.n_frames <= high.n_frames ? lowest : highest,
            bench->frames_per_round, result);
  else
    advise (bench, SHIM_ADVICE_CHECK_SETUP, SHIM_REASON_NO_RESPONSE, highest, 0, result);
}

/* The best setting by a clear line was tried, and is not proven inside the tolerance. */
static void
advise_at_best (const Bench *bench, const Place *place, ShimAdvice *result)
{
  const int best = bench->response.best_setting;
  const guint missing = frames_to_prove (bench, place);
  const gboolean tired = place->n_frames >= MOST_ROUNDS_AT_ONE_SETTING * bench->frames_per_round;
  const double half_step_mm = 0.5 * fabs (bench->response.step_mm);

  if (place->n_frames < FEWEST_FRAMES)
    advise (bench, SHIM_ADVICE_MORE_FRAMES, SHIM_REASON_NOT_PROVEN, best, bench->frames_per_round, result);
  else if (fabs (place->offset_mm) <= bench->input->tolerance_mm && missing == 0)
    advise (bench, SHIM_ADVICE_CHECK_SETUP, SHIM_REASON_COMMON_PART, best, 0, result);
  else if (tired || (half_step_mm > bench->input->tolerance_mm && place->se_mm < half_step_mm))
    advise (bench, SHIM_ADVICE_ACCEPT, SHIM_REASON_BEST_THERE_IS, best, 0, result);
  else
    advise (bench, SHIM_ADVICE_MORE_FRAMES, SHIM_REASON_SCATTER, best,
            missing == 0 ? bench->frames_per_round : MIN (missing, 2 * bench->frames_per_round), result);
}

/* The response bends, so its line misses at the best setting: one step of Newton's from what was measured there. */
static gboolean
find_nearer (const Bench *bench, const Place *place, int *setting)
{
  const int best = bench->response.best_setting;
  const double steps = place->offset_mm / bench->response.step_mm;

  if (!bench->response.bends || fabs (place->offset_mm) <= bench->input->tolerance_mm || fabs (steps) < 0.5)
    return FALSE;
  *setting = clamp_setting (bench, (int) lround (CLAMP (best - steps, -1e6, 1e6)));
  return !was_tried (bench, *setting);
}

/* A clear line: its best setting, if it is not known to be useless. */
static void
advise_by_line (const Bench *bench, ShimAdvice *result)
{
  const ShimResponse *response = &bench->response;
  const ShimSettingRange *range = &bench->input->range;
  const gboolean at_end = response->best_setting == range->min || response->best_setting == range->max;
  const gboolean beyond = response->zero.at > range->max + 0.5 || response->zero.at < range->min - 0.5;
  int nearer = 0;
  Place place;

  look_at (bench, response->best_setting, &place);
  if (at_end && beyond
      && fabs (response->residual_mm) - shim_stats_t_quantile (0.975, response->line.df) * response->residual_se_mm
           > bench->input->tolerance_mm)
    advise (bench, SHIM_ADVICE_SERVICE, SHIM_REASON_OUT_OF_RANGE, response->best_setting, 0, result);
  else if (!was_tried (bench, response->best_setting))
    advise (bench, SHIM_ADVICE_TRY, SHIM_REASON_LINE, response->best_setting, bench->frames_per_round, result);
  else if (find_nearer (bench, &place, &nearer))
    advise (bench, SHIM_ADVICE_TRY, SHIM_REASON_LINE, nearer, bench->frames_per_round, result);
  else
    advise_at_best (bench, &place, result);
}

static void
advise_by_state (const Bench *bench, ShimAdvice *result)
{
  const ShimResponsePoint *last = &bench->input->points[bench->input->n_points - 1];
  Place place;

  switch (bench->response.state)
    {
    case SHIM_RESPONSE_ONE_SETTING:
      for (gsize i = bench->input->n_points; !counts (last) && i > 0; i--)
        last = &bench->input->points[i - 1];
      look_at (bench, last->setting, &place);
      advise_first_step (bench, last->setting, &place, result);
      break;
    case SHIM_RESPONSE_UNCLEAR:
      advise_spread (bench, result);
      break;
    case SHIM_RESPONSE_WRONG_WAY:
      advise (bench, SHIM_ADVICE_CHECK_SETUP, SHIM_REASON_WRONG_WAY, last->setting, 0, result);
      break;
    case SHIM_RESPONSE_CLEAR:
    case SHIM_RESPONSE_OUT_OF_REACH:
      advise_by_line (bench, result);
      break;
    case SHIM_RESPONSE_NOTHING:
    default:
      g_assert_not_reached ();
    }
}

void
shim_advise (const ShimAdviceInput *input, ShimResponse *response, ShimAdvice *result)
{
  Bench bench = { .input = input };
  int proven = 0;

  g_return_if_fail (input != NULL && result != NULL);
  g_return_if_fail (input->points != NULL || input->n_points == 0);
  g_return_if_fail (input->range.min <= input->range.max);
  g_return_if_fail (input->tolerance_mm > 0.0);

  bench.frames_per_round = input->frames_per_round > 0 ? input->frames_per_round : USUAL_FRAMES;
  bench.proof = input->proof > 0.5 && input->proof < 1.0 ? input->proof : USUAL_PROOF;
  shim_response (input->points, input->n_points, &input->range, input->reference, &bench.response);
  if (response != NULL)
    *response = bench.response;

  if (input->n_points == 0)
    advise (&bench, SHIM_ADVICE_START, SHIM_REASON_FIRST_ROUND, clamp_setting (&bench, input->start_setting),
            bench.frames_per_round, result);
  else if (!counts (&input->points[input->n_points - 1]))
    advise (&bench, SHIM_ADVICE_MORE_FRAMES, SHIM_REASON_NO_COUNTED_FRAME,
            input->points[input->n_points - 1].setting, bench.frames_per_round, result);
  else if (bench.response.state != SHIM_RESPONSE_WRONG_WAY && find_proven (&bench, &proven))
    advise (&bench, SHIM_ADVICE_ACCEPT, SHIM_REASON_INSIDE, proven, 0, result);
  else
    advise_by_state (&bench, result);
}
