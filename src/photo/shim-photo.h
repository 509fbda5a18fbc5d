/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

#include "shim-metadata.h"

G_BEGIN_DECLS

/**
 * ShimPhoto:
 *
 * One photograph, opened: a JPEG file, or a raw file by its largest embedded JPEG preview. It holds the file open
 * (so everything read through it is the same picture even when another takes its name) and its metadata, but no
 * pixels of a JPEG file. It never changes once opened, so any thread may use it.
 */
typedef struct _ShimPhoto ShimPhoto;

ShimPhoto          *shim_photo_open            (const char *path, GError **error);
ShimPhoto          *shim_photo_ref             (ShimPhoto *self);
void                shim_photo_unref           (ShimPhoto *self);
const char         *shim_photo_get_path        (const ShimPhoto *self);
gboolean            shim_photo_is_raw          (const ShimPhoto *self);
gboolean            shim_photo_is_progressive  (const ShimPhoto *self);
const ShimMetadata *shim_photo_get_metadata    (const ShimPhoto *self);
int                 shim_photo_get_stored_width  (const ShimPhoto *self);
int                 shim_photo_get_stored_height (const ShimPhoto *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimPhoto, shim_photo_unref)

G_END_DECLS
