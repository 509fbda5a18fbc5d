/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_statistics_double.h>
#include <math.h>

#include "shim-gsl.h"
#include "shim-lattice-row.h"
#include "shim-phasor.h"
#include "shim-tick-contrast.h"
#include "shim-tick-sums.h"

#define MIN_BLOCK_MM 8.0
#define MIN_BLOCK_ROWS 10.0

/* Second and further harmonics are used up to here; nearer to half a cycle sampling mixes them with their mirror image. */
#define MAX_HARMONIC_CYCLES 0.45

/* Of a lane that holds whole ticks, so many are told apart from what is folded back on to them, and these are looked at. */
#define MAX_WHOLE_CYCLES 0.52
#define MAX_FOLDED_CYCLES 0.8

/* Blocks at an end with less than this share of what is usual hold no whole ticks, or no paper. */
#define END_SHARE 0.45
#define FAR_APART_MM 4.0

/* Linear light of the code 250: at and above it a pixel may be clipped in red and green, if paper is a little yellow. */
#define CLIPPED_LEVEL 0.9559f

typedef struct
{
  double reading_mm;
  double half_mm;
  double v;
  double half_px;
} Window;

typedef struct
{
  const ShimStrip *strip;
  const ShimLattice *lattice;
  ShimTickContrast *contrast;
  double normal_gain;   /* frequency along the ticks' normal over frequency along the lane's centre line */
} Build;

static guint
ticks_per_block (const ShimLattice *lattice)
{
  double mid = 0.5 * (lattice->v_first + lattice->v_last);
  double rows = 1.0 / shim_lattice_cycles_per_px (lattice, mid);
  guint group = lattice->tick_mm >= FAR_APART_MM ? 4 : lattice->long_every > 1 ? (guint) lattice->long_every : 10;
  guint n;

  /* A tenth tick is mostly longer still where the fifth is; an eighth where the second is. */
  if (group == 5)
    group = 10;
  else if (group == 2)
    group = 8;
  for (n = group; n * lattice->tick_mm < MIN_BLOCK_MM || n * rows < MIN_BLOCK_ROWS; n += group)
    ;
  return n;
}

static guint
harmonics_below (double most, double cycles)
{
  return (guint) CLAMP (floor (most / cycles), 1.0, SHIM_TICK_HARMONICS - 1);
}

static void
set_harmonics (ShimTickContrast *self, const ShimLattice *lattice)
{
  const double one = shim_lattice_cycles_per_px (lattice, lattice->v_first) / self->lane.every;
  const double other = shim_lattice_cycles_per_px (lattice, lattice->v_last) / self->lane.every;

  if (self->lane.whole)
    {
      self->n_harmonics = harmonics_below (MAX_WHOLE_CYCLES, MIN (one, other));
      self->n_folded = MAX (self->n_harmonics, harmonics_below (MAX_FOLDED_CYCLES, MAX (one, other)));
      self->folds = g_array_new (FALSE, TRUE, sizeof (double));
      return;
    }
  self->n_harmonics = harmonics_below (MAX_HARMONIC_CYCLES, MAX (one, other));
  /* Where only every n-th tick reaches, the n-th harmonic is the one of all ticks, which blur carries over from their lane. */
  if (self->lane.every > 1)
    self->n_harmonics = MIN (self->n_harmonics, self->lane.every - 1);
  self->n_folded = self->n_harmonics;
}

/* Where the sampled cosine and sine of a frequency cannot be told apart over a block: near whole multiples of half a cycle. */
static gboolean
phases_alike (double cycles, double rows)
{
  double beat = 2.0 * cycles;

  return fabs (beat - round (beat)) * rows < 1.0;
}

/* What is fitted to a pixel of a row: level, slope across, and the harmonics of the ticks. */
static void
fill_regressor (double *regressor, double place, ShimPhasor tick, guint n_harmonics)
{
  ShimPhasor harmonic = tick;

  regressor[0] = 1.0;
  regressor[1] = place;
  for (guint k = 0; k < n_harmonics; k++)
    {
      regressor[SHIM_TICK_ROW_SLOW + 2 * k] = harmonic.cosine;
      regressor[SHIM_TICK_ROW_SLOW + 2 * k + 1] = harmonic.sine;
      harmonic = shim_phasor_turn (harmonic, tick);
    }
}

/* Of a pixel whose middle is so far inside the lane, pixels. Of whole ticks as much is to be in the lane all along, so that its
 * limits count for less than a pixel. */
static double
share_inside (const ShimTickLane *lane, double margin_px)
{
  return lane->whole ? CLAMP (margin_px + 0.5, 0.0, 1.0) : margin_px >= 0.0;
}

static void
add_row (const Build *build, guint i, const Window *window, ShimTickSums *normal, ShimTickRow *row)
{
  const ShimStrip *strip = build->strip;
  const ShimLattice *lattice = build->lattice;
  const ShimTickLane *lane = &build->contrast->lane;
  const float *px = shim_strip_row (strip, i);
  const ShimLatticeRow at_row = shim_lattice_row (lattice, strip->v_first + i + 0.5);
  const double half = 0.5 * lane->width_px, along = (at_row.v - window->v) / window->half_px;
  const double tick_turn = 2.0 * G_PI / (lattice->tick_mm * lane->every), hann_turn = G_PI / window->half_mm;
  /* one column more on each side, for each is asked whether it is inside */
  const double left = at_row.line + (lane->offset_px - half) * at_row.growth - strip->u_first[i];
  const int begin = CLAMP ((int) left - 1, 0, strip->n_u);
  const int end = CLAMP ((int) (left + lane->width_px * at_row.growth) + 2, 0, strip->n_u);
  double last = shim_lattice_row_reading (&at_row, strip->u_first[i] + begin + 0.5);
  ShimPhasor tick = shim_phasor_at (tick_turn * (last - lattice->tick_mm * lane->first_tick));
  ShimPhasor hann = shim_phasor_at (hann_turn * (last - window->reading_mm));
  ShimTickRowSums sums;

  shim_tick_row_sums_clear (&sums, SHIM_TICK_ROW_SLOW + 2 * build->contrast->n_folded);
  row->v = at_row.v;
  row->cycles_per_px = shim_lattice_cycles_per_px (lattice, at_row.v) * build->normal_gain / lane->every;
  for (int j = begin; j < end; j++)
    {
      const double u = strip->u_first[i] + j + 0.5, reading = shim_lattice_row_reading (&at_row, u);
      const double place = shim_lattice_row_place (&at_row, u) - lane->offset_px;
      double regressor[SHIM_TICK_ROW_UNKNOWNS], weight, inside;

      tick = shim_phasor_nudge (tick, tick_turn * (reading - last));
      hann = shim_phasor_nudge (hann, hann_turn * (reading - last));
      last = reading;
      inside = share_inside (lane, half - fabs (place));
      if (!(inside > 0.0) || isnan (px[j]))
        continue;
      weight = fabs (reading - window->reading_mm) < window->half_mm ? inside * (0.5 + 0.5 * hann.cosine) : 0.0;
      fill_regressor (regressor, place / half, tick, build->contrast->n_folded);
      shim_tick_row_sums_add (&sums, regressor, px[j], weight);
      normal->weight2 += weight * weight;
      normal->n_clipped += px[j] >= CLIPPED_LEVEL;
      normal->n_px++;
    }
  for (guint k = 0; k < build->contrast->n_folded; k++)
    row->weight[k] = sums.ata[SHIM_TICK_ROW_SLOW + 2 * k][SHIM_TICK_ROW_SLOW + 2 * k];
  shim_tick_sums_add_row (normal, &sums, (const double[SHIM_TICK_ALONG]) { 1.0, along, along * along });
}

/* How much of a harmonic that is not solved for comes along with those that are: sampling makes them look alike. */
static void
add_folds (const Build *build, const ShimTickSums *normal, const gboolean *use, const ShimTickSolution *solved)
{
  ShimTickContrast *self = build->contrast;

  for (guint k = 0; k < self->n_harmonics; k++)
    for (guint other = 0; other < self->n_folded; other++)
      {
        const guint at = SHIM_TICK_SLOW + 2 * k, column = SHIM_TICK_SLOW + 2 * other;
        double share = 0.0;

        for (guint i = 0; i < normal->n && use[at] && !use[column]; i++)
          if (use[i])
            share += solved->inverse[at][i] * normal->ata[MAX (i, column)][MIN (i, column)];
        g_array_append_val (self->folds, share);
      }
}

static gboolean
solve_block (const Build *build, const ShimTickSums *normal, ShimTickBlock *block, double cycles)
{
  const ShimTickContrast *self = build->contrast;
  const double sign = build->lattice->dark_ticks ? -1.0 : 1.0;
  gboolean use[SHIM_TICK_UNKNOWNS];
  ShimTickSolution solved;

  for (guint i = 0; i < SHIM_TICK_SLOW; i++)
    use[i] = TRUE;
  for (guint k = 0; k < self->n_folded; k++)
    {
      use[SHIM_TICK_SLOW + 2 * k] = k == 0 || (k < self->n_harmonics && !(self->lane.whole && (k + 1) * cycles > MAX_WHOLE_CYCLES));
      use[SHIM_TICK_SLOW + 2 * k + 1] = use[SHIM_TICK_SLOW + 2 * k] && !phases_alike ((k + 1) * cycles, 0.5 * block->n_rows);
    }
  if (normal->n_px < 4 * normal->n || !shim_tick_sums_solve (normal, use, &solved) || !(solved.solution[0] > 0.0))
    return FALSE;
  block->level = solved.solution[0];
  for (guint k = 0; k < self->n_harmonics; k++)
    {
      guint at = SHIM_TICK_SLOW + 2 * k;

      block->in_phase[k] = sign * solved.solution[at] / block->level;
      block->quadrature[k] = use[at + 1] ? sign * solved.solution[at + 1] / block->level : NAN;
      /* shot noise: the variance of linear light grows like the light itself */
      block->variance[k] = solved.variance[at] * normal->weight2 / normal->weight / block->level;
    }
  if (self->folds != NULL)
    add_folds (build, normal, use, &solved);
  return TRUE;
}

static void
add_block (const Build *build, double reading_mm, double half_mm)
{
  const ShimStrip *strip = build->strip;
  ShimTickContrast *self = build->contrast;
  double from_v = shim_lattice_v_at (build->lattice, reading_mm - half_mm);
  double to_v = shim_lattice_v_at (build->lattice, reading_mm + half_mm);
  const Window window = { reading_mm, half_mm, shim_lattice_v_at (build->lattice, reading_mm), 0.5 * (to_v - from_v) };
  ShimTickBlock block = { .v = window.v, .reading_mm = reading_mm, .first_row = self->rows->len, .light = 1.0, .usable = TRUE };
  ShimTickSums normal = { .n = SHIM_TICK_SLOW + 2 * self->n_folded };
  int first = CLAMP ((int) ceil (from_v - strip->v_first - 0.5), 0, strip->n_v);
  int end = CLAMP ((int) ceil (to_v - strip->v_first - 0.5), first, strip->n_v);

  shim_tick_block_keep_all (&block);
  for (int i = first; i < end; i++)
    {
      ShimTickRow row = { 0 };

      add_row (build, (guint) i, &window, &normal, &row);
      g_array_append_val (self->rows, row);
    }
  block.n_rows = self->rows->len - block.first_row;
  block.clipped = normal.n_px > 0 ? (double) normal.n_clipped / normal.n_px : 0.0;
  if (block.n_rows < MIN_BLOCK_ROWS
      || !solve_block (build, &normal, &block, shim_lattice_cycles_per_px (build->lattice, block.v) / self->lane.every))
    {
      g_array_set_size (self->rows, block.first_row);
      return;
    }
  for (guint k = 0; k < self->n_folded; k++)
    {
      double sum = 0.0;

      for (guint i = 0; i < block.n_rows; i++)
        sum += g_array_index (self->rows, ShimTickRow, block.first_row + i).weight[k];
      for (guint i = 0; i < block.n_rows; i++)
        g_array_index (self->rows, ShimTickRow, block.first_row + i).weight[k] /= sum;
    }
  g_array_append_val (self->blocks, block);
}

/* What the blocks of one contrast have as a rule. */
typedef struct
{
  double strength;  /* of the harmonic that all of its ticks have: low, so that blur takes little of it anywhere */
  double level;
} Usual;

static double
strength_of (const ShimTickContrast *self, const ShimTickBlock *block)
{
  return fabs (block->in_phase[self->lane.every - 1]);
}

static Usual
usual_block (const ShimTickContrast *self)
{
  g_autofree double *strengths = g_new (double, self->blocks->len);
  g_autofree double *levels = g_new (double, self->blocks->len);

  for (guint i = 0; i < self->blocks->len; i++)
    {
      strengths[i] = strength_of (self, shim_tick_contrast_block (self, i));
      levels[i] = shim_tick_contrast_block (self, i)->level;
    }
  return (Usual) { gsl_stats_median (strengths, 1, self->blocks->len), gsl_stats_median (levels, 1, self->blocks->len) };
}

/* Blocks from one end of the scale on that hold no ticks, or half of them, or no paper: something else seemed to go on in
 * step. */
static void
leave_out_end (ShimTickContrast *self, gboolean last, const Usual *usual)
{
  const guint n = self->blocks->len;
  guint out = 0;

  for (; out < n; out++)
    {
      const ShimTickBlock *block = shim_tick_contrast_block (self, last ? n - 1 - out : out);

      if (strength_of (self, block) >= END_SHARE * usual->strength && block->level >= END_SHARE * usual->level)
        break;
    }
  /* the next one reaches into it */
  for (guint i = 0; i < MIN (out > 0 ? out + 1 : 0, n); i++)
    shim_tick_contrast_block (self, last ? n - 1 - i : i)->usable = FALSE;
}

/* The scale of ticks that are far apart may seem to go on. */
static void
leave_out_ends (ShimTickContrast *self, const ShimLattice *lattice)
{
  Usual usual;

  if (!(self->lane.whole || lattice->tick_mm >= FAR_APART_MM) || self->blocks->len == 0 || self->n_harmonics < self->lane.every)
    return;
  usual = usual_block (self);
  leave_out_end (self, FALSE, &usual);
  leave_out_end (self, TRUE, &usual);
}

static void
judge_levels (ShimTickContrast *self)
{
  g_autofree double *levels = g_new (double, self->blocks->len);
  double clipped = 0.0;

  for (guint i = 0; i < self->blocks->len; i++)
    {
      levels[i] = shim_tick_contrast_block (self, i)->level;
      clipped += shim_tick_contrast_block (self, i)->clipped;
    }
  self->level = self->blocks->len > 0 ? gsl_stats_median (levels, 1, self->blocks->len) : 0.0;
  self->clipped = self->blocks->len > 0 ? clipped / self->blocks->len : 0.0;
}

/**
 * shim_tick_lane_all:
 * @lattice: a lattice
 *
 * Returns: the lane of all its ticks
 */
ShimTickLane
shim_tick_lane_all (const ShimLattice *lattice)
{
  return (ShimTickLane) { .width_px = lattice->lane_width_px, .every = 1 };
}

/* A contrast without blocks. */
static ShimTickContrast *
contrast_new (const ShimLattice *lattice, const ShimTickLane *lane, guint n_rows)
{
  ShimTickContrast *self = g_new0 (ShimTickContrast, 1);

  shim_gsl_init ();
  self->lane = *lane;
  self->width_of_period = SHIM_TICK_WIDTH_MM / (lattice->tick_mm * lane->every);
  set_harmonics (self, lattice);
  self->blocks = g_array_new (FALSE, TRUE, sizeof (ShimTickBlock));
  self->rows = g_array_sized_new (FALSE, FALSE, sizeof (ShimTickRow), n_rows);
  return self;
}

static Build
build_of (ShimTickContrast *self, const ShimStrip *strip, const ShimLattice *lattice)
{
  return (Build) { strip, lattice, self, hypot (1.0, lattice->slant) / (1.0 - lattice->slant * lattice->u1) };
}

/**
 * shim_tick_contrast_new:
 * @strip: pixels around the ruler's ticks
 * @lattice: their lattice
 * @lane: which of them
 *
 * Measures the contrast of the ticks, with its sign, block by block along the ruler, from raw pixels.
 *
 * Returns: (transfer full): what was found; without blocks when the scale is too short
 */
ShimTickContrast *
shim_tick_contrast_new (const ShimStrip *strip, const ShimLattice *lattice, const ShimTickLane *lane)
{
  ShimTickContrast *self = contrast_new (lattice, lane, 2 * (guint) strip->n_v);
  const Build build = build_of (self, strip, lattice);
  /* The outermost ticks stay out: their blur reaches past the end of the scale. */
  const double outside_mm = 0.5 * lattice->tick_mm;
  const double start_mm = lattice->first_reading_mm + outside_mm, end_mm = lattice->last_reading_mm - outside_mm;
  const double step_mm = ticks_per_block (lattice) * lattice->tick_mm;

  self->half_mm = step_mm;
  for (double mid_mm = start_mm + step_mm; mid_mm + step_mm <= end_mm + 1e-6; mid_mm += step_mm)
    add_block (&build, mid_mm, step_mm);
  leave_out_ends (self, lattice);
  judge_levels (self);
  shim_tick_contrast_gather (self);
  return self;
}

/* Puts what was measured of the finest ticks into the block of the same place; nothing where there is none. */
static void
join_block (ShimTickContrast *self, ShimTickBlock *block)
{
  const guint at = self->n_folded;

  block->in_phase[at] = 0.0;
  block->quadrature[at] = NAN;
  block->variance[at] = INFINITY;
  for (guint i = 0; i < self->finest->blocks->len; i++)
    {
      ShimTickBlock *finest = shim_tick_contrast_block (self->finest, i);

      if (finest->reading_mm != block->reading_mm)
        continue;
      shim_tick_contrast_rotate (self->finest, i, self->finest_order * block->turned);
      block->in_phase[at] = finest->in_phase[0];
      block->quadrature[at] = finest->quadrature[0];
      block->variance[at] = finest->variance[0];
    }
}

/**
 * shim_tick_contrast_join:
 * @self: contrast of whole ticks, its phase followed
 * @strip: pixels around the ruler's ticks
 * @lattice: the lattice of the finest ticks, which are beyond half a cycle per pixel; their places are known from @self
 * @lane: where those are
 *
 * Measures the contrast of ticks too fine to be found by themselves, in the same blocks. What sampling makes of them is known, as
 * it is known where they are.
 */
void
shim_tick_contrast_join (ShimTickContrast *self, const ShimStrip *strip, const ShimLattice *lattice, const ShimTickLane *lane)
{
  Build build;

  g_return_if_fail (self != NULL && self->finest == NULL && strip != NULL && lattice != NULL && lane != NULL);

  self->finest = contrast_new (lattice, lane, self->rows->len);
  self->finest_order = (guint) lrint (SHIM_TICK_WIDTH_MM / self->width_of_period / lattice->tick_mm);
  build = build_of (self->finest, strip, lattice);
  for (guint i = 0; i < self->blocks->len; i++)
    add_block (&build, shim_tick_contrast_block (self, i)->reading_mm, self->half_mm);
  for (guint i = 0; i < self->blocks->len; i++)
    join_block (self, shim_tick_contrast_block (self, i));
  shim_tick_contrast_gather (self);
}

/**
 * shim_tick_contrast_free:
 * @self: (transfer full) (nullable): a contrast
 */
void
shim_tick_contrast_free (ShimTickContrast *self)
{
  if (self == NULL)
    return;
  g_array_unref (self->blocks);
  g_array_unref (self->rows);
  shim_tick_contrast_free (self->finest);
  g_clear_pointer (&self->folds, g_array_unref);
  g_clear_pointer (&self->nodes, g_array_unref);
  g_free (self);
}

/**
 * shim_tick_contrast_rotate:
 * @self: a contrast
 * @block: which block
 * @phase: by how much the ticks stand further along than the lattice says, radians of the first harmonic
 *
 * Turns the amplitudes of a block so that the in-phase one belongs to the ticks where they are.
 */
void
shim_tick_contrast_rotate (ShimTickContrast *self, guint block, double phase)
{
  ShimTickBlock *at = shim_tick_contrast_block (self, block);

  at->turned += phase;
  for (guint i = 0; i < shim_tick_contrast_n_measured (self); i++)
    {
      const guint k = shim_tick_contrast_index (self, i);
      const double angle = shim_tick_contrast_order (self, k) * phase;
      double c = cos (angle), s = sin (angle), in = at->in_phase[k], out = at->quadrature[k];

      if (isnan (out))
        continue;
      at->in_phase[k] = in * c + out * s;
      at->quadrature[k] = out * c - in * s;
    }
}
