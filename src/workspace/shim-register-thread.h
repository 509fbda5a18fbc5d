/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-register.h"

G_BEGIN_DECLS

/**
 * ShimRegisterFunc:
 * @reg: the register, valid during the call
 * @data: as given
 * @cancellable: (nullable): as given; already in force for reads and writes that take long
 * @error: set when it returns %NULL
 *
 * Returns: the result, or GINT_TO_POINTER (TRUE)
 */
typedef gpointer (*ShimRegisterFunc) (ShimRegister *reg, gpointer data, GCancellable *cancellable, GError **error);

/**
 * ShimRegisterJob:
 *
 * One piece of work for the register's thread, and afterwards its result.
 * @func: the work
 * @data: for @func
 * @cancellable: (nullable): ends it early
 * @can_wait: whether all that cannot wait goes before it, also what is pushed later
 * @done: called on the register's thread when @result and @error stand
 * @done_data: for @done
 * @result: what @func returned
 * @error: (nullable): what went wrong
 */
typedef struct
{
  ShimRegisterFunc func;
  gpointer data;
  GCancellable *cancellable;
  gboolean can_wait;
  GFunc done;
  gpointer done_data;
  gpointer result;
  GError *error;
} ShimRegisterJob;

/**
 * ShimRegisterThread:
 *
 * The thread that owns a register. Jobs run one after the other in the order they were pushed; those that can wait come after all
 * others.
 */
typedef struct _ShimRegisterThread ShimRegisterThread;

ShimRegisterThread *shim_register_thread_new   (ShimRegister *reg);
ShimRegisterThread *shim_register_thread_ref   (ShimRegisterThread *self);
void                shim_register_thread_unref (ShimRegisterThread *self);
gboolean            shim_register_thread_push  (ShimRegisterThread *self, ShimRegisterJob *job);
gpointer            shim_register_thread_run   (ShimRegisterThread *self, ShimRegisterFunc func, gpointer data,
                                                GCancellable *cancellable, GError **error);
void                shim_register_thread_close (ShimRegisterThread *self, GFunc closed, gpointer closed_data);
void                shim_register_thread_join  (ShimRegisterThread *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimRegisterThread, shim_register_thread_unref)

G_END_DECLS
