/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kinds.h"
#include "shim-register-pairs.h"
#include "shim-register-reads.h"

G_BEGIN_DECLS

/**
 * ShimItemPair:
 * @now: what is true of the pair
 * @other: name of the lens (for a body's page) or of the body, with the converter where there is one
 *
 * One line in the list of pairs of an item.
 */
typedef struct
{
  ShimPairNow *now;
  char *other;
} ShimItemPair;

/**
 * ShimItemView:
 * @item: the body, lens, converter or adapter
 * @events: (element-type ShimEvent): what happened to it, newest first, those taken back included
 * @pairs: (element-type ShimItemPair): its pairs that the register knows, greatest error first, at most 200
 * @n_pairs: how many there are in all
 * @slots: slots of a body
 *
 * All that the page of one item shows.
 */
typedef struct
{
  ShimRecord *item;
  GPtrArray *events;
  GPtrArray *pairs;
  gint64 n_pairs;
  ShimSlotCount slots;
} ShimItemView;

ShimItemView *shim_ops_item_view  (ShimRegister *reg, const char *kind, const char *id, GError **error);
void          shim_item_view_free (ShimItemView *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimItemView, shim_item_view_free)

G_END_DECLS
