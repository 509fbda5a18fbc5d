/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-attempt.h"
#include "shim-own-lattice.h"
#include "shim-own-measure.h"
#include "shim-own-target-measures.h"

/* What the scale at the card's face is worth, as a share: the places of the discs, and a card not quite square to the camera. */
#define SCALE_SE 0.003
#define ANGLE_LEAST 20.0
#define ANGLE_MOST 70.0
/* Card and strip are put together well when the zero lies beside the discs within this, mm along the strip. */
#define ASIDE_MOST_MM 2.0
/* A print that came out at another scale is told by the distance of its millimetre ticks; other distances are another ruler's. */
#define PRINT_LEAST 0.9
#define PRINT_MOST 1.1
/* Lanes whose ticks are closer than this many to a pixel are beyond it. */
#define CYCLES_MOST 0.47
#define DEGREE (G_PI / 180.0)

static const ShimOwnLane lanes[] = SHIM_OWN_LANES;

/* The angle between strip and optical axis, by how much shorter its millimetres look than those of the card's face, which stands as
 * far away as its zero. With the notation of shim-ruler-geometry.c: d_v = (1 + c t) / (s (b − a c)), s the card's scale in
 * pixels per mm, and d_z² = 1 − d_v² (1 + k²). */
static void
angle_by_card (const ShimOwnTarget *target, const ShimLattice *lattice, ShimMeasureRequest *request)
{
  const double t = shim_lattice_v_at (lattice, 0.0) - lattice->v_ref, c = lattice->map[2];
  const double d_v = (1.0 + c * t) / (target->px_per_mm * (lattice->map[1] - lattice->map[0] * c));
  const double k = lattice->u1 - c * (lattice->u0 - lattice->u_ref), across2 = d_v * d_v * (1.0 + k * k);
  const double angle = across2 < 1.0 ? acos (sqrt (1.0 - across2)) / DEGREE : NAN;

  if (!target->has_discs || !(angle > ANGLE_LEAST && angle < ANGLE_MOST))
    return;
  request->angle_deg = angle;
  request->angle_se_deg = SCALE_SE * tan (angle * DEGREE) / DEGREE;
}

/* To which side of the picture the far end lies. */
static ShimFarSide
far_side (const ShimOwnTarget *target)
{
  const ShimPoint near = shim_own_target_point (target, -SHIM_OWN_TICKS, 0.0);
  const ShimPoint far = shim_own_target_point (target, SHIM_OWN_TICKS, 0.0);

  if (fabs (far.x - near.x) > fabs (far.y - near.y))
    return far.x > near.x ? SHIM_FAR_RIGHT : SHIM_FAR_LEFT;
  return far.y > near.y ? SHIM_FAR_DOWN : SHIM_FAR_UP;
}

/* What the target itself says takes the place of what is not known; a target line given by hand stays. */
static void
fill_request (const ShimOwnTarget *target, const ShimLattice *lattice, ShimMeasureRequest *request)
{
  request->has_click = FALSE;
  request->has_strip = FALSE;
  request->far_side = far_side (target);
  if (!(request->tick_mm > PRINT_LEAST && request->tick_mm < PRINT_MOST))
    request->tick_mm = 1.0;
  request->tick_mm *= lattice->tick_mm;
  angle_by_card (target, lattice, request);
  if (!request->has_target)
    request->target_px = shim_lattice_edge_point (lattice, shim_lattice_v_at (lattice, 0.0));
  request->has_target = TRUE;
}

static void
add_warnings (const ShimOwnTarget *target, ShimMeasurement *result)
{
  const double aside = shim_own_target_aside_mm (target);

  if (!target->has_discs)
    shim_measurement_warn (result, "The discs of the printed card were not seen: the target line is the zero of the strip, and the "
                                   "strip's angle is not checked against the card. Keep the whole target in the picture.");
  else if (fabs (aside) > ASIDE_MOST_MM)
    shim_measurement_warn (result, "The zero of the printed strip stands %.1f mm too %s beside the discs of the card: the strip is not "
                                   "glued where it should be, and the result may be off by about %.1f mm.",
                           fabs (aside), aside > 0.0 ? "high" : "low",
                           fabs (aside) * cos (SHIM_OWN_ANGLE_DEG * DEGREE));
}

static ShimMeasurement *
measure_lane (const ShimLuma *luma, const ShimMeasureRequest *request, const ShimOwnTarget *target, const ShimOwnLane *lane)
{
  ShimMeasureRequest known = *request;
  ShimAttempt attempt;

  shim_attempt_init (&attempt, luma, &known);
  attempt.own_target = TRUE;
  shim_own_lattice_find (luma, target, lane, &attempt.lattice);
  fill_request (target, &attempt.lattice, &known);
  shim_attempt_with_tick (&attempt, known.tick_mm);
  /* A line set by hand is not the target's own. */
  attempt.result->own_target = !request->has_target;
  attempt.result->angle_measured |= target->has_discs;
  add_warnings (target, attempt.result);
  return attempt.result;
}

/* Whether the pixels show the ticks of a lane at all. */
static gboolean
lane_is_seen (const ShimOwnTarget *target, const ShimOwnLane *lane)
{
  const ShimPoint a = shim_own_target_point (target, -0.5 * lane->tick_mm, lane->from_mm);
  const ShimPoint b = shim_own_target_point (target, 0.5 * lane->tick_mm, lane->from_mm);

  return hypot (b.x - a.x, b.y - a.y) * CYCLES_MOST > 1.0;
}

static gboolean
is_surer (const ShimMeasurement *a, const ShimMeasurement *b)
{
  if ((a->refusal == SHIM_REFUSAL_NONE) != (b->refusal == SHIM_REFUSAL_NONE))
    return a->refusal == SHIM_REFUSAL_NONE;
  return a->refusal == SHIM_REFUSAL_NONE && a->offset_se_mm < b->offset_se_mm;
}

/**
 * shim_own_measure:
 * @luma: pixels about the strip
 * @request: what is known beside the target
 * @target: the printed target in the picture
 *
 * Measures a frame of the printed target: on that of its lanes that is surest.
 *
 * Returns: (transfer full): the measurement, or a refusal with its reason
 */
ShimMeasurement *
shim_own_measure (const ShimLuma *luma, const ShimMeasureRequest *request, const ShimOwnTarget *target)
{
  ShimMeasurement *best = NULL;
  ShimOwnTarget refined;

  g_return_val_if_fail (luma != NULL && request != NULL && target != NULL, NULL);

  refined = *target;
  shim_own_target_refine (luma, &refined);
  for (guint i = 0; i < G_N_ELEMENTS (lanes); i++)
    {
      ShimMeasurement *next;

      if (i + 1 < G_N_ELEMENTS (lanes) && !lane_is_seen (target, &lanes[i]))
        continue;
      next = measure_lane (luma, request, &refined, &lanes[i]);
      if (best == NULL || is_surer (next, best))
        {
          ShimMeasurement *dropped = best;

          best = next;
          next = dropped;
        }
      shim_measurement_free (next);
    }
  return best;
}
