/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-jpeg-loss.h"

/* Phases of the ticks in a block, counted from its middle, within a quarter circle: the rest of the circle only changes signs, for
 * a block turned end for end has the same coefficients but for those. */
#define N_PHASES 7
/* Coefficients below this share of the amplitude matter neither way. */
#define NEGLIGIBLE 0.02
/* Rounding to steps below this many standard deviations of the noise is as good as none. */
#define FINE_STEP 1.5

typedef double Spectrum[SHIM_JPEG_SIDE];

/* Beyond so many standard deviations hardly anything of a normal distribution is left (3e-7). */
#define NORMAL_END 5.0
/* Cubics through values and slopes at so many places are right to 1e-6 (h⁴/384 times the fourth derivative, at most 0.6). */
#define N_PLACES 32

typedef struct
{
  double value;
  double slope;   /* per place */
} Place;

/* The mean of a value plus noise that is rounded to whole steps: by how much it is above the whole step below, looked up by how
 * far the value is from the edge between two steps, as it does not matter between which two. */
typedef struct
{
  guint16 step;
  gboolean is_fine;     /* rounding leaves the mean alone */
  double steps_per_code;
  double places_per_step;
  double cubic[N_PLACES + 1][4];
} Rounding;

struct _ShimJpegLoss
{
  guint n_roundings;
  Rounding roundings[SHIM_JPEG_COEFFICIENTS];
  guint which[SHIM_JPEG_COEFFICIENTS];
};

/* Rows of the orthonormal cosine transform (ITU-T T.81 section A.3.3) of eight values. */
static const Spectrum *
cosines (void)
{
  static Spectrum rows[SHIM_JPEG_SIDE];
  static gsize ready = 0;

  if (g_once_init_enter (&ready))
    {
      for (int k = 0; k < SHIM_JPEG_SIDE; k++)
        for (int i = 0; i < SHIM_JPEG_SIDE; i++)
          rows[k][i] = (k == 0 ? sqrt (0.125) : 0.5) * cos ((2 * i + 1) * k * G_PI / (2 * SHIM_JPEG_SIDE));
      g_once_init_leave (&ready, 1);
    }
  return rows;
}

static void
transform (const double *values, Spectrum spectrum)
{
  const Spectrum *rows = cosines ();

  for (int k = 0; k < SHIM_JPEG_SIDE; k++)
    {
      double sum = 0.0;

      for (int i = 0; i < SHIM_JPEG_SIDE; i++)
        sum += values[i] * rows[k][i];
      spectrum[k] = sum;
    }
}

static double
normal_below (double z)
{
  return 0.5 * erfc (-z * M_SQRT1_2);
}

static double
normal_density (double z)
{
  return exp (-0.5 * z * z) * M_2_SQRTPI * M_SQRT1_2 / 2.0;
}

/* @w: how far below the first edge above 0, in standard deviations of the noise; the edges lie @apart from each other, and
 * the places by @width. */
static Place
place_below_edge (double w, double apart, double width)
{
  Place place = { 0.0, 0.0 };

  for (double edge = 0.0; edge < apart + NORMAL_END; edge += apart)
    {
      place.value += normal_below (-w - edge) - normal_below (w - apart - edge);
      place.slope -= width * (normal_density (w + edge) + normal_density (w - apart - edge));
    }
  return place;
}

static void
rounding_init (Rounding *self, guint16 step, double noise)
{
  const double apart = step / noise, reach = MIN (0.5 * apart, NORMAL_END);
  Place here, next;

  self->step = step;
  self->is_fine = step < FINE_STEP * noise;
  if (self->is_fine)
    return;
  self->steps_per_code = 1.0 / step;
  self->places_per_step = apart * N_PLACES / reach;
  here = place_below_edge (0.0, apart, reach / N_PLACES);
  for (guint i = 0; i <= N_PLACES; i++, here = next)
    {
      double *cubic = self->cubic[i], rise;

      next = place_below_edge ((i + 1) * reach / N_PLACES, apart, reach / N_PLACES);
      rise = next.value - here.value;
      cubic[0] = here.value;
      cubic[1] = here.slope;
      cubic[2] = 3.0 * rise - 2.0 * here.slope - next.slope;
      cubic[3] = here.slope + next.slope - 2.0 * rise;
    }
}

static inline double
mean_rounded (const Rounding *self, double size)
{
  const double steps = size * self->steps_per_code;
  const int nearest = (int) (steps + 0.5);
  const double off = steps - nearest, place = (0.5 - fabs (off)) * self->places_per_step;
  const int i = (int) place;
  double above = 0.0;

  if (i <= N_PLACES)
    {
      const double *cubic = self->cubic[i], t = place - i;

      above = cubic[0] + t * (cubic[1] + t * (cubic[2] + t * cubic[3]));
    }
  return self->step * (nearest + copysign (above, off));
}

/* The ticks along a block. */
typedef struct
{
  double at_phase[SHIM_JPEG_SIDE][N_PHASES];
  double most[SHIM_JPEG_SIDE];    /* at any phase */
  double squares[SHIM_JPEG_SIDE]; /* sum over the phases */
} Along;

/* A cosine at a phase is made of one cosine and one sine, and so is its spectrum. */
static void
along_init (Along *self, double cycles_per_px)
{
  double cosine[SHIM_JPEG_SIDE], sine[SHIM_JPEG_SIDE];
  Spectrum of_cosine, of_sine;

  for (int i = 0; i < SHIM_JPEG_SIDE; i++)
    {
      const double from_middle = i - 0.5 * (SHIM_JPEG_SIDE - 1);

      cosine[i] = cos (2.0 * G_PI * cycles_per_px * from_middle);
      sine[i] = sin (2.0 * G_PI * cycles_per_px * from_middle);
    }
  transform (cosine, of_cosine);
  transform (sine, of_sine);
  memset (self->squares, 0, sizeof self->squares);
  for (int p = 0; p < N_PHASES; p++)
    {
      const double phase = 0.5 * G_PI * (p + 0.5) / N_PHASES, c = cos (phase), s = sin (phase);

      for (int k = 0; k < SHIM_JPEG_SIDE; k++)
        {
          self->at_phase[k][p] = c * of_cosine[k] - s * of_sine[k];
          self->squares[k] += self->at_phase[k][p] * self->at_phase[k][p];
        }
    }
  for (int k = 0; k < SHIM_JPEG_SIDE; k++)
    self->most[k] = hypot (of_cosine[k], of_sine[k]);
}

/* Adds @n blocks that lie alike under the lane. */
static void
add_blocks (const ShimJpegLoss *self, double amplitude, const Along *along, const Spectrum across, guint n, double *kept,
            double *whole)
{
  const double negligible = NEGLIGIBLE * amplitude;
  double kept_here = 0.0, whole_here = 0.0, fine_here = 0.0;

  for (int h = 0; h < SHIM_JPEG_SIDE; h++)
    for (int k = 0; k < SHIM_JPEG_SIDE; k++)
      {
        const Rounding *rounding = &self->roundings[self->which[k * SHIM_JPEG_SIDE + h]];
        const double amplitude_across = amplitude * across[h];

        if (fabs (amplitude_across) * along->most[k] < negligible)
          continue;
        if (rounding->is_fine)
          {
            fine_here += amplitude_across * amplitude_across * along->squares[k];
            continue;
          }
        for (int p = 0; p < N_PHASES; p++)
          {
            /* what is negative is rounded alike */
            const double size = fabs (amplitude_across * along->at_phase[k][p]);

            if (size < negligible)
              continue;
            kept_here += size * mean_rounded (rounding, size);
            whole_here += size * size;
          }
      }
  *kept += n * (kept_here + fine_here);
  *whole += n * (whole_here + fine_here);
}

/* How much of each column of the block that begins at @left lies in the lane. Returns whether all of them do. */
static gboolean
lane_in_block (const ShimJpegTicks *ticks, double left, Spectrum across)
{
  double share[SHIM_JPEG_SIDE];

  for (int i = 0; i < SHIM_JPEG_SIDE; i++)
    share[i] = CLAMP (MIN (ticks->to_px, left + i + 1.0) - MAX (ticks->from_px, left + i), 0.0, 1.0);
  transform (share, across);
  return ticks->from_px <= left && ticks->to_px >= left + SHIM_JPEG_SIDE;
}

/**
 * shim_jpeg_loss_new:
 * @steps: (array fixed-size=64): step of each coefficient, codes (0..255) of the file, [frequency along the ruler × 8 + frequency
 *   across]; 0 = unknown
 * @noise: standard deviation of a pixel before compression, codes
 *
 * Returns: (transfer full): what such compression does
 */
ShimJpegLoss *
shim_jpeg_loss_new (const guint16 *steps, double noise)
{
  ShimJpegLoss *self;

  g_return_val_if_fail (steps != NULL && noise > 0.0, NULL);

  self = g_new (ShimJpegLoss, 1);
  self->n_roundings = 0;
  for (guint i = 0; i < SHIM_JPEG_COEFFICIENTS && steps[0] != 0; i++)
    {
      guint at = 0;

      while (at < self->n_roundings && self->roundings[at].step != steps[i])
        at++;
      if (at == self->n_roundings)
        rounding_init (&self->roundings[self->n_roundings++], steps[i], noise);
      self->which[i] = at;
    }
  return self;
}

/**
 * shim_jpeg_loss_free:
 * @self: (transfer full) (nullable): a loss
 */
void
shim_jpeg_loss_free (ShimJpegLoss *self)
{
  g_free (self);
}

/**
 * shim_jpeg_loss_keep:
 * @self: what compression does
 * @ticks: a lane of ticks
 *
 * Returns: the share of the ticks' amplitude that compression leaves on average, 1 where nothing is known
 */
double
shim_jpeg_loss_keep (const ShimJpegLoss *self, const ShimJpegTicks *ticks)
{
  Spectrum across, across_inside;
  Along along;
  double kept = 0.0, whole = 0.0;
  guint n_inside = 0;

  g_return_val_if_fail (self != NULL && ticks != NULL, 1.0);

  if (self->n_roundings == 0 || !(ticks->amplitude > 0.0) || !(ticks->to_px > ticks->from_px))
    return 1.0;
  along_init (&along, ticks->cycles_per_px);
  for (double left = SHIM_JPEG_SIDE * floor (ticks->from_px / SHIM_JPEG_SIDE); left < ticks->to_px; left += SHIM_JPEG_SIDE)
    if (!lane_in_block (ticks, left, across))
      add_blocks (self, ticks->amplitude, &along, across, 1, &kept, &whole);
    else if (n_inside++ == 0)
      memcpy (across_inside, across, sizeof across);
  if (n_inside > 0)
    add_blocks (self, ticks->amplitude, &along, across_inside, n_inside, &kept, &whole);
  return whole > 0.0 ? kept / whole : 1.0;
}
