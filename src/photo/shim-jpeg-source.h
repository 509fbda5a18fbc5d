/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

/* Private to the photo layer: the bytes of one JPEG picture. */

#define SHIM_JPEG_BUFFER_BYTES (64 * 1024)

/**
 * ShimJpegSource:
 * @fd: an open file, read by pread() so that several threads may share it; -1 = @bytes
 * @bytes: (nullable): the JPEG in memory
 * @name: what to call the file in messages
 *
 * Where a JPEG picture is. Borrowed: it must outlive every #ShimJpeg made from it.
 */
typedef struct
{
  int fd;
  GBytes *bytes;
  const char *name;
} ShimJpegSource;

gssize   shim_jpeg_source_read           (const ShimJpegSource *source, guint8 *buffer, gsize size, goffset position);
void     shim_jpeg_source_set_cut_short  (const ShimJpegSource *source, GError **error);
void     shim_jpeg_source_set_read_error (const ShimJpegSource *source, int read_errno, GError **error);
gboolean shim_jpeg_source_check_complete (const ShimJpegSource *source, goffset position, GCancellable *cancellable,
                                          GError **error);

G_END_DECLS
