/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-ops-frames.h"
#include "shim-register-reads.h"
#include "shim-register-thread.h"

G_BEGIN_DECLS

/**
 * ShimOnRegister:
 * @func: work that needs the register
 * @data: for @func
 * @cancellable: (nullable): ends it early
 * @error: what @func reported
 * @user_data: as given
 *
 * Runs @func where the register may be used: at once, or on the register's own thread while the caller waits. So the long
 * operations with photographs exist once, for the command line and for the window.
 *
 * Returns: what @func returned
 */
typedef gpointer (*ShimOnRegister) (ShimRegisterFunc func, gpointer data, GCancellable *cancellable, GError **error,
                                    gpointer user_data);

gpointer         _shim_ops_run_here    (ShimRegisterFunc func, gpointer data, GCancellable *cancellable, GError **error, gpointer reg);
ShimMeasurement *_shim_ops_find_marks  (const ShimTestTree *tree, const char *frame);
gboolean         _shim_ops_gives_marks  (const ShimMeasureRequest *given);
gboolean         _shim_ops_has_marks    (ShimReading *reading);
GPtrArray       *_shim_ops_find_followers (const ShimTestTree *tree, const char *marked);
gboolean         _shim_ops_make_plan   (ShimRegister *reg, const char *test, const char *frame, const ShimMeasureRequest *given,
                                        ShimLookPlan *plan, GError **error);
ShimReading     *_shim_ops_new_reading (ShimRegister *reg, const char *frame, const char *method, const ShimMeasurement *measurement);

GPtrArray   *_shim_ops_frames_add       (ShimOnRegister run, gpointer run_data, const char *round, const char *const *paths,
                                         const ShimMarks *marks, ShimAddedFunc progress, gpointer progress_data,
                                         GCancellable *cancellable, GError **error);
ShimReading *_shim_ops_frames_remeasure (ShimOnRegister run, gpointer run_data, const char *frame,
                                         const ShimMeasureRequest *given, GCancellable *cancellable, GError **error);
GPtrArray   *_shim_ops_frames_carry     (ShimOnRegister run, gpointer run_data, const char *frame, GCancellable *cancellable,
                                         GError **error);

G_END_DECLS
