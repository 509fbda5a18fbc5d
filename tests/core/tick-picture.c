/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "normal-numbers.h"
#include "tick-picture.h"

#define RAYS_X 4
#define RAYS_Y 8
#define TICK_WIDTH_MM 0.2
#define BLANK_MM 4.0
#define STRIP_MM 30.0
#define GROUND 0.2
#define NEAR_MM 2.0

/* Reading and distance from the tick edge, mm, of what is seen at a place of the picture (before it is turned). */
static void
meet_ruler (const TickPicture *self, double x, double y, double *reading, double *beside)
{
  const double roll = self->roll_deg * G_PI / 180.0, angle = self->angle_deg * G_PI / 180.0;
  const double px = x - 0.5 * self->width, py = -(y - 0.5 * self->height);
  const double rx = px * cos (roll) - py * sin (roll), ry = px * sin (roll) + py * cos (roll);
  const double d_y = self->away * sin (angle), d_z = self->away * cos (angle);

  *reading = ry * self->distance_mm / (self->image_px * d_y - ry * d_z);
  *beside = rx / self->image_px * (self->distance_mm + *reading * d_z) - self->left_mm;
}

/**
 * tick_picture_reading:
 * @self: a picture
 * @x: column, pixels of the picture as stored
 * @y: row
 *
 * Returns: the reading that is seen there, mm
 */
double
tick_picture_reading (const TickPicture *self, double x, double y)
{
  double reading, beside;

  meet_ruler (self, self->turned ? y : x, self->turned ? x : y, &reading, &beside);
  return reading;
}

static double
tick_length (const TickPicture *self, int tick)
{
  const double unit = 4.0 * self->tick_mm;

  if (tick % ((self->long_again > 0 ? self->long_again : 2) * self->long_every) == 0)
    return 2.0 * unit;
  return tick % self->long_every == 0 ? 1.5 * unit : unit;
}

static double
light_at (const TickPicture *self, double x, double y)
{
  double reading, beside;
  int tick;

  meet_ruler (self, x, y, &reading, &beside);
  if (beside < 0.0 || beside > STRIP_MM || reading < self->first * self->tick_mm - BLANK_MM ||
      reading > self->last * self->tick_mm + BLANK_MM)
    return GROUND;
  tick = (int) lrint (reading / self->tick_mm);
  if (tick < self->first || tick > self->last || beside > tick_length (self, tick))
    return self->paper;
  return fabs (reading - tick * self->tick_mm) < 0.5 * TICK_WIDTH_MM * self->tick_mm ? self->ink : self->paper;
}

static double
pixel_light (const TickPicture *self, int x, int y)
{
  double sum = 0.0, reading, beside;

  meet_ruler (self, x + 0.5, y + 0.5, &reading, &beside);
  if (beside < -NEAR_MM || beside > STRIP_MM + NEAR_MM ||
      reading < self->first * self->tick_mm - BLANK_MM - NEAR_MM ||
      reading > self->last * self->tick_mm + BLANK_MM + NEAR_MM)
    return GROUND;
  for (int j = 0; j < RAYS_Y; j++)
    for (int i = 0; i < RAYS_X; i++)
      sum += light_at (self, x + (i + 0.5) / RAYS_X, y + (j + 0.5) / RAYS_Y);
  return sum / (RAYS_X * RAYS_Y);
}

/**
 * tick_picture_draw:
 * @self: what to draw
 * @luma: (out): the pixels, which belong to the returned block
 *
 * Returns: (transfer full): the block to be freed with g_free()
 */
guint8 *
tick_picture_draw (const TickPicture *self, ShimLuma *luma)
{
  const int width = self->turned ? self->height : self->width, height = self->turned ? self->width : self->height;
  guint8 *px = g_malloc ((gsize) width * height);
  g_autoptr (GRand) random = g_rand_new_with_seed (20410077);

  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      {
        const double light = pixel_light (self, self->turned ? y : x, self->turned ? x : y);
        /* The sRGB curve, IEC 61966-2-1. */
        const double value = 255.0 * (light <= 0.0031308 ? 12.92 * light : 1.055 * pow (light, 1.0 / 2.4) - 0.055);

        px[(gsize) y * width + x] = (guint8) CLAMP (lrint (value + self->noise * normal_number (random)), 0, 255);
      }
  *luma = (ShimLuma) { { 0, 0, width, height }, width, height, (gsize) width, px };
  return px;
}
