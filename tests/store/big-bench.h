/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "big-register.h"

G_BEGIN_DECLS

/* What the benchmarks on a demo's register and on a store-room's share. */

const BigRegisterSize *big_bench_size         (const char *which);
gboolean               big_bench_make_if_asked (int argc, char **argv);
void                   big_bench_make         (const char *program, const char *path, const char *which);
void                   big_bench_remove       (const char *path);
guint                  big_bench_pick         (guint *turn, guint n);
double                 big_bench_processor_ms (void);
double                 big_bench_median       (double *values, guint n);
double                 big_bench_memory_mb    (const char *which);

G_END_DECLS
