/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-exif.h"
#include "shim-jpeg.h"
#include "shim-photo.h"

G_BEGIN_DECLS

/* Private to the photo layer. */

struct _ShimPhoto
{
  gatomicrefcount ref_count;
  char *path;
  char *name;
  int fd;
  GBytes *raw_preview;          /* the JPEG out of a raw file; NULL for a JPEG file */
  GBytes *thumbnail;            /* the file's own small picture, if any */
  ShimJpegSource source;
  ShimMetadata *metadata;
  guint16 luma_steps[64];
  int width;
  int height;
  gboolean progressive;
};

ShimMetadata *shim_metadata_from_exif   (ShimExif *exif, int stored_width, int stored_height);
double        shim_exif_adjustment      (ShimExif *exif);
ShimOrientation shim_exif_orientation (ShimExif *exif);
GBytes       *shim_raw_extract_preview  (const char *path, const char *name, GError **error);
int           shim_photo_open_file      (const char *path, const char *name, GError **error);
void          shim_photo_set_open_error (const char *name, int open_errno, GError **error);

G_END_DECLS
