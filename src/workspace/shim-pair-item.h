/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kinds.h"
#include "shim-pair-now.h"

G_BEGIN_DECLS

#define SHIM_TYPE_PAIR_ITEM (shim_pair_item_get_type ())
G_DECLARE_FINAL_TYPE (ShimPairItem, shim_pair_item, SHIM, PAIR_ITEM, GObject)

/**
 * ShimPairItem:
 *
 * A pair as it is now, with its items. It never changes; after a change there is another one.
 */
const ShimPairNow *shim_pair_item_get_now       (ShimPairItem *self);
ShimBody          *shim_pair_item_get_body      (ShimPairItem *self);
ShimLens          *shim_pair_item_get_lens      (ShimPairItem *self);
ShimConverter     *shim_pair_item_get_converter (ShimPairItem *self);

G_END_DECLS
