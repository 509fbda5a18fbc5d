/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-pair-grid.h"

G_BEGIN_DECLS

/**
 * ShimPairMatrix:
 *
 * Lenses by bodies, of any size: only what is on screen is read and drawn, and the headings stay while it scrolls. Arrows, Home, End,
 * Page Up and Page Down move a cursor; Enter or a double click opens its cell.
 *
 * Signal "opened" (uint row, uint column): a cell was opened that is a pair or can become one.
 */
#define SHIM_TYPE_PAIR_MATRIX (shim_pair_matrix_get_type ())
G_DECLARE_FINAL_TYPE (ShimPairMatrix, shim_pair_matrix, SHIM, PAIR_MATRIX, GtkWidget)

GtkWidget *shim_pair_matrix_new (ShimPairGrid *grid);

G_END_DECLS
