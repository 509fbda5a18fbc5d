/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-picture.h"
#include "shim-view-transform.h"

G_BEGIN_DECLS

/* Full size, a half, a quarter, an eighth, and whatever was there first. */
#define SHIM_TILE_LEVELS 5
#define SHIM_TILE_LEVEL_QUICK 4

/**
 * ShimTileSet:
 *
 * A photograph in reduced levels, each cut into tiles that share its memory; draws just the tiles that show.
 */
typedef struct _ShimTileSet ShimTileSet;

ShimTileSet *shim_tile_set_new          (void);
void         shim_tile_set_free         (ShimTileSet *self);
void         shim_tile_set_take_level   (ShimTileSet *self, int level, ShimPicture *picture);
gboolean     shim_tile_set_has_level    (const ShimTileSet *self, int level);
gboolean     shim_tile_set_get_size     (const ShimTileSet *self, int *width, int *height);
guint        shim_tile_set_snapshot     (ShimTileSet *self, GtkSnapshot *snapshot, const ShimViewTransform *transform,
                                         const graphene_rect_t *area, int scale_factor);

GskRenderNode *shim_tile_set_node       (ShimTileSet *self, const ShimViewTransform *transform, const graphene_rect_t *area,
                                         int scale_factor);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimTileSet, shim_tile_set_free)

G_END_DECLS
