/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-clutter.h"

#include "frame-grain.h"

#include <math.h>

/* What stands around a ruler in a real room. Everything lies beside the set-up or behind it. */

/* Free room at each side of the scene's origin, mm: the card to the left, the ruler to the right. */
#define LEFT_MM 135.0
#define RIGHT_MM 55.0
/* A blur wider than this needs no finer cells than the pixels. */
#define WIDE_BLUR_PX 6.0

typedef struct
{
  FrameClutter kind;
  double width;
  double height;
  double period; /* of the texture, mm */
  guint64 seed;
  FrameColour light;
  FrameColour dark;
} Thing;

static FrameColour
mixed (const Thing *thing, double ink)
{
  FrameColour colour = thing->light + (float) CLAMP (ink, 0.0, 1.0) * (thing->dark - thing->light);

  colour[3] = 1.0f;
  return colour;
}

/* Share of a patch covered by stripes that fill @fill of each period. */
static double
stripes (double x, double dx, double period, double fill)
{
  double a = (x - dx / 2.0) / period, b = (x + dx / 2.0) / period;
  double to_a = floor (a) * fill + MIN (a - floor (a), fill), to_b = floor (b) * fill + MIN (b - floor (b), fill);

  return (to_b - to_a) / (b - a);
}

static FrameColour
shade_checker (const Thing *thing, double u, double v, double du, double dv)
{
  double a = stripes (u, du, 2.0 * thing->period, 0.5), b = stripes (v, dv, 2.0 * thing->period, 0.5);

  return mixed (thing, a * (1.0 - b) + b * (1.0 - a));
}

static FrameColour
shade_blind (const Thing *thing, double u, double v, double du, double dv)
{
  double slat = v / thing->period - floor (v / thing->period);

  return mixed (thing, 0.35 * slat + stripes (v, dv, thing->period, 0.22));
}

static FrameColour
shade_books (const Thing *thing, double u, double v, double du, double dv)
{
  int back = (int) floor (u / thing->period);
  double from_edge = u - back * thing->period;
  double height = thing->height * (0.75 + 0.25 * frame_random (thing->seed, 3 * back));
  float tone = (float) (0.05 + 0.5 * frame_random (thing->seed, 3 * back + 1));
  float tint = (float) (frame_random (thing->seed, 3 * back + 2) - 0.5);
  FrameColour colour = { tone * (1.0f + tint), tone, tone * (1.0f - tint), 1.0f };
  double cover = frame_overlap (v, dv, 0.0, height);
  double band = frame_overlap (v, dv, 0.75 * height, 0.79 * height) + frame_overlap (v, dv, 0.15 * height, 0.17 * height);
  double gap = frame_overlap (from_edge, du, -0.5, 1.2);

  colour = colour + (float) CLAMP (band, 0.0, 1.0) * (thing->light - colour);
  colour *= (float) (1.0 - 0.85 * gap);
  colour[3] = 1.0f;
  return colour * (float) cover;
}

/* Lines of words of strokes. */
static FrameColour
shade_text (const Thing *thing, double u, double v, double du, double dv)
{
  double margin = 0.1 * thing->width;
  int line = (int) floor (v / thing->period), letter = (int) floor (u / (0.36 * thing->period));
  double in_line = v - line * thing->period, in_letter = u - letter * 0.36 * thing->period;
  guint64 bits = frame_hash (thing->seed, line, letter);
  double tall = (bits & 3) == 0 ? 0.62 : 0.42;
  double ink;

  if (u < margin || u > thing->width - margin || v < margin || v > thing->height - margin || (bits >> 4) % 6 == 0
      || frame_random (thing->seed, line) * thing->width * 1.6 < u)
    return mixed (thing, 0.0);
  ink = frame_overlap (in_letter, du, 0.0, 0.09 * thing->period)
        + ((bits >> 8) & 1) * frame_overlap (in_letter, du, 0.2 * thing->period, 0.28 * thing->period);
  return mixed (thing, ink * frame_overlap (in_line, dv, 0.2 * thing->period, (0.2 + tall) * thing->period));
}

static FrameColour
shade_keys (const Thing *thing, double u, double v, double du, double dv)
{
  return mixed (thing, stripes (u, du, thing->period, 0.84) * stripes (v, dv, thing->period, 0.82));
}

static FrameColour
shade_edges (const Thing *thing, double u, double v, double du, double dv)
{
  double rim = thing->period;
  double within = frame_overlap (u, du, rim, thing->width - rim) * frame_overlap (v, dv, rim, thing->height - rim);

  return mixed (thing, within);
}

static FrameColour
shade_grating (const Thing *thing, double u, double v, double du, double dv)
{
  return mixed (thing, stripes (v, dv, thing->period, 0.5) * frame_overlap (u, du, 4.0, thing->width - 4.0));
}

static FrameColour
shade_thing (gconstpointer data, double u, double v, double du, double dv)
{
  const Thing *thing = data;
  double cover = frame_overlap (u, du, 0.0, thing->width) * frame_overlap (v, dv, 0.0, thing->height);

  if (cover <= 0.0)
    return (FrameColour){ 0 };
  switch (thing->kind)
    {
    case FRAME_CLUTTER_CHECKER:
      return (float) cover * shade_checker (thing, u, v, du, dv);
    case FRAME_CLUTTER_BLIND:
      return (float) cover * shade_blind (thing, u, v, du, dv);
    case FRAME_CLUTTER_BOOKS:
      return (float) cover * shade_books (thing, u, v, du, dv);
    case FRAME_CLUTTER_TEXT:
      return (float) cover * shade_text (thing, u, v, du, dv);
    case FRAME_CLUTTER_KEYS:
      return (float) cover * shade_keys (thing, u, v, du, dv);
    case FRAME_CLUTTER_GRATING:
      return (float) cover * shade_grating (thing, u, v, du, dv);
    case FRAME_CLUTTER_EDGES:
    case FRAME_CLUTTER_ALL:
    default:
      return (float) cover * shade_edges (thing, u, v, du, dv);
    }
}

/* Sizes, mm: the least and what chance adds. Depth is counted from the target. */
typedef struct
{
  FrameClutter kind;
  double width[2];
  double height[2];
  double period[2];
  double depth[2];
  double tilt_deg; /* of the plane from upright */
  gboolean behind; /* may stand behind the ruler and the card */
  FrameColour light;
  FrameColour dark;
} Pattern;

static const Pattern patterns[] = {
  { FRAME_CLUTTER_BLIND, { 500, 300 }, { 350, 250 }, { 22, 25 }, { 400, 350 }, 0, TRUE,
    { 0.55f, 0.53f, 0.48f, 1 }, { 0.16f, 0.15f, 0.14f, 1 } },
  { FRAME_CLUTTER_EDGES, { 250, 300 }, { 200, 200 }, { 12, 16 }, { 300, 400 }, 0, TRUE,
    { 0.14f, 0.08f, 0.05f, 1 }, { 0.40f, 0.44f, 0.46f, 1 } },
  { FRAME_CLUTTER_CHECKER, { 120, 120 }, { 120, 120 }, { 6, 18 }, { -60, 360 }, 0, FALSE,
    { 0.75f, 0.75f, 0.75f, 1 }, { 0.03f, 0.03f, 0.03f, 1 } },
  { FRAME_CLUTTER_BOOKS, { 250, 200 }, { 190, 60 }, { 17, 20 }, { -20, 240 }, 0, FALSE,
    { 0.62f, 0.52f, 0.25f, 1 }, { 0.05f, 0.05f, 0.05f, 1 } },
  { FRAME_CLUTTER_TEXT, { 148, 62 }, { 210, 87 }, { 4.2, 3 }, { -40, 160 }, 0, FALSE,
    { 0.74f, 0.73f, 0.70f, 1 }, { 0.06f, 0.06f, 0.07f, 1 } },
  { FRAME_CLUTTER_KEYS, { 280, 160 }, { 115, 20 }, { 17, 3 }, { -120, 140 }, 62, FALSE,
    { 0.10f, 0.10f, 0.10f, 1 }, { 0.03f, 0.03f, 0.035f, 1 } },
  { FRAME_CLUTTER_GRATING, { 25, 30 }, { 90, 120 }, { 0.9, 1.4 }, { -40, 80 }, 0, FALSE,
    { 0.70f, 0.70f, 0.68f, 1 }, { 0.05f, 0.05f, 0.05f, 1 } },
};

static double
draw_between (const double range[2], guint64 seed, int n)
{
  return range[0] + range[1] * frame_random (seed, n);
}

/* Puts a thing somewhere: behind the set-up anywhere, else clear of card and ruler to the left or the right. */
static void
place (const Pattern *pattern, const Thing *thing, const FrameScene *scene, FrameSurface *surface)
{
  double tilt = pattern->tilt_deg * G_PI / 180.0;
  double away = 30.0 + 160.0 * frame_random (thing->seed, 10);
  double x = pattern->behind ? -900.0 + (1800.0 - thing->width) * frame_random (thing->seed, 10)
             : frame_random (thing->seed, 11) < 0.5 ? -LEFT_MM - away - thing->width
                                                    : RIGHT_MM + away;
  double y = -0.5 * thing->height + 320.0 * (frame_random (thing->seed, 12) - 0.5);

  *surface = (FrameSurface){
    .origin = { scene->shift_x_mm + x, scene->shift_y_mm + y,
                scene->distance_mm + draw_between (pattern->depth, thing->seed, 13) },
    .u_axis = { 1.0, 0.0, 0.0 },
    .v_axis = { 0.0, cos (tilt), sin (tilt) },
    .u1 = thing->width,
    .v1 = thing->height,
    .shade = shade_thing,
    .data = thing,
  };
}

static void
make_thing (const Pattern *pattern, const FrameScene *scene, Thing *thing)
{
  guint64 seed = frame_hash (scene->seed, 3, pattern->kind);

  *thing = (Thing){
    .kind = pattern->kind,
    .width = draw_between (pattern->width, seed, 0),
    .height = draw_between (pattern->height, seed, 1),
    .period = draw_between (pattern->period, seed, 2),
    .seed = seed,
    .light = pattern->light,
    .dark = pattern->dark,
  };
}

/**
 * frame_clutter_add:
 * @scene: the scene
 * @camera: its camera
 * @psf: what else blurs
 * @patches: (element-type FramePatch): gets what @scene asks for, the farthest kinds first
 */
void
frame_clutter_add (const FrameScene *scene, const FrameCamera *camera, const FramePsf *psf, GPtrArray *patches)
{
  for (guint i = 0; i < G_N_ELEMENTS (patterns); i++)
    {
      FrameSurface surface;
      Thing thing;

      if ((scene->clutter & patterns[i].kind) == 0)
        continue;
      make_thing (&patterns[i], scene, &thing);
      place (&patterns[i], &thing, scene, &surface);
      surface.over_x = fabs (frame_camera_blur_px (camera, surface.origin[2])) > WIDE_BLUR_PX ? 1 : 3;
      surface.over_y = surface.over_x;
      g_ptr_array_add (patches, frame_surface_render (&surface, camera, psf));
    }
}
