/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-ops-model.h"
#include "shim-ops-summary.h"
#include "shim-pair-now.h"

G_BEGIN_DECLS

/**
 * ShimPairView:
 * @pair: the pair
 * @body: its body
 * @lens: its lens
 * @converter: (nullable): its converter
 * @now: what is true of it now
 * @prediction: (nullable): what the kit model expects of it by all other pairs, its own measurement left out
 * @is_checked: whether other pairs of the kit check its measurement
 * @contradicts: whether they contradict it
 * @newest: (nullable): its newest test that has a frame
 * @tests: (element-type ShimTest): its tests, newest first
 * @decisions: (element-type ShimDecision): its decisions, newest first
 * @doubts: (element-type ShimEvent): what happened since the newest test and casts doubt on it, newest first
 *
 * All that the page of a pair shows.
 */
typedef struct
{
  ShimPair *pair;
  ShimBody *body;
  ShimLens *lens;
  ShimConverter *converter;
  ShimPairNow *now;
  ShimPairPrediction *prediction;
  gboolean is_checked;
  gboolean contradicts;
  ShimTestSummary *newest;
  GPtrArray *tests;
  GPtrArray *decisions;
  GPtrArray *doubts;
} ShimPairView;

ShimPairView *shim_ops_pair_view      (ShimRegister *reg, const char *pair, GError **error);
gpointer      shim_ops_pair_view_func (ShimRegister *reg, gpointer pair, GCancellable *cancellable, GError **error);
void          shim_pair_view_free     (ShimPairView *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimPairView, shim_pair_view_free)

G_END_DECLS
