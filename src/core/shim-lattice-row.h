/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-lattice.h"

G_BEGIN_DECLS

/**
 * ShimLatticeRow:
 *
 * One row of pixels as a lattice sees it: what shim_lattice_reading_uv() and the like would work out again for each pixel.
 * @lattice: the lattice
 * @v: the row's middle, pixels along the ruler
 * @line: middle of the lane there, pixels across
 * @growth: size of a pixel there, over its size at the lattice's v_ref: what is nearer to the camera is larger
 * @slant: how far a tick moves along the ruler for each pixel across, seen from the lane
 */
typedef struct
{
  const ShimLattice *lattice;
  double v;
  double line;
  double growth;
  double slant;
} ShimLatticeRow;

static inline ShimLatticeRow
shim_lattice_row (const ShimLattice *lattice, double v)
{
  return (ShimLatticeRow) {
    .lattice = lattice,
    .v = v,
    .line = shim_lattice_u_at (lattice, v),
    .growth = 1.0 + lattice->map[2] * (v - lattice->v_ref),
    .slant = lattice->slant / (1.0 - lattice->slant * lattice->u1),
  };
}

/* Reading of the tick that passes through @u, mm, as by shim_lattice_reading_uv(). */
static inline double
shim_lattice_row_reading (const ShimLatticeRow *self, double u)
{
  const double *map = self->lattice->map;
  const double t = self->v - self->slant * (u - self->line) - self->lattice->v_ref;

  return (map[0] + map[1] * t) / (1.0 + map[2] * t);
}

/* How far @u is across from the lattice's lane, in pixels as they are at v_ref. */
static inline double
shim_lattice_row_place (const ShimLatticeRow *self, double u)
{
  return (u - self->line) / self->growth;
}

G_END_DECLS
