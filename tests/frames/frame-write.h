/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-scene.h"

G_BEGIN_DECLS

gboolean frame_write_jpeg     (const FrameScene *scene, const guint8 *rgb, const char *path, GError **error);
gboolean frame_write_metadata (const FrameScene *scene, const guint8 *rgb, const char *path, GError **error);

G_END_DECLS
