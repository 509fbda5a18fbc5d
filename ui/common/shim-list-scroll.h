/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

void shim_list_show_first (GtkListView *list);
void shim_list_show_selected_later (GtkListView *list, ShimWorkspace *workspace);

G_END_DECLS
