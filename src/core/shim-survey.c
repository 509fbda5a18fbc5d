/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-spectrum.h"
#include "shim-survey.h"

/* The picture is looked at through cells: CELL pixels across, windows of 128 pixels along, one every HOP. */
#define CELL 8
#define HOP (SHIM_SPECTRUM_LENGTH / 2)

/* A path of cells belongs to one ruler when its column moves by at most one cell per window (more than a roll of 5°) and its
 * frequency by at most this many bins, or this share of itself (perspective). */
#define BIN_DRIFT 1.6f
#define BIN_DRIFT_SHARE 0.05f
#define SIDESTEP_COST 0.1f
#define GAP_COST 0.6f
/* Less than this, over a whole path, is clutter. */
#define SCORE_WORTH 3.0f
#define CELLS_WORTH 2
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
/* ... and how far beside them the target usually stands. */
#define TARGET_PERIODS_FINE 30.0
#define TARGET_PERIODS_COARSE 10.0
/* How well a path of cells places the lane: a cell, and what a sloping one may lose. */
#define LANE_REACH_PX 16.0
/* Candidates kept of each band and direction before they are ranked. */
#define KEEP 8
/* Ticks are at most this many of their periods long; a pattern that is wider is cloth, print or a board of squares. */
#define PERIODS_WIDE 18.0f

typedef guint8 Pixels __attribute__ ((vector_size (CELL)));
typedef guint16 Sums __attribute__ ((vector_size (CELL * sizeof (guint16))));

typedef struct
{
  int n_windows;
  int n_cells;
  ShimSpectrumPeak *peaks[SHIM_SPECTRUM_BANDS]; /* each n_windows × n_cells */
} Grid;

struct _ShimSurvey
{
  int width;
  int height;
  Grid down;   /* ruler along the picture's columns: window = rows */
  Grid across; /* ruler along its rows */
  guint16 *ring; /* 128 rows of CELL-wide sums */
  guint16 *band; /* one row: sums of CELL rows */
};

static void
grid_init (Grid *grid, int along, int across)
{
  grid->n_windows = along < SHIM_SPECTRUM_LENGTH ? 0 : (along - SHIM_SPECTRUM_LENGTH) / HOP + 1;
  grid->n_cells = across / CELL;
  for (int band = 0; band < SHIM_SPECTRUM_BANDS; band++)
    grid->peaks[band] = g_new0 (ShimSpectrumPeak, (gsize) MAX (grid->n_windows, 1) * MAX (grid->n_cells, 1));
}

static void
grid_clear (Grid *grid)
{
  for (int band = 0; band < SHIM_SPECTRUM_BANDS; band++)
    g_free (grid->peaks[band]);
}

static void
grid_set (Grid *grid, int window, int cell, const ShimSpectrumPeak peaks[SHIM_SPECTRUM_BANDS])
{
  for (int band = 0; band < SHIM_SPECTRUM_BANDS; band++)
    grid->peaks[band][(gsize) window * grid->n_cells + cell] = peaks[band];
}

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
  grid_init (&self->down, height, width);
  grid_init (&self->across, width, height);
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

  grid_clear (&self->down);
  grid_clear (&self->across);
  g_free (self->ring);
  g_free (self->band);
  g_free (self);
}

/* The ring holds the last 128 rows at y mod 128; a window that ends at a multiple of HOP is stored in two runs, so the
 * older half is moved to the front instead. */
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
        grid_set (&self->down, window, cell + i, peaks[i]);
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
        grid_set (&self->across, window + i, cell, peaks[i]);
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
add_to_band (guint16 *band, const guint8 *px, int width)
{
  int x = 0;

  for (; x + CELL <= width; x += CELL)
    {
      Pixels pixels;
      Sums sums;

      memcpy (&pixels, px + x, sizeof pixels);
      memcpy (&sums, band + x, sizeof sums);
      sums += __builtin_convertvector (pixels, Sums);
      memcpy (band + x, &sums, sizeof sums);
    }
  for (; x < width; x++)
    band[x] = (guint16) (band[x] + px[x]);
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
  add_to_band (self->band, px, self->width);

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
 * Looks at the next rows of the picture. This is where the work is done; nothing of @luma is kept. Several surveys may be
 * fed from several threads, each from one at a time.
 */
void
shim_survey_add_rows (ShimSurvey *self, int y0, int n_rows, const guint8 *luma, gsize stride)
{
  g_return_if_fail (self != NULL && luma != NULL);
  g_return_if_fail (y0 >= 0 && n_rows >= 0 && y0 + n_rows <= self->height);

  for (int i = 0; i < n_rows; i++)
    add_row (self, y0 + i, luma + (gsize) i * stride);
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
  const Grid *grid;
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
guess_from_sums (const LineSums *s, gboolean transposed, int along, int last)
{
  ShimStripGuess guess = { .transposed = transposed };
  const double mean_x = s->x / s->w, mean_y = s->y / s->w, mean_b = s->b / s->w;
  const double det = s->xx / s->w - mean_x * mean_x;
  const double slope = det > 0.2 ? (s->xy / s->w - mean_x * mean_y) / det : 0.0;
  const double bin_slope = det > 0.2 ? (s->xb / s->w - mean_x * mean_b) / det : 0.0;

  guess.u1 = slope * CELL / HOP;
  guess.u0 = (mean_y + 0.5) * CELL + guess.u1 * (along / 2.0 - (mean_x * HOP + SHIM_SPECTRUM_LENGTH / 2.0));
  guess.v_lo = s->first * HOP;
  guess.v_hi = last * HOP + SHIM_SPECTRUM_LENGTH;
  guess.v_best = s->best * HOP + SHIM_SPECTRUM_LENGTH / 2.0;
  guess.cycles_per_px = (mean_b + bin_slope * (s->best - mean_x)) / SHIM_SPECTRUM_LENGTH;
  guess.cycles_slope = bin_slope / SHIM_SPECTRUM_LENGTH / HOP;
  return guess;
}

/* How far the scale may reach beyond the ticks seen, and how much is needed on each side of the lane, counted in tick
 * periods: 30 mm ruler and its neighbourhood at 1 mm ticks. */
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
  const Grid *grid = paths->grid;
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
find_in_band (const Grid *grid, ShimSpectrumBand band, gboolean transposed, int along, int across,
              guint max_candidates, GArray *found)
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
          ShimStripGuess guess = guess_from_sums (&sums, transposed, along, window);

          guess.score = end->score;
          if (sums.width * CELL * guess.cycles_per_px > PERIODS_WIDE)
            guess.score *= 0.3;
          guess_set_rect (&guess, along, across);
          g_array_append_val (found, guess);
        }
    }
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
 * Returns: (transfer full) (element-type ShimStripGuess): candidates, best first; empty when nothing looks like ticks
 */
GArray *
shim_survey_find (const ShimSurvey *self, guint max_candidates)
{
  GArray *found;

  g_return_val_if_fail (self != NULL, NULL);

  found = g_array_new (FALSE, FALSE, sizeof (ShimStripGuess));
  for (int band = 0; band < SHIM_SPECTRUM_BANDS; band++)
    {
      find_in_band (&self->down, band, FALSE, self->height, self->width, MAX (KEEP, max_candidates), found);
      find_in_band (&self->across, band, TRUE, self->width, self->height, MAX (KEEP, max_candidates), found);
    }
  lift_finest (found, self->height, self->width);
  g_array_sort (found, compare_score);
  if (found->len > max_candidates)
    g_array_set_size (found, max_candidates);
  return found;
}

static double
distance_to_click (const ShimStripGuess *guess, ShimPoint click, int along)
{
  const double v = guess->transposed ? click.x : click.y, u = guess->transposed ? click.y : click.x;
  const double beyond = MAX (0.0, MAX (guess->v_lo - v, v - guess->v_hi));

  return hypot (u - (guess->u0 + guess->u1 * (v - along / 2.0)), 0.5 * beyond);
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

      if (distance_to_click (guess, click_px, along) > periods / guess->cycles_per_px)
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

      if (distance_to_click (guess, point, guess->transposed ? self->width : self->height) <=
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
 * Like shim_survey_find(), but with a click only what lies near it, and what lies beside the target line before the rest: a
 * cluttered picture may hold much that is as regular as a ruler.
 *
 * Returns: (transfer full) (element-type ShimStripGuess): candidates, best first
 */
GArray *
shim_survey_find_for (const ShimSurvey *self, const ShimMeasureRequest *request, guint max_candidates)
{
  GArray *found;

  g_return_val_if_fail (self != NULL && request != NULL, NULL);

  if (request->has_click)
    return shim_survey_find_near (self, request->click_px, max_candidates);
  found = shim_survey_find (self, 4 * max_candidates);
  if (request->has_target)
    put_near_first (found, request->target_px, self);
  if (found->len > max_candidates)
    g_array_set_size (found, max_candidates);
  return found;
}
