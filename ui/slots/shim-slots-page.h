/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimSlotsPage:
 *
 * The slots of one body: what each holds, what a reset took, and the plan beside what is keyed in.
 */
#define SHIM_TYPE_SLOTS_PAGE (shim_slots_page_get_type ())
G_DECLARE_FINAL_TYPE (ShimSlotsPage, shim_slots_page, SHIM, SLOTS_PAGE, GtkBox)

GtkWidget *shim_slots_page_new      (ShimWorkspace *workspace);
void       shim_slots_page_set_body (ShimSlotsPage *self, const char *body);

G_END_DECLS
