/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimItemEditor:
 *
 * A dialog that fills in a new item or changes a known one, and stores it.
 *
 * Signal "saved" (ShimRecord *record): it was stored, as it stands now.
 */
#define SHIM_TYPE_ITEM_EDITOR (shim_item_editor_get_type ())
G_DECLARE_FINAL_TYPE (ShimItemEditor, shim_item_editor, SHIM, ITEM_EDITOR, AdwWindow)

ShimItemEditor *shim_item_editor_new (GtkWindow *parent, ShimWorkspace *workspace, ShimRecord *record);

G_END_DECLS
