/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-fit.h"
#include "shim-pair-now.h"
#include "shim-palette.h"

G_BEGIN_DECLS

void  shim_pair_cell_snapshot (GtkWidget *widget, GtkSnapshot *snapshot, const ShimPalette *palette, const ShimPairNow *now,
                               ShimFit fit, const graphene_rect_t *area);
char *shim_pair_cell_describe (const ShimPairNow *now, ShimFit fit);
void  shim_pair_cell_text     (GtkWidget *widget, GtkSnapshot *snapshot, const char *text, const GdkRGBA *colour, gboolean bold,
                               const graphene_rect_t *area);
char *shim_pair_cell_value    (const ShimPairNow *now);

G_END_DECLS
