/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-survey-grid.h"

/* A path of cells belongs to one ruler when its column moves by at most one cell per window (more than a roll
 * of 5°) and its frequency by at most this many bins, or this share of itself (perspective). */
#define BIN_DRIFT 1.6f
#define BIN_DRIFT_SHARE 0.05f
#define SIDESTEP_COST 0.1f
#define GAP_COST 0.6f
/* Less than this, over a whole path, is clutter. */
#define SCORE_WORTH 3.0f
#define CELLS_WORTH 2
/* How well a path of cells places the lane: a cell, and what a sloping one may lose. */
#define LANE_REACH_PX 16.0
/* Ticks are at most this many of their periods long; a pattern that is wider is cloth, print or a board of
 * squares. */
#define PERIODS_WIDE 18.0f

/**
 * shim_survey_grid_init:
 * @grid: (out): a grid
 * @transposed: whether its windows run along the picture's rows
 * @along: pixels of the picture along
 * @across: and across
 */
void
shim_survey_grid_init (ShimSurveyGrid *grid, gboolean transposed, int along, int across)
{
  *grid = (ShimSurveyGrid) { .transposed = transposed, .along = along, .across = across };
  grid->n_windows = along < SHIM_SPECTRUM_LENGTH ? 0 : (along - SHIM_SPECTRUM_LENGTH) / SHIM_SURVEY_HOP + 1;
  grid->n_cells = across / SHIM_SURVEY_CELL;
  for (int band = 0; band < SHIM_SPECTRUM_BANDS; band++)
    grid->peaks[band] = g_new0 (ShimSpectrumPeak, (gsize) MAX (grid->n_windows, 1) * MAX (grid->n_cells, 1));
}

/**
 * shim_survey_grid_clear:
 * @grid: a grid
 */
void
shim_survey_grid_clear (ShimSurveyGrid *grid)
{
  for (int band = 0; band < SHIM_SPECTRUM_BANDS; band++)
    g_free (grid->peaks[band]);
}

/**
 * shim_survey_grid_set:
 * @grid: a grid
 * @window: which window along
 * @cell: which cell across
 * @peaks: (array fixed-size=2): what was found there in each band
 */
void
shim_survey_grid_set (ShimSurveyGrid *grid, int window, int cell,
                      const ShimSpectrumPeak peaks[SHIM_SPECTRUM_BANDS])
{
  for (int band = 0; band < SHIM_SPECTRUM_BANDS; band++)
    grid->peaks[band][(gsize) window * grid->n_cells + cell] = peaks[band];
}

/* One step of the best path that ends in a cell. */
typedef struct
{
  float score;
  float bin; /* of the last cell with evidence */
  int from;  /* cell in the window before; −1 = the path starts here */
  int cells; /* cells with evidence so far */
} Step;

static float
drift_allowed (float bin)
{
  return MAX (BIN_DRIFT, BIN_DRIFT_SHARE * bin);
}

/* The best paths through one band of one grid. */
typedef struct
{
  const ShimSurveyGrid *grid;
  const ShimSpectrumPeak *peaks;
  Step *steps;
  guint8 *taken; /* cells that a path chosen before went through or near */
} Paths;

static Step
best_step (const Paths *paths, int window, int cell)
{
  const int n_cells = paths->grid->n_cells;
  const ShimSpectrumPeak peak = paths->peaks[(gsize) window * n_cells + cell];
  Step best = { peak.score, peak.bin, -1, peak.score > 0.0f ? 1 : 0 };

  for (int from = MAX (cell - 1, 0); window > 0 && from <= MIN (cell + 1, n_cells - 1); from++)
    {
      const Step *before = &paths->steps[(gsize) (window - 1) * n_cells + from];
      const gboolean joins = peak.score > 0.0f && fabsf (peak.bin - before->bin) <= drift_allowed (before->bin);
      const float score =
        before->score - (from != cell ? SIDESTEP_COST : 0.0f) + (joins ? peak.score : -GAP_COST);

      if (before->score > 0.0f && score > best.score)
        best = (Step) { score, joins ? peak.bin : before->bin, from, before->cells + (joins ? 1 : 0) };
    }
  return best;
}

/* Sums for weighted straight lines of cell and bin over window. */
typedef struct
{
  double w, x, xx, y, xy, b, xb;
  int first, best, width;
  float best_score;
} LineSums;

/* Marks the cells beside one cell that show the same frequency, and returns how many there are. */
static int
take_neighbours (const Paths *paths, int window, int cell)
{
  const int n_cells = paths->grid->n_cells;
  const ShimSpectrumPeak *peaks = paths->peaks + (gsize) window * n_cells;
  guint8 *taken = paths->taken + (gsize) window * n_cells;
  int lo = cell, hi = cell;

  while (lo > 0 && peaks[lo - 1].score > 0.0f && fabsf (peaks[lo - 1].bin - peaks[cell].bin) < BIN_DRIFT)
    lo--;
  while (hi < n_cells - 1 && peaks[hi + 1].score > 0.0f && fabsf (peaks[hi + 1].bin - peaks[cell].bin) < BIN_DRIFT)
    hi++;
  for (int c = MAX (0, lo - 1); c <= MIN (n_cells - 1, hi + 1); c++)
    taken[c] = 1;
  return hi - lo + 1;
}

/* Follows a path back to its start. Returns FALSE when it runs mostly where another already ran. */
static gboolean
trace (const Paths *paths, int window, int cell, LineSums *s)
{
  const int n_cells = paths->grid->n_cells;
  int seen = 0, worn = 0;

  *s = (LineSums) { .first = window, .best = window };
  for (;;)
    {
      const gsize at = (gsize) window * n_cells + cell;
      const Step *step = &paths->steps[at];
      const ShimSpectrumPeak *peak = &paths->peaks[at];

      seen++;
      worn += paths->taken[at];
      paths->taken[at] = 1;
      if (peak->score > 0.0f && peak->bin == step->bin)
        {
          const double x = window, w = peak->score;
          const int width = take_neighbours (paths, window, cell);

          if (peak->score > s->best_score)
            s->best_score = peak->score, s->best = window, s->width = width;
          s->w += w, s->x += w * x, s->xx += w * x * x;
          s->y += w * cell, s->xy += w * x * cell;
          s->b += w * peak->bin, s->xb += w * x * peak->bin;
          s->first = window;
        }
      if (step->from < 0)
        break;
      cell = step->from;
      window--;
    }
  return 2 * worn <= seen;
}

static ShimStripGuess
guess_from_sums (const LineSums *s, const ShimSurveyGrid *grid, int last)
{
  ShimStripGuess guess = { .transposed = grid->transposed };
  const double mean_x = s->x / s->w, mean_y = s->y / s->w, mean_b = s->b / s->w;
  const double det = s->xx / s->w - mean_x * mean_x;
  const double slope = det > 0.2 ? (s->xy / s->w - mean_x * mean_y) / det : 0.0;
  const double bin_slope = det > 0.2 ? (s->xb / s->w - mean_x * mean_b) / det : 0.0;

  guess.u1 = slope * SHIM_SURVEY_CELL / SHIM_SURVEY_HOP;
  guess.u0 = (mean_y + 0.5) * SHIM_SURVEY_CELL +
             guess.u1 * (grid->along / 2.0 - (mean_x * SHIM_SURVEY_HOP + SHIM_SPECTRUM_LENGTH / 2.0));
  guess.v_lo = s->first * SHIM_SURVEY_HOP;
  guess.v_hi = last * SHIM_SURVEY_HOP + SHIM_SPECTRUM_LENGTH;
  guess.v_best = s->best * SHIM_SURVEY_HOP + SHIM_SPECTRUM_LENGTH / 2.0;
  guess.cycles_per_px = (mean_b + bin_slope * (s->best - mean_x)) / SHIM_SPECTRUM_LENGTH;
  guess.cycles_slope = bin_slope / SHIM_SPECTRUM_LENGTH / SHIM_SURVEY_HOP;
  return guess;
}

/* How far the scale may reach beyond the ticks seen, and how much is needed on each side of the lane, counted
 * in tick periods: 30 mm ruler and its neighbourhood at 1 mm ticks. */
static void
guess_set_rect (ShimStripGuess *guess, int along, int across)
{
  const double period = 1.0 / guess->cycles_per_px;
  const double half = CLAMP (22.0 * period, 48.0, 160.0);
  const double reach = CLAMP (320.0 * period, 640.0, 2400.0);
  const double v_lo = MAX (0.0, guess->v_lo - reach), v_hi = MIN (along, guess->v_hi + reach);
  const double u_a = guess->u0 + guess->u1 * (v_lo - along / 2.0), u_b = guess->u0 + guess->u1 * (v_hi - along / 2.0);
  const int u_lo = (int) CLAMP (floor (MIN (u_a, u_b) - half), 0.0, across - 1.0);
  const int u_hi = (int) CLAMP (ceil (MAX (u_a, u_b) + half), u_lo + 1.0, across);

  guess->width_px = half;
  guess->reach_px = LANE_REACH_PX;
  guess->rect = guess->transposed
    ? (ShimRect) { (int) v_lo, u_lo, (int) v_hi - (int) v_lo, u_hi - u_lo }
    : (ShimRect) { u_lo, (int) v_lo, u_hi - u_lo, (int) v_hi - (int) v_lo };
}

typedef struct
{
  float score;
  gsize at;
} PathEnd;

static int
compare_end (gconstpointer a, gconstpointer b)
{
  const PathEnd *ea = a, *eb = b;

  return ea->score < eb->score ? 1 : ea->score > eb->score ? -1 : ea->at < eb->at ? -1 : 1;
}

static GArray *
find_ends (const Paths *paths)
{
  const ShimSurveyGrid *grid = paths->grid;
  const gsize n = (gsize) grid->n_windows * grid->n_cells;
  GArray *ends = g_array_new (FALSE, FALSE, sizeof (PathEnd));

  for (int window = 0; window < grid->n_windows; window++)
    for (int cell = 0; cell < grid->n_cells; cell++)
      paths->steps[(gsize) window * grid->n_cells + cell] = best_step (paths, window, cell);
  for (gsize i = 0; i < n; i++)
    if (paths->steps[i].cells >= CELLS_WORTH && paths->steps[i].score >= SCORE_WORTH && paths->peaks[i].score > 0.0f)
      {
        const PathEnd end = { paths->steps[i].score, i };

        g_array_append_val (ends, end);
      }
  g_array_sort (ends, compare_end);
  return ends;
}

static void
find_in_band (const ShimSurveyGrid *grid, ShimSpectrumBand band, guint max_candidates, GArray *found)
{
  const gsize n = (gsize) grid->n_windows * grid->n_cells;
  g_autofree Step *steps = g_new (Step, MAX (n, 1));
  g_autofree guint8 *taken = g_new0 (guint8, MAX (n, 1));
  const Paths paths = { grid, grid->peaks[band], steps, taken };
  g_autoptr (GArray) ends = find_ends (&paths);
  const guint full = found->len + max_candidates;

  for (guint i = 0; i < ends->len && found->len < full; i++)
    {
      const PathEnd *end = &g_array_index (ends, PathEnd, i);
      const int window = (int) (end->at / grid->n_cells), cell = (int) (end->at % grid->n_cells);
      LineSums sums;

      if (!taken[end->at] && trace (&paths, window, cell, &sums))
        {
          ShimStripGuess guess = guess_from_sums (&sums, grid, window);

          guess.score = end->score;
          if (sums.width * SHIM_SURVEY_CELL * guess.cycles_per_px > PERIODS_WIDE)
            guess.score *= 0.3;
          guess_set_rect (&guess, grid->along, grid->across);
          g_array_append_val (found, guess);
        }
    }
}

/**
 * shim_survey_grid_find:
 * @grid: a grid that is filled
 * @max_candidates: how many at most for each band
 * @found: (element-type ShimStripGuess): to which candidates are appended
 *
 * Finds straight paths of cells that show the ticks of one ruler: their frequency changes little from window to
 * window.
 */
void
shim_survey_grid_find (const ShimSurveyGrid *grid, guint max_candidates, GArray *found)
{
  for (int band = 0; band < SHIM_SPECTRUM_BANDS; band++)
    find_in_band (grid, band, max_candidates, found);
}
