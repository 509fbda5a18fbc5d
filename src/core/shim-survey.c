/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-row-sums.h"
#include "shim-survey-grid.h"

#define CELL SHIM_SURVEY_CELL
#define HOP SHIM_SURVEY_HOP

/* A line of fine ticks with this score goes before all coarse patterns, which are common in any picture. */
#define SCORE_FINE_FIRST 4.0f
#define FINE_CYCLES 0.21
/* Two lanes belong to one ruler within this many ticks of the finer one, which has this many times more of them. */
#define RULER_PERIODS 30.0
#define FINER_FACTOR 1.4
#define FINER_FIRST 0.9
/* How far beside the ticks a click on the ruler may lie: its width, in ticks. */
#define CLICK_PERIODS_FINE 35.0
#define CLICK_PERIODS_COARSE 8.0
#define CLICK_BEYOND 0.5
/* ... and how far beside them the target usually stands. */
#define TARGET_PERIODS_FINE 30.0
#define TARGET_PERIODS_COARSE 10.0
/* The target stands at the ruler's middle, and fine ticks may be seen at its end alone. */
#define TARGET_BEYOND 0.12
/* Candidates kept of each band and direction before they are ranked. */
#define KEEP 8

struct _ShimSurvey
{
  int width;
  int height;
  ShimSurveyGrid down;   /* ruler along the picture's columns: window = rows */
  ShimSurveyGrid across; /* ruler along its rows */
  guint16 *ring; /* 128 rows of CELL-wide sums */
  guint16 *band; /* one row: sums of CELL rows */
};

/**
 * shim_survey_new:
 * @width: columns of the picture
 * @height: its rows
 *
 * Returns: (transfer full): a survey that has seen no rows yet
 */
ShimSurvey *
shim_survey_new (int width, int height)
{
  ShimSurvey *self;

  g_return_val_if_fail (width > 0 && height > 0, NULL);

  self = g_new0 (ShimSurvey, 1);
  self->width = width;
  self->height = height;
  shim_survey_grid_init (&self->down, FALSE, height, width);
  shim_survey_grid_init (&self->across, TRUE, width, height);
  self->ring = g_new0 (guint16, (gsize) SHIM_SPECTRUM_LENGTH * MAX (self->down.n_cells, 1));
  self->band = g_new0 (guint16, width);
  return self;
}

/**
 * shim_survey_free:
 * @self: (nullable): a survey
 */
void
shim_survey_free (ShimSurvey *self)
{
  if (self == NULL)
    return;

  shim_survey_grid_clear (&self->down);
  shim_survey_grid_clear (&self->across);
  g_free (self->ring);
  g_free (self->band);
  g_free (self);
}

/* The ring holds the last 128 rows at y mod 128; a window that ends at a multiple of HOP is stored in two runs,
 * so the older half is moved to the front instead. */
static void
finish_window (ShimSurvey *self, int window)
{
  const int n_cells = self->down.n_cells;

  for (int cell = 0; cell < n_cells; cell += SHIM_SPECTRUM_BATCH)
    {
      const guint16 *first[SHIM_SPECTRUM_BATCH];
      ShimSpectrumPeak peaks[SHIM_SPECTRUM_BATCH][SHIM_SPECTRUM_BANDS];
      const int n = MIN (SHIM_SPECTRUM_BATCH, n_cells - cell);

      for (int i = 0; i < SHIM_SPECTRUM_BATCH; i++)
        first[i] = self->ring + cell + MIN (i, n - 1);
      shim_spectrum_peaks (first, n_cells, peaks);
      for (int i = 0; i < n; i++)
        shim_survey_grid_set (&self->down, window, cell + i, peaks[i]);
    }
  memmove (self->ring, self->ring + (gsize) HOP * n_cells, (gsize) HOP * n_cells * sizeof (guint16));
}

static void
finish_band (ShimSurvey *self, int cell)
{
  for (int window = 0; window < self->across.n_windows; window += SHIM_SPECTRUM_BATCH)
    {
      const guint16 *first[SHIM_SPECTRUM_BATCH];
      ShimSpectrumPeak peaks[SHIM_SPECTRUM_BATCH][SHIM_SPECTRUM_BANDS];
      const int n = MIN (SHIM_SPECTRUM_BATCH, self->across.n_windows - window);

      for (int i = 0; i < SHIM_SPECTRUM_BATCH; i++)
        first[i] = self->band + (gsize) (window + MIN (i, n - 1)) * HOP;
      shim_spectrum_peaks (first, 1, peaks);
      for (int i = 0; i < n; i++)
        shim_survey_grid_set (&self->across, window + i, cell, peaks[i]);
    }
  memset (self->band, 0, (gsize) self->width * sizeof (guint16));
}

/* Sum of eight pixels: neighbours to 16 bits, then all four of them by one multiplication. */
static inline guint16
sum_of_cell (const guint8 *px)
{
  const guint64 even = G_GUINT64_CONSTANT (0x00ff00ff00ff00ff);
  guint64 pixels;

  memcpy (&pixels, px, sizeof pixels);
  pixels = (pixels & even) + ((pixels >> 8) & even);
  return (guint16) ((pixels * G_GUINT64_CONSTANT (0x0001000100010001)) >> 48);
}

static void
add_row (ShimSurvey *self, int y, const guint8 *px)
{
  const int n_cells = self->down.n_cells;

  /* Row y is the 64th of its half; halves before the last are already moved to the front. */
  const int slot = y < HOP ? y : HOP + y % HOP;
  guint16 *sums = self->ring + (gsize) slot * n_cells;

  for (int cell = 0; cell < n_cells; cell++)
    sums[cell] = sum_of_cell (px + cell * CELL);
  shim_row_sums_add (self->band, px, self->width);

  if (y % HOP == HOP - 1 && y >= SHIM_SPECTRUM_LENGTH - 1)
    finish_window (self, y / HOP - 1);
  if (y % CELL == CELL - 1)
    finish_band (self, y / CELL);
}

/**
 * shim_survey_add_rows:
 * @self: a survey
 * @y0: number of the first row of the block; blocks come in order and without gaps, from 0
 * @n_rows: rows in the block
 * @luma: (array): 8-bit luma as in the file, whole rows
 * @stride: bytes from one row to the next
 *
 * Looks at the next rows of the picture. This is where the work is done; nothing of @luma is kept. Several
 * surveys may be fed from several threads, each from one at a time.
 */
void
shim_survey_add_rows (ShimSurvey *self, int y0, int n_rows, const guint8 *luma, gsize stride)
{
  g_return_if_fail (self != NULL && luma != NULL);
  g_return_if_fail (y0 >= 0 && n_rows >= 0 && y0 + n_rows <= self->height);

  for (int i = 0; i < n_rows; i++)
    add_row (self, y0 + i, luma + (gsize) i * stride);
}

static int
compare_score (gconstpointer a, gconstpointer b)
{
  const ShimStripGuess *ga = a, *gb = b;
  const gboolean first_a = ga->cycles_per_px > FINE_CYCLES && ga->score >= SCORE_FINE_FIRST;
  const gboolean first_b = gb->cycles_per_px > FINE_CYCLES && gb->score >= SCORE_FINE_FIRST;

  if (first_a != first_b)
    return first_b - first_a;
  return ga->score < gb->score ? 1 : ga->score > gb->score ? -1 : 0;
}

/* Whether @fine lies beside @coarse, on what may be the same ruler, and has clearly more ticks. */
static gboolean
is_finer_beside (const ShimStripGuess *fine, const ShimStripGuess *coarse, int along)
{
  const double lo = MAX (fine->v_lo, coarse->v_lo), hi = MIN (fine->v_hi, coarse->v_hi);
  const double v = 0.5 * (lo + hi), t = v - along / 2.0;
  const double f = fine->cycles_per_px + fine->cycles_slope * (v - fine->v_best);
  const double c = coarse->cycles_per_px + coarse->cycles_slope * (v - coarse->v_best);

  return fine->transposed == coarse->transposed && hi > lo && f > FINER_FACTOR * c &&
         fabs (fine->u0 + fine->u1 * t - coarse->u0 - coarse->u1 * t) < RULER_PERIODS / f;
}

/* A ruler's longer ticks and numerals outlast its finest ones in blur, and so score higher. The finest lane of a
 * neighbourhood takes over the best score found in it, and goes first. */
static void
lift_finest (GArray *found, int height, int width)
{
  for (guint i = 0; i < found->len; i++)
    for (guint j = 0; j < found->len; j++)
      {
        ShimStripGuess *fine = &g_array_index (found, ShimStripGuess, i);
        ShimStripGuess *coarse = &g_array_index (found, ShimStripGuess, j);

        if (is_finer_beside (fine, coarse, fine->transposed ? width : height))
          {
            fine->score = MAX (fine->score, coarse->score);
            coarse->score = MIN (coarse->score, fine->score * FINER_FIRST);
          }
      }
}

/**
 * shim_survey_find:
 * @self: a survey that has seen the whole picture
 * @max_candidates: how many at most
 *
 * Returns: (transfer full) (element-type ShimStripGuess): candidates, best first; empty when nothing looks like
 *   ticks
 */
GArray *
shim_survey_find (const ShimSurvey *self, guint max_candidates)
{
  GArray *found;

  g_return_val_if_fail (self != NULL, NULL);

  found = g_array_new (FALSE, FALSE, sizeof (ShimStripGuess));
  shim_survey_grid_find (&self->down, MAX (KEEP, max_candidates), found);
  shim_survey_grid_find (&self->across, MAX (KEEP, max_candidates), found);
  lift_finest (found, self->height, self->width);
  g_array_sort (found, compare_score);
  if (found->len > max_candidates)
    g_array_set_size (found, max_candidates);
  return found;
}

/* What lies beyond the ends that were seen counts by @beyond_share. */
static double
distance_to_point (const ShimStripGuess *guess, ShimPoint click, int along, double beyond_share)
{
  const double v = guess->transposed ? click.x : click.y, u = guess->transposed ? click.y : click.x;
  const double beyond = MAX (0.0, MAX (guess->v_lo - v, v - guess->v_hi));

  return hypot (u - (guess->u0 + guess->u1 * (v - along / 2.0)), beyond_share * beyond);
}

/**
 * shim_survey_find_near:
 * @self: a survey that has seen the whole picture
 * @click_px: a point on the ruler
 * @max_candidates: how many at most
 *
 * Like shim_survey_find(), but only of what lies within about a ruler's width of @click_px.
 *
 * Returns: (transfer full) (element-type ShimStripGuess): candidates, best first
 */
GArray *
shim_survey_find_near (const ShimSurvey *self, ShimPoint click_px, guint max_candidates)
{
  GArray *found;

  g_return_val_if_fail (self != NULL, NULL);

  found = shim_survey_find (self, 8 * max_candidates);
  for (guint i = found->len; i > 0; i--)
    {
      const ShimStripGuess *guess = &g_array_index (found, ShimStripGuess, i - 1);
      const int along = guess->transposed ? self->width : self->height;

      const double periods = guess->cycles_per_px > FINE_CYCLES ? CLICK_PERIODS_FINE : CLICK_PERIODS_COARSE;

      if (distance_to_point (guess, click_px, along, CLICK_BEYOND) > periods / guess->cycles_per_px)
        g_array_remove_index (found, i - 1);
    }
  if (found->len > max_candidates)
    g_array_set_size (found, max_candidates);
  return found;
}

/* Moves the candidates beside @point to the front, in their order. */
static void
put_near_first (GArray *found, ShimPoint point, const ShimSurvey *self)
{
  g_autoptr (GArray) far_off = g_array_new (FALSE, FALSE, sizeof (ShimStripGuess));

  for (guint i = 0; i < found->len;)
    {
      const ShimStripGuess *guess = &g_array_index (found, ShimStripGuess, i);
      const double periods = guess->cycles_per_px > FINE_CYCLES ? TARGET_PERIODS_FINE : TARGET_PERIODS_COARSE;

      if (distance_to_point (guess, point, guess->transposed ? self->width : self->height, TARGET_BEYOND) <=
          periods / guess->cycles_per_px)
        {
          i++;
          continue;
        }
      g_array_append_vals (far_off, guess, 1);
      g_array_remove_index (found, i);
    }
  if (far_off->len > 0)
    g_array_append_vals (found, far_off->data, far_off->len);
}

/**
 * shim_survey_find_for:
 * @self: a survey that has seen the whole picture
 * @request: what is known of where the ruler is: a click on it, or the target beside it
 * @max_candidates: how many at most
 *
 * Like shim_survey_find(), but with a click only what lies near it, and what lies beside the target line before
 * the rest: a cluttered picture may hold much that is as regular as a ruler.
 *
 * Returns: (transfer full) (element-type ShimStripGuess): candidates, best first
 */
GArray *
shim_survey_find_for (const ShimSurvey *self, const ShimMeasureRequest *request, guint max_candidates)
{
  ShimStripGuess likeliest;
  GArray *found;

  g_return_val_if_fail (self != NULL && request != NULL && max_candidates > 0, NULL);

  if (request->has_click)
    return shim_survey_find_near (self, request->click_px, max_candidates);
  found = shim_survey_find (self, 4 * max_candidates);
  if (found->len > 0)
    likeliest = g_array_index (found, ShimStripGuess, 0);
  if (request->has_target)
    put_near_first (found, request->target_px, self);
  if (found->len > max_candidates)
    {
      g_array_set_size (found, max_candidates);
      /* A ruler that is found far from the target line is worth saying so. */
      g_array_index (found, ShimStripGuess, max_candidates - 1) = likeliest;
    }
  return found;
}
