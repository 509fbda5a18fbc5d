/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimKitPlace:
 *
 * The place Kit: bodies, lenses, converters and adapters, searched as one types, with a page for each.
 */
#define SHIM_TYPE_KIT_PLACE (shim_kit_place_get_type ())
G_DECLARE_FINAL_TYPE (ShimKitPlace, shim_kit_place, SHIM, KIT_PLACE, GtkBox)

GtkWidget *shim_kit_place_new       (ShimWorkspace *workspace);
void       shim_kit_place_search    (ShimKitPlace *self);
void       shim_kit_place_open_item (ShimKitPlace *self, const char *kind, const char *id);

G_END_DECLS
