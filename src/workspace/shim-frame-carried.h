/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-measurement.h"

G_BEGIN_DECLS

char *shim_frame_carried_sentence (const ShimMeasurement *measurement);

G_END_DECLS
