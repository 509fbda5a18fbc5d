/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
 * ShimRowFuncs:
 * @build: puts empty widgets into a row
 * @fill: lets them show the item
 * @clear: (nullable): undoes @fill
 *
 * What the rows of one kind of list look like.
 */
typedef struct
{
  void (*build) (GtkBox *row);
  void (*fill) (GtkListItem *item, GtkWidget *row);
  void (*clear) (GtkListItem *item, GtkWidget *row);
} ShimRowFuncs;

GtkListItemFactory *shim_lazy_rows_new (GtkListView *list, const ShimRowFuncs *funcs);

G_END_DECLS
