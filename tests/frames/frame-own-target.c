/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-own-target.h"

#include <math.h>

#include "shim-own-target-measures.h"

/* A crack between card and strip, mm. */
#define CRACK_MM 0.6
#define CARD_HALF_MM (SHIM_OWN_HALF_MM * G_SQRT2 / 2.0)

static const FrameColour paper = { 0.76f, 0.76f, 0.75f, 1.0f };
static const FrameColour ink = { 0.030f, 0.030f, 0.030f, 1.0f };

static FrameColour
printed (double share, double cover)
{
  FrameColour colour = paper + (float) CLAMP (share, 0.0, 1.0) * (ink - paper);

  colour[3] = 1.0f;
  return colour * (float) cover;
}

static double
bar_ink (double r, double x, double dr, double dx)
{
  const double half = SHIM_OWN_BAR_WIDTH_MM / 2.0;
  double sum = 0.0;

  for (int i = (int) ceil (r - dr / 2.0 - half); i <= (int) floor (r + dr / 2.0 + half); i++)
    if (ABS (i) <= SHIM_OWN_TICKS && i % SHIM_OWN_BAR_EVERY == 0)
      sum += frame_overlap (r, dr, i - half, i + half);
  return sum * frame_overlap (x, dx, SHIM_OWN_BAR_X_MM, SHIM_OWN_BAR_X_MM + SHIM_OWN_BAR_MM);
}

/* Share of a patch on the strip that is black; @x from the fold beside the card. */
static double
strip_ink (double r, double x, double dr, double dx)
{
  static const double bars[][2] = SHIM_OWN_TRACK_BARS;
  const double half = SHIM_OWN_TICK_WIDTH_MM / 2.0;
  double sum = 0.0, track = 0.0;

  for (int i = (int) ceil (r - dr / 2.0 - half); i <= (int) floor (r + dr / 2.0 + half); i++)
    if (ABS (i) <= SHIM_OWN_TICKS)
      {
        const double length = i % 10 == 0 ? SHIM_OWN_TICK_10_MM : i % 5 == 0 ? SHIM_OWN_TICK_5_MM : SHIM_OWN_TICK_MM;

        sum += frame_overlap (r, dr, i - half, i + half)
               * frame_overlap (x, dx, SHIM_OWN_TICK_X_MM, SHIM_OWN_TICK_X_MM + length);
      }
  for (guint i = 0; i < G_N_ELEMENTS (bars); i++)
    track += frame_overlap (r, dr, bars[i][0], bars[i][1]);
  return sum + bar_ink (r, x, dr, dx) + track * frame_overlap (x, dx, SHIM_OWN_TRACK_X_MM, SHIM_OWN_TRACK_X_MM + SHIM_OWN_TRACK_WIDTH_MM);
}

static FrameColour
shade_strip (gconstpointer data, double u, double v, double du, double dv)
{
  const double cover = frame_overlap (u, du, -SHIM_OWN_HALF_MM, SHIM_OWN_HALF_MM)
                       * frame_overlap (v, dv, 0.0, SHIM_OWN_WIDTH_MM);

  return cover > 0.0 ? printed (strip_ink (u, v, du, dv), cover) : (FrameColour){ 0 };
}

static double
ring_ink (double x, double y, double size, double radius, double thickness, const double (*arcs)[2], guint n_arcs)
{
  const double r = hypot (x, y), angle = atan2 (y, x) * 180.0 / G_PI;
  double share = 0.0;

  for (guint i = 0; i < n_arcs; i++)
    for (int turn = -1; turn <= 1; turn++)
      share += frame_overlap ((angle + 360.0 * turn) * G_PI / 180.0 * r, size, arcs[i][0] * G_PI / 180.0 * r,
                              arcs[i][1] * G_PI / 180.0 * r);
  return share * frame_overlap (r, size, radius - thickness / 2.0, radius + thickness / 2.0);
}

/* x and y from the card's middle, right and up. */
static double
face_ink (double x, double y, double du, double dv)
{
  static const double ring[][2] = SHIM_OWN_RING_ARCS, hub[][2] = SHIM_OWN_HUB_ARCS;
  const double size = MAX (du, dv), side = SHIM_OWN_CARD_WIDTH_MM / 2.0 - SHIM_OWN_DISC_X_MM;
  const double half = SHIM_OWN_BARS_HALF_MM, period = SHIM_OWN_BARS_PERIOD_MM;
  double share = ring_ink (x, y, size, SHIM_OWN_RING_RADIUS_MM, SHIM_OWN_RING_WIDTH_MM, ring, G_N_ELEMENTS (ring));

  share += ring_ink (x, y, size, SHIM_OWN_HUB_RADIUS_MM, SHIM_OWN_HUB_WIDTH_MM, hub, G_N_ELEMENTS (hub));
  share += frame_overlap (hypot (fabs (x) - side, y), size, -SHIM_OWN_DISC_RADIUS_MM, SHIM_OWN_DISC_RADIUS_MM);
  for (double at = -half; at + period / 2.0 <= half; at += period)
    share += frame_overlap (x, du, at, at + period / 2.0) * frame_overlap (y, dv, SHIM_OWN_BARS_FROM_MM, SHIM_OWN_BARS_TO_MM);
  for (double at = SHIM_OWN_BARS_FROM_MM; at + period / 2.0 <= SHIM_OWN_BARS_TO_MM; at += period)
    share += frame_overlap (-y, dv, at, at + period / 2.0) * frame_overlap (x, du, -half, half);
  return share;
}

static FrameColour
shade_card (gconstpointer data, double u, double v, double du, double dv)
{
  const double w = SHIM_OWN_CARD_WIDTH_MM;
  const double cover = frame_overlap (u, du, 0.0, w) * frame_overlap (v, dv, -CARD_HALF_MM, CARD_HALF_MM);

  return cover > 0.0 ? printed (face_ink (u - w / 2.0, v, du, dv), cover) : (FrameColour){ 0 };
}

/**
 * frame_own_card_surface:
 * @scene: a scene
 * @surface: (out): the printed card; scene->own_card_up_mm lifts it out of its place
 */
void
frame_own_card_surface (const FrameScene *scene, FrameSurface *surface)
{
  const double edge = frame_scene_edge_x_mm (scene) - CRACK_MM;

  *surface = (FrameSurface){
    .origin = { edge - SHIM_OWN_CARD_WIDTH_MM, scene->shift_y_mm + scene->own_card_up_mm, scene->distance_mm },
    .u_axis = { 1.0, 0.0, 0.0 },
    .v_axis = { 0.0, 1.0, 0.0 },
    .u1 = SHIM_OWN_CARD_WIDTH_MM,
    .v0 = -CARD_HALF_MM,
    .v1 = CARD_HALF_MM,
    .over_x = 4,
    .over_y = 4,
    .shade = shade_card,
  };
}

/**
 * frame_own_strip_surface:
 * @scene: a scene
 * @surface: (out): the printed strip: u = r, v = x of its measures
 */
void
frame_own_strip_surface (const FrameScene *scene, FrameSurface *surface)
{
  const double angle = scene->angle_deg * G_PI / 180.0;
  const double mm_px = scene->distance_mm * frame_scene_pitch_mm (scene) / scene->focal_mm / sin (angle);

  *surface = (FrameSurface){ .over_x = 4, .shade = shade_strip };
  surface->over_y = CLAMP ((int) ceil (19.0 * mm_px), 4, 12);
  surface->u_axis[1] = sin (angle);
  surface->u_axis[2] = cos (angle);
  surface->v_axis[0] = 1.0;
  frame_scene_on_edge (scene, scene->aligned_mm, surface->origin);
  surface->u0 = -SHIM_OWN_HALF_MM;
  surface->u1 = SHIM_OWN_HALF_MM;
  surface->v1 = SHIM_OWN_WIDTH_MM;
}
