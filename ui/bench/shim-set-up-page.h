/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-ops-summary.h"

G_BEGIN_DECLS

#define SHIM_TYPE_SET_UP_PAGE (shim_set_up_page_get_type ())
G_DECLARE_FINAL_TYPE (ShimSetUpPage, shim_set_up_page, SHIM, SET_UP_PAGE, AdwBin)

/**
 * ShimSetUpPage:
 *
 * What to do before the first frame of a test, with the numbers worked out for its pair, and what to take care of.
 */

GtkWidget *shim_set_up_page_new  (void);
void       shim_set_up_page_show (ShimSetUpPage *self, const ShimTestSummary *summary);

G_END_DECLS
