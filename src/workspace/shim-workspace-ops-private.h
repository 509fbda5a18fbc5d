/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimOpArgs:
 *
 * Copies of the arguments of one operation, on their way to the register's thread.
 */
typedef struct
{
  char *text[4];
  char **texts;
  gint64 number[2];
  double real[2];
  gboolean flag;
  ShimRecord *record;
  GPtrArray *records;
} ShimOpArgs;

ShimOpArgs *_shim_op_args_new  (const char *a, const char *b, const char *c, const char *d);
void        _shim_op_args_free (ShimOpArgs *args);
void        _shim_op_call      (ShimWorkspace *self, ShimRegisterFunc func, ShimOpArgs *args, GDestroyNotify result_free,
                                GCancellable *cancellable, GAsyncReadyCallback callback, gpointer user_data);

G_END_DECLS
