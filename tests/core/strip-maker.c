/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>

#include "strip-maker.h"

#define TICK_WIDTH_MM 0.2
#define INK 0.1
#define PAPER 0.6
#define N_CHORDS 24
#define WIDTH_PX 14

void
strip_recipe_init (StripRecipe *recipe)
{
  *recipe = (StripRecipe) {
    .ticks = 300, .v_sharp = 480.0, .kappa = 0.012, .softness = 0.6, .noise = 0.006, .level = 1.0,
    .hand_lo = INFINITY, .hand_hi = INFINITY, .seed = 1,
  };
}

static void
make_lattice (const StripRecipe *recipe, ShimLattice *lattice)
{
  /* The ticks draw together by a sixth over 300 mm, as at 50 times the focal length. */
  const double perspective = 1.2e-4;

  *lattice = (ShimLattice) {
    .v_ref = STRIP_V_FIRST, .u0 = 50.0, .lane_width_px = WIDTH_PX - 4.0, .edge_side = -1, .edge_px = WIDTH_PX / 2.0,
    .tick_mm = 1.0, .dark_ticks = !recipe->light_ticks, .dark_known = TRUE, .map = { 0.0, STRIP_MM_PER_PX, perspective },
    .first_is_end = TRUE, .last_is_end = TRUE, .n_ticks = (guint) recipe->ticks + 1,
    .long_every = recipe->long_px > 0 ? 5 : 10,
    .first_reading_mm = 0.0, .last_reading_mm = recipe->ticks,
  };
  lattice->v_first = shim_lattice_v_at (lattice, 0.0);
  lattice->v_last = shim_lattice_v_at (lattice, recipe->ticks);
  lattice->v_seen_lo = lattice->v_first;
  lattice->v_seen_hi = lattice->v_last;
}

/* Share of ink seen by a pixel through a Gaussian at v: a difference of integrals of the error function for each edge, in the
 * tick's own scale. */
static double
edge_integral (double x, double sigma)
{
  double z = x / (sigma * M_SQRT2);

  return 0.5 * x * (1.0 + erf (z)) + sigma / sqrt (2.0 * G_PI) * exp (-z * z);
}

static double
ink_at (const StripRecipe *recipe, const ShimLattice *lattice, double v, int every)
{
  const double nearest = every * round (shim_lattice_reading (lattice, v) / every);
  double ink = 0.0;

  for (double tick = nearest - 3.0 * every; tick <= nearest + 3.0 * every; tick += every)
    {
      const double wide = fmod (fabs (tick), 5.0) == 0.0 ? 0.04 : 0.0;
      const double a = shim_lattice_v_at (lattice, tick - 0.5 * (TICK_WIDTH_MM + wide)) - v;
      const double b = shim_lattice_v_at (lattice, tick + 0.5 * (TICK_WIDTH_MM + wide)) - v;

      if (tick < 0.0 || tick > recipe->ticks)
        continue;
      ink += edge_integral (b + 0.5, recipe->softness) - edge_integral (b - 0.5, recipe->softness)
             - edge_integral (a + 0.5, recipe->softness) + edge_integral (a - 0.5, recipe->softness);
    }
  return ink;
}

/* Gauss–Chebyshev rule of the second kind: its weight function is the disc's chord length. */
static double
blurred_ink_at (const StripRecipe *recipe, const ShimLattice *lattice, double v, int every)
{
  const double radius = 0.5 * recipe->kappa * fabs (v - recipe->v_sharp);
  double sum = 0.0;

  for (int i = 1; i <= N_CHORDS; i++)
    {
      const double angle = i * G_PI / (N_CHORDS + 1);

      sum += 2.0 / (N_CHORDS + 1) * sin (angle) * sin (angle) * ink_at (recipe, lattice, v + radius * cos (angle), every);
    }
  return sum;
}

static double
light_at (const StripRecipe *recipe, const ShimStrip *strip, int row, double ink)
{
  const double v = strip->v_first + row + 0.5;

  if (v >= recipe->hand_lo && v <= recipe->hand_hi)
    return 0.2 + 0.05 * sin (0.3 * v);
  return (recipe->light_ticks ? INK + (PAPER - INK) * ink : PAPER - (PAPER - INK) * ink)
         + recipe->glare_slope * PAPER * row / strip->n_v;
}

ShimStrip *
strip_make (const StripRecipe *recipe, ShimLattice *lattice)
{
  ShimStrip *strip = g_new0 (ShimStrip, 1);
  gsl_rng *random = gsl_rng_alloc (gsl_rng_mt19937);

  make_lattice (recipe, lattice);
  gsl_rng_set (random, recipe->seed);
  strip->v_first = (int) lattice->v_first - 20;
  strip->n_v = (int) (lattice->v_last - lattice->v_first) + 40;
  strip->n_u = WIDTH_PX + recipe->long_px;
  strip->u_first = g_new (int, strip->n_v);
  strip->px = g_new (float, (gsize) strip->n_v * strip->n_u);
  for (int i = 0; i < strip->n_v; i++)
    {
      const double v = strip->v_first + i + 0.5;
      const double ink[2] = { blurred_ink_at (recipe, lattice, v, 1),
                              recipe->long_px > 0 ? blurred_ink_at (recipe, lattice, v, 5) : 0.0 };

      strip->u_first[i] = 50 - WIDTH_PX / 2;
      for (int j = 0; j < strip->n_u; j++)
        strip->px[i * strip->n_u + j] = (float) CLAMP (recipe->level * light_at (recipe, strip, i, ink[j >= WIDTH_PX])
                                                       + gsl_ran_gaussian (random, recipe->noise), 0.0, 1.0);
    }
  gsl_rng_free (random);
  return strip;
}

/* A row's or column's neighbour so many pixels on; the outermost stand for what lies beyond. */
static float
px_at (const float *px, const ShimStrip *strip, int row, int column)
{
  return px[CLAMP (row, 0, strip->n_v - 1) * strip->n_u + CLAMP (column, 0, strip->n_u - 1)];
}

/**
 * strip_sharpen:
 * @strip: a strip
 * @share: how much is added of what the picture has and its blurred copy has not
 *
 * Unsharp masking as cameras do it, pixel by pixel: the copy is blurred by a Gaussian of one pixel.
 */
void
strip_sharpen (ShimStrip *strip, double share)
{
  enum { REACH = 4 };
  const gsize n = (gsize) strip->n_v * strip->n_u;
  g_autofree float *along = g_new0 (float, n);
  g_autofree float *blurred = g_new0 (float, n);
  double weight[2 * REACH + 1], sum = 0.0;

  for (int k = -REACH; k <= REACH; k++)
    sum += weight[k + REACH] = exp (-0.5 * k * k);
  for (int pass = 0; pass < 2; pass++)
    for (int i = 0; i < strip->n_v; i++)
      for (int j = 0; j < strip->n_u; j++)
        for (int k = -REACH; k <= REACH; k++)
          (pass == 0 ? along : blurred)[i * strip->n_u + j]
            += (float) (weight[k + REACH] / sum * (pass == 0 ? px_at (strip->px, strip, i + k, j) : px_at (along, strip, i, j + k)));
  for (gsize i = 0; i < n; i++)
    strip->px[i] += (float) share * (strip->px[i] - blurred[i]);
}
