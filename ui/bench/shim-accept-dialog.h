/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace-ops.h"

G_BEGIN_DECLS

#define SHIM_TYPE_ACCEPT_DIALOG (shim_accept_dialog_get_type ())
G_DECLARE_FINAL_TYPE (ShimAcceptDialog, shim_accept_dialog, SHIM, ACCEPT_DIALOG, AdwMessageDialog)

/**
 * ShimAcceptDialog:
 *
 * Asks which setting to accept and which slot of the body holds it from now on, and stores that.
 *
 * Signal "accepted" (const char *sentence): it is stored; the sentence says what.
 */

ShimAcceptDialog *shim_accept_dialog_new (GtkWidget *parent, ShimWorkspace *workspace, ShimTestSummary *summary);

G_END_DECLS
