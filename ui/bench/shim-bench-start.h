/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

#define SHIM_TYPE_BENCH_START (shim_bench_start_get_type ())
G_DECLARE_FINAL_TYPE (ShimBenchStart, shim_bench_start, SHIM, BENCH_START, GtkWidget)

/**
 * ShimBenchStart:
 *
 * Chooses which pair to test, and where; or which test to go on with.
 *
 * Signal "test-chosen" (const char *test): this test is to be shown.
 */

GtkWidget *shim_bench_start_new           (void);
void       shim_bench_start_set_workspace (ShimBenchStart *self, ShimWorkspace *workspace);
void       shim_bench_start_refresh       (ShimBenchStart *self);
void       shim_bench_start_choose_pair   (ShimBenchStart *self, const char *pair);

G_END_DECLS
