/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-luma.h"
#include "shim-photo.h"

G_BEGIN_DECLS

typedef struct _ShimLumaPiece ShimLumaPiece;

/**
 * ShimLumaBlock:
 * @luma: the pixels and where they stand, in the stored frame
 * @px: their memory
 * @rest: (nullable): what is still to be decoded of a piece that was begun
 *
 * A piece of a photograph's luma with its memory.
 */
typedef struct
{
  ShimLuma luma;
  guint8 *px;
  ShimLumaPiece *rest;
} ShimLumaBlock;

/**
 * ShimChannelsBlock:
 * @rect: which piece of the stored picture this is
 * @stride: bytes from one row to the next
 * @bytes: red, green, blue, one byte each, row by row
 */
typedef struct
{
  ShimRect rect;
  gsize stride;
  GBytes *bytes;
} ShimChannelsBlock;

/**
 * ShimLumaRowsFunc:
 * @y0: stored row the block starts at
 * @n_rows: rows in it (the last block may hold fewer)
 * @px: luma, row by row, of the picture's whole width; valid during the call only
 * @stride: bytes from one row to the next
 * @user_data: as given
 *
 * Returns: %FALSE to end the reading early, which is no error
 */
typedef gboolean (*ShimLumaRowsFunc) (int y0, int n_rows, const guint8 *px, gsize stride, gpointer user_data);

ShimLumaBlock     *shim_luma_read_rect     (ShimPhoto *photo, const ShimRect *stored, GCancellable *cancellable,
                                            GError **error);
ShimLumaBlock     *shim_luma_begin_rect    (ShimPhoto *photo, const ShimRect *stored, int n_rows,
                                            GCancellable *cancellable, GError **error);
gboolean           shim_luma_read_rest     (ShimLumaBlock *self, GError **error);
ShimChannelsBlock *shim_luma_read_channels (ShimPhoto *photo, const ShimRect *stored, GCancellable *cancellable,
                                            GError **error);
gboolean           shim_luma_block_get_part (const ShimLumaBlock *self, const ShimRect *stored, ShimLuma *luma);
gboolean           shim_luma_stream        (ShimPhoto *photo, int block_rows, ShimLumaRowsFunc func,
                                            gpointer user_data, GCancellable *cancellable, GError **error);
void               shim_luma_block_free    (ShimLumaBlock *self);
void               shim_channels_block_free (ShimChannelsBlock *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimLumaBlock, shim_luma_block_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimChannelsBlock, shim_channels_block_free)

G_END_DECLS
