/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-mark-handle.h"
#include "shim-photo-overlay.h"
#include "shim-photo-view.h"
#include "shim-tile-set.h"

G_BEGIN_DECLS

/* What the view goes on showing when its size changes, until the person moves the photograph. */
typedef enum
{
  SHIM_PHOTO_VIEW_FREE,
  SHIM_PHOTO_VIEW_FIT,
  SHIM_PHOTO_VIEW_RULER,
} ShimPhotoViewMode;

struct _ShimPhotoView
{
  GtkWidget parent_instance;

  /* the photograph */
  char *path;
  ShimPhoto *photo;
  GCancellable *cancellable;
  ShimTileSet *tiles;
  int photo_width;
  int photo_height;
  gboolean damaged;    /* told already */
  GskRenderNode *node; /* the photograph as last drawn with cairo */
  ShimViewTransform node_transform;

  /* how it lies in the view */
  ShimViewTransform transform;
  ShimPhotoViewMode mode;

  /* what is drawn on it */
  ShimMeasurement *measurement;
  ShimPhotoMarks marks;
  GArray *undo;                 /* ShimPhotoMarks */
  GtkWidget *handles[SHIM_N_MARKS];
  double hover_reading_mm;
  gboolean editable;
  gboolean dragging_mark;

  /* the pointer */
  ShimPoint pointer;
  double pinch_zoom;
  double drag_x;
  double drag_y;
};

void shim_photo_view_install_input   (GtkWidgetClass *widget_class);
gboolean shim_photo_view_focus       (GtkWidget *widget, GtkDirectionType direction);
void shim_photo_view_apply_mode      (ShimPhotoView *self);
void shim_photo_view_load            (ShimPhotoView *self);
void shim_photo_view_unload          (ShimPhotoView *self);
void shim_photo_view_add_controllers (ShimPhotoView *self);
void shim_photo_view_watch_handle    (ShimPhotoView *self, ShimMarkHandle *handle);
void shim_photo_view_view_changed    (ShimPhotoView *self);
void shim_photo_view_marks_changed   (ShimPhotoView *self, gboolean settled);
void shim_photo_view_fill_overlay    (ShimPhotoView *self, ShimPhotoOverlay *overlay, const ShimPalette *palette);
void shim_photo_view_append_tiles    (ShimPhotoView *self, GtkSnapshot *snapshot, const ShimViewTransform *transform,
                                      const graphene_rect_t *area);
void shim_photo_view_snapshot_loupe  (ShimPhotoView *self, const ShimPhotoOverlay *overlay);

G_END_DECLS
