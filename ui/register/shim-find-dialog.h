/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimFindDialog:
 *
 * The search over everything, as one types: what is found stands under the name of its kind, and Enter opens it in its place.
 */
#define SHIM_TYPE_FIND_DIALOG (shim_find_dialog_get_type ())
G_DECLARE_FINAL_TYPE (ShimFindDialog, shim_find_dialog, SHIM, FIND_DIALOG, AdwWindow)

GtkWindow *shim_find_dialog_new (GtkWindow *parent, ShimWorkspace *workspace);

G_END_DECLS
