/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-surface.h"

#include "frame-psf.h"

#include <math.h>
#include <string.h>

/* How a surface is drawn.
 *
 * The sharp surface is shaded on a grid of cells finer than the pixels, each cell the mean over its own patch. A cell at
 * depth z spreads evenly over a disc of radius |g(z)|. On a plane g is affine in the picture's coordinates, so the disc
 * depends only on the cell's row, or, where a leaning plane is rolled or distorted, on row and column, where it is taken
 * as constant over BLOCK cells (its change there is below a hundredth of a pixel). For each row of the disc the sum over a
 * chord is the difference of two running sums: exact for the cells, with no aperture points at all, hence the same and
 * symmetrical for every cell. The share of light per row is the exact area of the disc's strip.
 *
 * What a ray tracer gathers at a place p from cells s differs from this by the foreshortening of the leaning plane as
 * seen from the rim of the aperture, the factor 1 - (s - p) g'/g; it is applied, so that an even surface stays even.
 * Softness, shake and the pixel's own square then act on the cells, and only then pixels are taken. */

#define BLOCK 32
/* Room between the running sums' ends and the cells that are summed. */
#define SPARE 3

typedef struct
{
  const FrameSurface *surface;
  const FrameCamera *camera;
  const FramePsf *psf;
  double normal[3];
  double height; /* normal . origin */
  FramePatch *patch;
  int pad_px; /* cells reach this many pixels beyond the patch */
  int width;  /* cells */
  int rows;
  int reach_x; /* cells at each side that are only light sources */
  int reach_y;
  int n_blocks;
  float *radius;        /* rows x n_blocks */
  FrameColour *running; /* rows x (width + 1) */
  int *first_lit;       /* rows: the cells with anything in them */
  int *last_lit;
} Draw;

/* The point (u, v) of a surface in space. */
void
frame_surface_point (const FrameSurface *surface, double u, double v, double xyz[3])
{
  for (int i = 0; i < 3; i++)
    xyz[i] = surface->origin[i] + u * surface->u_axis[i] + v * surface->v_axis[i];
}

static double
dot (const double a[3], const double b[3])
{
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/* Where the chief ray of a place in the picture meets the surface's plane. */
static double
hit (const Draw *draw, double x, double y, double *u, double *v)
{
  double ray[3] = { 0.0, 0.0, 1.0 };
  double z;

  frame_camera_ray (draw->camera, x, y, &ray[0], &ray[1]);
  z = draw->height / dot (draw->normal, ray);
  *u = z * dot (ray, draw->surface->u_axis) - dot (draw->surface->origin, draw->surface->u_axis);
  *v = z * dot (ray, draw->surface->v_axis) - dot (draw->surface->origin, draw->surface->v_axis);
  return z;
}

static double
cell_x (const Draw *draw, double i)
{
  return draw->patch->x - draw->pad_px + (i + 0.5) / draw->surface->over_x;
}

static double
cell_y (const Draw *draw, double i)
{
  return draw->patch->y - draw->pad_px + (i + 0.5) / draw->surface->over_y;
}

/* The picture's part that a surface can reach; the outline is followed, because distortion bends it. */
static FramePatch *
find_patch (const Draw *draw, int *pad)
{
  const FrameSurface *s = draw->surface;
  double x0 = G_MAXDOUBLE, x1 = -G_MAXDOUBLE, y0 = G_MAXDOUBLE, y1 = -G_MAXDOUBLE, blur = 0.0;
  FramePatch *patch = g_new0 (FramePatch, 1);

  for (int i = 0; i < 64; i++)
    {
      double along = (i % 16) / 15.0, xyz[3], x, y;
      double u = i < 16 ? s->u0 : i < 32 ? s->u1 : s->u0 + along * (s->u1 - s->u0);
      double v = i < 32 ? s->v0 + along * (s->v1 - s->v0) : i < 48 ? s->v0 : s->v1;

      frame_surface_point (s, u, v, xyz);
      frame_camera_project (draw->camera, xyz, &x, &y);
      x0 = MIN (x0, x);
      x1 = MAX (x1, x);
      y0 = MIN (y0, y);
      y1 = MAX (y1, y);
      blur = MAX (blur, fabs (frame_camera_blur_px (draw->camera, xyz[2])) / 2.0);
    }
  *pad = (int) ceil (blur + fabs (draw->psf->aberration_px) + 4.5 * draw->psf->softness_px + draw->psf->shake_px / 2) + 2;
  patch->x = MAX (0, (int) floor (x0) - *pad);
  patch->y = MAX (0, (int) floor (y0) - *pad);
  patch->width = MAX (0, MIN ((int) (2 * draw->camera->cx), (int) ceil (x1) + *pad) - patch->x);
  patch->height = MAX (0, MIN ((int) (2 * draw->camera->cy), (int) ceil (y1) + *pad) - patch->y);
  patch->pixels = g_new0 (FrameColour, MAX (1, (gsize) patch->width * patch->height));
  return patch;
}

/* Shades one row of cells and sums it up from the left. */
static void
shade_row (Draw *draw, int row)
{
  const FrameSurface *s = draw->surface;
  FrameColour *running = draw->running + (gsize) row * (draw->width + 1);
  FrameColour sum = { 0 };
  double y = cell_y (draw, row), middle = cell_x (draw, draw->width / 2.0);
  double u, v, ux, vx, uy, vy, du, dv;

  hit (draw, middle, y, &u, &v);
  hit (draw, middle + 1.0 / s->over_x, y, &ux, &vx);
  hit (draw, middle, y + 1.0 / s->over_y, &uy, &vy);
  du = fabs (ux - u) + fabs (uy - u);
  dv = fabs (vx - v) + fabs (vy - v);
  running[0] = sum;
  draw->first_lit[row] = draw->width;
  draw->last_lit[row] = -1;
  for (int i = 0; i < draw->width; i++)
    {
      hit (draw, cell_x (draw, i), y, &u, &v);
      if (u > s->u0 - du && u < s->u1 + du && v > s->v0 - dv && v < s->v1 + dv)
        {
          sum += s->shade (s->data, u, v, du, dv);
          draw->first_lit[row] = MIN (draw->first_lit[row], i);
          draw->last_lit[row] = i;
        }
      running[i + 1] = sum;
    }
}

static void
fill_radius (Draw *draw)
{
  for (int row = 0; row < draw->rows; row++)
    for (int block = 0; block < draw->n_blocks; block++)
      {
        double u, v;
        double x = draw->n_blocks == 1 ? draw->width / 2.0 : block * BLOCK + BLOCK / 2.0;
        double z = hit (draw, cell_x (draw, x), cell_y (draw, row), &u, &v);

        draw->radius[row * draw->n_blocks + block] = (float) (frame_camera_blur_px (draw->camera, z) / 2.0);
      }
}

/* Adds @gain times the sum over @half cells to each side of cells 0 to @n. */
static inline void
add_run (FrameColour *restrict out, const FrameColour *restrict running, int n, double half, float gain)
{
  int high = (int) floor (0.5 + half), low = (int) floor (0.5 - half);
  float h1 = gain * (float) (0.5 + half - high), h0 = gain - h1;
  float l1 = gain * (float) (0.5 - half - low), l0 = gain - l1;

  for (int i = 0; i < n; i++)
    out[i] += h0 * running[i + high] + h1 * running[i + high + 1] - l0 * running[i + low] - l1 * running[i + low + 1];
}

/* Adds the light that one row of cells throws on cells @from to @to of another. */
static void
add_disc (const Draw *draw, FrameColour *out, int from, int to, int row, int source, const FrameDisc *disc)
{
  const FrameColour *running = draw->running + (gsize) source * (draw->width + 1);
  int reach = (int) ceil (disc->radius * draw->surface->over_x) + 2;
  double cells = disc->radius * draw->surface->over_y;
  int cuts = cells < 1.0 ? 6 : cells < 3.0 ? 3 : cells < 8.0 ? 2 : 1;
  double step = 1.0 / (draw->surface->over_y * cuts);
  double first = (double) (source - row) / draw->surface->over_y - 0.5 / draw->surface->over_y;

  from = MAX (from, draw->first_lit[source] - reach);
  to = MIN (to, draw->last_lit[source] + reach);
  for (int i = 0; i < cuts && from < to; i++)
    {
      double low = first + i * step, half;
      double share = frame_psf_strip (disc->radius, low, low + step, &half);

      if (share <= 0.0)
        continue;
      half = MAX (half * draw->surface->over_x, 1e-2);
      share *= disc->weight * (1.0 - (low + step / 2.0) * disc->growth / disc->radius);
      add_run (out + from, running + from, to - from, half, (float) (share / (2.0 * half)));
    }
}

/* Blurs one row of cells, from reach_x to width - reach_x. */
static void
blur_row (const Draw *draw, int row, FrameColour *out)
{
  int end = draw->width - draw->reach_x;
  int step = draw->n_blocks == 1 ? draw->width : BLOCK;

  for (int block = 0; block < draw->n_blocks; block++)
    {
      int from = MAX (block * step, draw->reach_x), to = MIN ((block + 1) * step, end);
      const float *radius = draw->radius + block;
      double largest = fabs (radius[row * draw->n_blocks]) + fabs (draw->psf->aberration_px);
      int reach = MIN (draw->reach_y, (int) ceil (1.05 * largest * draw->surface->over_y) + 1);

      if (from >= to)
        continue;
      for (int source = MAX (1, row - reach); source <= MIN (row + reach, draw->rows - 1); source++)
        {
          FrameDisc discs[FRAME_MAX_DISCS];
          double here = radius[source * draw->n_blocks];
          double growth = (here - radius[(source - 1) * draw->n_blocks]) * draw->surface->over_y;
          int n_discs;

          if (draw->last_lit[source] < 0)
            continue;
          n_discs = frame_psf_discs (here, growth, draw->psf->aberration_px, discs);
          for (int i = 0; i < n_discs; i++)
            add_disc (draw, out, from, to, row, source, &discs[i]);
        }
    }
}

/* Gathers the cells of one row into pixels: softness, smear and the pixel's square. */
static void
collect_row (const Draw *draw, int row, const FrameColour *cells, FrameColour *line, double shift_x, double shift_y,
             float gain)
{
  int over_x = draw->surface->over_x, over_y = draw->surface->over_y, first_x, n_x, first_y, n_y;
  g_autofree float *taps_x = frame_psf_taps (draw->psf->softness_px, shift_x, over_x, &first_x, &n_x);
  g_autofree float *taps_y = frame_psf_taps (draw->psf->softness_px, shift_y, over_y, &first_y, &n_y);
  FramePatch *patch = draw->patch;
  int from = (row - first_y - n_y + 1 - draw->pad_px * over_y) / over_y - 1;

  for (int x = 0; x < patch->width; x++)
    {
      const FrameColour *cell = cells + (x + draw->pad_px) * over_x + first_x;
      FrameColour sum = { 0 };

      for (int i = 0; i < n_x; i++)
        sum += taps_x[i] * cell[i];
      line[x] = sum;
    }
  for (int y = MAX (from, 0); y < patch->height; y++)
    {
      int tap = row - (y + draw->pad_px) * over_y - first_y;
      FrameColour *pixels = patch->pixels + (gsize) y * patch->width;

      if (tap < 0)
        break;
      if (tap >= n_y)
        continue;
      for (int x = 0; x < patch->width; x++)
        pixels[x] += gain * taps_y[tap] * line[x];
    }
}

static void
draw_rows (Draw *draw)
{
  int n_shifts = draw->psf->shake_px > 0.0 ? (int) ceil (draw->psf->shake_px * 4.0) | 1 : 1;
  double right = draw->psf->shake_px * cos (draw->psf->shake_deg * G_PI / 180.0);
  double down = -draw->psf->shake_px * sin (draw->psf->shake_deg * G_PI / 180.0);
  g_autofree FrameColour *cells = g_new (FrameColour, draw->width);
  g_autofree FrameColour *line = g_new (FrameColour, draw->patch->width);

  for (int row = draw->reach_y; row < draw->rows - draw->reach_y; row++)
    {
      memset (cells, 0, sizeof (FrameColour) * draw->width);
      blur_row (draw, row, cells);
      for (int i = 0; i < n_shifts; i++)
        {
          double share = (i + 0.5) / n_shifts - 0.5;

          collect_row (draw, row, cells, line, share * right, share * down, 1.0f / n_shifts);
        }
    }
}

static void
init_grid (Draw *draw, int reach_px)
{
  const FrameSurface *s = draw->surface;
  gboolean straight = draw->camera->sin_roll == 0.0 && draw->camera->k1 == 0.0;
  gboolean even = draw->normal[0] == 0.0 && (straight || draw->normal[1] == 0.0);

  draw->pad_px = 2 * reach_px + SPARE;
  draw->width = (draw->patch->width + 2 * draw->pad_px) * s->over_x;
  draw->rows = (draw->patch->height + 2 * draw->pad_px) * s->over_y;
  draw->reach_x = (reach_px + 1) * s->over_x;
  draw->reach_y = (reach_px + 1) * s->over_y;
  draw->n_blocks = even ? 1 : (draw->width + BLOCK - 1) / BLOCK;
  draw->radius = g_new (float, (gsize) draw->rows * draw->n_blocks);
  draw->running = g_new (FrameColour, (gsize) draw->rows * (draw->width + 1));
  draw->first_lit = g_new (int, draw->rows);
  draw->last_lit = g_new (int, draw->rows);
}

/**
 * frame_surface_render:
 * @surface: a surface in front of the camera
 * @camera: the camera
 * @psf: what else blurs
 *
 * Draws the surface as the lens does, before light, noise and rendering to 8 bits.
 *
 * Returns: (transfer full): its part of the picture
 */
FramePatch *
frame_surface_render (const FrameSurface *surface, const FrameCamera *camera, const FramePsf *psf)
{
  Draw draw = { .surface = surface, .camera = camera, .psf = psf };
  const double *u = surface->u_axis, *v = surface->v_axis;
  int reach_px;

  draw.normal[0] = u[1] * v[2] - u[2] * v[1];
  draw.normal[1] = u[2] * v[0] - u[0] * v[2];
  draw.normal[2] = u[0] * v[1] - u[1] * v[0];
  draw.height = dot (draw.normal, surface->origin);
  draw.patch = find_patch (&draw, &reach_px);
  if (draw.patch->width == 0 || draw.patch->height == 0)
    return draw.patch;
  init_grid (&draw, reach_px);
  fill_radius (&draw);
  for (int row = 0; row < draw.rows; row++)
    shade_row (&draw, row);
  draw_rows (&draw);
  g_free (draw.radius);
  g_free (draw.running);
  g_free (draw.first_lit);
  g_free (draw.last_lit);
  return draw.patch;
}

void
frame_patch_free (FramePatch *patch)
{
  g_free (patch->pixels);
  g_free (patch);
}
