/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-tile.h"

#include <math.h>

#define N_CURVE 65536

/* The sRGB transfer function (IEC 61966-2-1). */
static gpointer
make_curve (gpointer unused)
{
  float *curve = g_new (float, N_CURVE);

  for (int i = 0; i < N_CURVE; i++)
    {
      double light = (double) i / (N_CURVE - 1);

      curve[i] = (float) (light <= 0.0031308 ? 12.92 * light : 1.055 * pow (light, 1.0 / 2.4) - 0.055);
    }
  return curve;
}

/* Turns linear light into sRGB values, 0 to 1; what is above 1 is clipped. */
void
frame_tile_encode (FrameTile *tile)
{
  static GOnce once = G_ONCE_INIT;
  const float *curve;

  g_once (&once, make_curve, NULL);
  curve = once.retval;
  for (int i = 0; i < tile->width * tile->height; i++)
    for (int c = 0; c < 3; c++)
      tile->pixels[i][c] = curve[(int) (CLAMP (tile->pixels[i][c], 0.0f, 1.0f) * (N_CURVE - 1) + 0.5f)];
}

/* Which colour a place of the mosaic sees: rows R G R G …, G B G B …. */
static inline int
mosaic_colour (int x, int y)
{
  return (x & 1) + (y & 1);
}

/* Mean of the two or four neighbours one or two steps away. */
static inline float
beside (const float *raw, int step)
{
  return 0.5f * (raw[-step] + raw[step]);
}

static void
demosaic_pixel (const float *raw, int stride, int x, int y, FrameColour *pixel)
{
  int colour = mosaic_colour (x, y);
  float across = beside (raw, 1), down = beside (raw, stride);
  float across2 = beside (raw, 2), down2 = beside (raw, 2 * stride);
  float diagonal = 0.5f * (beside (raw, stride + 1) + beside (raw, stride - 1));
  float here = raw[0];
  float bend = here - 0.5f * (across2 + down2);

  if (colour != 1)
    {
      (*pixel)[colour] = here;
      (*pixel)[1] = 0.5f * (across + down) + 0.5f * bend;
      (*pixel)[2 - colour] = diagonal + 0.75f * bend;
      return;
    }
  /* On a green place, the colour of its row and that of its column. */
  (*pixel)[1] = here;
  (*pixel)[(y & 1) ? 2 : 0] = across + (5.0f * here - 2.0f * across2 + down2 - 4.0f * diagonal) / 8.0f;
  (*pixel)[(y & 1) ? 0 : 2] = down + (5.0f * here - 2.0f * down2 + across2 - 4.0f * diagonal) / 8.0f;
}

/**
 * frame_tile_demosaic:
 * @tile: a tile in linear light
 *
 * Samples the tile through a colour mosaic and interpolates it with the linear filters of Malvar, He and Cutler,
 * "High-quality linear interpolation for demosaicing of Bayer-patterned color images" (ICASSP 2004; coefficients from
 * memory, each checked to keep even colours and straight gradients). A border of two pixels stays as it was.
 */
void
frame_tile_demosaic (FrameTile *tile)
{
  g_autofree float *raw = g_new (float, tile->width * tile->height);

  for (int y = 0; y < tile->height; y++)
    for (int x = 0; x < tile->width; x++)
      raw[y * tile->width + x] = tile->pixels[y * tile->width + x][mosaic_colour (tile->box.x0 + x, tile->box.y0 + y)];
  for (int y = 2; y < tile->height - 2; y++)
    for (int x = 2; x < tile->width - 2; x++)
      demosaic_pixel (raw + y * tile->width + x, tile->width, tile->box.x0 + x, tile->box.y0 + y,
                      &tile->pixels[y * tile->width + x]);
}

/* One pass of a Gaussian along rows (step 1) or columns (step = width); borders repeat. */
static void
blur_pass (const FrameColour *from, FrameColour *to, int n, int step, const float *taps, int reach)
{
  for (int i = 0; i < n; i++)
    {
      FrameColour sum = { 0 };

      for (int k = -reach; k <= reach; k++)
        sum += taps[k + reach] * from[CLAMP (i + k, 0, n - 1) * step];
      to[i * step] = sum;
    }
}

/**
 * frame_tile_sharpen:
 * @tile: an encoded tile
 * @amount: of unsharp masking
 * @sigma: of the mask's Gaussian, pixels
 *
 * What cameras do to their JPEGs: adds @amount times the difference between picture and blurred picture.
 */
void
frame_tile_sharpen (FrameTile *tile, double amount, double sigma)
{
  int reach = (int) ceil (3.0 * sigma), n = tile->width * tile->height;
  g_autofree float *taps = g_new (float, 2 * reach + 1);
  g_autofree FrameColour *half = g_new (FrameColour, n);
  g_autofree FrameColour *soft = g_new (FrameColour, n);
  float sum = 0.0f;

  for (int k = -reach; k <= reach; k++)
    sum += taps[k + reach] = (float) exp (-0.5 * k * k / (sigma * sigma));
  for (int k = 0; k <= 2 * reach; k++)
    taps[k] /= sum;
  for (int y = 0; y < tile->height; y++)
    blur_pass (tile->pixels + y * tile->width, half + y * tile->width, tile->width, 1, taps, reach);
  for (int x = 0; x < tile->width; x++)
    blur_pass (half + x, soft + x, tile->height, tile->width, taps, reach);
  for (int i = 0; i < n; i++)
    tile->pixels[i] += (float) amount * (tile->pixels[i] - soft[i]);
}
