/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimHistoryDialog:
 *
 * What was changed, when and by whom, of the whole register or of one item; each change can be undone from here, also an older one
 * as long as nothing newer depends on it.
 */
#define SHIM_TYPE_HISTORY_DIALOG (shim_history_dialog_get_type ())
G_DECLARE_FINAL_TYPE (ShimHistoryDialog, shim_history_dialog, SHIM, HISTORY_DIALOG, AdwWindow)

GtkWindow *shim_history_dialog_new (GtkWindow *parent, ShimWorkspace *workspace, const char *item, const char *item_name);

G_END_DECLS
