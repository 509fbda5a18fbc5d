/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-ops-item.h"

G_BEGIN_DECLS

/**
 * ShimItemPairs:
 *
 * The pairs on the page of an item: the first few, and the others when they are asked for, so that nobody has to scroll past all lenses
 * of a store-room.
 */
#define SHIM_TYPE_ITEM_PAIRS (shim_item_pairs_get_type ())
G_DECLARE_FINAL_TYPE (ShimItemPairs, shim_item_pairs, SHIM, ITEM_PAIRS, AdwPreferencesGroup)

GtkWidget *shim_item_pairs_new      (void);
void       shim_item_pairs_set_view (ShimItemPairs *self, const ShimItemView *view);

G_END_DECLS
