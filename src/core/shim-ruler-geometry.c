/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-optics.h"
#include "shim-ruler-geometry.h"

/* A pinhole at the origin, the image plane F pixels away, the principal point in the picture's middle. A
 * straight ruler P + r d, |d| = 1, has the image t = F (P_v + r d_v) / (P_z + r d_z) along and likewise across.
 * Solved for r:   r = (a + b t) / (1 + c t),  b − a c = z0 / (F d_v),  c = −d_z / (F d_v),  z = z0 / (1 + c t).
 * Its image line u = u0 + u1 t fixes d_u / d_v = u1 − c (u0 − u_ref) = k. With |d| = 1: d_v² (1 + k² + c² F²) =
 * 1. */

/* What a stated number is worth. */
#define FOCAL_SE 0.005       /* of itself: engraved values are rounded, and lenses breathe */
#define DISTANCE_SE 0.03     /* of itself: as cameras record it */
#define ANGLE_GIVEN_SE 0.5   /* degrees */
#define F_NUMBER_SE 0.02     /* of itself: engraved values are rounded (1.4 stands for 1.414) */
/* Common practice sets the ruler at 45°; it may well stand otherwise, and nothing in the picture says so. */
#define ANGLE_USUAL 45.0
#define ANGLE_USUAL_SE 5.0
/* An angle from perspective is believed from here on, degrees; the far side at this many standard errors. */
#define ANGLE_SEEN_SE 4.0
#define FAR_SIDE_SURE 4.0
#define ANGLE_MIN 8.0
#define ANGLE_MAX 86.0

#define DEGREE (G_PI / 180.0)

typedef struct
{
  double b; /* dR/dt at t = 0, mm per pixel */
  double c;
  double c_se;
  double k;
} Frame;

/**
 * shim_ruler_geometry_far_sign:
 * @side: a side of the picture, in the frame of the lattice
 * @transposed: whether v runs along the picture's rows
 *
 * Returns: +1 when that side is where v grows, −1 the other way, 0 when @side says nothing about v
 */
int
shim_ruler_geometry_far_sign (ShimFarSide side, gboolean transposed)
{
  if (side == (transposed ? SHIM_FAR_RIGHT : SHIM_FAR_DOWN))
    return +1;
  if (side == (transposed ? SHIM_FAR_LEFT : SHIM_FAR_UP))
    return -1;
  return 0;
}

/**
 * shim_ruler_geometry_far_side:
 * @far_sign: whether the ruler runs away with growing v (+1), nearer (−1), or that is not known (0)
 * @transposed: whether v runs along the picture's rows
 *
 * Returns: the side of the picture to which it runs away
 */
ShimFarSide
shim_ruler_geometry_far_side (int far_sign, gboolean transposed)
{
  if (far_sign == 0)
    return SHIM_FAR_UNKNOWN;
  if (transposed)
    return far_sign > 0 ? SHIM_FAR_RIGHT : SHIM_FAR_LEFT;
  return far_sign > 0 ? SHIM_FAR_DOWN : SHIM_FAR_UP;
}

static double
angle_from (const Frame *frame, double image_px)
{
  return atan2 (sqrt (1.0 + frame->k * frame->k), fabs (frame->c) * image_px) / DEGREE;
}

/* Depth at t = 0 of a ruler at this angle. */
static double
z0_from (const Frame *frame, double image_px, double angle_deg)
{
  return image_px * frame->b * sin (angle_deg * DEGREE) / sqrt (1.0 + frame->k * frame->k);
}

/* F in pixels from focal length and pixel pitch; the image distance depends a little on where the lens is
 * focused. */
static double
image_from_focal (const ShimMeasureRequest *request, double distance_mm)
{
  const double f = request->focal_mm;
  const double image_mm = distance_mm > 1.5 * f ? shim_optics_image_distance_mm (f, distance_mm) : f;

  return image_mm / request->pixel_pitch_mm;
}

/* F from a stated distance alone: z0² (1 + k² + c² F²) = F² (b − a c)². */
static double
image_from_distance (const Frame *frame, double z0)
{
  const double rest = frame->b * frame->b - frame->c * frame->c * z0 * z0;

  return rest > 0.0 ? z0 * sqrt ((1.0 + frame->k * frame->k) / rest) : NAN;
}

/* The angle as used, and the one that the perspective shows. */
typedef struct
{
  ShimKnown used;
  ShimKnown seen;
} Angle;

static double
given_se (const ShimMeasureRequest *request)
{
  return request->angle_se_deg > 0.0 ? request->angle_se_deg : ANGLE_GIVEN_SE;
}

static Angle
judge_angle (const Frame *frame, double image_px, double image_se, const ShimMeasureRequest *request)
{
  Angle angle = { .seen = { NAN, INFINITY, FALSE } };

  if (isfinite (image_px) && frame->c != 0.0)
    {
      const double seen = angle_from (frame, image_px);

      angle.seen.value = seen;
      angle.seen.se = sin (seen * DEGREE) * cos (seen * DEGREE) *
                      hypot (frame->c_se / frame->c, image_se) / DEGREE;
      angle.seen.measured = angle.seen.se < ANGLE_SEEN_SE && seen > ANGLE_MIN && seen < ANGLE_MAX;
    }
  if (isfinite (request->angle_deg))
    angle.used = (ShimKnown) { request->angle_deg, given_se (request), FALSE };
  else if (!angle.seen.measured)
    angle.used = (ShimKnown) { ANGLE_USUAL, ANGLE_USUAL_SE, FALSE };
  else
    angle.used = angle.seen;
  return angle;
}

static void
judge_far_side (const Frame *frame, const ShimMeasureRequest *request, gboolean transposed,
                ShimRulerGeometry *geometry)
{
  geometry->far_measured = fabs (frame->c) > FAR_SIDE_SURE * frame->c_se;
  geometry->far_sign = geometry->far_measured ? (frame->c < 0.0 ? +1 : -1)
                                              : shim_ruler_geometry_far_sign (request->far_side, transposed);
}

static double
compare (const ShimMeasureRequest *request, const ShimKnown *angle_seen, const ShimKnown *distance)
{
  double pull = NAN;

  if (isfinite (request->angle_deg) && angle_seen->measured)
    pull = fabs (request->angle_deg - angle_seen->value) / hypot (given_se (request), angle_seen->se);
  if (isfinite (request->distance_mm) && distance->measured)
    {
      const double d = fabs (request->distance_mm - distance->value) /
                       hypot (DISTANCE_SE * request->distance_mm, distance->se);

      pull = isnan (pull) ? d : MAX (pull, d);
    }
  return pull;
}

/* When the recorded distance contradicts the one that focal length and lattice give, either may be wrong. What
 * the ruler's slope in depth would be if the focal length were, beyond what recorded distances scatter, is a
 * doubt of the slope. */
static double
slope_doubt (const Frame *frame, const ShimMeasureRequest *request, double z0, double grow, double slope)
{
  const double misses = fabs (log (z0 / grow / request->distance_mm));
  const double other = image_from_distance (frame, request->distance_mm * grow);

  if (misses <= DISTANCE_SE || !isfinite (other))
    return 0.0;
  return fabs (cos (angle_from (frame, other) * DEGREE) - fabs (slope)) * (misses - DISTANCE_SE) / misses;
}

static double
relative_se_c (const Frame *frame)
{
  return frame->c != 0.0 ? MIN (1.0, frame->c_se / fabs (frame->c)) : 1.0;
}

static void
predict_blur (const Frame *frame, const ShimMeasureRequest *request, const ShimKnown *angle,
              ShimRulerGeometry *geometry)
{
  const double aperture = request->focal_mm / request->f_number;
  /* |c| / d_v = |d_z| / (F d_v²): written with the angle used, so that a given angle counts. */
  const double slope = geometry->image_px > 0.0
    ? sqrt (1.0 + frame->k * frame->k) / (geometry->image_px * tan (angle->value * DEGREE))
    : fabs (frame->c);
  const double d_v = sin (angle->value * DEGREE) / sqrt (1.0 + frame->k * frame->k);

  geometry->kappa.value = aperture * slope / (d_v * frame->b);
  geometry->kappa.se = geometry->kappa.value *
                       hypot (F_NUMBER_SE, 2.0 * angle->se * DEGREE / tan (angle->value * DEGREE));
  geometry->kappa.measured = FALSE;
}

static Frame
frame_of (const ShimLattice *lattice)
{
  Frame frame = { .c = lattice->map[2], .c_se = sqrt (MAX (lattice->cov[2][2], 0.0)) };

  frame.b = lattice->map[1] - lattice->map[0] * lattice->map[2];
  frame.k = lattice->u1 - frame.c * (lattice->u0 - lattice->u_ref);
  return frame;
}

/* F by the focal length, else by the distance, else by the angle; sets the angle that goes with it, and returns the
 * relative doubt of F. */
static double
find_image (const Frame *frame, const ShimMeasureRequest *request, gboolean has_focal, double grow, double *image_px,
            Angle *angle)
{
  double image_se = FOCAL_SE;

  *image_px = NAN;
  if (has_focal)
    {
      double distance = request->distance_mm > 0.0 ? request->distance_mm
                                                   : shim_optics_test_distance_mm (request->focal_mm);

      /* The image distance follows from the distance, which follows from it. */
      for (int round = 0; round < 3; round++)
        {
          *image_px = image_from_focal (request, distance);
          *angle = judge_angle (frame, *image_px, image_se, request);
          distance = z0_from (frame, *image_px, angle->used.value) / grow;
        }
    }
  else if (request->distance_mm > 0.0)
    {
      *image_px = image_from_distance (frame, request->distance_mm * grow);
      image_se = 2.0 * DISTANCE_SE;
    }
  *angle = judge_angle (frame, *image_px, image_se, request);
  if (!isfinite (*image_px) && frame->c != 0.0)
    *image_px = sqrt (1.0 + frame->k * frame->k) / (fabs (frame->c) * tan (angle->used.value * DEGREE));
  return image_se;
}

/**
 * shim_ruler_geometry_solve:
 * @lattice: the lattice
 * @request: what is known; its far side in the frame of @lattice
 * @v_target: where the target line meets the lane, pixels; NAN = not known
 * @geometry: (out): where the ruler stands
 *
 * The lattice's perspective and the focal length give distance, angle and far side; without a focal length the
 * distance takes its place, and without either the angle (45° if not given) does. The geometry is not ok when
 * the perspective is too weak to say which way is far and that was not given.
 */
void
shim_ruler_geometry_solve (const ShimLattice *lattice, const ShimMeasureRequest *request, double v_target,
                           ShimRulerGeometry *geometry)
{
  gboolean has_focal, has_distance;
  double v, grow, image_se, used;
  Frame frame;
  Angle angle;

  g_return_if_fail (lattice != NULL && request != NULL && geometry != NULL);

  v = isfinite (v_target) ? v_target : 0.5 * (lattice->v_first + lattice->v_last);
  grow = 1.0 + lattice->map[2] * (v - lattice->v_ref);
  has_focal = request->focal_mm > 0.0 && request->pixel_pitch_mm > 0.0;
  has_distance = request->distance_mm > 0.0;
  frame = frame_of (lattice);
  *geometry = (ShimRulerGeometry) { .focal_mm = request->focal_mm, .f_number = request->f_number, .pull = NAN };
  judge_far_side (&frame, request, lattice->transposed, geometry);
  image_se = find_image (&frame, request, has_focal, grow, &geometry->image_px, &angle);

  geometry->angle_deg = angle.used;
  used = angle.used.value * DEGREE;
  geometry->depth_per_mm = (ShimKnown) { geometry->far_sign * cos (used), sin (used) * angle.used.se * DEGREE,
                                         angle.used.measured };
  geometry->z0_mm = has_focal || !has_distance ? z0_from (&frame, geometry->image_px, angle.used.value)
                                               : request->distance_mm * grow;
  geometry->distance_mm = (ShimKnown) {
    .value = geometry->z0_mm / grow,
    .se = geometry->z0_mm / grow * hypot (image_se, angle.used.se * DEGREE / tan (used)),
    .measured = has_focal,
  };
  predict_blur (&frame, request, &angle.used, geometry);
  geometry->kappa.se = hypot (geometry->kappa.se, geometry->kappa.value * relative_se_c (&frame) *
                                                  (has_focal ? 0.0 : 1.0));
  if (has_focal && has_distance && angle.used.measured)
    geometry->depth_per_mm.se = hypot (geometry->depth_per_mm.se,
                                       slope_doubt (&frame, request, geometry->z0_mm, grow,
                                                    geometry->depth_per_mm.value));
  geometry->pull = compare (request, &angle.seen, &geometry->distance_mm);
  geometry->ok = geometry->far_sign != 0 && isfinite (geometry->z0_mm) && geometry->z0_mm > 0.0;
}
