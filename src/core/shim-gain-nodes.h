/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Nodes enough for any sum of smooth functions over one block of ticks; see shim_gain_nodes_reduce(). */
#define SHIM_GAIN_NODES_MAX 16

/**
 * ShimGainNode:
 * @v: a place along the ruler, pixels
 * @cycles_per_px: frequency of the ticks there
 * @weight: what it counts for
 */
typedef struct
{
  double v;
  double cycles_per_px;
  double weight;
} ShimGainNode;

guint shim_gain_nodes_reduce (const ShimGainNode *rows, guint n_rows, guint n_wanted, ShimGainNode *nodes);

G_END_DECLS
