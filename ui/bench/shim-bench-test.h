/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

#define SHIM_TYPE_BENCH_TEST (shim_bench_test_get_type ())
G_DECLARE_FINAL_TYPE (ShimBenchTest, shim_bench_test, SHIM, BENCH_TEST, GtkWidget)

/**
 * ShimBenchTest:
 *
 * The test in hand: its set-up, its frames with the photograph of one of them, its figures and the advice.
 *
 * Actions: "bench.add-frames", "bench.accept". The place around it has "bench.leave".
 */

GtkWidget  *shim_bench_test_new           (void);
void        shim_bench_test_set_workspace (ShimBenchTest *self, ShimWorkspace *workspace);
void        shim_bench_test_open          (ShimBenchTest *self, const char *test);
void        shim_bench_test_leave         (ShimBenchTest *self);
const char *shim_bench_test_get_test      (ShimBenchTest *self);
void        shim_bench_test_add_paths     (ShimBenchTest *self, const char *const *paths);
void        shim_bench_test_watch         (ShimBenchTest *self, const char *folder);

G_END_DECLS
