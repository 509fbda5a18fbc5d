/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-geometry.h"
#include "shim-measurement.h"
#include "shim-strip-geometry.h"

G_BEGIN_DECLS

/**
 * ShimKnown:
 *
 * A number with its doubt.
 * @value: the number; NAN = not known
 * @se: one standard error, same unit; for a given number what such a statement is worth (documented at the field)
 * @measured: whether it came from this picture (else it was given, from metadata, or a default)
 */
typedef struct
{
  double value;
  double se;
  gboolean measured;
} ShimKnown;

/**
 * ShimLattice:
 *
 * The tick lattice of a ruler as found in one picture, in the (u, v) frame of #ShimStrip: v along the ruler, u
 * across. Let t = v − v_ref, with v_ref the picture's middle along v (the principal point is taken to be the
 * picture's middle).
 *
 * Readings count from a tick (every whole multiple of @tick_mm from 0 is the CENTRE of a tick, dark or light as
 * @dark_ticks says) and always GROW WITH v. Their zero is one of the longest ticks when the hierarchy of ticks
 * could be read, any tick otherwise. When the fine ticks cannot be resolved and the coarser ones carry the
 * lattice, tick_mm is the coarser spacing.
 *
 * The reading of any pixel: shim_lattice_reading_uv(). The lock-in phase of the finest ticks is 2π · reading /
 * tick_mm.
 *
 * @transposed: FALSE: v = y (ruler runs along the picture's columns), TRUE: v = x
 * @v_ref: middle of the picture along v
 * @u_ref: middle of the picture across
 * @u0: lane centre at t = 0
 * @u1: its slope: u(v) = u0 + u1 t. The lane is where ALL the finest ticks are (never the longer ones alone)
 * @lane_width_px: width of that lane across which the tick signal is there in full (edges already left out)
 * @edge_side: on which side of the lane the tick edge (the strip's long edge where the ticks start) lies: −1
 *   towards smaller u, +1 larger u, 0 not known
 * @edge_px: distance from the lane's centre line to that edge, pixels
 * @slant: dv/du along one tick; r(u, v) = R(v − slant (u − u(v)))
 * @tick_mm: distance of the ticks of the lattice, mm
 * @tick_given: whether @tick_mm was given rather than judged
 * @dark_ticks: ticks darker than what is between them
 * @dark_known: whether the polarity (and with it the half tick of the zero) is certain
 * @map: R(t) = (map[0] + map[1] t) / (1 + map[2] t), mm
 * @cov: covariance of @map
 * @residual_mm: rms distance of the followed phase from @map
 * @n_phase: number of independent phase readings behind @map
 * @v_first: smallest v of the scale: centre of its first tick (or where picture or luma cuts it)
 * @v_last: largest v likewise
 * @first_reading_mm: reading at @v_first
 * @last_reading_mm: reading at @v_last
 * @first_is_end: whether @v_first is the end of the scale itself (FALSE: cut by the picture, or lost in blur)
 * @last_is_end: likewise
 * @n_ticks: ticks between the two
 * @v_best: where the ticks stand out most from the noise (NOT the sharp line)
 * @v_seen_lo: the phase was followed from here …
 * @v_seen_hi: … to here
 * @amplitude: relative amplitude (of I/mean − 1) of the ticks' first harmonic at @v_best
 * @noise: relative noise of one row's lane mean (standard deviation of I/mean − 1 averaged over
 *   @lane_width_px), white part
 * @long_every: every how many ticks a longer one stands (5 or 10 for metric, 2, 4, 5, 8 for inches); 0 = not read
 */
typedef struct
{
  gboolean transposed;
  double v_ref;
  double u_ref;
  double u0;
  double u1;
  double lane_width_px;
  int edge_side;
  double edge_px;
  double slant;
  double tick_mm;
  gboolean tick_given;
  gboolean dark_ticks;
  gboolean dark_known;
  double map[3];
  double cov[3][3];
  double residual_mm;
  guint n_phase;
  double v_first;
  double v_last;
  double first_reading_mm;
  double last_reading_mm;
  gboolean first_is_end;
  gboolean last_is_end;
  guint n_ticks;
  double v_best;
  double v_seen_lo;
  double v_seen_hi;
  double amplitude;
  double noise;
  int long_every;
} ShimLattice;

/**
 * ShimRulerGeometry:
 *
 * Where the ruler stands in space, from the lattice, the focal length and what was given. On the ruler 1/z is
 * affine in v: z(v) = z0 / (1 + map[2] t), so the blur circle is exactly linear in v: c(v) = kappa |v −
 * v_sharp| in pixels, in every direction of the picture.
 *
 * @ok: whether the fields hold numbers; when not, the measurement must be refused (needs geometry)
 * @focal_mm: focal length used (NAN = not known)
 * @f_number: f-number used (NAN = not known: blur factor free)
 * @image_px: distance of the image plane from the lens, in pixels (NAN = not known)
 * @z0_mm: depth of the ruler at t = 0
 * @depth_per_mm: dz/dr, signed: mm of depth per mm of reading; + = readings grow away. |depth_per_mm| = cos(angle)
 * @far_sign: +1 when the ruler runs away from the camera with growing v, −1 when it comes nearer, 0 not known
 * @far_measured: whether that was seen in the lattice (else given)
 * @angle_deg: between ruler and optical axis
 * @distance_mm: depth at the target line (or, without a target, at the middle of the scale)
 * @kappa: blur circle, pixels of diameter per pixel of v, predicted from f-number and lattice (NAN when
 *   f-number unknown). From the lattice alone: (f/N) |map[2]| / (sqrt(...) (map[1] − map[0] map[2])), no pixel
 *   pitch in it
 * @pull: how well the measured angle/distance agree with the given ones, in their standard errors (NAN =
 *   nothing to compare)
 */
typedef struct
{
  gboolean ok;
  double focal_mm;
  double f_number;
  double image_px;
  double z0_mm;
  ShimKnown depth_per_mm;
  int far_sign;
  gboolean far_measured;
  ShimKnown angle_deg;
  ShimKnown distance_mm;
  ShimKnown kappa;
  double pull;
} ShimRulerGeometry;

double    shim_lattice_reading      (const ShimLattice *self, double v);
double    shim_lattice_reading_uv   (const ShimLattice *self, double u, double v);
double    shim_lattice_v_at         (const ShimLattice *self, double reading_mm);
double    shim_lattice_u_at         (const ShimLattice *self, double v);
double    shim_lattice_mm_per_px    (const ShimLattice *self, double v);
double    shim_lattice_cycles_per_px (const ShimLattice *self, double v);
double    shim_lattice_reading_se   (const ShimLattice *self, double v);
ShimPoint shim_lattice_edge_point   (const ShimLattice *self, double v);
double    shim_geometry_depth_mm    (const ShimRulerGeometry *self, const ShimLattice *lattice, double v);

G_END_DECLS
