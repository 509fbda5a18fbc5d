/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

void shim_event_dialog_show (GtkWidget *widget, ShimWorkspace *workspace, const char *item_kind, const char *item,
                             const char *item_name);

G_END_DECLS
