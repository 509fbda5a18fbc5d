/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

void shim_list_keys_add (GtkWidget *list);
void shim_list_keys_select_on_activate (GtkListView *list);

G_END_DECLS
