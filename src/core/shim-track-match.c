/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-dark-marks.h"
#include "shim-linear-fit.h"
#include "shim-own-target-measures.h"
#include "shim-track-match.h"

/* Fewer bars than these may be chance, and so may marks in between that are no bars. */
#define LEAST_SEEN 8
#define MOST_STRANGE 2
/* A chain is a row of marks of one width; longer ones are rows of something else. Lengths below are shares of that width unless
 * they say otherwise. */
#define MAX_CHAIN (SHIM_TRACK_BARS + MOST_STRANGE)
#define WIDTH_AGREES 1.3
#define NEXT_LEAST 1.0
#define NEXT_MOST 5.0
#define ASIDE_OF_STEP 0.09
#define ASIDE 0.15
/* A bar is seen where a mark lies this near to its place and is about as long. */
#define PLACE_AGREES 0.25
#define LENGTH_AGREES 1.45
/* Three marks may be three bars when they divide their line alike, but for perspective. */
#define SHARE_AGREES 0.08
#define PERSPECTIVE_MOST 2.0e-3   /* per mm */
/* What a mm across is longer than one along: 1 / sin of the strip's angle. */
#define STEEPER 1.12
#define FLATTER 2.2

static const double bars[][2] = SHIM_OWN_TRACK_BARS;

G_STATIC_ASSERT (G_N_ELEMENTS (bars) == SHIM_TRACK_BARS);

/* @s: along the chain, pixels from its first mark; @length and @width of each mark. */
typedef struct
{
  const ShimDarkMark *mark[MAX_CHAIN];
  guint n;
  ShimPoint origin;
  double x, y;
  double s[MAX_CHAIN];
  double length[MAX_CHAIN];
  double width;
} Chain;

static double
middle (guint bar)
{
  return 0.5 * (bars[bar][0] + bars[bar][1]);
}

static double
place (const double map[3], double r)
{
  return (map[0] + map[1] * r) / (1.0 + map[2] * r);
}

static gboolean
alike (double a, double b, double factor)
{
  return a < factor * b && b < factor * a;
}

/* Whether @mark can be the one that follows @from in a direction; how far ahead it is. */
static gboolean
follows (const ShimDarkMark *mark, const ShimDarkMark *from, double x, double y, double width, double *ahead)
{
  const double dx = mark->at.x - from->at.x, dy = mark->at.y - from->at.y;

  *ahead = dx * x + dy * y;
  return *ahead > NEXT_LEAST * width && *ahead < NEXT_MOST * width &&
         fabs (dy * x - dx * y) < ASIDE_OF_STEP * *ahead + ASIDE * width &&
         alike (shim_dark_mark_length (mark, -y, x), width, WIDTH_AGREES);
}

/* The mark that follows @from in a direction. @marks lie sorted downwards, so the search ends with those too far off. */
static const ShimDarkMark *
next_mark (const GArray *marks, const ShimDarkMark *from, double x, double y)
{
  const ShimDarkMark *first = (const ShimDarkMark *) marks->data, *end = first + marks->len;
  const double width = shim_dark_mark_length (from, -y, x);
  const ShimDarkMark *best = NULL;
  double least = NEXT_MOST * width, ahead;

  for (const ShimDarkMark *mark = from; mark < end && mark->at.y < from->at.y + least; mark++)
    if (follows (mark, from, x, y, width, &ahead) && ahead < least)
      least = ahead, best = mark;
  for (const ShimDarkMark *mark = from; mark >= first && mark->at.y > from->at.y - least; mark--)
    if (follows (mark, from, x, y, width, &ahead) && ahead < least)
      least = ahead, best = mark;
  return best;
}

/* Returns whether the chain came to an end. */
static gboolean
grow (const GArray *marks, Chain *chain)
{
  for (;;)
    {
      const ShimDarkMark *first = chain->mark[0], *last = chain->mark[chain->n - 1];
      const double dx = last->at.x - first->at.x, dy = last->at.y - first->at.y, length = hypot (dx, dy);
      const ShimDarkMark *next = next_mark (marks, last, dx / length, dy / length);

      if (next == NULL)
        return TRUE;
      if (chain->n == MAX_CHAIN)
        return FALSE;
      chain->mark[chain->n++] = next;
    }
}

static void
reverse (Chain *chain)
{
  for (guint i = 0; i < chain->n / 2; i++)
    {
      const ShimDarkMark *mark = chain->mark[i];

      chain->mark[i] = chain->mark[chain->n - 1 - i];
      chain->mark[chain->n - 1 - i] = mark;
    }
}

/* The straight line through the centres of a chain's marks, and what lies where on it. */
static void
lay_line (Chain *chain)
{
  double mx = 0.0, my = 0.0, xx = 0.0, xy = 0.0, yy = 0.0, angle;

  for (guint i = 0; i < chain->n; i++)
    {
      mx += chain->mark[i]->at.x / chain->n;
      my += chain->mark[i]->at.y / chain->n;
    }
  for (guint i = 0; i < chain->n; i++)
    {
      const double dx = chain->mark[i]->at.x - mx, dy = chain->mark[i]->at.y - my;

      xx += dx * dx;
      xy += dx * dy;
      yy += dy * dy;
    }
  angle = 0.5 * atan2 (2.0 * xy, xx - yy);
  chain->origin = (ShimPoint) { mx, my };
  chain->x = cos (angle);
  chain->y = sin (angle);
  if ((chain->mark[0]->at.x - mx) * chain->x + (chain->mark[0]->at.y - my) * chain->y > 0.0)
    chain->x = -chain->x, chain->y = -chain->y;
  chain->width = 0.0;
  for (guint i = 0; i < chain->n; i++)
    {
      chain->s[i] = (chain->mark[i]->at.x - mx) * chain->x + (chain->mark[i]->at.y - my) * chain->y;
      chain->length[i] = shim_dark_mark_length (chain->mark[i], chain->x, chain->y);
      chain->width += shim_dark_mark_length (chain->mark[i], -chain->y, chain->x) / chain->n;
    }
}

/* For each bar the mark that is it, or −1. Returns how many were seen. */
static guint
see_bars (const Chain *chain, const double map[3], int seen[SHIM_TRACK_BARS])
{
  guint n = 0, at = 0;

  for (guint b = 0; b < SHIM_TRACK_BARS; b++)
    {
      const guint bar = map[1] > 0.0 ? b : SHIM_TRACK_BARS - 1 - b;
      const double want = place (map, middle (bar));
      const double length = fabs (place (map, bars[bar][1]) - place (map, bars[bar][0]));

      seen[bar] = -1;
      while (at < chain->n && chain->s[at] < want - PLACE_AGREES * chain->width)
        at++;
      if (at < chain->n && chain->s[at] < want + PLACE_AGREES * chain->width && alike (chain->length[at], length, LENGTH_AGREES))
        seen[bar] = (int) at++, n++;
    }
  return n;
}

/* The projective map that takes three bars to three places: s (1 + g r) = a + b r. */
static gboolean
map_of_three (const double r[3], const double s[3], double map[3])
{
  const double d10 = (s[1] - s[0]) / (r[1] - r[0]), d20 = (s[2] - s[0]) / (r[2] - r[0]);
  const double e10 = (r[1] * s[1] - r[0] * s[0]) / (r[1] - r[0]), e20 = (r[2] * s[2] - r[0] * s[0]) / (r[2] - r[0]);

  if (fabs (e20 - e10) < 1.0e-9)
    return FALSE;
  map[2] = -(d20 - d10) / (e20 - e10);
  map[1] = d10 + map[2] * e10;
  map[0] = s[0] * (1.0 + map[2] * r[0]) - map[1] * r[0];
  return fabs (map[2]) < PERSPECTIVE_MOST;
}

/* The angle that the strip would stand at is one that it can be built at. */
static gboolean
stands_well (const Chain *chain, const double map[3])
{
  const double along = fabs (map[1] - map[0] * map[2]), across = chain->width / SHIM_OWN_TRACK_WIDTH_MM;

  return across > STEEPER * along && across < FLATTER * along;
}

/* Least squares on all the bars seen; FALSE when they do not lie where a flat strip would have them. */
static gboolean
settle_map (const Chain *chain, const int seen[SHIM_TRACK_BARS], guint n, double map[3])
{
  double design[3 * SHIM_TRACK_BARS], y[SHIM_TRACK_BARS];
  g_autoptr (ShimLinearFit) fit = NULL;
  guint row = 0;

  for (guint bar = 0; bar < SHIM_TRACK_BARS; bar++)
    if (seen[bar] >= 0)
      {
        design[3 * row] = 1.0;
        design[3 * row + 1] = middle (bar);
        design[3 * row + 2] = -middle (bar) * chain->s[seen[bar]];
        y[row++] = chain->s[seen[bar]];
      }
  fit = shim_linear_fit_new (design, y, NULL, n, 3, SHIM_LINE_ERRORS_FROM_SCATTER, NULL);
  if (fit == NULL)
    return FALSE;
  for (guint i = 0; i < 3; i++)
    map[i] = fit->coefficients[i];
  return fit->residual_sd < 0.5 * PLACE_AGREES * chain->width;
}

/* Whether the first and the last of three marks are as long, one to the other, as the bars. */
static gboolean
long_alike (const Chain *chain, const guint at[3], const guint bar[3])
{
  const double first = bars[bar[0]][1] - bars[bar[0]][0], last = bars[bar[2]][1] - bars[bar[2]][0];

  return alike (chain->length[at[0]] * last, chain->length[at[2]] * first, LENGTH_AGREES);
}

static void
try_three (const Chain *chain, const guint at[3], const guint bar[3], ShimTrackMatch *match)
{
  const double s[3] = { chain->s[at[0]], chain->s[at[1]], chain->s[at[2]] };
  const double r[3] = { middle (bar[0]), middle (bar[1]), middle (bar[2]) };
  int seen[SHIM_TRACK_BARS];
  double map[3];
  guint n;

  if (!long_alike (chain, at, bar) || fabs ((s[1] - s[0]) / (s[2] - s[0]) - (r[1] - r[0]) / (r[2] - r[0])) > SHARE_AGREES || !map_of_three (r, s, map) ||
      !stands_well (chain, map))
    return;
  n = see_bars (chain, map, seen);
  if (n < LEAST_SEEN || n <= match->n_seen || chain->n > n + MOST_STRANGE || !settle_map (chain, seen, n, map))
    return;
  *match = (ShimTrackMatch) {
    .n_seen = n,
    .origin = chain->origin,
    .x = map[1] > 0.0 ? chain->x : -chain->x,
    .y = map[1] > 0.0 ? chain->y : -chain->y,
    .map = { copysign (1.0, map[1]) * map[0], fabs (map[1]), map[2] },
    .width_px = chain->width,
  };
}

/* Any three bars may be three of the chain's marks: one of the first, one of the last, and one between. */
static void
match_chain (const Chain *chain, ShimTrackMatch *match)
{
  for (guint i = 0; i < 3; i++)
    for (guint k = chain->n - 3; k < chain->n; k++)
      for (guint a = 0; a < SHIM_TRACK_BARS; a++)
        for (guint c = 0; c < SHIM_TRACK_BARS; c++)
          for (guint b = MIN (a, c) + 1; b < MAX (a, c); b++)
            {
              const guint at[3] = { i, (i + k) / 2, k }, bar[3] = { a, b, c };

              try_three (chain, at, bar, match);
            }
}

/* A pair of neighbours is the start of a chain that grows both ways. */
static void
try_pair (const GArray *marks, const ShimDarkMark *first, const ShimDarkMark *second, ShimTrackMatch *match)
{
  Chain chain = { .mark = { first, second }, .n = 2 };

  if (!grow (marks, &chain))
    return;
  reverse (&chain);
  if (!grow (marks, &chain) || chain.n < LEAST_SEEN)
    return;
  lay_line (&chain);
  match_chain (&chain, match);
}

static gboolean
are_neighbours (const GArray *marks, const ShimDarkMark *a, const ShimDarkMark *b)
{
  const double dx = b->at.x - a->at.x, dy = b->at.y - a->at.y, step = hypot (dx, dy);
  double ahead;

  return follows (b, a, dx / step, dy / step, shim_dark_mark_length (a, -dy / step, dx / step), &ahead) &&
         next_mark (marks, a, dx / step, dy / step) == b;
}

static int
compare_height (gconstpointer a, gconstpointer b)
{
  const double ya = ((const ShimDarkMark *) a)->at.y, yb = ((const ShimDarkMark *) b)->at.y;

  return (ya > yb) - (ya < yb);
}

/**
 * shim_track_match_find:
 * @marks: (inout) (element-type ShimDarkMark): marks of a whole picture; they are sorted
 * @match: (out): the track
 *
 * Looks for the row of bars along the printed target's strip, lying any way in the picture.
 *
 * Returns: whether there is one beyond doubt
 */
gboolean
shim_track_match_find (GArray *marks, ShimTrackMatch *match)
{
  g_return_val_if_fail (marks != NULL && match != NULL, FALSE);

  *match = (ShimTrackMatch) { 0 };
  g_array_sort (marks, compare_height);
  for (guint i = 0; i < marks->len && match->n_seen < SHIM_TRACK_BARS; i++)
    {
      const ShimDarkMark *a = &g_array_index (marks, ShimDarkMark, i);
      const double reach = NEXT_MOST * sqrt (12.0 * (a->xx + a->yy));

      for (guint j = i + 1; j < marks->len; j++)
        {
          const ShimDarkMark *b = &g_array_index (marks, ShimDarkMark, j);

          if (b->at.y > a->at.y + reach)
            break;
          if (are_neighbours (marks, a, b))
            try_pair (marks, a, b, match);
        }
    }
  return match->n_seen >= LEAST_SEEN;
}

/**
 * shim_track_match_point:
 * @self: a match
 * @r_mm: place along the strip
 *
 * Returns: where that is on the track's middle line, pixels
 */
ShimPoint
shim_track_match_point (const ShimTrackMatch *self, double r_mm)
{
  const double s = place (self->map, r_mm);

  return (ShimPoint) { self->origin.x + s * self->x, self->origin.y + s * self->y };
}
