/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

void shim_key_in (GtkWidget *widget, ShimWorkspace *workspace, const char *body, const char *pair, const char *sentence);

G_END_DECLS
