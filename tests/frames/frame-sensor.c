/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-sensor.h"

#include "frame-grain.h"
#include "frame-tile.h"

#include <math.h>

#define TILE 512
/* Border of a tile: two pixels of interpolation and the reach of sharpening. */
#define BORDER 10
/* The background is worked out at every GRID-th pixel. */
#define GRID 64
#define FADE_PX 200.0

typedef struct
{
  const FrameScene *scene;
  GPtrArray *patches;
  const FrameBox *lively;
  int width;
  int height;
  float full_scale;
  guint8 *rgb;
} Sensor;

/**
 * frame_sensor_full_scale:
 * @scene: a scene
 *
 * 32000 electrons for a pixel of 6 micrometres at the lowest speeds, 900 at ISO 6400; less for smaller pixels.
 *
 * Returns: electrons at linear level 1
 */
double
frame_sensor_full_scale (const FrameScene *scene)
{
  double pitch = frame_scene_pitch_mm (scene) / 0.006;

  return MIN (32000.0, 900.0 * 6400.0 / scene->iso) * pitch * pitch;
}

/* Electrons, rms. */
double
frame_sensor_read_noise (void)
{
  return 3.0;
}

/* The wall behind: slow changes of brightness and tint only. */
static FrameColour
wall (const FrameScene *scene, double x, double y)
{
  double size = 900.0 * scene->width_px / 6000.0;
  float light = (float) (scene->background * (0.85 + 0.3 * frame_grain (scene->seed + 11, x / size, y / size)));
  float tint = (float) (0.04 * (frame_grain (scene->seed + 12, 0.6 * x / size, 0.6 * y / size) - 0.5));

  return (FrameColour){ light * (1.0f + tint), light, light * (0.99f - tint), 1.0f };
}

/* The grid is fixed to the picture, not to the tile, so that tiles join. */
static void
fill_wall (const Sensor *sensor, FrameTile *tile)
{
  int left = (tile->box.x0 + GRID) / GRID * GRID - GRID, top = (tile->box.y0 + GRID) / GRID * GRID - GRID;
  int columns = (tile->box.x1 - left) / GRID + 2, rows = (tile->box.y1 - top) / GRID + 2;
  g_autofree FrameColour *grid = g_new (FrameColour, columns * rows);

  for (int j = 0; j < rows; j++)
    for (int i = 0; i < columns; i++)
      grid[j * columns + i] = wall (sensor->scene, left + i * GRID, top + j * GRID);
  for (int y = 0; y < tile->height; y++)
    for (int x = 0; x < tile->width; x++)
      {
        int gx = tile->box.x0 - left + x, gy = tile->box.y0 - top + y;
        const FrameColour *at = grid + gy / GRID * columns + gx / GRID;
        float fx = (float) (gx % GRID) / GRID, fy = (float) (gy % GRID) / GRID;

        tile->pixels[y * tile->width + x] = (1.0f - fy) * ((1.0f - fx) * at[0] + fx * at[1])
                                            + fy * ((1.0f - fx) * at[columns] + fx * at[columns + 1]);
      }
}

static gboolean
meet (const FrameBox *a, const FrameBox *b, FrameBox *both)
{
  *both = (FrameBox){ MAX (a->x0, b->x0), MAX (a->y0, b->y0), MIN (a->x1, b->x1), MIN (a->y1, b->y1) };
  return both->x0 < both->x1 && both->y0 < both->y1;
}

/* Lays a patch over what lies behind it. */
static void
lay_patch (FrameTile *tile, const FramePatch *patch)
{
  FrameBox place = { patch->x, patch->y, patch->x + patch->width, patch->y + patch->height };
  FrameBox both;

  if (!meet (&tile->box, &place, &both))
    return;
  for (int y = both.y0; y < both.y1; y++)
    {
      const FrameColour *from = patch->pixels + (gsize) (y - patch->y) * patch->width - patch->x;
      FrameColour *to = tile->pixels + (gsize) (y - tile->box.y0) * tile->width - tile->box.x0;

      for (int x = both.x0; x < both.x1; x++)
        to[x] = from[x] + (1.0f - from[x][3]) * to[x];
    }
}

/* Exposure, falling light, stray light. */
static void
light_tile (const Sensor *sensor, FrameTile *tile)
{
  const FrameScene *scene = sensor->scene;
  double size = 300.0 * scene->focal_mm / scene->distance_mm / frame_scene_pitch_mm (scene);
  float across = (float) (scene->uneven * cos (scene->uneven_deg * G_PI / 180.0) / size);
  float down = (float) (-scene->uneven * sin (scene->uneven_deg * G_PI / 180.0) / size);
  float exposure = (float) scene->exposure, veil = (float) scene->veil;

  for (int y = 0; y < tile->height; y++)
    for (int x = 0; x < tile->width; x++)
      {
        float fall = 1.0f - across * (tile->box.x0 + x - sensor->width / 2.0f)
                     - down * (tile->box.y0 + y - sensor->height / 2.0f);
        FrameColour *pixel = &tile->pixels[y * tile->width + x];

        *pixel = *pixel * (exposure * CLAMP (fall, 0.15f, 1.85f)) + veil;
      }
}

/* How much noise a place gets: all of it near the scene, none far away unless it is wanted everywhere. */
static float
noise_share (const Sensor *sensor, int x, int y)
{
  int dx = MAX (MAX (sensor->lively->x0 - x, x - sensor->lively->x1), 0);
  int dy = MAX (MAX (sensor->lively->y0 - y, y - sensor->lively->y1), 0);

  if (sensor->scene->noise_everywhere)
    return 1.0f;
  return (float) MAX (0.0, 1.0 - MAX (dx, dy) / FADE_PX);
}

static void
add_noise (const Sensor *sensor, FrameTile *tile)
{
  float full = sensor->full_scale;
  float read = (float) (frame_sensor_read_noise () * frame_sensor_read_noise ());

  for (int y = 0; y < tile->height; y++)
    for (int x = 0; x < tile->width; x++)
      {
        FrameColour *pixel = &tile->pixels[y * tile->width + x];
        guint64 bits = frame_hash (sensor->scene->seed, tile->box.x0 + x + BORDER, tile->box.y0 + y + BORDER);
        float share = noise_share (sensor, tile->box.x0 + x, tile->box.y0 + y) / full;

        for (int c = 0; c < 3; c++)
          (*pixel)[c] += share * sqrtf (MAX ((*pixel)[c], 0.0f) * full + read)
                         * frame_normal ((bits >> (16 * c)) & 0xffff);
      }
}

static void
store_tile (const Sensor *sensor, const FrameTile *tile, const FrameBox *inner)
{
  for (int y = inner->y0; y < inner->y1; y++)
    {
      const FrameColour *from = tile->pixels + (gsize) (y - tile->box.y0) * tile->width - tile->box.x0;
      guint8 *to = sensor->rgb + 3 * (gsize) y * sensor->width;

      for (int x = inner->x0; x < inner->x1; x++)
        for (int c = 0; c < 3; c++)
          to[3 * x + c] = (guint8) (CLAMP (from[x][c], 0.0f, 1.0f) * 255.0f + 0.5f);
    }
}

/* Whether there is anything in a tile but the smooth wall. */
static gboolean
is_lively (const Sensor *sensor, const FrameBox *box)
{
  FrameBox reach = { sensor->lively->x0 - (int) FADE_PX, sensor->lively->y0 - (int) FADE_PX,
                     sensor->lively->x1 + (int) FADE_PX, sensor->lively->y1 + (int) FADE_PX };
  FrameBox both;

  return sensor->scene->noise_everywhere || meet (box, &reach, &both);
}

static void
develop_tile (const Sensor *sensor, const FrameBox *inner, FrameTile *tile)
{
  const FrameScene *scene = sensor->scene;
  gboolean lively;

  tile->box = (FrameBox){ inner->x0 - BORDER, inner->y0 - BORDER, inner->x1 + BORDER, inner->y1 + BORDER };
  lively = is_lively (sensor, &tile->box);
  if (!lively)
    tile->box = *inner;
  tile->width = tile->box.x1 - tile->box.x0;
  tile->height = tile->box.y1 - tile->box.y0;
  fill_wall (sensor, tile);
  for (guint i = 0; i < sensor->patches->len; i++)
    lay_patch (tile, sensor->patches->pdata[i]);
  light_tile (sensor, tile);
  if (lively && scene->noise)
    add_noise (sensor, tile);
  if (lively && scene->bayer)
    frame_tile_demosaic (tile);
  frame_tile_encode (tile);
  if (lively && scene->sharpening != 0.0)
    frame_tile_sharpen (tile, scene->sharpening, scene->sharpening_px);
  store_tile (sensor, tile, inner);
}

/**
 * frame_sensor_develop:
 * @scene: the scene
 * @patches: (element-type FramePatch): what is in front of the wall, the farthest first
 * @lively: the part of the picture that gets noise and sharpening for certain
 * @rgb: (out caller-allocates): the picture, upright, 3 bytes per pixel
 */
void
frame_sensor_develop (const FrameScene *scene, GPtrArray *patches, const FrameBox *lively, guint8 *rgb)
{
  Sensor sensor = { .scene = scene, .patches = patches, .lively = lively, .rgb = rgb };
  g_autofree FrameColour *pixels = g_new (FrameColour, (TILE + 2 * BORDER) * (TILE + 2 * BORDER));
  FrameTile tile = { .pixels = pixels };

  frame_scene_canvas (scene, &sensor.width, &sensor.height);
  sensor.full_scale = (float) frame_sensor_full_scale (scene);
  for (int y = 0; y < sensor.height; y += TILE)
    for (int x = 0; x < sensor.width; x += TILE)
      {
        FrameBox inner = { x, y, MIN (x + TILE, sensor.width), MIN (y + TILE, sensor.height) };

        develop_tile (&sensor, &inner, &tile);
      }
}
