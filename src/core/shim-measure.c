/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-candidate.h"
#include "shim-edge-side.h"
#include "shim-measure.h"
#include "shim-measure-strip.h"
#include "shim-own-measure.h"

/* A lattice of so many ticks with so small a residual is no chance. */
#define LONG_TICKS 80
#define LONG_RESIDUAL_TICKS 0.02

/* Below a strip the scale may go on by a third of it and more, but most strips were drawn to its end. So many rows below it hold
 * all that the survey's windows see of the strip, pixels … */
#define FIRST_ROWS_BELOW_PX 160.0
/* … and where the scale is seen to end this near to the strip, that is its end. */
#define END_NEAR_PX 32.0

/**
 * shim_measure_rect:
 * @request: what is known
 * @width: columns of the picture
 * @height: its rows
 * @rect: (out): the pixels that shim_measure_luma() needs when the strip is given
 *
 * Returns: whether the strip is given and touches the picture; when not, the whole picture is to be surveyed
 */
gboolean
shim_measure_rect (const ShimMeasureRequest *request, int width, int height, ShimRect *rect)
{
  g_return_val_if_fail (request != NULL && rect != NULL, FALSE);

  if (!shim_measure_strip_is_given (request))
    return FALSE;
  *rect = shim_measure_strip_pixels (request, width, height);
  return rect->width > 0 && rect->height > 0;
}

/**
 * shim_measure_first_rows:
 * @request: a request with a strip
 * @rect: the pixels by shim_measure_rect()
 *
 * Decoding goes on from the picture's first row to the last one wanted, whatever the columns, so that each row counts.
 *
 * Returns: how many rows of @rect, from its first, are enough as a rule
 */
int
shim_measure_first_rows (const ShimMeasureRequest *request, const ShimRect *rect)
{
  ShimPoint a, b;

  g_return_val_if_fail (request != NULL && rect != NULL, 0);

  a = request->strip_a_px;
  b = request->strip_b_px;
  if (fabs (b.x - a.x) > fabs (b.y - a.y))
    return rect->height;
  return (int) CLAMP (ceil (MAX (a.y, b.y) + FIRST_ROWS_BELOW_PX) - rect->y, 1.0, rect->height);
}

/**
 * shim_measure_wants_rest:
 * @request: a request with a strip
 * @measurement: what came of shim_measure_first_rows()
 *
 * Returns: whether the scale was not found, or does not end where the strip does and may go on below those rows, so that all of
 *   shim_measure_rect() is needed
 */
gboolean
shim_measure_wants_rest (const ShimMeasureRequest *request, const ShimMeasurement *measurement)
{
  g_return_val_if_fail (request != NULL && measurement != NULL, FALSE);

  return !(fabs (MAX (measurement->strip_a_px.y, measurement->strip_b_px.y)
                 - MAX (request->strip_a_px.y, request->strip_b_px.y)) < END_NEAR_PX);
}

/**
 * shim_measure_side_rect:
 * @request: what is known
 * @width: columns of the picture
 * @height: its rows
 * @rect: (out): the pixels that shim_measure_side() needs when the strip is given: the ruler's long edges too
 *
 * Returns: whether the strip is given and touches the picture
 */
gboolean
shim_measure_side_rect (const ShimMeasureRequest *request, int width, int height, ShimRect *rect)
{
  g_return_val_if_fail (request != NULL && rect != NULL, FALSE);

  if (!shim_measure_strip_is_given (request))
    return FALSE;
  *rect = shim_measure_strip_wide_rect (request, width, height);
  return rect->width > 0 && rect->height > 0;
}

/* The result while nothing better is known. */
static ShimMeasurement *
no_ruler (const ShimMeasureRequest *request)
{
  return shim_measurement_refuse (shim_measurement_new (), SHIM_REFUSAL_NO_RULER,
                                  shim_measure_strip_is_given (request)
                                  ? "No evenly spaced ticks lie under the given strip. Lay it along the ruler's tick "
                                    "edge."
                                  : "No ruler was found. Show where it is by a click or a strip along its tick edge, "
                                    "and see that its ticks are in focus somewhere.");
}

/* The sharp line is worth showing all the same. */
static void
refuse_without_target (ShimMeasurement *result)
{
  const ShimPoint sharp_px = result->sharp_px;
  const double sharp_reading_mm = result->sharp_reading_mm;

  shim_measurement_refuse (result, SHIM_REFUSAL_NO_TARGET,
                           "The sharp line was found, but not where the target is. Show the place on the ruler that "
                           "is level with the target's face.");
  result->sharp_px = sharp_px;
  result->sharp_reading_mm = sharp_reading_mm;
}

/* No ticks to measure on: the ruler's edges may tell at least on which side of it the sharp line lies. Returns (transfer full)
 * (nullable) what they say of the first of @guesses that they say anything of. */
static ShimMeasurement *
side_of_any (const ShimLuma *luma, const ShimMeasureRequest *request, GArray *guesses, const ShimMeasurement *seen)
{
  ShimMeasurement *side = NULL;

  for (guint i = 0; i < guesses->len && side == NULL; i++)
    side = shim_edge_side_measure (luma, request, &g_array_index (guesses, ShimStripGuess, i), seen);
  return side;
}

static void
name_side (ShimAttempt *self, GArray *guesses)
{
  ShimMeasurement *side = NULL;

  if (!shim_measure_wants_side (self->result))
    return;
  side = shim_measure_strip_is_given (self->request) ? shim_measure_side (self->luma, self->request, NULL, self->result)
                                                     : side_of_any (self->luma, self->request, guesses, self->result);
  if (side == NULL)
    return;
  shim_measurement_free (self->result);
  self->result = side;
}

static void
measure (ShimAttempt *self, const ShimStripGuess *guess)
{
  self->result = no_ruler (self->request);
  if (guess != NULL)
    shim_candidate_measure (self, guess);
  else
    {
      g_autoptr (GArray) found = shim_measure_strip_guesses (self->luma, self->request, SHIM_MEASURE_CANDIDATES);

      for (guint i = 0; i < found->len && !shim_measure_is_settled (self->result); i++)
        {
          ShimMeasurement *dropped;
          ShimAttempt next;

          shim_attempt_init (&next, self->luma, self->request);
          next.result = no_ruler (self->request);
          shim_candidate_measure (&next, &g_array_index (found, ShimStripGuess, i));
          dropped = next.result;
          if (shim_measure_tells_more (next.result, self->result))
            {
              dropped = self->result;
              *self = next;
            }
          shim_measurement_free (dropped);
        }
      name_side (self, found);
    }
  if (self->result->refusal == SHIM_REFUSAL_NONE && !self->request->has_target)
    refuse_without_target (self->result);
}

/* So many ticks in step, in perspective, are a ruler's, whatever became of the sharp line. Looking on would
 * find its numerals. */
static gboolean
is_long_lattice (const ShimMeasurement *measurement)
{
  const double tick = measurement->tick_mm;

  return measurement->last_reading_mm - measurement->first_reading_mm >= LONG_TICKS * tick &&
         measurement->map_residual_mm < LONG_RESIDUAL_TICKS * tick;
}

/* From here on a result is of a ruler beyond doubt. */
#define WEIGHT_SETTLED 5

/* How much a result says about a ruler: refusals that anything regular may bring come last. */
static int
weight_of (const ShimMeasurement *measurement)
{
  switch (measurement->refusal)
    {
    case SHIM_REFUSAL_NONE:
    case SHIM_REFUSAL_NO_TARGET:
      return 7;
    case SHIM_REFUSAL_OFF_RULER_NEAR:
    case SHIM_REFUSAL_OFF_RULER_FAR:
      return 6;
    case SHIM_REFUSAL_CLIPPED:
    case SHIM_REFUSAL_TOO_DARK:
    case SHIM_REFUSAL_SHAKEN:
    case SHIM_REFUSAL_MOVED:
    case SHIM_REFUSAL_NOTHING_SHARP:
    case SHIM_REFUSAL_NOT_CREDIBLE:
      return is_long_lattice (measurement) ? WEIGHT_SETTLED : 4;
    case SHIM_REFUSAL_NEEDS_GEOMETRY:
      return 3;
    case SHIM_REFUSAL_TOO_FEW_TICKS:
      return 2;
    case SHIM_REFUSAL_NO_RULER:
      /* ticks in the wrong place say more than none */
      return isfinite (measurement->tick_mm) ? 1 : 0;
    case SHIM_REFUSAL_UNREADABLE:
    default:
      return 0;
    }
}

/**
 * shim_measure_is_settled:
 * @measurement: what came of one candidate
 *
 * Returns: whether the candidate was a ruler beyond doubt, so that no other need be looked at
 */
gboolean
shim_measure_is_settled (const ShimMeasurement *measurement)
{
  g_return_val_if_fail (measurement != NULL, FALSE);

  return weight_of (measurement) >= WEIGHT_SETTLED;
}

/**
 * shim_measure_tells_more:
 * @measurement: what came of one candidate
 * @than: what came of another that was likelier
 *
 * Returns: whether @measurement is to be kept instead
 */
gboolean
shim_measure_tells_more (const ShimMeasurement *measurement, const ShimMeasurement *than)
{
  g_return_val_if_fail (measurement != NULL && than != NULL, FALSE);

  return weight_of (measurement) > weight_of (than);
}

/**
 * shim_measure_wants_side:
 * @seen: the best that came of all candidates
 *
 * Returns: whether shim_measure_side() may find out more than @seen: a ruler was found, or may be there, too blurred to
 *   measure on
 */
gboolean
shim_measure_wants_side (const ShimMeasurement *seen)
{
  g_return_val_if_fail (seen != NULL, FALSE);

  switch (seen->refusal)
    {
    case SHIM_REFUSAL_TOO_FEW_TICKS:
    case SHIM_REFUSAL_NEEDS_GEOMETRY:
    case SHIM_REFUSAL_NOTHING_SHARP:
      return TRUE;
    case SHIM_REFUSAL_NO_RULER:
    case SHIM_REFUSAL_NOT_CREDIBLE:
      /* A lattice beyond doubt was refused for a reason of its own. */
      return !is_long_lattice (seen) || seen->may_be_beyond;
    case SHIM_REFUSAL_NONE:
    case SHIM_REFUSAL_UNREADABLE:
    case SHIM_REFUSAL_NO_TARGET:
    case SHIM_REFUSAL_OFF_RULER_NEAR:
    case SHIM_REFUSAL_OFF_RULER_FAR:
    case SHIM_REFUSAL_CLIPPED:
    case SHIM_REFUSAL_TOO_DARK:
    case SHIM_REFUSAL_MOVED:
    case SHIM_REFUSAL_SHAKEN:
    default:
      return FALSE;
    }
}

/**
 * shim_measure_side:
 * @luma: pixels about the guess
 * @request: what is known
 * @guess: (nullable): one of the candidates; %NULL = about the request's strip
 * @seen: the best that came of all candidates
 *
 * When a ruler was found too blurred to measure on, its long edges may still tell on which side of it the sharp line lies.
 *
 * Returns: (transfer full) (nullable): a refusal that says more than @seen, mostly the side; %NULL when there is none
 */
ShimMeasurement *
shim_measure_side (const ShimLuma *luma, const ShimMeasureRequest *request, const ShimStripGuess *guess,
                   const ShimMeasurement *seen)
{
  g_autoptr (GArray) guesses = NULL;

  g_return_val_if_fail (luma != NULL && request != NULL && seen != NULL, NULL);

  if (!shim_measure_wants_side (seen))
    return NULL;
  if (guess != NULL)
    return shim_edge_side_measure (luma, request, guess, seen);
  g_return_val_if_fail (shim_measure_strip_is_given (request), NULL);
  guesses = shim_measure_strip_wide_guesses (luma, request, SHIM_MEASURE_CANDIDATES);
  return side_of_any (luma, request, guesses, seen);
}

/* A whole picture of the printed target says all by itself. */
static ShimMeasurement *
measure_own_target (const ShimLuma *luma, const ShimMeasureRequest *request)
{
  g_autoptr (ShimReducedLuma) reduced = NULL;
  ShimOwnTarget target;

  if (shim_measure_strip_is_given (request) || luma->rect.width != luma->picture_width || luma->rect.height != luma->picture_height)
    return NULL;
  reduced = shim_reduced_luma_of (luma);
  return shim_own_target_find (reduced, luma->picture_width, luma->picture_height, &target)
    ? shim_own_measure (luma, request, &target) : NULL;
}

/**
 * shim_measure_luma:
 * @luma: the pixels of a strip, or of a whole picture
 * @request: what is known, places in the frame of @luma's picture
 * @guess: (nullable): where a survey saw ticks; %NULL = the request's strip or click, else all of @luma is searched
 *
 * Measures one frame: finds the tick lattice, the ruler's place in space and the sharp line. In a whole picture with neither strip
 * nor guess the printed target is looked for first.
 *
 * Returns: (transfer full): the measurement, or a refusal with its reason and all that was found out before it
 */
ShimMeasurement *
shim_measure_luma (const ShimLuma *luma, const ShimMeasureRequest *request, const ShimStripGuess *guess)
{
  ShimAttempt self;
  ShimMeasurement *own;

  g_return_val_if_fail (luma != NULL && luma->px != NULL && request != NULL, NULL);

  own = guess == NULL ? measure_own_target (luma, request) : NULL;
  if (own != NULL)
    return own;
  shim_attempt_init (&self, luma, request);
  measure (&self, guess);
  return self.result;
}
