/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

GtkListItemFactory *shim_pair_rows_new (GtkListView *list);

G_END_DECLS
