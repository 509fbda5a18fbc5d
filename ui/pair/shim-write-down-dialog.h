/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-ops-pair.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

#define SHIM_TYPE_WRITE_DOWN_DIALOG (shim_write_down_dialog_get_type ())
G_DECLARE_FINAL_TYPE (ShimWriteDownDialog, shim_write_down_dialog, SHIM, WRITE_DOWN_DIALOG, AdwMessageDialog)

void shim_write_down_dialog_show (GtkWidget *widget, ShimWorkspace *workspace, const ShimPairView *view);

G_END_DECLS
