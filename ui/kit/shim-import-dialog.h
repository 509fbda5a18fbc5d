/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimImportDialog:
 *
 * From a spreadsheet's table to items: which column is what, a look at what will happen, every mistake with its line; all of it is
 * stored, or nothing.
 */
#define SHIM_TYPE_IMPORT_DIALOG (shim_import_dialog_get_type ())
G_DECLARE_FINAL_TYPE (ShimImportDialog, shim_import_dialog, SHIM, IMPORT_DIALOG, AdwWindow)

void shim_import_dialog_choose (GtkWidget *widget, ShimWorkspace *workspace, const char *kind);
void shim_import_dialog_open   (GtkWidget *widget, ShimWorkspace *workspace, const char *kind, GFile *file);

G_END_DECLS
