/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-frame-measure.h"
#include "shim-luma-reader.h"

G_BEGIN_DECLS

/* Private to the photo layer. */

void             _shim_frame_prepare       (const ShimPhoto *photo, const ShimMeasureRequest *request,
                                            ShimMeasureRequest *known);
ShimMeasurement *_shim_frame_measure_known (ShimPhoto *photo, const ShimMeasureRequest *known,
                                            const ShimLumaBlock *decoded, gboolean two_threads,
                                            GCancellable *cancellable, GError **error);

G_END_DECLS
