/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-blur-model.h"
#include "shim-gain-nodes.h"
#include "shim-lattice.h"
#include "shim-strip-geometry.h"

G_BEGIN_DECLS

/* More harmonics than these are not looked at. */
#define SHIM_TICK_HARMONICS 10

/* Width of ticks, mm: what rulers have, 0.16 to 0.3 (common practice, no source). */
#define SHIM_TICK_WIDTH_MM 0.22

/* Variance of a sum over many blocks, relative to what it were if their noise were independent: 1 + 2/6. */
#define SHIM_TICK_OVERLAP (4.0 / 3.0)

/* Kinds of ticks in a lane of whole ones: where only every second one reaches, where all do, and finer ones beside them. */
#define SHIM_TICK_KINDS 3

/**
 * ShimTickReach:
 *
 * @from_px: where ticks of one kind begin, pixels across from the lattice's lane, where v = v_ref
 * @to_px: where they end
 * @share: of the lane's width that they fill
 */
typedef struct
{
  double from_px;
  double to_px;
  double share;
} ShimTickReach;

/**
 * ShimTickLane:
 *
 * Which ticks of a ruler are looked at.
 * @offset_px: middle of their lane, pixels across from the lattice's lane, where v = v_ref; it widens towards the camera
 * @width_px: its width there
 * @every: 1 for all ticks; n where only every n-th reaches
 * @first_tick: one tick that is in the lane, counted from the lattice's zero
 * @whole: whether the lane holds these ticks from beyond one end to beyond the other, or on where they do not change: what
 *   blur carries across is then still in it. The ticks are narrow (#SHIM_TICK_WIDTH_MM) and far apart, so that their harmonics
 *   start out alike; with @every = 2 every second tick reaches farther than the one between, so that the odd harmonics are
 *   alike, and the even ones
 * @halved: of whole ticks, whether there is a shorter one right between two of them: it adds to every fourth harmonic
 * @reach: of whole ticks, where those of each kind are
 */
typedef struct
{
  double offset_px;
  double width_px;
  guint every;
  int first_tick;
  gboolean whole;
  gboolean halved;
  ShimTickReach reach[SHIM_TICK_KINDS];
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
 * @turned: by how much its ticks were found to stand further along than the lattice says, radians of the first harmonic
 * @keep: shares of the amplitudes that the file's compression has left, as far as known
 * @doubt: standard deviation of the amplitudes for not knowing @keep any better, beside that of @variance
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
  double turned;
  double keep[SHIM_TICK_HARMONICS];
  double doubt[SHIM_TICK_HARMONICS];
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
 * @n_folded: how many are looked at, those included: sampling folds what lies beyond half a cycle per pixel back on to the others
 * @width_of_period: width of a tick over the distance of those in the lane
 * @half_mm: half the length of a block
 * @finest: (nullable): contrast of the finest ticks in the same blocks, shim_tick_contrast_join(); in a block it comes after the
 *   harmonics that are looked at
 * @finest_order: how many of the finest ticks there are to a period of the lane's
 * @folds: (nullable) (element-type double): for each block and harmonic, how much of each one beyond comes with it,
 *   n_harmonics × n_folded per block; %NULL where none is looked at
 * @blocks: (element-type ShimTickBlock): by growing v
 * @rows: (element-type ShimTickRow): by growing v, blocks one after the other
 * @nodes: (element-type ShimGainNode): what the rows come to for a model that is to be compared; see
 *   shim_tick_contrast_gather()
 * @has_mosaic: whether what a camera's interpolation takes from the finest ticks is allowed for
 * @sharpening: what is allowed for of sharpening, see shim_blur_sharpening_gain()
 * @level: median level of the blocks, linear light
 * @clipped: share of clipped pixels in the lane
 */
typedef struct _ShimTickContrast ShimTickContrast;
struct _ShimTickContrast
{
  ShimTickLane lane;
  guint n_harmonics;
  guint n_folded;
  double width_of_period;
  double half_mm;
  ShimTickContrast *finest;
  guint finest_order;
  GArray *folds;
  GArray *blocks;
  GArray *rows;
  GArray *nodes;
  gboolean has_mosaic;
  double sharpening;
  double level;
  double clipped;
};

ShimTickLane      shim_tick_lane_all        (const ShimLattice *lattice);
ShimTickContrast *shim_tick_contrast_new    (const ShimStrip *strip, const ShimLattice *lattice, const ShimTickLane *lane);
void              shim_tick_contrast_join   (ShimTickContrast *self, const ShimStrip *strip, const ShimLattice *lattice,
                                             const ShimTickLane *lane);
void              shim_tick_contrast_gather (ShimTickContrast *self);
void              shim_tick_contrast_allow_for_mosaic (ShimTickContrast *self);
void              shim_tick_contrast_allow_for_sharpening (ShimTickContrast *self, double sharpening);
void              shim_tick_contrast_free   (ShimTickContrast *self);
double            shim_tick_contrast_gain   (const ShimTickContrast *self, guint block, guint harmonic,
                                             const ShimBlurModel *model);
void              shim_tick_contrast_soften (const ShimTickContrast *self, double softness2, double *softened);
double            shim_tick_contrast_gain_softened (const ShimTickContrast *self, guint block, guint harmonic,
                                                    const ShimBlurModel *model, const double *softened);
void              shim_tick_contrast_rotate (ShimTickContrast *self, guint block, double phase);

/* What is measured in each block: the harmonics within the pixels and, when joined, the finest ticks. */
static inline guint
shim_tick_contrast_n_measured (const ShimTickContrast *self)
{
  return self->n_harmonics + (self->finest != NULL);
}

/* Its place in the arrays of a block. */
static inline guint
shim_tick_contrast_index (const ShimTickContrast *self, guint measured)
{
  return measured < self->n_harmonics ? measured : self->n_folded;
}

/* How many of its periods go into one of the lane's. */
static inline guint
shim_tick_contrast_order (const ShimTickContrast *self, guint index)
{
  return self->finest != NULL && index == self->n_folded ? self->finest_order : index + 1;
}

/* Which of them start out alike: the number of their kind, at most #SHIM_TICK_HARMONICS of them. */
static inline guint
shim_tick_contrast_kind (const ShimTickContrast *self, guint index)
{
  if (!self->lane.whole)
    return index;
  if ((self->finest != NULL && index == self->n_folded) || (self->lane.halved && (index + 1) % 4 == 0))
    return self->lane.every;
  return index % self->lane.every;
}

static inline void
shim_tick_block_keep_all (ShimTickBlock *self)
{
  for (guint k = 0; k < SHIM_TICK_HARMONICS; k++)
    self->keep[k] = 1.0;
}

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
