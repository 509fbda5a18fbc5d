/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_linalg.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>

#include "shim-gsl.h"
#include "shim-mosaic.h"
#include "shim-tick-contrast.h"

/* Level, slope along, curvature along, slope across; then a cosine and a sine for each harmonic. */
#define N_SLOW 4
#define N_MAX (N_SLOW + 2 * SHIM_TICK_HARMONICS)

#define MIN_BLOCK_MM 8.0
#define MIN_BLOCK_ROWS 10.0

/* Second and further harmonics are used up to here; nearer to half a cycle sampling mixes them with their mirror image. */
#define MAX_HARMONIC_CYCLES 0.45

/* Linear light of the code 250: at and above it a pixel may be clipped in red and green, if paper is a little yellow. */
#define CLIPPED_LEVEL 0.9559f

typedef struct
{
  guint n;
  double ata[N_MAX][N_MAX];
  double aty[N_MAX];
  double weight;
  double weight2;
  guint n_px;
  guint n_clipped;
} Normal;

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
  guint group = lattice->long_every > 1 ? (guint) lattice->long_every : lattice->tick_mm >= 4.0 ? 4 : 10;
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

/* Where only every n-th tick reaches, the n-th harmonic is the one of all ticks, which blur carries over from their lane. */
static guint
harmonics_within_pixels (const ShimLattice *lattice, guint every)
{
  double cycles = MAX (shim_lattice_cycles_per_px (lattice, lattice->v_first),
                       shim_lattice_cycles_per_px (lattice, lattice->v_last)) / every;
  double n = CLAMP (floor (MAX_HARMONIC_CYCLES / cycles), 1.0, SHIM_TICK_HARMONICS);

  return every > 1 ? MIN ((guint) n, every - 1) : (guint) n;
}

/* Where the sampled cosine and sine of a frequency cannot be told apart over a block: near whole multiples of half a cycle. */
static gboolean
phases_alike (double cycles, double rows)
{
  double beat = 2.0 * cycles;

  return fabs (beat - round (beat)) * rows < 1.0;
}

static void
normal_add (Normal *self, const double *row, double y, double weight)
{
  for (guint i = 0; i < self->n; i++)
    {
      for (guint j = 0; j <= i; j++)
        self->ata[i][j] += weight * row[i] * row[j];
      self->aty[i] += weight * row[i] * y;
    }
  self->weight += weight;
  self->weight2 += weight * weight;
  self->n_px++;
}

/* Solves for the unknowns that are flagged in @use; the others stay 0 with infinite variance. */
static gboolean
normal_solve (const Normal *self, const gboolean *use, double *solution, double *variance)
{
  guint place[N_MAX], m = 0;
  g_autofree double *storage = NULL;
  gsl_matrix_view matrix;
  gsl_vector_view right;

  for (guint i = 0; i < self->n; i++)
    {
      solution[i] = 0.0;
      variance[i] = INFINITY;
      if (use[i])
        place[m++] = i;
    }
  storage = g_new (double, m * m + m);
  for (guint i = 0; i < m; i++)
    {
      for (guint j = 0; j < m; j++)
        storage[i * m + j] = self->ata[MAX (place[i], place[j])][MIN (place[i], place[j])];
      storage[m * m + i] = self->aty[place[i]];
    }
  for (guint i = 0; i < m; i++)
    if (!(storage[i * m + i] > 0.0))
      return FALSE;
  matrix = gsl_matrix_view_array (storage, m, m);
  right = gsl_vector_view_array (storage + m * m, m);
  if (gsl_linalg_cholesky_decomp1 (&matrix.matrix) != 0 || gsl_linalg_cholesky_svx (&matrix.matrix, &right.vector) != 0
      || gsl_linalg_cholesky_invert (&matrix.matrix) != 0)
    return FALSE;
  for (guint i = 0; i < m; i++)
    {
      solution[place[i]] = storage[m * m + i];
      variance[place[i]] = storage[i * m + i];
    }
  return TRUE;
}

static double
window_weight (const Window *self, double reading_mm)
{
  double place = (reading_mm - self->reading_mm) / self->half_mm;

  return fabs (place) < 1.0 ? 0.5 + 0.5 * cos (G_PI * place) : 0.0;
}

static void
add_row (const Build *build, guint i, const Window *window, Normal *normal, ShimTickRow *row)
{
  const ShimStrip *strip = build->strip;
  const ShimLattice *lattice = build->lattice;
  const ShimTickLane *lane = &build->contrast->lane;
  const float *px = shim_strip_row (strip, i);
  double v = strip->v_first + i + 0.5, half = 0.5 * lane->width_px;
  double period_mm = lattice->tick_mm * lane->every, zero_mm = lattice->tick_mm * lane->first_tick;
  double regressor[N_MAX];

  regressor[0] = 1.0;
  regressor[1] = (v - window->v) / window->half_px;
  regressor[2] = regressor[1] * regressor[1];
  row->v = v;
  row->cycles_per_px = shim_lattice_cycles_per_px (lattice, v) * build->normal_gain / lane->every;
  for (int j = 0; j < strip->n_u; j++)
    {
      double u = strip->u_first[i] + j + 0.5, reading, phase, weight;
      double place = shim_tick_lane_place (lattice, u, v) - lane->offset_px;

      if (fabs (place) > half || isnan (px[j]))
        continue;
      reading = shim_lattice_reading_uv (lattice, u, v);
      weight = window_weight (window, reading);
      phase = 2.0 * G_PI * (reading - zero_mm) / period_mm;
      regressor[3] = place / half;
      for (guint k = 0; k < build->contrast->n_harmonics; k++)
        {
          double cosine = cos ((k + 1) * phase);

          regressor[N_SLOW + 2 * k] = cosine;
          regressor[N_SLOW + 2 * k + 1] = sin ((k + 1) * phase);
          row->weight[k] += weight * cosine * cosine;
        }
      normal->n_clipped += px[j] >= CLIPPED_LEVEL;
      normal_add (normal, regressor, px[j], weight);
    }
}

static gboolean
solve_block (const Build *build, const Normal *normal, ShimTickBlock *block, double cycles)
{
  double solution[N_MAX], variance[N_MAX], sign = build->lattice->dark_ticks ? -1.0 : 1.0;
  gboolean use[N_MAX];

  for (guint i = 0; i < normal->n; i++)
    use[i] = TRUE;
  for (guint k = 0; k < build->contrast->n_harmonics; k++)
    use[N_SLOW + 2 * k + 1] = !phases_alike ((k + 1) * cycles, 0.5 * block->n_rows);
  if (normal->n_px < 4 * normal->n || !normal_solve (normal, use, solution, variance) || !(solution[0] > 0.0))
    return FALSE;
  block->level = solution[0];
  for (guint k = 0; k < build->contrast->n_harmonics; k++)
    {
      guint at = N_SLOW + 2 * k;

      block->in_phase[k] = sign * solution[at] / block->level;
      block->quadrature[k] = use[at + 1] ? sign * solution[at + 1] / block->level : NAN;
      /* shot noise: the variance of linear light grows like the light itself */
      block->variance[k] = variance[at] * normal->weight2 / normal->weight / block->level;
    }
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
  ShimTickBlock block = { .v = window.v, .reading_mm = reading_mm, .first_row = self->rows->len, .keep = 1.0, .light = 1.0, .usable = TRUE };
  Normal normal = { .n = N_SLOW + 2 * self->n_harmonics };
  int first = CLAMP ((int) ceil (from_v - strip->v_first - 0.5), 0, strip->n_v);
  int end = CLAMP ((int) ceil (to_v - strip->v_first - 0.5), first, strip->n_v);

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
  for (guint k = 0; k < self->n_harmonics; k++)
    {
      double sum = 0.0;

      for (guint i = 0; i < block.n_rows; i++)
        sum += g_array_index (self->rows, ShimTickRow, block.first_row + i).weight[k];
      for (guint i = 0; i < block.n_rows; i++)
        {
          ShimTickRow *row = &g_array_index (self->rows, ShimTickRow, block.first_row + i);

          row->weight[k] /= sum;
          row->pixel_gain[k] = shim_blur_pixel_gain ((k + 1) * row->cycles_per_px);
        }
    }
  g_array_append_val (self->blocks, block);
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

/**
 * shim_tick_lane_place:
 * @lattice: a lattice
 * @u: place across, pixels
 * @v: place along
 *
 * Returns: how far across from the lattice's lane, in pixels as they are at v_ref: what is nearer to the camera is larger
 */
double
shim_tick_lane_place (const ShimLattice *lattice, double u, double v)
{
  return (u - shim_lattice_u_at (lattice, v)) / (1.0 + lattice->map[2] * (v - lattice->v_ref));
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
  ShimTickContrast *self = g_new0 (ShimTickContrast, 1);
  Build build = { strip, lattice, self, hypot (1.0, lattice->slant) / (1.0 - lattice->slant * lattice->u1) };
  double start_mm, end_mm, step_mm;

  shim_gsl_init ();
  self->lane = *lane;
  self->n_harmonics = harmonics_within_pixels (lattice, lane->every);
  self->blocks = g_array_new (FALSE, TRUE, sizeof (ShimTickBlock));
  self->rows = g_array_new (FALSE, TRUE, sizeof (ShimTickRow));
  /* The outermost ticks stay out: their blur reaches past the end of the scale. */
  start_mm = lattice->first_reading_mm + 0.5 * lattice->tick_mm;
  end_mm = lattice->last_reading_mm - 0.5 * lattice->tick_mm;
  step_mm = ticks_per_block (lattice) * lattice->tick_mm;
  for (double mid_mm = start_mm + step_mm; mid_mm + step_mm <= end_mm + 1e-6; mid_mm += step_mm)
    add_block (&build, mid_mm, step_mm);
  judge_levels (self);
  shim_tick_contrast_gather (self);
  return self;
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
  g_clear_pointer (&self->nodes, g_array_unref);
  g_free (self);
}

/* The factors of a model turn at most once or so within a block, the more often the higher the harmonic: so many nodes give
 * the sum over its rows to 1e-9. */
#define LEAST_NODES 6

static void
gather_block (ShimTickContrast *self, ShimTickBlock *block)
{
  g_autofree ShimGainNode *rows = g_new (ShimGainNode, block->n_rows);

  for (guint k = 0; k < self->n_harmonics; k++)
    {
      ShimGainNode nodes[SHIM_GAIN_NODES_MAX];

      for (guint i = 0; i < block->n_rows; i++)
        {
          const ShimTickRow *row = shim_tick_contrast_row (self, block->first_row + i);

          rows[i] = (ShimGainNode) { row->v, row->cycles_per_px, row->weight[k] * row->pixel_gain[k] };
        }
      block->first_node[k] = self->nodes->len;
      block->n_nodes[k] = shim_gain_nodes_reduce (rows, block->n_rows, LEAST_NODES + k, nodes);
      g_array_append_vals (self->nodes, nodes, block->n_nodes[k]);
    }
}

/**
 * shim_tick_contrast_gather:
 * @self: a contrast with blocks and rows
 *
 * Brings what shim_tick_contrast_gain() needs in line with the rows: a fit asks for it a million times, and a few nodes serve
 * it as well as all rows.
 */
void
shim_tick_contrast_gather (ShimTickContrast *self)
{
  g_return_if_fail (self != NULL);

  if (self->nodes == NULL)
    self->nodes = g_array_new (FALSE, FALSE, sizeof (ShimGainNode));
  g_array_set_size (self->nodes, 0);
  for (guint i = 0; i < self->blocks->len; i++)
    gather_block (self, shim_tick_contrast_block (self, i));
}

/**
 * shim_tick_contrast_allow_for_mosaic:
 * @self: a contrast
 *
 * From here on what a camera's interpolation takes from the finest ticks is part of what shim_tick_contrast_gain() says.
 */
void
shim_tick_contrast_allow_for_mosaic (ShimTickContrast *self)
{
  g_return_if_fail (self != NULL);

  for (guint i = 0; i < self->rows->len; i++)
    {
      ShimTickRow *row = &g_array_index (self->rows, ShimTickRow, i);

      for (guint k = 0; k < self->n_harmonics; k++)
        row->pixel_gain[k] *= shim_mosaic_gain ((k + 1) * row->cycles_per_px);
    }
  shim_tick_contrast_gather (self);
}

/**
 * shim_tick_contrast_gain:
 * @self: a contrast
 * @block: one of its blocks
 * @harmonic: counted from 0
 * @model: a blur model
 *
 * Returns: the share of contrast that model and compression leave in that amplitude: its mean over the rows, weighted as the
 *   amplitude weighs them
 */
double
shim_tick_contrast_gain (const ShimTickContrast *self, guint block, guint harmonic, const ShimBlurModel *model)
{
  const ShimTickBlock *at = shim_tick_contrast_block (self, block);
  const ShimGainNode *nodes = &g_array_index (self->nodes, ShimGainNode, at->first_node[harmonic]);
  const double order = harmonic + 1;
  const double disc = G_PI * model->kappa * order, soft = -2.0 * G_PI * G_PI * model->softness2 * order * order;
  double sum = 0.0;

  /* shim_blur_model_gain() of each node, with what its neighbours share taken out. */
  for (guint i = 0; i < at->n_nodes[harmonic]; i++)
    {
      const double cycles = nodes[i].cycles_per_px;

      sum += nodes[i].weight * shim_blur_disc_gain (disc * (nodes[i].v - model->v_sharp) * cycles)
             * exp (soft * cycles * cycles);
    }
  return at->keep * at->light * sum;
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

  for (guint k = 0; k < self->n_harmonics; k++)
    {
      double c = cos ((k + 1) * phase), s = sin ((k + 1) * phase), in = at->in_phase[k], out = at->quadrature[k];

      if (isnan (out))
        continue;
      at->in_phase[k] = in * c + out * s;
      at->quadrature[k] = out * c - in * s;
    }
}
