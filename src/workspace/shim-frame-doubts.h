/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-ops-summary.h"

G_BEGIN_DECLS

char **_shim_frame_doubts (ShimFrame *frame, ShimFrame *before, const ShimTestSummary *test, gint64 setting);

G_END_DECLS
