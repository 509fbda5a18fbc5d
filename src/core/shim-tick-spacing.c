/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-ruler-geometry.h"
#include "shim-tick-spacing.h"

#define INCH 25.4

/* Log weights. How common a ruler is; whether its longer ticks are as read; whether the distance it implies is
 * the one recorded (as cameras record it) or, without one, a usual one. */
#define FAMILY_FITS 1.5
#define FAMILY_MISSES -2.5
#define DISTANCE_LOG_SD 0.08
#define DISTANCE_LEAST -8.0
#define USUAL_DISTANCE_LOG_SD 0.45
#define USUAL_DISTANCE_FOCALS 45.0
/* Nothing is known of the camera: the picture is mostly so wide at that distance, mm, or, if it was cropped, a pixel covers so
 * much; the spread, as a log, is that of the distance and of the cameras. */
#define USUAL_FIELD_MM 1380.0
#define USUAL_MM_PER_PX 0.23
#define USUAL_SIZE_LOG_SD 0.6
/* Then the length of the scale says something too, if both of its ends were seen: how long rulers mostly are, as a log, and how
 * much likelier a length that is made. */
#define USUAL_LENGTH_MM 300.0
#define USUAL_LENGTH_LOG_SD 1.0
#define LENGTH_LEAST -0.7
#define LENGTH_FITS 1.5
/* A spacing that leads by less than this is a guess; parts of an inch are halved again and again, and look alike. */
#define SURE 1.0
#define SURE_OF_PART 2.2
/* Ticks this fine, cycles per pixel, are beyond the pixels; coarser ones would have been found instead. */
#define BEYOND_PIXELS 0.38
/* ... or nearly so, and could have been missed; as log weights, how likely that is, and how likely others than the given
 * ones are. */
#define NEARLY_BEYOND 0.28
#define MISSED -1.5
#define GIVEN_BEYOND 1.0
#define GIVEN_OTHER 3.0
/* Spacing by blur: how near the blur factor must come to 1, and how far it must have been. */
#define BLUR_AGREES 0.10

typedef struct
{
  double tick_mm;
  double commonness;
  double finer;        /* the ruler has ticks this many times closer, beyond the pixels; 1 = these are its finest */
  ShimTickFamily family;
} Spacing;

static const Spacing spacings[] = {
  { 1.0, 0.0, 1.0, SHIM_TICK_FAMILY_FIVES },
  { 0.5, -1.0, 1.0, SHIM_TICK_FAMILY_HALVES },
  { 1.0, -1.5, 2.0, SHIM_TICK_FAMILY_FIVES },
  { 5.0, -1.0, 5.0, SHIM_TICK_FAMILY_TWOS },
  { 10.0, -2.0, 10.0, SHIM_TICK_FAMILY_FIVES },
  { INCH / 10.0, -2.0, 1.0, SHIM_TICK_FAMILY_FIVES },
  { INCH / 16.0, -1.0, 1.0, SHIM_TICK_FAMILY_BINARY },
  { INCH / 32.0, -2.0, 1.0, SHIM_TICK_FAMILY_BINARY },
  { INCH / 8.0, -2.0, 2.0, SHIM_TICK_FAMILY_BINARY },
  { INCH / 8.0, -2.5, 4.0, SHIM_TICK_FAMILY_BINARY },
  { INCH / 4.0, -2.5, 4.0, SHIM_TICK_FAMILY_BINARY },
  { INCH / 2.0, -2.5, 5.0, SHIM_TICK_FAMILY_TWOS },
};

static double
family_weight (ShimTickFamily seen, ShimTickFamily expected)
{
  if (seen == SHIM_TICK_FAMILY_UNKNOWN || expected == SHIM_TICK_FAMILY_UNKNOWN)
    return 0.0;
  if (seen == expected)
    return FAMILY_FITS;
  /* "Every second" may be the beginning of either; more than that is no longer "every second" alone. */
  if (expected == SHIM_TICK_FAMILY_TWOS)
    return seen == SHIM_TICK_FAMILY_FIVES ? FAMILY_MISSES : 0.0;
  if (seen == SHIM_TICK_FAMILY_TWOS)
    return expected == SHIM_TICK_FAMILY_FIVES ? FAMILY_MISSES : 0.5 * FAMILY_FITS;
  return FAMILY_MISSES;
}

/* Depth at the target, or the scale's middle, if the ticks were 1 mm apart; NAN without a focal length. */
static double
distance_for_1_mm (const ShimLattice *lattice, const ShimMeasureRequest *request)
{
  ShimMeasureRequest blind = *request;
  ShimLattice unit = *lattice;
  ShimRulerGeometry geometry;

  if (!(request->focal_mm > 0.0) || !(request->pixel_pitch_mm > 0.0))
    return NAN;
  blind.distance_mm = NAN;
  for (int i = 0; i < 2; i++)
    unit.map[i] /= lattice->tick_mm;
  shim_ruler_geometry_solve (&unit, &blind, NAN, &geometry);
  return geometry.distance_mm.value;
}

static double
distance_weight (double distance, const ShimMeasureRequest *request)
{
  double off;

  if (!(distance > 0.0))
    return 0.0;
  if (request->distance_mm > 0.0)
    {
      off = log (distance / request->distance_mm) / DISTANCE_LOG_SD;
      return MAX (-0.5 * off * off, DISTANCE_LEAST);
    }
  off = log (distance / (USUAL_DISTANCE_FOCALS * request->focal_mm)) / USUAL_DISTANCE_LOG_SD;
  return MAX (-0.5 * off * off, DISTANCE_LEAST);
}

/* Without a focal length the size of a pixel at the ruler (leaning back by 45°) still says something. */
static double
scale_weight (const ShimLattice *lattice, double tick_mm)
{
  const double mid = 0.5 * (lattice->v_first + lattice->v_last);
  const double mm_per_px = shim_lattice_mm_per_px (lattice, mid) / lattice->tick_mm * tick_mm * M_SQRT1_2;
  const double field_mm = mm_per_px * 2.0 * MAX (lattice->u_ref, lattice->v_ref);
  const double off = MIN (fabs (log (field_mm / USUAL_FIELD_MM)), fabs (log (mm_per_px / USUAL_MM_PER_PX))) / USUAL_SIZE_LOG_SD;

  return MAX (-0.5 * off * off, DISTANCE_LEAST);
}

static double
length_weight (const ShimLattice *lattice, double tick_mm)
{
  static const double lengths[] = { 150.0, 200.0, 250.0, 300.0, 400.0, 500.0, 600.0, 1000.0,
                                    6.0 * INCH, 12.0 * INCH, 18.0 * INCH, 24.0 * INCH, 36.0 * INCH };
  const double length = (lattice->n_ticks - 1.0) * tick_mm, off = log (length / USUAL_LENGTH_MM) / USUAL_LENGTH_LOG_SD;
  double weight = MAX (-0.5 * off * off, LENGTH_LEAST);

  if (!lattice->first_is_end || !lattice->last_is_end || lattice->n_ticks < 2)
    return 0.0;
  for (guint i = 0; i < G_N_ELEMENTS (lengths); i++)
    if (fabs (length - lengths[i]) < 0.25 * tick_mm)
      return weight + LENGTH_FITS;
  return weight;
}

/* Halved, and halved again. */
static gboolean
is_part_of_inch (double tick_mm)
{
  const double parts = tick_mm * 64.0 / INCH;

  return parts > 0.5 && fabs (parts - rint (parts)) < 0.01 * parts;
}

/* Of a given spacing the ruler's longer ticks can be meant, where the given ones are beyond the pixels; and others that stood out
 * more than those, as the recorded distance shows. */
static double
judge_given (double given, double distance_1, double cycles, const ShimMeasureRequest *request)
{
  static const double metric[] = { 1.0, 2.0, 5.0, 10.0, 0.5 }, inches[] = { 1.0, 2.0, 4.0, 8.0, 0.5 };
  const double *times = is_part_of_inch (given) ? inches : metric;
  const gboolean shown = request->distance_mm > 0.0 && distance_1 > 0.0;
  double best = given, most = -INFINITY;

  for (guint i = 0; i < G_N_ELEMENTS (metric); i++)
    {
      const gboolean beyond = times[i] > 1.0 && cycles * times[i] >= BEYOND_PIXELS;
      const double weight = distance_weight (distance_1 * given * times[i], request) -
                            (i == 0 ? 0.0 : beyond ? GIVEN_BEYOND : GIVEN_OTHER);

      if (i > 0 && !beyond && !shown)
        continue;
      if (weight > most)
        most = weight, best = given * times[i];
    }
  return best;
}

/**
 * shim_tick_spacing_judge:
 * @lattice: a lattice whose readings count in whatever unit
 * @family: which of its ticks are longer
 * @request: what is known
 * @sure: (out): whether the answer is no mere guess
 *
 * Judges how far apart the ticks are: from what is given, how the longer ticks follow each other, and the distance
 * that each spacing implies.
 *
 * Returns: distance of the ticks of @lattice, mm
 */
double
shim_tick_spacing_judge (const ShimLattice *lattice, ShimTickFamily family, const ShimMeasureRequest *request, gboolean *sure)
{
  const double distance_1 = distance_for_1_mm (lattice, request);
  const double cycles = shim_lattice_cycles_per_px (lattice, 0.5 * (lattice->v_first + lattice->v_last));
  double best = 1.0, most = -INFINITY, next = -INFINITY;

  *sure = TRUE;
  if (request->tick_mm > 0.0)
    return judge_given (request->tick_mm, distance_1, cycles, request);
  for (guint i = 0; i < G_N_ELEMENTS (spacings); i++)
    {
      const Spacing *spacing = &spacings[i];
      double weight = spacing->commonness + family_weight (family, spacing->family);

      if (spacing->finer > 1.0 && cycles * spacing->finer < NEARLY_BEYOND)
        continue;
      if (spacing->finer > 1.0 && cycles * spacing->finer < BEYOND_PIXELS)
        weight += MISSED;
      weight += distance_1 > 0.0 ? distance_weight (distance_1 * spacing->tick_mm, request)
                                 : scale_weight (lattice, spacing->tick_mm) + length_weight (lattice, spacing->tick_mm);
      if (spacing->tick_mm != best)
        next = MAX (next, MIN (weight, most));
      if (weight > most)
        most = weight, best = spacing->tick_mm;
    }
  *sure = distance_1 > 0.0 || most - next > (is_part_of_inch (best) ? SURE_OF_PART : SURE);
  return best;
}

/**
 * shim_tick_spacing_by_blur:
 * @tick_mm: the spacing that was assumed
 * @blur_factor: growth of the blur, measured over predicted with that spacing; it scales with the spacing
 *
 * Returns: the spacing under which the blur would grow as predicted; NAN when no common one does
 */
double
shim_tick_spacing_by_blur (double tick_mm, double blur_factor)
{
  double best = NAN, least = BLUR_AGREES;

  for (guint i = 0; i < G_N_ELEMENTS (spacings); i++)
    {
      const double off = fabs (log (blur_factor * spacings[i].tick_mm / tick_mm));

      if (off < least)
        least = off, best = spacings[i].tick_mm;
    }
  return best;
}
