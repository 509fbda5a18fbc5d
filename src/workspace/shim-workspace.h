/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-register-thread.h"

G_BEGIN_DECLS

#define SHIM_TYPE_WORKSPACE (shim_workspace_get_type ())
G_DECLARE_FINAL_TYPE (ShimWorkspace, shim_workspace, SHIM, WORKSPACE, GObject)

/**
 * ShimWorkspace:
 *
 * A register as the window uses it: one thread of its own owns it; everything else asks that thread and is called back in the
 * main context the workspace was opened from. Calls run in the order they were made.
 *
 * Properties, all read-only and notified in that context: "path" (string), "can-undo", "can-redo" (booleans), "undo-summary", "redo-summary"
 * (strings, %NULL when there is nothing: what one undo would take back), "busy" (boolean: calls are waiting or running), "photo-progress"
 * (double, 0 to 1; 1 when no photographs are being measured), "photo-busy" (boolean).
 *
 * Signal "changed": the register's contents changed, by a call of this workspace, by undo, or by another program. Several changes in
 * quick succession are one signal; the result of a call is always handed out before the signal that tells of it.
 *
 * Signal "problem" (GError): rows or cells that are to be shown could not be read.
 */

char          *shim_workspace_default_path  (void);
void           shim_workspace_open_async    (const char *path, GCancellable *cancellable, GAsyncReadyCallback callback,
                                             gpointer user_data);
ShimWorkspace *shim_workspace_open_finish   (GAsyncResult *result, GError **error);
ShimWorkspace *shim_workspace_open          (const char *path, GError **error);
void           shim_workspace_close_async   (ShimWorkspace *self, GAsyncReadyCallback callback, gpointer user_data);
gboolean       shim_workspace_close_finish  (ShimWorkspace *self, GAsyncResult *result, GError **error);
const char    *shim_workspace_get_path      (ShimWorkspace *self);
gboolean       shim_workspace_is_closed     (ShimWorkspace *self);

void           shim_workspace_call_async    (ShimWorkspace *self, ShimRegisterFunc func, gpointer data, GDestroyNotify data_free,
                                             GDestroyNotify result_free, GCancellable *cancellable,
                                             GAsyncReadyCallback callback, gpointer user_data);
gpointer       shim_workspace_call_finish   (ShimWorkspace *self, GAsyncResult *result, GError **error);
gboolean       shim_workspace_done_finish   (ShimWorkspace *self, GAsyncResult *result, GError **error);

void           shim_workspace_undo_async    (ShimWorkspace *self, GCancellable *cancellable, GAsyncReadyCallback callback,
                                             gpointer user_data);
void           shim_workspace_redo_async    (ShimWorkspace *self, GCancellable *cancellable, GAsyncReadyCallback callback,
                                             gpointer user_data);
gboolean       shim_workspace_get_can_undo  (ShimWorkspace *self);
gboolean       shim_workspace_get_can_redo  (ShimWorkspace *self);
const char    *shim_workspace_get_undo_summary (ShimWorkspace *self);
const char    *shim_workspace_get_redo_summary (ShimWorkspace *self);
double         shim_workspace_get_photo_progress (ShimWorkspace *self);
void           shim_workspace_set_max_age   (ShimWorkspace *self, double days);

G_END_DECLS
