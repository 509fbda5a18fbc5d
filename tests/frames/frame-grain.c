/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-grain.h"

#include <math.h>

/* Random numbers that depend on a place alone, so that a picture may be made in any order: the finishing steps of
 * SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014). */
static inline guint64
mix (guint64 z)
{
  z = (z ^ (z >> 30)) * G_GUINT64_CONSTANT (0xbf58476d1ce4e5b9);
  z = (z ^ (z >> 27)) * G_GUINT64_CONSTANT (0x94d049bb133111eb);
  return z ^ (z >> 31);
}

/* 64 random bits for a place. */
guint64
frame_hash (guint64 seed, guint64 x, guint64 y)
{
  const guint64 golden = G_GUINT64_CONSTANT (0x9e3779b97f4a7c15);

  return mix (mix (mix (seed + golden) + x * golden) + y * golden);
}

/* The n-th random number between 0 and 1 of a row. */
double
frame_random (guint64 seed, guint64 n)
{
  return (frame_hash (seed, n, 77) >> 11) * 0x1p-53;
}

static double
corner (guint64 seed, double x, double y)
{
  return (frame_hash (seed, (guint64) (gint64) x, (guint64) (gint64) y) >> 40) * 0x1p-24;
}

/**
 * frame_grain:
 * @seed: which grain
 * @x: place, in grains
 * @y: likewise
 *
 * Returns: a smooth random value between 0 and 1
 */
double
frame_grain (guint64 seed, double x, double y)
{
  double x0 = floor (x), y0 = floor (y), fx = x - x0, fy = y - y0;

  fx = fx * fx * (3.0 - 2.0 * fx);
  fy = fy * fy * (3.0 - 2.0 * fy);
  return (1.0 - fy) * ((1.0 - fx) * corner (seed, x0, y0) + fx * corner (seed, x0 + 1.0, y0))
         + fy * ((1.0 - fx) * corner (seed, x0, y0 + 1.0) + fx * corner (seed, x0 + 1.0, y0 + 1.0));
}

#define N_NORMAL 65536

/* Quantiles of the normal distribution, by Newton's method, scaled to variance 1. */
static gpointer
make_normal_table (gpointer unused)
{
  float *table = g_new (float, N_NORMAL);
  double square = 0.0;
  double x = -4.3;

  for (int i = 0; i < N_NORMAL / 2; i++)
    {
      double share = (i + 0.5) / N_NORMAL;

      /* Newton's steps from the last quantile, which is near. */
      for (int k = 0; k < 8; k++)
        x -= (0.5 * erfc (-x * G_SQRT2 / 2.0) - share) / (exp (-0.5 * x * x) / sqrt (2.0 * G_PI));
      table[i] = (float) x;
      table[N_NORMAL - 1 - i] = (float) -x;
      square += 2.0 * x * x;
    }
  for (int i = 0; i < N_NORMAL; i++)
    table[i] = (float) (table[i] / sqrt (square / N_NORMAL));
  return table;
}

/* A standard normal number from the lowest 16 of some random bits. */
float
frame_normal (guint bits)
{
  static GOnce once = G_ONCE_INIT;

  g_once (&once, make_normal_table, NULL);
  return ((const float *) once.retval)[bits % N_NORMAL];
}
