/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-pair-item.h"
#include "shim-register-pairs.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

#define SHIM_TYPE_PAIR_LIST (shim_pair_list_get_type ())
G_DECLARE_FINAL_TYPE (ShimPairList, shim_pair_list, SHIM, PAIR_LIST, GObject)

/**
 * ShimPairList:
 *
 * A #GListModel of #ShimPairItem: the pairs that the register knows, filtered and sorted, with converters and without. Only their number is
 * held; rows are read page by page. The first rows of a new question come by themselves, the rest behind them. After a change the
 * rows that were looked at last are read again, and those that look different count as changed.
 *
 * Properties: "loading" (boolean), "n-items" (uint, notified).
 */
ShimPairList *shim_pair_list_new        (ShimWorkspace *workspace, const ShimPairFilter *filter);
void          shim_pair_list_set_filter (ShimPairList *self, const ShimPairFilter *filter);
gboolean      shim_pair_list_is_loading (ShimPairList *self);

G_END_DECLS
