/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-ops-model.h"

G_BEGIN_DECLS

gboolean _shim_model_wanted (const ShimModel *model, ShimBody *body, ShimLens *lens, double step_um, double *wanted);

G_END_DECLS
