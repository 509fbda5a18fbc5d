/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-frame-measure.h"

G_BEGIN_DECLS

/**
 * ShimFrameAnchor:
 *
 * A frame whose marks (strip and target line) are carried over to other frames of the same set-up: its evidence and
 * where the marks lie. Never changes, so that threads may share it.
 */
typedef struct _ShimFrameAnchor ShimFrameAnchor;

ShimFrameAnchor *shim_frame_anchor_new  (GBytes *evidence, const ShimMeasurement *marks, GError **error);
void             shim_frame_anchor_free (ShimFrameAnchor *self);
ShimMeasurement *shim_frame_measure_carried (ShimPhoto *photo, const ShimFrameAnchor *anchor,
                                             const ShimMeasureRequest *request, GCancellable *cancellable,
                                             GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimFrameAnchor, shim_frame_anchor_free)

G_END_DECLS
