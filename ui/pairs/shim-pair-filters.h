/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-register-pairs.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimPairFilters:
 *
 * What the pairs are narrowed down to: words of lens and body, state, mount and job; and the order of the list.
 *
 * Properties: "sorts" (boolean: whether an order is to be chosen, too). Signal "changed".
 */
#define SHIM_TYPE_PAIR_FILTERS (shim_pair_filters_get_type ())
G_DECLARE_FINAL_TYPE (ShimPairFilters, shim_pair_filters, SHIM, PAIR_FILTERS, GtkBox)

void     shim_pair_filters_set_workspace (ShimPairFilters *self, ShimWorkspace *workspace);
void     shim_pair_filters_get           (ShimPairFilters *self, ShimPairFilter *filter);
gboolean shim_pair_filters_is_any        (ShimPairFilters *self);
void     shim_pair_filters_clear         (ShimPairFilters *self);
void     shim_pair_filters_search        (ShimPairFilters *self);

G_END_DECLS
