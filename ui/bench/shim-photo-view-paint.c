/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-photo-view-private.h"

static gboolean
paints_with_cairo (GtkWidget *widget)
{
  GtkNative *native = gtk_widget_get_native (widget);

  return native != NULL && GSK_IS_CAIRO_RENDERER (gtk_native_get_renderer (native));
}

static gboolean
same_transform (const ShimViewTransform *a, const ShimViewTransform *b)
{
  return a->zoom == b->zoom && a->centre.x == b->centre.x && a->centre.y == b->centre.y && a->width == b->width &&
         a->height == b->height;
}

/**
 * shim_photo_view_append_tiles:
 * @self: a view with a photograph
 * @snapshot: where to draw
 * @transform: how the photograph lies in what is drawn
 * @area: the part of it that shows the photograph
 *
 * Draws the photograph in the way that suits the renderer.
 */
void
shim_photo_view_append_tiles (ShimPhotoView *self, GtkSnapshot *snapshot, const ShimViewTransform *transform,
                              const graphene_rect_t *area)
{
  int scale_factor = gtk_widget_get_scale_factor (GTK_WIDGET (self));
  gboolean is_view = transform == &self->transform;
  GskRenderNode *node;

  if (!paints_with_cairo (GTK_WIDGET (self)))
    {
      shim_tile_set_snapshot (self->tiles, snapshot, transform, area, scale_factor);
      return;
    }
  if (is_view && self->node != NULL && same_transform (transform, &self->node_transform))
    {
      gtk_snapshot_append_node (snapshot, self->node);
      return;
    }
  node = shim_tile_set_node (self->tiles, transform, area, scale_factor);
  if (node == NULL)
    return;
  gtk_snapshot_append_node (snapshot, node);
  if (!is_view)
    {
      gsk_render_node_unref (node);
      return;
    }
  g_clear_pointer (&self->node, gsk_render_node_unref);
  self->node = node;
  self->node_transform = *transform;
}
