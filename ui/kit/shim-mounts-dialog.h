/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

#define SHIM_TYPE_MOUNTS_DIALOG (shim_mounts_dialog_get_type ())
G_DECLARE_FINAL_TYPE (ShimMountsDialog, shim_mounts_dialog, SHIM, MOUNTS_DIALOG, AdwWindow)

void shim_mounts_dialog_show (GtkWidget *widget, ShimWorkspace *workspace);

G_END_DECLS
