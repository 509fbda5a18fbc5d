/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

void shim_sheet_save (GtkWidget *widget, ShimWorkspace *workspace, const char *job, const char *title, const char *format);

G_END_DECLS
