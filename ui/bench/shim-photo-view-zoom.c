/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-photo-view-private.h"

/**
 * shim_photo_view_get_zoom:
 * @self: a view
 *
 * Returns: screen pixels per pixel of the photograph; 0 when there is none
 */
double
shim_photo_view_get_zoom (ShimPhotoView *self)
{
  g_return_val_if_fail (SHIM_IS_PHOTO_VIEW (self), 0.0);

  return self->photo_width > 0 ? self->transform.zoom * gtk_widget_get_scale_factor (GTK_WIDGET (self)) : 0.0;
}

/**
 * shim_photo_view_zoom_to:
 * @self: a view
 * @zoom: screen pixels per pixel
 *
 * Zooms about the pointer while it is over the view, else about the middle.
 */
void
shim_photo_view_zoom_to (ShimPhotoView *self, double zoom)
{
  ShimPoint at;

  g_return_if_fail (SHIM_IS_PHOTO_VIEW (self));

  at = isnan (self->pointer.x) ? (ShimPoint){ self->transform.width / 2.0, self->transform.height / 2.0 }
                               : self->pointer;
  self->mode = SHIM_PHOTO_VIEW_FREE;
  shim_view_transform_zoom_at (&self->transform, zoom / gtk_widget_get_scale_factor (GTK_WIDGET (self)), at);
  shim_photo_view_view_changed (self);
}

static void
place_ruler (ShimPhotoView *self)
{
  const ShimPhotoMarks *marks = &self->marks;
  double dx = fabs (marks->strip_b_px.x - marks->strip_a_px.x), dy = fabs (marks->strip_b_px.y - marks->strip_a_px.y);
  double room_px = 0.12 * hypot (dx, dy);

  self->transform.zoom = CLAMP (MIN (self->transform.width / (dx + room_px), self->transform.height / (dy + room_px)),
                                SHIM_VIEW_ZOOM_MIN, SHIM_VIEW_ZOOM_MAX);
  self->transform.centre = (ShimPoint){ (marks->strip_a_px.x + marks->strip_b_px.x) / 2.0,
                                        (marks->strip_a_px.y + marks->strip_b_px.y) / 2.0 };
}

/**
 * shim_photo_view_apply_mode:
 * @self: a view
 *
 * Brings zoom and place in line with what the view goes on showing, as soon as photograph and size are known.
 */
void
shim_photo_view_apply_mode (ShimPhotoView *self)
{
  if (self->photo_width == 0 || !(self->transform.width > 0.0))
    return;
  if (self->mode == SHIM_PHOTO_VIEW_RULER && self->marks.has_strip)
    place_ruler (self);
  else if (self->mode != SHIM_PHOTO_VIEW_FREE)
    self->transform.zoom = shim_view_transform_fit_zoom (&self->transform, self->photo_width, self->photo_height);
  shim_view_transform_keep_on (&self->transform, self->photo_width, self->photo_height);
}

/**
 * shim_photo_view_zoom_fit:
 * @self: a view
 *
 * Shows the whole photograph, and goes on doing so when the view changes its size.
 */
void
shim_photo_view_zoom_fit (ShimPhotoView *self)
{
  g_return_if_fail (SHIM_IS_PHOTO_VIEW (self));

  self->mode = SHIM_PHOTO_VIEW_FIT;
  shim_photo_view_apply_mode (self);
  shim_photo_view_view_changed (self);
}

/**
 * shim_photo_view_zoom_ruler:
 * @self: a view
 *
 * Fills the view with the strip, some room about it; shows all of the photograph where there is no strip.
 */
void
shim_photo_view_zoom_ruler (ShimPhotoView *self)
{
  g_return_if_fail (SHIM_IS_PHOTO_VIEW (self));

  self->mode = SHIM_PHOTO_VIEW_RULER;
  shim_photo_view_apply_mode (self);
  shim_photo_view_view_changed (self);
}

/**
 * shim_photo_view_pan:
 * @self: a view
 * @dx: widget pixels by which the photograph moves to the right
 * @dy: ... down
 */
void
shim_photo_view_pan (ShimPhotoView *self, double dx, double dy)
{
  g_return_if_fail (SHIM_IS_PHOTO_VIEW (self));

  self->mode = SHIM_PHOTO_VIEW_FREE;
  self->transform.centre.x -= dx / self->transform.zoom;
  self->transform.centre.y -= dy / self->transform.zoom;
  shim_photo_view_view_changed (self);
}

/**
 * shim_photo_view_get_centre:
 * @self: a view
 *
 * Returns: the place of the photograph in the middle of the view
 */
ShimPoint
shim_photo_view_get_centre (ShimPhotoView *self)
{
  g_return_val_if_fail (SHIM_IS_PHOTO_VIEW (self), ((ShimPoint){ NAN, NAN }));

  return self->transform.centre;
}

/**
 * shim_photo_view_show_place:
 * @self: a view
 * @photo_px: the place of the photograph to bring to the middle
 * @zoom: screen pixels per pixel
 */
void
shim_photo_view_show_place (ShimPhotoView *self, ShimPoint photo_px, double zoom)
{
  g_return_if_fail (SHIM_IS_PHOTO_VIEW (self));

  self->mode = SHIM_PHOTO_VIEW_FREE;
  self->transform.zoom =
      CLAMP (zoom / gtk_widget_get_scale_factor (GTK_WIDGET (self)), SHIM_VIEW_ZOOM_MIN, SHIM_VIEW_ZOOM_MAX);
  self->transform.centre = photo_px;
  shim_photo_view_view_changed (self);
}
