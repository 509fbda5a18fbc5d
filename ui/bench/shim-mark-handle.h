/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-photo-marks.h"

G_BEGIN_DECLS

#define SHIM_TYPE_MARK_HANDLE (shim_mark_handle_get_type ())
G_DECLARE_FINAL_TYPE (ShimMarkHandle, shim_mark_handle, SHIM, MARK_HANDLE, GtkWidget)

/* Wide enough for a finger. */
#define SHIM_MARK_HANDLE_PX 32

GtkWidget *shim_mark_handle_new       (ShimMark mark);
ShimMark   shim_mark_handle_get_mark  (ShimMarkHandle *self);
void       shim_mark_handle_set_value (ShimMarkHandle *self, const char *value);
gboolean   shim_mark_handle_is_active (ShimMarkHandle *self);

G_END_DECLS
