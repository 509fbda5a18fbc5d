/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_sort_double.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>

#include "shim-robust-line.h"
#include "shim-strip-edge.h"

/* While an edge is looked for: light is compared over so many pixels to each side … */
#define STEP_PX 5
/* … along lines that may lean against the given one by this much from end to end, pixels. */
#define LEAN_PX 28
#define MIN_STEP 0.05
#define MIN_AGREE 0.8
#define MIN_LOOKS 6
/* The innermost edge that has this share of the strongest one's step is the ruler's: beyond it stand other things. */
#define INNERMOST_SHARE 0.5
/* While it is measured: pixels to each side, and the width (standard deviation) of the weights. */
#define REACH_PX 22
#define WEIGHT_PX 6.0
#define CENTRE_ROUNDS 6
/* What the weights take from the second moment: all of m²/w² for a Gaussian, this share of it for the semicircle that a disc
 * makes of an edge's slope (integrated numerically, right to 2 % for discs of up to 20 pixels and a softness of 0.65). */
#define DISC_SHARE 0.59
/* A look of the edge itself has at least this share of the median step; beyond the ruler's end there is none. */
#define STEP_SHARE 0.45
/* The line that is followed is straightened so often, by looks that are good to this, pixels. */
#define LINE_ROUNDS 3
#define LINE_SCALE_PX 0.3
/* How far beyond the given ends the edge is followed at first, as a share of the length, and by how much farther each time. */
#define BEYOND_FIRST 0.3
#define BEYOND_GROWS 3.0
/* The edge has ended where it is missing for more looks than these. */
#define GAP_LOOKS 2

typedef struct
{
  const ShimStrip *strip;
  int n_looks;
  double *mean;     /* n_looks × n_u: light of each column, averaged over the rows of a look */
  double *fraction; /* how far the columns of a look lie beside whole pixels of the line, on average */
} Columns;

static void
columns_clear (Columns *self)
{
  g_free (self->mean);
  g_free (self->fraction);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Columns, columns_clear)

/* Averages along the line: rows of @strip follow it to half a pixel. */
static void
columns_init (Columns *self, const ShimStrip *strip, double u0, double u1, double v_ref)
{
  self->strip = strip;
  self->n_looks = strip->n_v / SHIM_STRIP_EDGE_ROWS;
  self->mean = g_new0 (double, (gsize) MAX (self->n_looks, 1) * strip->n_u);
  self->fraction = g_new0 (double, MAX (self->n_looks, 1));
  for (int look = 0; look < self->n_looks; look++)
    for (int i = look * SHIM_STRIP_EDGE_ROWS; i < (look + 1) * SHIM_STRIP_EDGE_ROWS; i++)
      {
        const float *row = shim_strip_row (strip, i);
        const double line = u0 + u1 * (strip->v_first + i + 0.5 - v_ref);

        self->fraction[look] += (strip->u_first[i] - line) / SHIM_STRIP_EDGE_ROWS;
        for (int j = 0; j < strip->n_u; j++)
          self->mean[look * strip->n_u + j] += row[j] / SHIM_STRIP_EDGE_ROWS;
      }
}

/* Relative step of light at a column of one look; NAN where there are no pixels. */
static double
step_at (const Columns *self, int look, int column)
{
  const double *mean = self->mean + (gsize) look * self->strip->n_u;
  double before = 0.0, after = 0.0;

  if (column < STEP_PX || column + STEP_PX > self->strip->n_u)
    return NAN;
  for (int k = 1; k <= STEP_PX; k++)
    {
      before += mean[column - k];
      after += mean[column + k - 1];
    }
  return (after - before) / (after + before);
}

/* A line across the columns: at the middle of the looks, and how it leans from the first to the last. */
typedef struct
{
  double column;
  double lean;
  double step;
} Line;

static double
column_of (const Columns *self, const Line *line, int look)
{
  return line->column + line->lean * ((look + 0.5) / self->n_looks - 0.5);
}

/* Mean step along a line, 0 where the looks do not agree on its sense. */
static double
step_along (const Columns *self, const Line *line)
{
  double sum = 0.0;
  int n = 0, rising = 0;

  for (int look = 0; look < self->n_looks; look++)
    {
      const double step = step_at (self, look, (int) lrint (column_of (self, line, look)));

      if (!isfinite (step))
        continue;
      sum += step;
      rising += step > 0.0;
      n++;
    }
  return n >= MIN_LOOKS && MAX (rising, n - rising) >= MIN_AGREE * n ? sum / n : 0.0;
}

/* The best lean of a line through each column; then the innermost column that is a peak and strong enough. */
static gboolean
find_line (const Columns *self, int side, Line *found)
{
  const int middle = self->strip->n_u / 2, n = middle - STEP_PX;
  g_autofree Line *lines = g_new0 (Line, MAX (n, 1));
  double strongest = MIN_STEP / INNERMOST_SHARE;

  for (int d = 0; d < n; d++)
    for (int lean = -LEAN_PX; lean <= LEAN_PX; lean += 2)
      {
        Line line = { middle + side * d, lean, 0.0 };

        line.step = step_along (self, &line);
        if (fabs (line.step) > fabs (lines[d].step))
          lines[d] = line;
      }
  for (int d = 0; d < n; d++)
    strongest = MAX (strongest, fabs (lines[d].step));
  for (int d = 0; d < n; d++)
    {
      const double step = fabs (lines[d].step);

      if (step >= INNERMOST_SHARE * strongest && step >= fabs (lines[MAX (d - 1, 0)].step) &&
          step >= fabs (lines[MIN (d + 1, n - 1)].step))
        {
          *found = lines[d];
          return TRUE;
        }
    }
  return FALSE;
}

/* Place and second moment of the slope of light about @centre, weighted so that what lies farther off has no say. */
static gboolean
measure_look (const Columns *self, int look, double centre, double *place, double *variance, double *step)
{
  const double *mean = self->mean + (gsize) look * self->strip->n_u;
  const int from = (int) floor (centre) - REACH_PX, to = (int) ceil (centre) + REACH_PX;
  double at = centre, moment = 0.0, sum = 0.0;

  if (from < 1 || to >= self->strip->n_u)
    return FALSE;
  for (int round = 0; round < CENTRE_ROUNDS; round++)
    {
      double first = 0.0;

      sum = moment = 0.0;
      for (int j = from; j <= to; j++)
        {
          const double slope = mean[j] - mean[j - 1], off = j - at;
          const double weight = exp (-0.5 * off * off / (WEIGHT_PX * WEIGHT_PX));

          sum += weight * slope;
          first += weight * slope * off;
          moment += weight * slope * off * off;
        }
      if (!(fabs (sum) > 0.0) || fabs (first / sum) > WEIGHT_PX)
        return FALSE;
      at += first / sum;
      moment = moment / sum;
    }
  if (!(moment > 0.0) || moment > 0.7 * WEIGHT_PX * WEIGHT_PX || fabs (at - centre) > WEIGHT_PX)
    return FALSE;
  *place = at;
  *variance = 1.0 / (1.0 / moment - DISC_SHARE / (WEIGHT_PX * WEIGHT_PX));
  *step = sum;
  return TRUE;
}

static double
median_step (const double *steps, guint n)
{
  g_autofree double *sorted = g_memdup2 (steps, n * sizeof *steps);

  gsl_sort (sorted, 1, n);
  return gsl_stats_median_from_sorted_data (sorted, 1, n);
}

/* One look after the other from the middle outwards, until the edge is missing for too long. */
static void
keep_run (GArray *looks, double middle)
{
  guint from = 0, to = looks->len;

  for (guint i = 1; i < looks->len; i++)
    {
      const double before = g_array_index (looks, ShimEdgeLook, i - 1).v, v = g_array_index (looks, ShimEdgeLook, i).v;

      if (v - before <= (GAP_LOOKS + 1.5) * SHIM_STRIP_EDGE_ROWS)
        continue;
      if (v <= middle)
        from = i;
      else
        {
          to = i;
          break;
        }
    }
  g_array_set_size (looks, to);
  g_array_remove_range (looks, 0, from);
}

/* Measures all looks along a line, and keeps those that are of one edge about the middle. */
static GArray *
measure_along (const Columns *self, double u0, double u1, double v_ref)
{
  GArray *looks = g_array_new (FALSE, FALSE, sizeof (ShimEdgeLook));
  g_autofree double *steps = g_new0 (double, MAX (self->n_looks, 1));
  double usual;
  guint n = 0;

  for (int look = 0; look < self->n_looks; look++)
    {
      const double v = self->strip->v_first + (look + 0.5) * SHIM_STRIP_EDGE_ROWS;
      ShimEdgeLook one = { .v = v };
      double place;

      if (!measure_look (self, look, 0.5 * self->strip->n_u, &place, &one.variance, &steps[n]))
        continue;
      one.u = u0 + u1 * (v - v_ref) + place + self->fraction[look];
      g_array_append_val (looks, one);
      n++;
    }
  usual = n > 0 ? median_step (steps, n) : 1.0;
  for (guint i = n; i > 0; i--)
    if (!(steps[i - 1] / usual > STEP_SHARE))
      g_array_remove_index (looks, i - 1);
  if (looks->len >= MIN_LOOKS)
    keep_run (looks, v_ref);
  return looks;
}

/* Straightens the line by what was measured along it. */
static void
refine_line (const GArray *looks, double v_ref, double *u0, double *u1)
{
  g_autoptr (ShimRobustLine) fit = shim_robust_line_new ();

  for (guint i = 0; i < looks->len; i++)
    {
      const ShimEdgeLook *look = &g_array_index (looks, ShimEdgeLook, i);

      shim_robust_line_add (fit, look->v - v_ref, look->u, 1.0);
    }
  shim_robust_line_solve (fit, LINE_SCALE_PX, u0, u1);
}

/**
 * shim_strip_edge_find:
 * @search: where to look
 * @side: −1 towards smaller u, +1 towards larger
 *
 * Finds a long edge of the ruler beside a line of its ticks or numerals, and measures place and blur along it. Such an edge
 * shows where the ruler is sharp long after its ticks have gone.
 *
 * Returns: (transfer full) (element-type ShimEdgeLook): looks by growing v; empty when there is no such edge
 */
GArray *
shim_strip_edge_find (const ShimEdgeSearch *search, int side)
{
  g_autoptr (ShimStrip) beside = NULL;
  g_auto (Columns) columns = { 0 };
  GArray *looks = NULL;
  double beyond = BEYOND_FIRST * (search->v_hi - search->v_lo);
  const double middle = 0.5 * (search->v_lo + search->v_hi);
  double u0, u1;
  Line line;

  g_return_val_if_fail (search != NULL && (side == -1 || side == 1), NULL);

  beside = shim_strip_cut (search->luma, search->transposed, search->u0, search->u1, search->v_ref, search->reach_px,
                           search->v_lo, search->v_hi);
  if (beside == NULL)
    return g_array_new (FALSE, FALSE, sizeof (ShimEdgeLook));
  columns_init (&columns, beside, search->u0, search->u1, search->v_ref);
  if (columns.n_looks < MIN_LOOKS || !find_line (&columns, side, &line))
    return g_array_new (FALSE, FALSE, sizeof (ShimEdgeLook));
  u1 = search->u1 + line.lean / (columns.n_looks * SHIM_STRIP_EDGE_ROWS);
  u0 = search->u0 + search->u1 * (middle - search->v_ref) + line.column - 0.5 * beside->n_u;
  for (int round = 0; round < LINE_ROUNDS; round++)
    {
      g_autoptr (ShimStrip) strip = shim_strip_cut (search->luma, search->transposed, u0, u1, middle, 2 * REACH_PX,
                                                    search->v_lo - beyond, search->v_hi + beyond);
      g_auto (Columns) along = { 0 };

      g_clear_pointer (&looks, g_array_unref);
      if (strip == NULL)
        break;
      columns_init (&along, strip, u0, u1, middle);
      looks = measure_along (&along, u0, u1, middle);
      if (looks->len >= MIN_LOOKS)
        refine_line (looks, middle, &u0, &u1);
      beyond *= BEYOND_GROWS;
    }
  return looks != NULL ? looks : g_array_new (FALSE, FALSE, sizeof (ShimEdgeLook));
}
