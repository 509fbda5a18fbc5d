/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-dark-marks.h"

/* Dark is what lies below this share of the mean round about, over so many pixels to each side; and by so many codes at least,
 * lest noise in the shade have marks. */
#define DARK_SHARE 0.78
#define DARK_CODES 16
#define REACH 28
/* Marks of fewer pixels are noise, of more are no marks. */
#define MIN_AREA 9
#define MAX_AREA 6000
/* A solid box or disc fills this much of the box that its variances tell. */
#define SOLID_LEAST 0.75
#define SOLID_MOST 1.25

/* Sums over the pixels of a mark, in pixels of the reduced picture. */
typedef struct
{
  guint parent;
  double n, x, y, xx, xy, yy;
} Piece;

/* A run of dark pixels in one row: from @first to before @end. */
typedef struct
{
  int first;
  int end;
  guint piece;
} Run;

typedef struct
{
  const ShimReducedLuma *luma;
  guint32 *columns;   /* sums of the columns over the rows round about */
  int rows;           /* how many those are */
  GArray *pieces;
  GArray *above;
  GArray *here;
} Finding;

static guint
root_of (GArray *pieces, guint i)
{
  while (g_array_index (pieces, Piece, i).parent != i)
    i = g_array_index (pieces, Piece, i).parent;
  return i;
}

static guint
unite (GArray *pieces, guint a, guint b)
{
  a = root_of (pieces, a);
  b = root_of (pieces, b);
  if (a != b)
    {
      Piece *into = &g_array_index (pieces, Piece, MIN (a, b)), *from = &g_array_index (pieces, Piece, MAX (a, b));

      from->parent = MIN (a, b);
      into->n += from->n;
      into->x += from->x;
      into->y += from->y;
      into->xx += from->xx;
      into->xy += from->xy;
      into->yy += from->yy;
    }
  return MIN (a, b);
}

static void
add_run (Piece *piece, int y, int first, int end)
{
  for (int x = first; x < end; x++)
    {
      piece->n += 1.0;
      piece->x += x;
      piece->y += y;
      piece->xx += (double) x * x;
      piece->xy += (double) x * y;
      piece->yy += (double) y * y;
    }
}

/* Joins a run with the marks that touch it from the row above. @from: the first run above that may. */
static void
take_run (Finding *self, int y, int first, int end, guint *from)
{
  Run run = { first, end, self->pieces->len };
  Piece piece = { .parent = run.piece };
  guint i;

  while (*from < self->above->len && g_array_index (self->above, Run, *from).end < first)
    (*from)++;
  for (i = *from; i < self->above->len && g_array_index (self->above, Run, i).first <= end; i++)
    {
      const guint above = g_array_index (self->above, Run, i).piece;

      run.piece = run.piece == self->pieces->len ? root_of (self->pieces, above) : unite (self->pieces, run.piece, above);
    }
  if (run.piece == self->pieces->len)
    g_array_append_val (self->pieces, piece);
  add_run (&g_array_index (self->pieces, Piece, run.piece), y, first, end);
  g_array_append_val (self->here, run);
}

static gboolean
is_dark (int value, guint32 sum, int n)
{
  const double mean = (double) sum / n;

  return value < DARK_SHARE * mean && value < mean - DARK_CODES;
}

static void
look_at_row (Finding *self, int y)
{
  const ShimReducedLuma *luma = self->luma;
  const guint8 *px = luma->px + (gsize) y * luma->width;
  GArray *above = self->above;
  guint32 sum = 0;
  guint from = 0;
  int first = -1, wide = 0;

  self->above = self->here;
  self->here = above;
  g_array_set_size (self->here, 0);
  for (int x = 0; x < MIN (REACH, luma->width); x++)
    sum += self->columns[x], wide++;
  for (int x = 0; x < luma->width; x++)
    {
      gboolean dark;

      if (x + REACH < luma->width)
        sum += self->columns[x + REACH], wide++;
      if (x - REACH - 1 >= 0)
        sum -= self->columns[x - REACH - 1], wide--;
      dark = is_dark (px[x], sum, wide * self->rows);
      if (dark && first < 0)
        first = x;
      if (first >= 0 && !dark)
        {
          take_run (self, y, first, x, &from);
          first = -1;
        }
    }
  if (first >= 0)
    take_run (self, y, first, luma->width, &from);
}

static void
change_columns (Finding *self, int y, int sign)
{
  const ShimReducedLuma *luma = self->luma;

  if (y < 0 || y >= luma->height)
    return;
  self->rows += sign;
  for (int x = 0; x < luma->width; x++)
    self->columns[x] += (guint32) (sign * luma->px[(gsize) y * luma->width + x]);
}

/* The mark of a piece, in pixels of the whole picture. A pixel's own square counts. */
static gboolean
mark_of (const Piece *piece, double factor, ShimDarkMark *mark)
{
  const double x = piece->x / piece->n, y = piece->y / piece->n, square = factor * factor;

  if (piece->n < MIN_AREA || piece->n > MAX_AREA)
    return FALSE;
  *mark = (ShimDarkMark) {
    .at = { (x + 0.5) * factor, (y + 0.5) * factor },
    .area = piece->n * square,
    .xx = (piece->xx / piece->n - x * x + 1.0 / 12.0) * square,
    .xy = (piece->xy / piece->n - x * y) * square,
    .yy = (piece->yy / piece->n - y * y + 1.0 / 12.0) * square,
  };
  /* A box of sides a and b has variances a²/12 and b²/12. */
  return mark->area > SOLID_LEAST * 12.0 * sqrt (mark->xx * mark->yy - mark->xy * mark->xy) &&
         mark->area < SOLID_MOST * 12.0 * sqrt (mark->xx * mark->yy - mark->xy * mark->xy);
}

/**
 * shim_dark_marks_find:
 * @luma: a reduced picture
 *
 * Looks for solid dark marks on light ground, whatever their shape.
 *
 * Returns: (transfer full) (element-type ShimDarkMark): the marks, in pixels of the whole picture, downwards
 */
GArray *
shim_dark_marks_find (const ShimReducedLuma *luma)
{
  GArray *marks = g_array_new (FALSE, FALSE, sizeof (ShimDarkMark));
  Finding self = { .luma = luma };

  g_return_val_if_fail (luma != NULL && luma->px != NULL, marks);

  self.columns = g_new0 (guint32, luma->width);
  self.pieces = g_array_new (FALSE, FALSE, sizeof (Piece));
  self.above = g_array_new (FALSE, FALSE, sizeof (Run));
  self.here = g_array_new (FALSE, FALSE, sizeof (Run));
  for (int y = 0; y < REACH; y++)
    change_columns (&self, y, +1);
  for (int y = 0; y < luma->height; y++)
    {
      change_columns (&self, y + REACH, +1);
      change_columns (&self, y - REACH - 1, -1);
      look_at_row (&self, y);
    }
  for (guint i = 0; i < self.pieces->len; i++)
    {
      const Piece *piece = &g_array_index (self.pieces, Piece, i);
      ShimDarkMark mark;

      if (piece->parent == i && mark_of (piece, luma->factor, &mark))
        g_array_append_val (marks, mark);
    }
  g_array_unref (self.here);
  g_array_unref (self.above);
  g_array_unref (self.pieces);
  g_free (self.columns);
  return marks;
}

/**
 * shim_dark_mark_length:
 * @self: a mark
 * @x: a direction, …
 * @y: … of length 1
 *
 * Returns: how long it is in that direction if it is a box that lies along it, pixels
 */
double
shim_dark_mark_length (const ShimDarkMark *self, double x, double y)
{
  return sqrt (12.0 * (self->xx * x * x + 2.0 * self->xy * x * y + self->yy * y * y));
}

/**
 * shim_dark_mark_slimness:
 * @self: a mark
 *
 * Returns: its length over its width, at least 1
 */
double
shim_dark_mark_slimness (const ShimDarkMark *self)
{
  const double middle = 0.5 * (self->xx + self->yy), spread = hypot (0.5 * (self->xx - self->yy), self->xy);

  return sqrt ((middle + spread) / MAX (middle - spread, 1.0e-9));
}
