/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-kit-sheet.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

void shim_sheet_save  (GtkWidget *widget, ShimWorkspace *workspace, const char *job, const char *title, const char *format);
void shim_sheet_write (GtkWidget *widget, ShimWorkspace *workspace, const char *job, const char *path, ShimPaper paper);

G_END_DECLS
