/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-psf.h"

#include <math.h>

/* Rings the aperture is cut into when the lens has spherical aberration. */
#define N_RINGS 12
/* A disc smaller than this is a point, pixels. */
#define POINT_PX 1e-4

static void
set_disc (FrameDisc *disc, double radius, double growth, double weight)
{
  gboolean flip = radius < 0.0;

  disc->radius = MAX (fabs (radius), POINT_PX);
  disc->growth = flip ? -growth : growth;
  disc->weight = weight;
}

/* A ring of light between two radii of the same sign, as the difference of two discs. */
static int
add_ring (FrameDisc *discs, double r_in, double r_out, double growth_in, double growth_out, double share)
{
  double spread;

  /* Where the rays turn back, the ring is thin; the difference of the discs must not vanish. */
  if (fabs (r_out - r_in) < 0.04 * fabs (r_in))
    r_out = r_in * (r_out / r_in < 1.0 ? 0.96 : 1.04);
  spread = r_out * r_out - r_in * r_in;
  if (fabs (spread) < POINT_PX * POINT_PX)
    {
      set_disc (&discs[0], r_out, growth_out, share);
      return 1;
    }
  set_disc (&discs[0], r_out, growth_out, share * r_out * r_out / spread);
  set_disc (&discs[1], r_in, growth_in, -share * r_in * r_in / spread);
  return 2;
}

/* The part of a ring whose rays land between the axis and @radius, about as many at each distance from it: two discs
 * that have its mean square, radius^2 / 3. */
static int
add_cone (FrameDisc *discs, double radius, double growth, double share)
{
  set_disc (&discs[0], radius, growth, share * 5.0 / 9.0);
  set_disc (&discs[1], radius / 2.0, growth / 2.0, share * 4.0 / 9.0);
  return 2;
}

/**
 * frame_psf_discs:
 * @radius: signed radius of the blur circle, pixels
 * @growth: its change per pixel down the picture
 * @aberration: transverse spherical aberration of the aperture's edge, pixels
 * @discs: (out): the discs whose sum is the image of a point
 *
 * Without aberration one disc. With it, a ray through the aperture at the share p of its radius lands at
 * r(p) = d p + k p^3 from the centre. The rms of r over the aperture is least at d = -2k/3; the defocus is counted from
 * there, so that the truth stays the plane of least rms blur. Each ring of the aperture becomes a ring of light; a ring
 * whose rays cross the axis becomes two cones.
 *
 * Returns: the number of discs
 */
int
frame_psf_discs (double radius, double growth, double aberration, FrameDisc discs[FRAME_MAX_DISCS])
{
  double d = radius - 2.0 / 3.0 * aberration;
  int n = 0;

  if (aberration == 0.0)
    {
      set_disc (&discs[0], radius, growth, 1.0);
      return 1;
    }
  for (int i = 0; i < N_RINGS; i++)
    {
      double inner = (double) i / N_RINGS, outer = (i + 1.0) / N_RINGS;
      double r_in = d * inner + aberration * inner * inner * inner;
      double r_out = d * outer + aberration * outer * outer * outer;

      if (r_in * r_out < 0.0)
        {
          double crossing = -d / aberration;

          n += add_cone (discs + n, r_in, growth * inner, crossing - inner * inner);
          n += add_cone (discs + n, r_out, growth * outer, outer * outer - crossing);
        }
      else
        n += add_ring (discs + n, r_in, r_out, growth * inner, growth * outer, outer * outer - inner * inner);
    }
  return n;
}

/* Twice the area of a unit half disc between its middle and @t. */
static double
half_area (double t)
{
  return t * sqrt (MAX (0.0, 1.0 - t * t)) + asin (t);
}

/**
 * frame_psf_strip:
 * @radius: of a disc
 * @low: lower border of a strip across it, from its centre
 * @high: upper border
 * @half_width: (out): half the mean length of the disc's chords within the strip
 *
 * Returns: the share of the disc's area within the strip
 */
double
frame_psf_strip (double radius, double low, double high, double *half_width)
{
  double a = CLAMP (low / radius, -1.0, 1.0);
  double b = CLAMP (high / radius, -1.0, 1.0);
  double share = (half_area (b) - half_area (a)) / G_PI;

  *half_width = b > a ? share * G_PI * radius / (2.0 * (b - a)) : 0.0;
  return share;
}

/**
 * frame_psf_taps:
 * @sigma: of a Gaussian, pixels
 * @shift: the light lands this many pixels further
 * @over: cells per pixel
 * @first: (out): first cell of the kernel, relative to the pixel's first cell
 * @count: (out): number of cells
 *
 * The Gaussian convolved with the pixel's own square, for cells taken as points. The taps sum to 1.
 *
 * Returns: (transfer full) (array length=count): the taps
 */
float *
frame_psf_taps (double sigma, double shift, int over, int *first, int *count)
{
  double reach = 4.5 * sigma + 0.5;
  double width = MAX (sigma, 1e-3) * G_SQRT2;
  double sum = 0.0;
  float *taps;

  *first = (int) floor ((0.5 - shift - reach) * over);
  *count = (int) ceil ((0.5 - shift + reach) * over) - *first + 1;
  taps = g_new (float, *count);
  for (int i = 0; i < *count; i++)
    {
      double away = (*first + i + 0.5) / over + shift - 0.5;
      double tap = erf ((away + 0.5) / width) - erf ((away - 0.5) / width);

      taps[i] = (float) tap;
      sum += tap;
    }
  for (int i = 0; i < *count; i++)
    taps[i] = (float) (taps[i] / sum);
  return taps;
}
