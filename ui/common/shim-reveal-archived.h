/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

void shim_reveal_archived (GtkWidget *place, ShimWorkspace *workspace, const char *kind, const char *id);

G_END_DECLS
