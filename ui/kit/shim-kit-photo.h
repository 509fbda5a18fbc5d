/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-record.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimKitPhotoFunc:
 * @record: a body or lens: known (with an id), or new and to be looked over
 * @user_data: as given
 */
typedef void (*ShimKitPhotoFunc) (ShimRecord *record, gpointer user_data);

void shim_kit_photo_propose (GtkWidget *widget, ShimWorkspace *workspace, GFile *file, gboolean only_new,
                             ShimKitPhotoFunc func, gpointer user_data);

G_END_DECLS
