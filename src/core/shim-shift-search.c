/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-shift-search.h"

/* The rough place of one frame's piece in another's, to a pixel or two. Compared are the directions of the slopes
 * of brightness, not the brightness: neither light nor blur changes them much, and a short numeral says as much
 * as a long edge. Where the match is best on the coarsest level a few places are kept, because a ruler's
 * centimetres look alike there, and the finer levels decide between them. */

#define MAX_PLACES 8
/* A slope of so many grey levels a sample counts half. */
#define WEAK_SLOPE 2.0f
/* So much of the piece must lie within the other frame. */
#define LEAST_OVERLAP 0.6
#define FINER_REACH 2

/* Sums run in four lanes, so that they can be added at once. */
#define LANES 4
typedef float Lanes __attribute__ ((vector_size (LANES * sizeof (float))));

typedef struct
{
  int width;
  int height;
  float *x;
  float *y;
} Slopes;

typedef struct
{
  int dx;
  int dy;
  float match;
} Place;

static Slopes
slopes_of (const ShimLevel *level)
{
  const gsize n = (gsize) level->width * level->height;
  Slopes slopes = { level->width, level->height, g_new0 (float, n), g_new0 (float, n) };

  for (int y = 1; y < level->height - 1; y++)
    for (int x = 1; x < level->width - 1; x++)
      {
        const gsize i = (gsize) y * level->width + x;
        const float gx = 0.5f * (level->value[i + 1] - level->value[i - 1]);
        const float gy = 0.5f * (level->value[i + level->width] - level->value[i - level->width]);
        const float scale = 1.0f / (sqrtf (gx * gx + gy * gy) + WEAK_SLOPE);

        slopes.x[i] = gx * scale;
        slopes.y[i] = gy * scale;
      }
  return slopes;
}

static void
slopes_clear (Slopes *slopes)
{
  g_free (slopes->x);
  g_free (slopes->y);
}

typedef struct
{
  Lanes ab;
  Lanes aa;
  Lanes bb;
} Products;

static inline void
add_row (Products *sums, const float *a, const float *b, int n)
{
  int i = 0;

  for (; i + LANES <= n; i += LANES)
    {
      Lanes one, other;

      memcpy (&one, a + i, sizeof one);
      memcpy (&other, b + i, sizeof other);
      sums->ab += one * other;
      sums->aa += one * one;
      sums->bb += other * other;
    }
  for (; i < n; i++)
    {
      sums->ab[0] += a[i] * b[i];
      sums->aa[0] += a[i] * a[i];
      sums->bb[0] += b[i] * b[i];
    }
}

/* How well @a fits @b with its first sample on (dx, dy) of @b: −1 to 1; −2 where they hardly overlap. */
static float
match_at (const Slopes *a, const Slopes *b, int dx, int dy)
{
  const int x0 = MAX (0, -dx), x1 = MIN (a->width, b->width - dx);
  const int y0 = MAX (0, -dy), y1 = MIN (a->height, b->height - dy);
  Products sums = { { 0 } };
  float ab = 0.0f, aa = 0.0f, bb = 0.0f;

  if (x1 <= x0 || y1 <= y0 || (double) (x1 - x0) * (y1 - y0) < LEAST_OVERLAP * a->width * a->height)
    return -2.0f;
  for (int y = y0; y < y1; y++)
    {
      const gsize ia = (gsize) y * a->width + x0, ib = (gsize) (y + dy) * b->width + dx + x0;

      add_row (&sums, a->x + ia, b->x + ib, x1 - x0);
      add_row (&sums, a->y + ia, b->y + ib, x1 - x0);
    }
  for (int lane = 0; lane < LANES; lane++)
    {
      ab += sums.ab[lane];
      aa += sums.aa[lane];
      bb += sums.bb[lane];
    }
  return aa > 0.0f && bb > 0.0f ? ab / sqrtf (aa * bb) : -2.0f;
}

static void
keep_place (Place places[MAX_PLACES], guint *n, Place place)
{
  guint i;

  if (*n == MAX_PLACES && places[MAX_PLACES - 1].match >= place.match)
    return;
  i = *n < MAX_PLACES ? (*n)++ : MAX_PLACES - 1;
  for (; i > 0 && places[i - 1].match < place.match; i--)
    places[i] = places[i - 1];
  places[i] = place;
}

static gboolean
is_peak (const float *match, int width, int height, int x, int y)
{
  const float here = match[y * width + x];

  for (int j = MAX (y - 1, 0); j <= MIN (y + 1, height - 1); j++)
    for (int i = MAX (x - 1, 0); i <= MIN (x + 1, width - 1); i++)
      if (match[j * width + i] > here)
        return FALSE;
  return here > 0.0f;
}

/* All places on the coarsest level; the best peaks. */
static guint
search_all (const ShimLevel *before, const ShimLevel *after, Place places[MAX_PLACES])
{
  const double left = (before->left_px - after->left_px) / before->step_px;
  const double top = (before->top_px - after->top_px) / before->step_px;
  const int reach_x = MAX ((int) ceil (left), after->width - before->width - (int) floor (left));
  const int reach_y = MAX ((int) ceil (top), after->height - before->height - (int) floor (top));
  const int width = 2 * reach_x + 1, height = 2 * reach_y + 1;
  g_autofree float *match = g_new (float, (gsize) width * height);
  Slopes a = slopes_of (before), b = slopes_of (after);
  guint n = 0;

  for (int j = 0; j < height; j++)
    for (int i = 0; i < width; i++)
      match[j * width + i] = match_at (&a, &b, i - reach_x + (int) round (left), j - reach_y + (int) round (top));
  for (int j = 0; j < height; j++)
    for (int i = 0; i < width; i++)
      if (is_peak (match, width, height, i, j))
        keep_place (places, &n,
                    (Place) { i - reach_x + (int) round (left), j - reach_y + (int) round (top),
                              match[j * width + i] });
  slopes_clear (&a);
  slopes_clear (&b);
  return n;
}

/* The same places on the next finer level, each moved to the best match near it. */
static void
search_finer (const ShimLevel *before, const ShimLevel *after, Place *places, guint n)
{
  Slopes a = slopes_of (before), b = slopes_of (after);

  for (guint k = 0; k < n; k++)
    {
      const Place from = { 2 * places[k].dx, 2 * places[k].dy, 0.0f };

      places[k].match = -2.0f;
      for (int dy = from.dy - FINER_REACH; dy <= from.dy + FINER_REACH; dy++)
        for (int dx = from.dx - FINER_REACH; dx <= from.dx + FINER_REACH; dx++)
          {
            const float match = match_at (&a, &b, dx, dy);

            if (match > places[k].match)
              places[k] = (Place) { dx, dy, match };
          }
    }
  slopes_clear (&a);
  slopes_clear (&b);
}

/**
 * shim_shift_search:
 * @before: (array length=n_levels): a piece of one frame, finest level first
 * @after: (array length=n_levels): a larger piece of another frame, likewise
 * @n_levels: at least 2
 * @dx_px: (out): how far what @before shows lies further right in the other frame, pixels
 * @dy_px: (out): and further down
 *
 * The finest level is not looked at: the answer is good to about two pixels.
 *
 * Returns: whether there is anything alike at all
 */
gboolean
shim_shift_search (ShimLevel *const *before, ShimLevel *const *after, guint n_levels, double *dx_px, double *dy_px)
{
  Place places[MAX_PLACES], best;
  guint n;

  g_return_val_if_fail (n_levels >= 2, FALSE);

  n = search_all (before[n_levels - 1], after[n_levels - 1], places);
  for (guint level = n_levels - 1; level-- > 1;)
    search_finer (before[level], after[level], places, n);
  if (n == 0)
    return FALSE;
  best = places[0];
  for (guint i = 1; i < n; i++)
    if (places[i].match > best.match)
      best = places[i];
  *dx_px = best.dx * before[1]->step_px - (before[1]->left_px - after[1]->left_px);
  *dy_px = best.dy * before[1]->step_px - (before[1]->top_px - after[1]->top_px);
  return best.match > 0.0f;
}
