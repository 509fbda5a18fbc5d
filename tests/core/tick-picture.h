/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-luma.h"

G_BEGIN_DECLS

/**
 * TickPicture:
 *
 * A picture of a ruler as a pinhole camera sees it: rays through the picture are met with the ruler's plane in
 * space, so that nothing of the program's own map is used. No blur; pixels are averaged over 4 × 8 rays.
 * @width: columns
 * @height: rows
 * @image_px: distance of the image plane, pixels
 * @distance_mm: depth of reading 0, which lies on the optical axis's height
 * @angle_deg: between ruler and axis
 * @away: +1: readings grow away from the camera and up the picture, −1: nearer and down
 * @left_mm: the tick edge lies this far to the right of the axis
 * @roll_deg: camera rolled
 * @turned: the picture is stored turned by a quarter (rows and columns swapped)
 * @tick_mm: finest ticks
 * @long_every: every so many of them is longer …
 * @long_again: … and every so many of those longer again; 0 = every second
 * @first: first tick, in ticks
 * @last: last tick
 * @ink: linear light of the ticks
 * @paper: and of what is between them
 * @noise: standard deviation of the 8-bit values
 */
typedef struct
{
  int width;
  int height;
  double image_px;
  double distance_mm;
  double angle_deg;
  int away;
  double left_mm;
  double roll_deg;
  gboolean turned;
  double tick_mm;
  int long_every;
  int long_again;
  int first;
  int last;
  double ink;
  double paper;
  double noise;
} TickPicture;

#define TICK_PICTURE_PLAIN \
  { .width = 900, .height = 1200, .image_px = 8500.0, .distance_mm = 2500.0, .angle_deg = 45.0, .away = 1, \
    .left_mm = 5.0, .tick_mm = 1.0, .long_every = 5, .first = -140, .last = 150, .ink = 0.03, .paper = 0.6, .noise = 1.0 }

guint8 *tick_picture_draw    (const TickPicture *self, ShimLuma *luma);
double  tick_picture_reading (const TickPicture *self, double x, double y);

G_END_DECLS
