/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimItemPage:
 *
 * The page of one item: identity, abilities, events, pairs and slots. It follows the register.
 */
#define SHIM_TYPE_ITEM_PAGE (shim_item_page_get_type ())
G_DECLARE_FINAL_TYPE (ShimItemPage, shim_item_page, SHIM, ITEM_PAGE, GtkBox)

GtkWidget *shim_item_page_new      (ShimWorkspace *workspace);
void       shim_item_page_set_item (ShimItemPage *self, const char *kind, const char *id);

G_END_DECLS
