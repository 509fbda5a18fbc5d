/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-kinds.h"
#include "shim-pair-now.h"
#include "shim-register-pairs.h"
#include "shim-workspace.h"

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

#define SHIM_TYPE_PAIR_LIST (shim_pair_list_get_type ())
G_DECLARE_FINAL_TYPE (ShimPairList, shim_pair_list, SHIM, PAIR_LIST, GObject)

/**
 * ShimPairList:
 *
 * A #GListModel of #ShimPairItem: the pairs that the register knows, filtered and sorted, with converters and without. Only their number is
 * held; rows are read page by page. After a change all rows count as changed.
 *
 * Properties: "loading" (boolean), "n-items" (uint, notified).
 */
ShimPairList *shim_pair_list_new        (ShimWorkspace *workspace, const ShimPairFilter *filter);
void          shim_pair_list_set_filter (ShimPairList *self, const ShimPairFilter *filter);
gboolean      shim_pair_list_is_loading (ShimPairList *self);

G_END_DECLS
