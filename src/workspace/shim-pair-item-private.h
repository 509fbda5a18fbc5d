/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-pair-item.h"
#include "shim-register-pairs.h"

G_BEGIN_DECLS

GPtrArray *_shim_pair_items_read     (ShimRegister *reader, const ShimPairFilter *filter, guint n, GError **error);
GPtrArray *_shim_pair_items_nothing  (guint n);
gboolean   _shim_pair_item_looks_like (ShimPairItem *self, ShimPairItem *other);

G_END_DECLS
