/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-view-transform.h"

/**
 * shim_view_transform_to_view:
 * @self: a transform
 * @photo_px: a place in the photograph
 *
 * Returns: where it lies in the view, widget pixels
 */
ShimPoint
shim_view_transform_to_view (const ShimViewTransform *self, ShimPoint photo_px)
{
  return (ShimPoint){ (photo_px.x - self->centre.x) * self->zoom + self->width / 2.0,
                      (photo_px.y - self->centre.y) * self->zoom + self->height / 2.0 };
}

/**
 * shim_view_transform_to_photo:
 * @self: a transform
 * @view_px: a place in the view
 *
 * Returns: which place of the photograph lies there
 */
ShimPoint
shim_view_transform_to_photo (const ShimViewTransform *self, ShimPoint view_px)
{
  return (ShimPoint){ (view_px.x - self->width / 2.0) / self->zoom + self->centre.x,
                      (view_px.y - self->height / 2.0) / self->zoom + self->centre.y };
}

/**
 * shim_view_transform_fit_zoom:
 * @self: a transform with its view's size
 * @photo_width: columns of the photograph, above 0
 * @photo_height: its rows, above 0
 *
 * Returns: the zoom at which the whole photograph just fits; never above 1
 */
double
shim_view_transform_fit_zoom (const ShimViewTransform *self, int photo_width, int photo_height)
{
  double fit = MIN (self->width / photo_width, self->height / photo_height);

  return CLAMP (fit, SHIM_VIEW_ZOOM_MIN, 1.0);
}

/**
 * shim_view_transform_zoom_at:
 * @self: a transform
 * @zoom: the new zoom; kept within the limits
 * @view_px: the place of the view under which the photograph stays put
 */
void
shim_view_transform_zoom_at (ShimViewTransform *self, double zoom, ShimPoint view_px)
{
  ShimPoint anchor = shim_view_transform_to_photo (self, view_px);

  self->zoom = CLAMP (zoom, SHIM_VIEW_ZOOM_MIN, SHIM_VIEW_ZOOM_MAX);
  self->centre.x = anchor.x - (view_px.x - self->width / 2.0) / self->zoom;
  self->centre.y = anchor.y - (view_px.y - self->height / 2.0) / self->zoom;
}

static double
keep_axis (double centre, double view_length, double photo_length)
{
  /* Smaller than the view: in its middle. Larger: no empty margin on either side. */
  if (photo_length <= view_length)
    return photo_length / 2.0;
  return CLAMP (centre, view_length / 2.0, photo_length - view_length / 2.0);
}

/**
 * shim_view_transform_keep_on:
 * @self: a transform
 * @photo_width: columns of the photograph
 * @photo_height: its rows
 *
 * Moves the photograph back so that as much of the view as it can cover is covered.
 */
void
shim_view_transform_keep_on (ShimViewTransform *self, int photo_width, int photo_height)
{
  self->centre.x = keep_axis (self->centre.x, self->width / self->zoom, photo_width);
  self->centre.y = keep_axis (self->centre.y, self->height / self->zoom, photo_height);
}
