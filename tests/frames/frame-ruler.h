/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-surface.h"

G_BEGIN_DECLS

/**
 * FrameRuler:
 *
 * The ruler of a scene as a texture: u = reading, v = distance from the tick edge.
 */
typedef struct _FrameRuler FrameRuler;

FrameRuler *frame_ruler_new     (const FrameScene *scene);
void        frame_ruler_free    (FrameRuler *ruler);
void        frame_ruler_surface (const FrameRuler *ruler, FrameSurface *surface);
double      frame_ruler_tick_mm (FrameScale scale);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (FrameRuler, frame_ruler_free)

G_END_DECLS
