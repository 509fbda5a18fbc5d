/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-scene.h"

G_BEGIN_DECLS

const char *const *frame_set_names  (void);
const char        *frame_set_about  (const char *name);
gboolean           frame_set_draw   (const char *name, guint32 seed, int index, FrameScene *scene, GError **error);
gboolean           frame_set_write  (const char *name, guint32 seed, int count, const char *folder, GError **error);

G_END_DECLS
