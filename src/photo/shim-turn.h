/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-measurement.h"
#include "shim-photo.h"

G_BEGIN_DECLS

/* Private to the photo layer: requests and measurements between the upright and the stored frame. */

void shim_turn_request_to_stored      (const ShimPhoto *photo, ShimMeasureRequest *request);
void shim_turn_measurement_to_upright (const ShimPhoto *photo, ShimMeasurement *measurement);
guint8 *shim_turn_pixels_upright      (const ShimPhoto *photo, const guint8 *px, const ShimRect *stored, gsize stride,
                                       int n_channels, const ShimRect *upright);

G_END_DECLS
