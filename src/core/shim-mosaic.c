/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-mosaic.h"

/* A camera sees each colour in some of its pixels only and fills in the others. Green is there in every second pixel, as on a
 * checkerboard (the pattern of B. E. Bayer, US patent 3,971,065; from memory); between them fine ticks come out fainter. So
 * pixels of one colour of the board and those of the other show the ticks with different contrast, which nothing else does. */

#define SURE 5.0
/* A difference below this share of the contrast matters to nothing. */
#define LEAST 0.03
/* So many standard errors beyond what is seen may be there … */
#define MAY_BE 2.0
/* … and so much of the whole at least, for interpolation may leave no trace. */
#define LEAST_MOST 0.2
#define MIN_ROWS 30

/* The ticks along the lane, by the pixels of either colour of the board: half their sum, half their difference. */
typedef struct
{
  double sum;
  double difference;
} Board;

/* Share that is left of the ticks in the pixels that are filled in. */
static double
filled_in_gain (double cycles_per_px)
{
  const double turn = 2.0 * G_PI * cycles_per_px;

  return (6.0 + 4.0 * cos (turn) - 2.0 * cos (2.0 * turn)) / 8.0;
}

/* Half the difference of the two kinds of pixels over half their sum, after such interpolation. */
static double
whole_difference (double cycles_per_px)
{
  const double left = filled_in_gain (cycles_per_px);

  return fabs (1.0 - left) / (1.0 + left);
}

/**
 * shim_mosaic_gain:
 * @cycles_per_px: frequency of ticks across the rows
 *
 * Returns: the share of their contrast that is left when a picture is interpolated from a colour mosaic by five taps of green
 *   (Malvar, He and Cutler 2004; from memory), mean over the two kinds of sites
 */
double
shim_mosaic_gain (double cycles_per_px)
{
  return 0.5 * (1.0 + filled_in_gain (cycles_per_px));
}

static gboolean
read_row (const ShimStrip *strip, const ShimLattice *lattice, int i, Board *board)
{
  const double v = strip->v_first + i + 0.5, middle = shim_lattice_u_at (lattice, v), half = 0.5 * lattice->lane_width_px;
  const float *px = shim_strip_row (strip, i);
  double mean[2] = { 0.0, 0.0 };
  guint n[2] = { 0, 0 };

  for (int j = 0; j < strip->n_u; j++)
    {
      const int colour = (strip->u_first[i] + j + strip->v_first + i) & 1;

      if (fabs (strip->u_first[i] + j + 0.5 - middle) > half || isnan (px[j]))
        continue;
      mean[colour] += px[j];
      n[colour]++;
    }
  if (n[0] == 0 || n[1] == 0)
    return FALSE;
  *board = (Board) { 0.5 * (mean[0] / n[0] + mean[1] / n[1]), 0.5 * (mean[0] / n[0] - mean[1] / n[1]) };
  return TRUE;
}

/**
 * shim_mosaic_judge:
 * @strip: pixels around the ruler's ticks
 * @lattice: their lattice
 *
 * Returns: whether the ticks show that the picture was interpolated from a colour mosaic, and how much could hide: much where they
 *   are too coarse or the file is too strongly compressed
 */
ShimMosaic
shim_mosaic_judge (const ShimStrip *strip, const ShimLattice *lattice)
{
  Board before[2] = { { 0.0, 0.0 }, { 0.0, 0.0 } }, board = { 0.0, 0.0 };
  double square = 0.0, product = 0.0, square_difference = 0.0, share, se, whole;
  ShimMosaic mosaic = { FALSE, 1.0 };
  guint n = 0, run = 0;

  g_return_val_if_fail (strip != NULL && lattice != NULL, mosaic);

  for (int i = 0; i < strip->n_v; i++)
    {
      const double v = strip->v_first + i + 0.5;

      run = v > lattice->v_first && v < lattice->v_last && read_row (strip, lattice, i, &board) ? run + 1 : 0;
      /* second differences along the lane leave ticks and take paper and light away */
      if (run >= 3)
        {
          const double sum = board.sum - 2.0 * before[1].sum + before[0].sum;
          const double difference = board.difference - 2.0 * before[1].difference + before[0].difference;

          square += sum * sum;
          product += sum * difference;
          square_difference += difference * difference;
          n++;
        }
      before[0] = before[1];
      before[1] = board;
    }
  if (n < MIN_ROWS || !(square > 0.0))
    return mosaic;
  share = product / square;
  se = sqrt (MAX (0.0, square_difference - share * product) / square / n);
  whole = whole_difference (shim_lattice_cycles_per_px (lattice, lattice->v_best));
  mosaic.seen = fabs (share) > LEAST && fabs (share) > SURE * se;
  mosaic.most = CLAMP ((fabs (share) + MAY_BE * se) / whole, LEAST_MOST, 1.0);
  return mosaic;
}
