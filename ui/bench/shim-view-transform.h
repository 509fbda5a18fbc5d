/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-geometry.h"

G_BEGIN_DECLS

/* Photographs are shown from far away to single pixels the size of a fingernail. */
#define SHIM_VIEW_ZOOM_MAX 32.0
#define SHIM_VIEW_ZOOM_MIN (1.0 / 64.0)

/**
 * ShimViewTransform:
 * @zoom: widget pixels per pixel of the photograph
 * @centre: the place of the upright photograph that stands in the middle of the view
 * @width: of the view, widget pixels
 * @height: of the view, widget pixels
 *
 * How a photograph lies in a view.
 */
typedef struct
{
  double zoom;
  ShimPoint centre;
  double width;
  double height;
} ShimViewTransform;

ShimPoint shim_view_transform_to_view   (const ShimViewTransform *self, ShimPoint photo_px);
ShimPoint shim_view_transform_to_photo  (const ShimViewTransform *self, ShimPoint view_px);
double    shim_view_transform_fit_zoom  (const ShimViewTransform *self, int photo_width, int photo_height);
void      shim_view_transform_zoom_at   (ShimViewTransform *self, double zoom, ShimPoint view_px);
void      shim_view_transform_keep_on   (ShimViewTransform *self, int photo_width, int photo_height);

G_END_DECLS
