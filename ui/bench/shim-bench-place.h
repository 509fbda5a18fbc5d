/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

#define SHIM_TYPE_BENCH_PLACE (shim_bench_place_get_type ())
G_DECLARE_FINAL_TYPE (ShimBenchPlace, shim_bench_place, SHIM, BENCH_PLACE, AdwBin)

/**
 * ShimBenchPlace:
 *
 * The place Bench: choose a pair, set up its test, take its frames, accept a setting.
 *
 * Property "workspace" (construct-only): the register.
 */

GtkWidget *shim_bench_place_new       (ShimWorkspace *workspace);
void       shim_bench_place_show_pair (ShimBenchPlace *self, const char *pair);
void       shim_bench_place_show_test (ShimBenchPlace *self, const char *test);

G_END_DECLS
