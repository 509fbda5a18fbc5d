/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-surface.h"

G_BEGIN_DECLS

void frame_card_surface (const FrameScene *scene, FrameSurface *surface);
void frame_blob_surface (const FrameScene *scene, FrameSurface *surface);

G_END_DECLS
