/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define SHIM_TYPE_GROWING_LIST (shim_growing_list_get_type ())
G_DECLARE_FINAL_TYPE (ShimGrowingList, shim_growing_list, SHIM, GROWING_LIST, GObject)

/**
 * ShimGrowingList:
 *
 * A #GListModel between a long one and the #GtkListView that shows it: the first rows are there at once, and those behind them come step
 * by step, one step a frame, until all are there. A row has the same position in both. What is scrolled, or walked through by key,
 * is there as a whole at once; who goes to a far row asks for it by shim_growing_list_show_all().
 */
ShimGrowingList *shim_growing_list_new       (GtkListView *list);
void             shim_growing_list_set_model (ShimGrowingList *self, GListModel *model);
void             shim_growing_list_show_all  (ShimGrowingList *self);

G_END_DECLS
