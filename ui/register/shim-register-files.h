/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-workspace.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

void shim_register_back_up_choose (GtkWidget *widget, ShimWorkspace *workspace);
void shim_register_open_choose    (GtkWidget *widget, ShimWorkspace *workspace);

G_END_DECLS
