/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-sensor.h"

G_BEGIN_DECLS

/**
 * FrameTile:
 *
 * A piece of the picture while it is worked on, with a border for the steps that look at neighbours.
 * @box: its place in the picture, border included
 * @width: of @box
 * @height: of @box
 * @pixels: linear light, later the encoded values
 */
typedef struct
{
  FrameBox box;
  int width;
  int height;
  FrameColour *pixels;
} FrameTile;

void frame_tile_demosaic (FrameTile *tile);
void frame_tile_encode   (FrameTile *tile);
void frame_tile_sharpen  (FrameTile *tile, double amount, double sigma);

G_END_DECLS
