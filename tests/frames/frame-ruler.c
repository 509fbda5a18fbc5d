/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-ruler.h"

#include "frame-digits.h"
#include "frame-grain.h"

#include <math.h>

/* Bare strip beyond the first and the last tick, mm. */
#define BLANK_MM 4.0
#define NUMERAL_MM 4.4
#define MAX_SCRATCHES 12
/* Half the length of the bright spot of a lamp's reflection, mm. */
#define GLARE_SIGMA_MM 28.0

typedef struct
{
  int every;
  double width_mm;
  double length_mm;
} Tick;

typedef struct
{
  double pitch_mm;
  double numeral_mm; /* from one numeral to the next */
  Tick ticks[5];     /* the coarsest first, the last is for every tick */
} Graduation;

static const Graduation graduations[] = {
  [FRAME_SCALE_MM] = { 1.0, 10.0, { { 10, 0.28, 8.0 }, { 5, 0.24, 6.0 }, { 1, 0.20, 4.0 } } },
  [FRAME_SCALE_HALF_MM] = { 0.5, 10.0, { { 20, 0.24, 8.0 }, { 10, 0.20, 6.5 }, { 2, 0.17, 5.0 }, { 1, 0.13, 3.2 } } },
  [FRAME_SCALE_TENTHS] = { 2.54, 25.4, { { 10, 0.36, 10.0 }, { 5, 0.32, 7.5 }, { 1, 0.26, 5.0 } } },
  [FRAME_SCALE_SIXTEENTHS] = {
      1.5875,
      25.4,
      { { 16, 0.36, 11.0 }, { 8, 0.32, 9.0 }, { 4, 0.28, 7.5 }, { 2, 0.25, 6.0 }, { 1, 0.22, 4.0 } },
  },
};

static const FrameColour papers[] = {
  [FRAME_MATERIAL_PLASTIC] = { 0.72f, 0.70f, 0.63f, 1.0f },
  [FRAME_MATERIAL_STEEL] = { 0.46f, 0.47f, 0.49f, 1.0f },
  [FRAME_MATERIAL_DARK] = { 0.050f, 0.052f, 0.056f, 1.0f },
  [FRAME_MATERIAL_WOOD] = { 0.56f, 0.36f, 0.17f, 1.0f },
};
static const FrameColour inks[] = {
  [FRAME_MATERIAL_PLASTIC] = { 0.035f, 0.035f, 0.038f, 1.0f },
  [FRAME_MATERIAL_STEEL] = { 0.040f, 0.040f, 0.040f, 1.0f },
  [FRAME_MATERIAL_DARK] = { 0.62f, 0.62f, 0.60f, 1.0f },
  [FRAME_MATERIAL_WOOD] = { 0.045f, 0.030f, 0.020f, 1.0f },
};

typedef struct
{
  double u;
  double v;
  double cos_slope;
  double sin_slope;
  double half_length_mm;
  double half_width_mm;
  float light; /* factor on the light */
} Scratch;

struct _FrameRuler
{
  const FrameScene *scene;
  const Graduation *graduation;
  double first_numeral_v; /* where the lane of numerals begins */
  FrameNumerals *numerals;
  Scratch scratches[MAX_SCRATCHES];
  int n_scratches;
};

/* Distance of the finest ticks, mm. */
double
frame_ruler_tick_mm (FrameScale scale)
{
  return graduations[scale].pitch_mm;
}

static void
add_scratches (FrameRuler *ruler)
{
  const FrameScene *scene = ruler->scene;
  guint64 seed = frame_hash (scene->seed, 1, 5);

  ruler->n_scratches = CLAMP (scene->scratches, 0, MAX_SCRATCHES);
  for (int i = 0; i < ruler->n_scratches; i++)
    {
      Scratch *scratch = &ruler->scratches[i];
      double slope = G_PI * frame_random (seed, 10 * i);

      scratch->u = scene->length_mm * frame_random (seed, 10 * i + 1);
      scratch->v = scene->ruler_width_mm * frame_random (seed, 10 * i + 2);
      scratch->cos_slope = cos (slope);
      scratch->sin_slope = sin (slope);
      scratch->half_length_mm = 3.0 + 12.0 * frame_random (seed, 10 * i + 3);
      scratch->half_width_mm = 0.06 + 0.12 * frame_random (seed, 10 * i + 4);
      scratch->light = frame_random (seed, 10 * i + 5) < 0.5 ? 0.55f : 1.35f;
    }
}

/**
 * frame_ruler_new:
 * @scene: a scene, which must outlive the ruler
 *
 * Returns: (transfer full): its ruler
 */
FrameRuler *
frame_ruler_new (const FrameScene *scene)
{
  FrameRuler *ruler = g_new0 (FrameRuler, 1);
  gboolean readings_up = scene->toward == scene->far_down;
  gboolean edge_left = scene->edge != FRAME_EDGE_AWAY;

  ruler->scene = scene;
  ruler->graduation = &graduations[scene->scale];
  ruler->first_numeral_v = ruler->graduation->ticks[0].length_mm + 0.8;
  if (scene->numerals)
    ruler->numerals = frame_numerals_new (scene->length_mm, ruler->graduation->numeral_mm, NUMERAL_MM,
                                          readings_up != edge_left);
  add_scratches (ruler);
  return ruler;
}

void
frame_ruler_free (FrameRuler *ruler)
{
  frame_numerals_free (ruler->numerals);
  g_free (ruler);
}

static const Tick *
find_tick (const Graduation *graduation, int index)
{
  const Tick *tick = graduation->ticks;

  while (index % tick->every != 0)
    tick++;
  return tick;
}

/* Mean ink of the ticks over a patch; @v from the edge they start at. */
static double
tick_ink (const FrameRuler *ruler, double u, double v, double du, double dv)
{
  const Graduation *graduation = ruler->graduation;
  double widest = graduation->ticks[0].width_mm / 2.0 + du / 2.0;
  int last = (int) floor (ruler->scene->length_mm / graduation->pitch_mm + 1e-6);
  int first = MAX (0, (int) ceil ((u - widest) / graduation->pitch_mm));
  double ink = 0.0;

  if (v - dv / 2.0 > graduation->ticks[0].length_mm)
    return 0.0;
  for (int i = first; i <= last && i * graduation->pitch_mm <= u + widest; i++)
    {
      const Tick *tick = find_tick (graduation, i);
      double middle = i * graduation->pitch_mm;

      ink += frame_overlap (u, du, middle - tick->width_mm / 2.0, middle + tick->width_mm / 2.0)
             * frame_overlap (v, dv, 0.0, tick->length_mm);
    }
  return ink;
}

/* How much lighter or darker the material is at a place; 1 on average. */
static double
material_light (const FrameScene *scene, double u, double v)
{
  guint64 seed = frame_hash (scene->seed, 2, scene->material);
  double grain;

  switch (scene->material)
    {
    case FRAME_MATERIAL_STEEL:
    case FRAME_MATERIAL_DARK:
      grain = 0.6 * frame_grain (seed, u / 35.0, v * 2.2) + 0.4 * frame_grain (seed + 1, u / 9.0, v * 1.1);
      return 1.0 + 0.22 * (grain - 0.5);
    case FRAME_MATERIAL_WOOD:
      grain = frame_grain (seed, u / 22.0, v * 1.3 + 1.5 * frame_grain (seed + 1, u / 60.0, v / 9.0));
      return 1.0 + 0.45 * (grain - 0.5) + 0.2 * (frame_grain (seed + 2, u / 7.0, v * 0.6) - 0.5);
    case FRAME_MATERIAL_PLASTIC:
    default:
      return 1.0;
    }
}

static float
scratch_light (const FrameRuler *ruler, double u, double v, double size)
{
  float light = 1.0f;

  for (int i = 0; i < ruler->n_scratches; i++)
    {
      const Scratch *scratch = &ruler->scratches[i];
      double du = u - scratch->u, dv = v - scratch->v;
      double along = du * scratch->cos_slope + dv * scratch->sin_slope;
      double across = dv * scratch->cos_slope - du * scratch->sin_slope;

      if (fabs (along) < scratch->half_length_mm && fabs (across) < scratch->half_width_mm + size)
        {
          double share = frame_overlap (across, size, -scratch->half_width_mm, scratch->half_width_mm);

          light *= 1.0f + (float) share * (scratch->light - 1.0f);
        }
    }
  return light;
}

/* Light of a lamp mirrored by the ruler's face. */
static float
glare_light (const FrameScene *scene, double u, double v)
{
  double along = (u - scene->glare_mm) / GLARE_SIGMA_MM;
  double across = (v - 0.4 * scene->ruler_width_mm) / scene->ruler_width_mm;

  return (float) (scene->glare * exp (-0.5 * (along * along + across * across)));
}

static FrameColour
shade (gconstpointer data, double u, double v, double du, double dv)
{
  const FrameRuler *ruler = data;
  const FrameScene *scene = ruler->scene;
  double width = scene->ruler_width_mm;
  double cover = frame_overlap (u, du, -BLANK_MM, scene->length_mm + BLANK_MM) * frame_overlap (v, dv, 0.0, width);
  double ink;
  FrameColour paper, colour;

  if (cover <= 0.0)
    return (FrameColour){ 0 };
  ink = tick_ink (ruler, u, v, du, dv);
  if (scene->edge == FRAME_EDGE_BOTH)
    ink += tick_ink (ruler, u, width - v, du, dv);
  if (ruler->numerals != NULL)
    ink += frame_numerals_ink (ruler->numerals, u, v - ruler->first_numeral_v, du, dv);
  ink = MIN (ink, 1.0) * scene->tick_contrast;
  paper = papers[scene->material] * (float) material_light (scene, u, v);
  colour = paper + (float) ink * (inks[scene->material] - paper);
  if (ruler->n_scratches > 0)
    colour *= scratch_light (ruler, u, v, MAX (du, dv));
  if (scene->glare > 0.0)
    colour += glare_light (scene, u, v);
  colour[3] = 1.0f;
  return colour * (float) cover;
}

/**
 * frame_ruler_surface:
 * @ruler: a ruler, which must outlive the surface
 * @surface: (out): where it lies in space
 *
 * A millimetre gets at least some 19 cells along the ruler, so that the ticks' harmonics do not fold back.
 */
void
frame_ruler_surface (const FrameRuler *ruler, FrameSurface *surface)
{
  const FrameScene *scene = ruler->scene;
  double angle = scene->angle_deg * G_PI / 180.0;
  double away = scene->toward ? -1.0 : 1.0;
  double mm_px = scene->distance_mm * frame_scene_pitch_mm (scene) / scene->focal_mm / sin (angle);

  *surface = (FrameSurface){ .over_x = 4, .shade = shade, .data = ruler };
  surface->over_y = CLAMP ((int) ceil (19.0 * mm_px), 4, 12);
  surface->u_axis[1] = (scene->far_down ? -away : away) * sin (angle);
  surface->u_axis[2] = away * cos (angle);
  surface->v_axis[0] = scene->edge == FRAME_EDGE_AWAY ? -1.0 : 1.0;
  /* The reading 0 on the tick edge. */
  frame_scene_on_edge (scene, 0.0, surface->origin);
  surface->u0 = -BLANK_MM;
  surface->u1 = scene->length_mm + BLANK_MM;
  surface->v1 = scene->ruler_width_mm;
}
