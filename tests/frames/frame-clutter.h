/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-surface.h"

G_BEGIN_DECLS

void frame_clutter_add (const FrameScene *scene, const FrameCamera *camera, const FramePsf *psf, GPtrArray *patches);

G_END_DECLS
