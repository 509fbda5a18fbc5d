/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-card.h"

#include <math.h>

/* The card, mm; its right edge ends this far left of the scene's origin. */
#define CARD_WIDTH 112.0
#define CARD_HEIGHT 150.0
#define CARD_GAP 2.0
#define BLOB_LENGTH 34.0
#define BLOB_WIDTH 15.0

static const FrameColour card_white = { 0.76f, 0.76f, 0.75f, 1.0f };
static const FrameColour card_black = { 0.030f, 0.030f, 0.030f, 1.0f };

/* Share of a patch of @size that lies within @radius of a centre @distance away; straight edge taken. */
static double
inside (double distance, double radius, double size)
{
  return frame_overlap (distance, size, -radius, radius);
}

/* Bars of equal width and gap. */
static double
bars (double x, double dx, double first, double last, double period)
{
  double ink = 0.0;

  for (double start = first; start < last; start += period)
    ink += frame_overlap (x, dx, start, start + period / 2.0);
  return ink;
}

/* A ring with a cross in the middle, a block of upright bars above, one of lying bars below, feet at the corners. */
static FrameColour
shade_card (gconstpointer data, double u, double v, double du, double dv)
{
  double cover = frame_overlap (u, du, 0.0, CARD_WIDTH) * frame_overlap (v, dv, 0.0, CARD_HEIGHT);
  double x = u - CARD_WIDTH / 2.0, y = v - CARD_HEIGHT / 2.0, size = MAX (du, dv);
  double radius = hypot (x, y);
  double ink = inside (radius, 34.0, size) - inside (radius, 27.0, size);
  FrameColour colour;

  if (cover <= 0.0)
    return (FrameColour){ 0 };
  ink += frame_overlap (x, du, -20.0, 20.0) * frame_overlap (y, dv, -2.5, 2.5)
         + frame_overlap (x, du, -2.5, 2.5)
               * (frame_overlap (y, dv, -20.0, -2.5) + frame_overlap (y, dv, 2.5, 20.0));
  ink += bars (x, du, -40.0, 40.0, 10.0) * frame_overlap (y, dv, 44.0, 62.0);
  ink += frame_overlap (x, du, -40.0, 35.0) * bars (y, dv, -62.0, -42.0, 8.0);
  ink += (frame_overlap (fabs (x), du, 46.0, 52.0)) * (frame_overlap (fabs (y), dv, 65.0, 71.0));
  colour = card_white + (float) CLAMP (ink, 0.0, 1.0) * (card_black - card_white);
  colour[3] = 1.0f;
  return colour * (float) cover;
}

/* The target card: upright, flat, its face at the target's depth. */
void
frame_card_surface (const FrameScene *scene, FrameSurface *surface)
{
  *surface = (FrameSurface){
    .origin = { scene->shift_x_mm - CARD_GAP - CARD_WIDTH, scene->shift_y_mm - CARD_HEIGHT / 2.0, scene->distance_mm },
    .u_axis = { 1.0, 0.0, 0.0 },
    .v_axis = { 0.0, 1.0, 0.0 },
    .u1 = CARD_WIDTH,
    .v1 = CARD_HEIGHT,
    .over_x = 4,
    .over_y = 4,
    .shade = shade_card,
  };
}

/* A rounded thing the colour of skin. */
static FrameColour
shade_blob (gconstpointer data, double u, double v, double du, double dv)
{
  double x = MAX (0.0, fabs (u - BLOB_LENGTH / 2.0) - (BLOB_LENGTH - BLOB_WIDTH) / 2.0);
  double distance = hypot (x, v - BLOB_WIDTH / 2.0) / (BLOB_WIDTH / 2.0);
  double cover = CLAMP ((1.0 - distance) * BLOB_WIDTH / 2.0 / MAX (du, dv) + 0.5, 0.0, 1.0);
  float light = (float) (0.55 + 0.45 * sqrt (MAX (0.0, 1.0 - distance * distance)));
  FrameColour colour = { 0.50f * light, 0.29f * light, 0.21f * light, 1.0f };

  return colour * (float) cover;
}

/* A finger across the tick edge at scene->blob_mm, 6 mm in front of the ruler. */
void
frame_blob_surface (const FrameScene *scene, FrameSurface *surface)
{
  double at[3];
  double into = scene->edge == FRAME_EDGE_AWAY ? -1.0 : 1.0;

  frame_scene_on_edge (scene, scene->blob_mm, at);
  *surface = (FrameSurface){
    .origin = { at[0] - into * (BLOB_LENGTH - 13.0), at[1] - BLOB_WIDTH / 2.0, at[2] - 6.0 },
    .u_axis = { into, 0.0, 0.0 },
    .v_axis = { 0.0, 1.0, 0.0 },
    .u1 = BLOB_LENGTH,
    .v1 = BLOB_WIDTH,
    .over_x = 2,
    .over_y = 2,
    .shade = shade_blob,
  };
}
