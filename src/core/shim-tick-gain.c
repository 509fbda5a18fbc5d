/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-mosaic.h"
#include "shim-tick-contrast.h"

/* What a model of blur leaves of the ticks' contrast, block by block: what a fit compares with what was measured. */

/* The factors of a model turn at most once or so within a block, the more often the higher the harmonic: so many nodes give
 * the sum over its rows to 1e-9. */
#define LEAST_NODES 6

static void
gather_index (ShimTickContrast *self, ShimTickBlock *block, guint index)
{
  const guint order = shim_tick_contrast_order (self, index);
  const double print = self->lane.whole ? shim_blur_pixel_gain (order * self->width_of_period) : 1.0;
  g_autofree ShimGainNode *rows = g_new (ShimGainNode, block->n_rows);
  ShimGainNode nodes[SHIM_GAIN_NODES_MAX];

  for (guint i = 0; i < block->n_rows; i++)
    {
      const ShimTickRow *row = shim_tick_contrast_row (self, block->first_row + i);
      const double cycles = order * row->cycles_per_px;
      const double gain = shim_blur_pixel_gain (cycles) * shim_blur_sharpening_gain (self->sharpening, cycles)
                          * (self->has_mosaic ? shim_mosaic_gain (cycles) : 1.0);

      rows[i] = (ShimGainNode) { row->v, row->cycles_per_px, row->weight[MIN (index, self->n_folded - 1)] * gain * print };
    }
  block->first_node[index] = self->nodes->len;
  block->n_nodes[index] = shim_gain_nodes_reduce (rows, block->n_rows, LEAST_NODES + index, nodes);
  g_array_append_vals (self->nodes, nodes, block->n_nodes[index]);
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
    for (guint index = 0; index < self->n_folded + (self->finest != NULL); index++)
      gather_index (self, shim_tick_contrast_block (self, i), index);
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

  self->has_mosaic = TRUE;
  shim_tick_contrast_gather (self);
}

/**
 * shim_tick_contrast_allow_for_sharpening:
 * @self: a contrast
 * @sharpening: how strong it was, see shim_blur_sharpening_gain()
 *
 * From here on what sharpening does to the ticks is part of what shim_tick_contrast_gain() says.
 */
void
shim_tick_contrast_allow_for_sharpening (ShimTickContrast *self, double sharpening)
{
  g_return_if_fail (self != NULL);

  self->sharpening = sharpening;
  shim_tick_contrast_gather (self);
}

/* The weights of a block's nodes times what softness leaves of the contrast there. */
static void
soften (const ShimTickContrast *self, const ShimTickBlock *block, guint harmonic, double softness2, double *softened)
{
  const ShimGainNode *nodes = &g_array_index (self->nodes, ShimGainNode, block->first_node[harmonic]);
  const double order = shim_tick_contrast_order (self, harmonic), soft = -2.0 * G_PI * G_PI * softness2 * order * order;

  for (guint i = 0; i < block->n_nodes[harmonic]; i++)
    softened[i] = nodes[i].weight * exp (soft * nodes[i].cycles_per_px * nodes[i].cycles_per_px);
}

/* shim_blur_model_gain() summed over a block's nodes. */
static double
gain_of (const ShimTickContrast *self, const ShimTickBlock *block, guint harmonic, const ShimBlurModel *model,
         const double *softened)
{
  const ShimGainNode *nodes = &g_array_index (self->nodes, ShimGainNode, block->first_node[harmonic]);
  const double disc = G_PI * model->kappa * shim_tick_contrast_order (self, harmonic);
  double x[SHIM_GAIN_NODES_MAX];

  for (guint i = 0; i < block->n_nodes[harmonic]; i++)
    x[i] = disc * (nodes[i].v - model->v_sharp) * nodes[i].cycles_per_px;
  return block->keep[harmonic] * block->light * shim_blur_disc_sum (x, softened, block->n_nodes[harmonic]);
}

/* How much of another harmonic comes with one, as long as they are of one kind; the other kind's averages out along the ruler. */
static double
fold (const ShimTickContrast *self, guint block, guint harmonic, guint other)
{
  return harmonic < self->n_harmonics && shim_tick_contrast_kind (self, harmonic) == shim_tick_contrast_kind (self, other)
    ? g_array_index (self->folds, double, (block * self->n_harmonics + harmonic) * self->n_folded + other) : 0.0;
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
  double softened[SHIM_GAIN_NODES_MAX], sum;

  soften (self, at, harmonic, model->softness2, softened);
  sum = gain_of (self, at, harmonic, model, softened);
  for (guint other = 0; other < self->n_folded && self->folds != NULL; other++)
    {
      soften (self, at, other, model->softness2, softened);
      sum += fold (self, block, harmonic, other) * gain_of (self, at, other, model, softened);
    }
  return sum;
}

/**
 * shim_tick_contrast_soften:
 * @self: a contrast
 * @softness2: common softness of a model
 * @softened: (out caller-allocates): room for as many numbers as @self has nodes
 *
 * Works out what shim_tick_contrast_gain_softened() needs of a model's softness; mostly a fit changes something else.
 */
void
shim_tick_contrast_soften (const ShimTickContrast *self, double softness2, double *softened)
{
  for (guint b = 0; b < self->blocks->len; b++)
    for (guint k = 0; k < self->n_folded + (self->finest != NULL); k++)
      {
        const ShimTickBlock *block = shim_tick_contrast_block (self, b);

        soften (self, block, k, softness2, softened + block->first_node[k]);
      }
}

/**
 * shim_tick_contrast_gain_softened:
 * @self: a contrast
 * @block: one of its blocks
 * @harmonic: counted from 0
 * @model: a blur model
 * @softened: by shim_tick_contrast_soften(), for the model's softness
 *
 * Returns: the same as shim_tick_contrast_gain()
 */
double
shim_tick_contrast_gain_softened (const ShimTickContrast *self, guint block, guint harmonic, const ShimBlurModel *model,
                                  const double *softened)
{
  const ShimTickBlock *at = shim_tick_contrast_block (self, block);
  double sum = gain_of (self, at, harmonic, model, softened + at->first_node[harmonic]);

  for (guint other = 0; other < self->n_folded && self->folds != NULL; other++)
    {
      const double share = fold (self, block, harmonic, other);

      if (share != 0.0)
        sum += share * gain_of (self, at, other, model, softened + at->first_node[other]);
    }
  return sum;
}
