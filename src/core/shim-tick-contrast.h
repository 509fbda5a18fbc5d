/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-blur-model.h"
#include "shim-gain-nodes.h"
#include "shim-lattice.h"
#include "shim-strip-geometry.h"

G_BEGIN_DECLS

/* More harmonics than these are not looked at. */
#define SHIM_TICK_HARMONICS 8

/* Variance of a sum over many blocks, relative to what it were if their noise were independent: 1 + 2/6. */
#define SHIM_TICK_OVERLAP (4.0 / 3.0)

/**
 * ShimTickLane:
 *
 * Which ticks of a ruler are looked at.
 * @offset_px: middle of their lane, pixels across from the lattice's lane, where v = v_ref; it widens towards the camera
 * @width_px: its width there
 * @every: 1 for all ticks; n where only every n-th reaches
 * @first_tick: one tick that is in the lane, counted from the lattice's zero
 */
typedef struct
{
  double offset_px;
  double width_px;
  guint every;
  int first_tick;
} ShimTickLane;

/**
 * ShimTickBlock:
 *
 * The ticks of a short piece of the ruler, a whole number of them, fitted by weighted least squares with a level, slopes along
 * and across, and cosines and sines of the lattice's phase. The weights rise and fall like a cosine (von Hann's window), so
 * that wider ticks among them (every fifth, every tenth) do not leak in; neighbours overlap by half, which leaves their
 * noise correlated by 1/6 (SHIM_TICK_OVERLAP).
 * @v: middle, pixels
 * @reading_mm: reading there
 * @level: linear light there, 0..1
 * @in_phase: amplitudes of I/level − 1 at the harmonics 1, 2 …; positive where dark ticks look dark (light ones light)
 * @quadrature: the same a quarter of a tick further: nothing but noise where the lattice is right; NAN where not told apart
 * @variance: variance of either, for a noise of 1 (variance of one pixel's light = level)
 * @keep: share of the amplitudes that the file's compression has left, as far as known
 * @light: contrast of print and light there, relative to the middle of the ruler, as far as known
 * @first_row: its first row in the table of rows
 * @n_rows: its rows
 * @first_node: for each harmonic, its first node in the table of nodes, which stand for its rows
 * @n_nodes: and how many there are
 * @clipped: share of its pixels at the top of the scale
 * @usable: whether it may be fitted: paper with ticks, neither clipped nor dark nor covered
 */
typedef struct
{
  double v;
  double reading_mm;
  double level;
  double in_phase[SHIM_TICK_HARMONICS];
  double quadrature[SHIM_TICK_HARMONICS];
  double variance[SHIM_TICK_HARMONICS];
  double keep;
  double light;
  guint first_row;
  guint n_rows;
  guint first_node[SHIM_TICK_HARMONICS];
  guint n_nodes[SHIM_TICK_HARMONICS];
  double clipped;
  gboolean usable;
} ShimTickBlock;

/**
 * ShimTickRow:
 * @v: middle of the picture row, pixels
 * @cycles_per_px: frequency of the ticks there, along their normal
 * @weight: share of the row in each amplitude of its block (they sum to 1 over the block)
 */
typedef struct
{
  double v;
  double cycles_per_px;
  double weight[SHIM_TICK_HARMONICS];
} ShimTickRow;

/**
 * ShimTickContrast:
 *
 * Signed contrast of the ticks along a strip.
 * @lane: which ticks
 * @n_harmonics: how many harmonics of them are within the pixels, at least 1
 * @blocks: (element-type ShimTickBlock): by growing v
 * @rows: (element-type ShimTickRow): by growing v, blocks one after the other
 * @nodes: (element-type ShimGainNode): what the rows come to for a model that is to be compared; see
 *   shim_tick_contrast_gather()
 * @has_mosaic: whether what a camera's interpolation takes from the finest ticks is allowed for
 * @level: median level of the blocks, linear light
 * @clipped: share of clipped pixels in the lane
 */
typedef struct
{
  ShimTickLane lane;
  guint n_harmonics;
  GArray *blocks;
  GArray *rows;
  GArray *nodes;
  gboolean has_mosaic;
  double level;
  double clipped;
} ShimTickContrast;

ShimTickLane      shim_tick_lane_all        (const ShimLattice *lattice);
ShimTickContrast *shim_tick_contrast_new    (const ShimStrip *strip, const ShimLattice *lattice, const ShimTickLane *lane);
void              shim_tick_contrast_gather (ShimTickContrast *self);
void              shim_tick_contrast_allow_for_mosaic (ShimTickContrast *self);
void              shim_tick_contrast_free   (ShimTickContrast *self);
double            shim_tick_contrast_gain   (const ShimTickContrast *self, guint block, guint harmonic,
                                             const ShimBlurModel *model);
void              shim_tick_contrast_soften (const ShimTickContrast *self, double softness2, double *softened);
double            shim_tick_contrast_gain_softened (const ShimTickContrast *self, guint block, guint harmonic,
                                                    const ShimBlurModel *model, const double *softened);
void              shim_tick_contrast_rotate (ShimTickContrast *self, guint block, double phase);

static inline ShimTickBlock *
shim_tick_contrast_block (const ShimTickContrast *self, guint i)
{
  return &g_array_index (self->blocks, ShimTickBlock, i);
}

static inline const ShimTickRow *
shim_tick_contrast_row (const ShimTickContrast *self, guint i)
{
  return &g_array_index (self->rows, ShimTickRow, i);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimTickContrast, shim_tick_contrast_free)

G_END_DECLS
