/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-ops-model.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimThreadFunc:
 * @thread: the register's thread, for shim_register_thread_run()
 * @data: as given
 * @cancellable: ends it early
 * @error: set when it returns %NULL
 *
 * Long work in a thread of its own (photographs), which asks the register's thread in between.
 *
 * Returns: the result, or GINT_TO_POINTER (TRUE)
 */
typedef gpointer (*ShimThreadFunc) (ShimRegisterThread *thread, gpointer data, GCancellable *cancellable, GError **error);

ShimWorkspace      *_shim_workspace_new        (ShimRegister *writer, ShimRegister *reader);
ShimRegister       *_shim_workspace_get_reader  (ShimWorkspace *self);
ShimRegisterThread *_shim_workspace_get_thread  (ShimWorkspace *self);
GMainContext       *_shim_workspace_get_context (ShimWorkspace *self);
GCancellable       *_shim_workspace_get_photo_cancellable (ShimWorkspace *self);
void          _shim_workspace_count_call  (ShimWorkspace *self, int change);
void          _shim_workspace_schedule_check (ShimWorkspace *self);
void          _shim_workspace_thread_async (ShimWorkspace *self, ShimThreadFunc func, gpointer data, GDestroyNotify data_free,
                                            GDestroyNotify result_free, GCancellable *cancellable,
                                            GAsyncReadyCallback callback, gpointer user_data);
void          _shim_workspace_call_later_async (ShimWorkspace *self, ShimRegisterFunc func, gpointer data, GDestroyNotify data_free,
                                                GDestroyNotify result_free, GCancellable *cancellable,
                                                GAsyncReadyCallback callback, gpointer user_data);
ShimModel    *_shim_workspace_dup_model   (ShimWorkspace *self, gint64 *version);
void          _shim_workspace_keep_model  (ShimWorkspace *self, ShimModel *model, gint64 version);
void          _shim_workspace_expect_photos (ShimWorkspace *self, guint n);
void          _shim_workspace_photo_done  (ShimWorkspace *self);
void          _shim_workspace_install_problem (void);
void          _shim_workspace_report      (ShimWorkspace *self, const GError *error);

G_END_DECLS
