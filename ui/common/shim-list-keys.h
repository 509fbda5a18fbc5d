/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

void shim_list_keys_add (GtkWidget *list);

G_END_DECLS
