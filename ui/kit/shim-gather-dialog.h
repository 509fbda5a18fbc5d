/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimGatherDialog:
 *
 * The bodies and lenses that took several photographs: those that are new are added together.
 */
#define SHIM_TYPE_GATHER_DIALOG (shim_gather_dialog_get_type ())
G_DECLARE_FINAL_TYPE (ShimGatherDialog, shim_gather_dialog, SHIM, GATHER_DIALOG, AdwWindow)

void shim_gather_dialog_show (GtkWidget *widget, ShimWorkspace *workspace, const char *const *paths);

G_END_DECLS
