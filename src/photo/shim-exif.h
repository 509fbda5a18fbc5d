/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Private to the photo layer: the tags of one file, as gexiv2 reads them. */

typedef struct _ShimExif ShimExif;

ShimExif *shim_exif_open_path   (const char *path);
ShimExif *shim_exif_open_bytes  (GBytes *bytes);
void      shim_exif_free        (ShimExif *self);
char     *shim_exif_get_text    (ShimExif *self, const char *tag);
double    shim_exif_get_number  (ShimExif *self, const char *tag, guint index);
guint     shim_exif_count       (ShimExif *self, const char *tag);
GBytes   *shim_exif_get_preview (ShimExif *self, int max_side);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimExif, shim_exif_free)

G_END_DECLS
