/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

#define SHIM_TYPE_PAIR_PAGE (shim_pair_page_get_type ())
G_DECLARE_FINAL_TYPE (ShimPairPage, shim_pair_page, SHIM, PAIR_PAGE, AdwBin)

/**
 * ShimPairPage:
 *
 * The page of one pair, with its own header bar: what is true of it now, its response chart, the model's
 * prediction beside the
 * measurement, its evidence, its history.
 *
 * Signal "leave": the person wants to go back.
 */

GtkWidget *shim_pair_page_new  (ShimWorkspace *workspace);
void       shim_pair_page_show (ShimPairPage *self, const char *pair);

G_END_DECLS
