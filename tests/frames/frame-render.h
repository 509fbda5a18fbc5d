/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-scene.h"
#include "frame-truth.h"

G_BEGIN_DECLS

guint8  *frame_render_pixels (const FrameScene *scene, GError **error);
gboolean frame_render_file   (const FrameScene *scene, const char *path, FrameTruth *truth, GError **error);

G_END_DECLS
