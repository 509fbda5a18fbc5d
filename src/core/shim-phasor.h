/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>
#include <math.h>

G_BEGIN_DECLS

/**
 * ShimPhasor:
 *
 * Cosine and sine of an angle that moves on in steps, at a fraction of what asking for both anew would cost.
 * @cosine: of the angle
 * @sine: of the angle
 */
typedef struct
{
  double cosine;
  double sine;
} ShimPhasor;

/* Up to this angle, radians, the series in shim_phasor_nudge() are right to 2e-12. */
#define SHIM_PHASOR_SMALL 0.3

static inline ShimPhasor
shim_phasor_at (double angle)
{
  return (ShimPhasor) { cos (angle), sin (angle) };
}

static inline ShimPhasor
shim_phasor_turn (ShimPhasor self, ShimPhasor by)
{
  return (ShimPhasor) { self.cosine * by.cosine - self.sine * by.sine, self.sine * by.cosine + self.cosine * by.sine };
}

/* Turns by an angle that is small as a rule; where it is not, that is right too, but slow. */
static inline ShimPhasor
shim_phasor_nudge (ShimPhasor self, double angle)
{
  const double a2 = angle * angle;

  if (!(fabs (angle) < SHIM_PHASOR_SMALL))
    return shim_phasor_turn (self, shim_phasor_at (angle));
  return shim_phasor_turn (self, (ShimPhasor) {
    1.0 + a2 * (-1.0 / 2.0 + a2 * (1.0 / 24.0 + a2 * (-1.0 / 720.0 + a2 * (1.0 / 40320.0)))),
    angle * (1.0 + a2 * (-1.0 / 6.0 + a2 * (1.0 / 120.0 + a2 * (-1.0 / 5040.0 + a2 * (1.0 / 362880.0))))),
  });
}

G_END_DECLS
