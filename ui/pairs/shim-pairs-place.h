/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimPairsPlace:
 *
 * The place Pairs: lenses by bodies as a table or as a list, and the page of the pair that was opened.
 */
#define SHIM_TYPE_PAIRS_PLACE (shim_pairs_place_get_type ())
G_DECLARE_FINAL_TYPE (ShimPairsPlace, shim_pairs_place, SHIM, PAIRS_PLACE, GtkBox)

GtkWidget *shim_pairs_place_new    (ShimWorkspace *workspace);
void       shim_pairs_place_search (ShimPairsPlace *self);
void       shim_pairs_place_open   (ShimPairsPlace *self, const char *pair);

G_END_DECLS
