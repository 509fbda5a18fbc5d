/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-surface.h"

G_BEGIN_DECLS

/* The printed target in a scene: its card takes the place of the card, its strip that of the ruler (reading 0 = aligned_mm). */
void frame_own_card_surface  (const FrameScene *scene, FrameSurface *surface);
void frame_own_strip_surface (const FrameScene *scene, FrameSurface *surface);

G_END_DECLS
