/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-workspace.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
 * ShimItemFunc:
 * @item: as stored
 * @user_data: as given
 */
typedef void (*ShimItemFunc) (ShimRecord *item, gpointer user_data);

void shim_item_editor_show (GtkWidget *widget, ShimWorkspace *workspace, ShimRecord *record, ShimItemFunc func);

G_END_DECLS
