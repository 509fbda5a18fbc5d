/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-measure-strip.h"

/* A given strip may lie this far beside the ticks, and its ends this far from the scale's. */
#define STRIP_BESIDE_PX 12.0
#define STRIP_HALF_WIDTH_PX 56.0
#define STRIP_BEYOND_SHARE 0.35
#define STRIP_BEYOND_PX 64.0
/* A strip found without the one given is meant by it when both ends of that lie this near to its line. */
#define AGREES_WITHIN_PX 68.0
/* The ruler's far edge lies at most so far beside a strip along its ticks. */
#define EDGES_BESIDE_PX 240.0

static ShimRect
intersect (ShimRect a, ShimRect b)
{
  const int x = MAX (a.x, b.x), y = MAX (a.y, b.y);
  const int right = MIN (a.x + a.width, b.x + b.width), bottom = MIN (a.y + a.height, b.y + b.height);

  return (ShimRect) { x, y, MAX (right - x, 0), MAX (bottom - y, 0) };
}

static double
half_width (const ShimMeasureRequest *request)
{
  return request->strip_width_px > 0.0 ? 0.5 * request->strip_width_px : STRIP_HALF_WIDTH_PX;
}

/* How far a strip has gone sideways where what lies beyond its ends ends. */
static double
lean_beyond_px (const ShimMeasureRequest *request)
{
  const double x = fabs (request->strip_b_px.x - request->strip_a_px.x), y = fabs (request->strip_b_px.y - request->strip_a_px.y);

  return MIN (x, y) / MAX (x, y) * (STRIP_BEYOND_SHARE * hypot (x, y) + STRIP_BEYOND_PX);
}

/* The piece of the picture about the strip, with @across pixels to each side and what lies beyond its ends. */
static ShimRect
rect_about (const ShimMeasureRequest *request, double across, int width, int height)
{
  const ShimPoint a = request->strip_a_px, b = request->strip_b_px;
  const double along = STRIP_BEYOND_SHARE * hypot (b.x - a.x, b.y - a.y) + STRIP_BEYOND_PX;
  const gboolean transposed = fabs (b.x - a.x) > fabs (b.y - a.y);
  const double mx = transposed ? along : across, my = transposed ? across : along;
  const double x_lo = CLAMP (floor (MIN (a.x, b.x) - mx), 0.0, width);
  const double x_hi = CLAMP (ceil (MAX (a.x, b.x) + mx), 0.0, width);
  const double y_lo = CLAMP (floor (MIN (a.y, b.y) - my), 0.0, height);
  const double y_hi = CLAMP (ceil (MAX (a.y, b.y) + my), 0.0, height);

  return (ShimRect) { (int) x_lo, (int) y_lo, (int) (x_hi - x_lo), (int) (y_hi - y_lo) };
}

/**
 * shim_measure_strip_rect:
 * @request: a request with a strip
 * @width: columns of the picture
 * @height: its rows
 *
 * Returns: the piece of the picture about the strip, with what lies beside it and beyond its ends; cut to the
 *   picture
 */
ShimRect
shim_measure_strip_rect (const ShimMeasureRequest *request, int width, int height)
{
  return rect_about (request, half_width (request) + STRIP_BESIDE_PX, width, height);
}

/**
 * shim_measure_strip_pixels:
 * @request: a request with a strip
 * @width: columns of the picture
 * @height: its rows
 *
 * A strip may be as narrow as the finest ticks are long, and lean; the longer ones, beside it and beyond its ends, belong to the
 * measurement all the same, or else blur and their being cut off cannot be told apart.
 *
 * Returns: shim_measure_strip_rect() with all that is measured on what is found in it; cut to the picture
 */
ShimRect
shim_measure_strip_pixels (const ShimMeasureRequest *request, int width, int height)
{
  const double half = MAX (half_width (request), STRIP_HALF_WIDTH_PX);

  return rect_about (request, half + STRIP_BESIDE_PX + lean_beyond_px (request), width, height);
}

/**
 * shim_measure_strip_wide_rect:
 * @request: a request with a strip
 * @width: columns of the picture
 * @height: its rows
 *
 * Returns: the piece of the picture about the strip that holds the ruler's two long edges too; cut to the picture
 */
ShimRect
shim_measure_strip_wide_rect (const ShimMeasureRequest *request, int width, int height)
{
  return rect_about (request, EDGES_BESIDE_PX, width, height);
}

/**
 * shim_measure_strip_is_given:
 * @request: a request
 *
 * Returns: whether it has a strip with two ends that are numbers and apart
 */
gboolean
shim_measure_strip_is_given (const ShimMeasureRequest *request)
{
  return request->has_strip && isfinite (request->strip_a_px.x) && isfinite (request->strip_a_px.y) &&
         isfinite (request->strip_b_px.x) && isfinite (request->strip_b_px.y) &&
         hypot (request->strip_b_px.x - request->strip_a_px.x, request->strip_b_px.y - request->strip_a_px.y) >= 1.0;
}

/**
 * shim_measure_strip_as_click:
 * @request: a request
 * @about: (out): the same, with a click in the middle of its strip in the strip's place
 *
 * Returns: whether it has a strip
 */
gboolean
shim_measure_strip_as_click (const ShimMeasureRequest *request, ShimMeasureRequest *about)
{
  g_return_val_if_fail (request != NULL && about != NULL, FALSE);

  if (!shim_measure_strip_is_given (request))
    return FALSE;
  *about = *request;
  about->has_strip = FALSE;
  about->has_click = TRUE;
  about->click_px = (ShimPoint) { 0.5 * (request->strip_a_px.x + request->strip_b_px.x),
                                  0.5 * (request->strip_a_px.y + request->strip_b_px.y) };
  return TRUE;
}

/* Distance of @p from the line through @a and @b. */
static double
distance_from_line (ShimPoint p, ShimPoint a, ShimPoint b)
{
  const double x = b.x - a.x, y = b.y - a.y;

  return fabs ((p.x - a.x) * y - (p.y - a.y) * x) / MAX (hypot (x, y), 1.0);
}

/**
 * shim_measure_strip_agrees:
 * @request: a request with a strip
 * @measurement: what was found without it, in the same frame
 *
 * Returns: whether the strip as found lies along the one that was given, or none was found
 */
gboolean
shim_measure_strip_agrees (const ShimMeasureRequest *request, const ShimMeasurement *measurement)
{
  const ShimPoint a = measurement->strip_a_px, b = measurement->strip_b_px;

  g_return_val_if_fail (request != NULL, FALSE);

  return !isfinite (a.x) || (distance_from_line (request->strip_a_px, a, b) < AGREES_WITHIN_PX &&
                             distance_from_line (request->strip_b_px, a, b) < AGREES_WITHIN_PX);
}

/* A guess from a survey of @rect alone, in the frame of the whole picture. */
static void
move_guess (ShimStripGuess *guess, const ShimLuma *luma, ShimRect rect)
{
  const int along = guess->transposed ? rect.x : rect.y, across = guess->transposed ? rect.y : rect.x;
  /* u0 counts at the middle of what was surveyed; it is to count at the middle of the picture. */
  const double t = guess->transposed ? 0.5 * luma->picture_width - (rect.x + 0.5 * rect.width)
                                     : 0.5 * luma->picture_height - (rect.y + 0.5 * rect.height);

  guess->rect.x += rect.x;
  guess->rect.y += rect.y;
  guess->v_lo += along;
  guess->v_hi += along;
  guess->v_best += along;
  guess->u0 += across + guess->u1 * t;
}

/* (transfer full): where ticks seem to be in one piece of the picture, near @near (in the frame of the picture) if given. */
static GArray *
guesses_in (const ShimLuma *luma, ShimRect rect, const ShimPoint *near, guint max_candidates)
{
  g_autoptr (ShimSurvey) survey = NULL;
  GArray *found;

  if (rect.width <= 0 || rect.height <= 0)
    return g_array_new (FALSE, FALSE, sizeof (ShimStripGuess));
  survey = shim_survey_new (rect.width, rect.height);
  shim_survey_add_rows (survey, 0, rect.height,
                        luma->px + (gsize) (rect.y - luma->rect.y) * luma->stride + (rect.x - luma->rect.x),
                        luma->stride);
  found = near != NULL ? shim_survey_find_near (survey, (ShimPoint) { near->x - rect.x, near->y - rect.y }, max_candidates)
                       : shim_survey_find (survey, max_candidates);
  for (guint i = 0; i < found->len; i++)
    move_guess (&g_array_index (found, ShimStripGuess, i), luma, rect);
  return found;
}

/**
 * shim_measure_strip_guesses:
 * @luma: pixels
 * @request: what is known
 * @max_candidates: how many at most
 *
 * Surveys the given strip, or all of the luma.
 *
 * Returns: (transfer full) (element-type ShimStripGuess): where ticks seem to be, best first, in the frame of
 *   the picture
 */
GArray *
shim_measure_strip_guesses (const ShimLuma *luma, const ShimMeasureRequest *request, guint max_candidates)
{
  const gboolean by_strip = shim_measure_strip_is_given (request);
  const ShimRect rect = by_strip
    ? intersect (shim_measure_strip_rect (request, luma->picture_width, luma->picture_height), luma->rect)
    : luma->rect;

  return guesses_in (luma, rect, request->has_click && !by_strip ? &request->click_px : NULL, max_candidates);
}

/**
 * shim_measure_strip_wide_guesses:
 * @luma: pixels
 * @request: a request with a strip
 * @max_candidates: how many at most
 *
 * Surveys what lies about the strip, as wide as a ruler.
 *
 * Returns: (transfer full) (element-type ShimStripGuess): where ticks or numerals seem to be near the strip, best first, in
 *   the frame of the picture
 */
GArray *
shim_measure_strip_wide_guesses (const ShimLuma *luma, const ShimMeasureRequest *request, guint max_candidates)
{
  const ShimRect wide = shim_measure_strip_wide_rect (request, luma->picture_width, luma->picture_height);
  const ShimPoint middle = { 0.5 * (request->strip_a_px.x + request->strip_b_px.x),
                             0.5 * (request->strip_a_px.y + request->strip_b_px.y) };

  return guesses_in (luma, intersect (wide, luma->rect), &middle, max_candidates);
}
