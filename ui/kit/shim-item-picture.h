/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-record.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimItemPicture:
 *
 * The picture of an item, to be chosen and taken off. It is decoded in a thread of its own.
 */
#define SHIM_TYPE_ITEM_PICTURE (shim_item_picture_get_type ())
G_DECLARE_FINAL_TYPE (ShimItemPicture, shim_item_picture, SHIM, ITEM_PICTURE, GtkBox)

void shim_item_picture_set_item (ShimItemPicture *self, ShimWorkspace *workspace, ShimRecord *item);

G_END_DECLS
