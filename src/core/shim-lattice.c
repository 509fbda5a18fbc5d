/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-lattice.h"

/**
 * shim_lattice_reading:
 * @self: a lattice
 * @v: place along the ruler's lane, pixels
 *
 * Returns: the reading there, mm
 */
double
shim_lattice_reading (const ShimLattice *self, double v)
{
  const double t = v - self->v_ref;

  return (self->map[0] + self->map[1] * t) / (1.0 + self->map[2] * t);
}

/**
 * shim_lattice_reading_uv:
 * @self: a lattice
 * @u: place across, pixels
 * @v: place along
 *
 * Returns: the reading of that pixel, ticks being slanted, mm
 */
double
shim_lattice_reading_uv (const ShimLattice *self, double u, double v)
{
  /* The lane's own line moves with v: a tick through (u, v) meets it where v' = v − slant (u − u(v')). */
  const double across = u - shim_lattice_u_at (self, v);

  return shim_lattice_reading (self, v - self->slant * across / (1.0 - self->slant * self->u1));
}

/**
 * shim_lattice_v_at:
 * @self: a lattice
 * @reading_mm: a reading
 *
 * Returns: where it lies along the lane, pixels
 */
double
shim_lattice_v_at (const ShimLattice *self, double reading_mm)
{
  return self->v_ref + (reading_mm - self->map[0]) / (self->map[1] - reading_mm * self->map[2]);
}

/**
 * shim_lattice_u_at:
 * @self: a lattice
 * @v: place along, pixels
 *
 * Returns: the lane's centre there, across, pixels
 */
double
shim_lattice_u_at (const ShimLattice *self, double v)
{
  return self->u0 + self->u1 * (v - self->v_ref);
}

/**
 * shim_lattice_mm_per_px:
 * @self: a lattice
 * @v: place along, pixels
 *
 * Returns: dR/dv, mm of reading per pixel of v
 */
double
shim_lattice_mm_per_px (const ShimLattice *self, double v)
{
  const double d = 1.0 + self->map[2] * (v - self->v_ref);

  return (self->map[1] - self->map[0] * self->map[2]) / (d * d);
}

/**
 * shim_lattice_cycles_per_px:
 * @self: a lattice
 * @v: place along, pixels
 *
 * Returns: frequency of the ticks, cycles per pixel of v
 */
double
shim_lattice_cycles_per_px (const ShimLattice *self, double v)
{
  return shim_lattice_mm_per_px (self, v) / self->tick_mm;
}

/**
 * shim_lattice_reading_se:
 * @self: a lattice
 * @v: place along, pixels
 *
 * Returns: standard error of the reading there, by the map's covariance, mm
 */
double
shim_lattice_reading_se (const ShimLattice *self, double v)
{
  const double t = v - self->v_ref, d = 1.0 + self->map[2] * t;
  const double gradient[3] = { 1.0 / d, t / d, -t * (self->map[0] + self->map[1] * t) / (d * d) };
  double variance = 0.0;

  for (int i = 0; i < 3; i++)
    for (int j = 0; j < 3; j++)
      variance += gradient[i] * self->cov[i][j] * gradient[j];
  return sqrt (MAX (variance, 0.0));
}

/**
 * shim_lattice_edge_point:
 * @self: a lattice
 * @v: where a tick crosses the lane's centre line, pixels
 *
 * Returns: the point of that tick on the ruler's tick edge (on the centre line when the edge is not known)
 */
ShimPoint
shim_lattice_edge_point (const ShimLattice *self, double v)
{
  const double across = self->edge_side * self->edge_px;
  const double u = shim_lattice_u_at (self, v) + across, along = v + self->slant * across;

  return self->transposed ? (ShimPoint) { along, u } : (ShimPoint) { u, along };
}

/**
 * shim_geometry_depth_mm:
 * @self: a geometry
 * @lattice: the lattice it belongs to
 * @v: place along, pixels
 *
 * Returns: depth of the ruler there, mm from the entrance pupil along the optical axis
 */
double
shim_geometry_depth_mm (const ShimRulerGeometry *self, const ShimLattice *lattice, double v)
{
  return self->z0_mm / (1.0 + lattice->map[2] * (v - lattice->v_ref));
}
