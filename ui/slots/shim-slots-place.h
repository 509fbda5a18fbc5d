/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimSlotsPlace:
 *
 * The place Slots: the bodies, and what each slot of the chosen one holds.
 */
#define SHIM_TYPE_SLOTS_PLACE (shim_slots_place_get_type ())
G_DECLARE_FINAL_TYPE (ShimSlotsPlace, shim_slots_place, SHIM, SLOTS_PLACE, GtkBox)

GtkWidget *shim_slots_place_new       (ShimWorkspace *workspace);
void       shim_slots_place_search    (ShimSlotsPlace *self);
void       shim_slots_place_open_body (ShimSlotsPlace *self, const char *body);

G_END_DECLS
