/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-ops-summary.h"

G_BEGIN_DECLS

#define SHIM_TYPE_LARGE_VIEW (shim_large_view_get_type ())
G_DECLARE_FINAL_TYPE (ShimLargeView, shim_large_view, SHIM, LARGE_VIEW, GtkWidget)

/**
 * ShimLargeView:
 *
 * The test in hand in a type that can be read from the camera, two metres away: setting, offset, frames so far,
 * what to do next.
 */

GtkWidget *shim_large_view_new  (void);
void       shim_large_view_show (ShimLargeView *self, const ShimTestSummary *summary);

G_END_DECLS
