/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-ops-summary.h"

G_BEGIN_DECLS

char *shim_bench_text_offset  (double offset_mm, double se_mm);
char *shim_bench_text_about   (double offset_mm);
char *shim_bench_text_setting (gint64 setting);
char *shim_bench_text_length  (double length_mm);
char *shim_bench_text_round   (const ShimRoundSummary *round, guint number);

G_END_DECLS
