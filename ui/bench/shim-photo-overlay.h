/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-palette.h"
#include "shim-photo-marks.h"
#include "shim-view-transform.h"

G_BEGIN_DECLS

/**
 * ShimPhotoOverlay:
 * @widget: the view, for its font
 * @snapshot: where to draw
 * @transform: how the photograph lies in the view
 * @palette: the colours
 * @measurement: (nullable): what the program measured
 * @marks: what the person marked
 * @hover_reading_mm: the reading under the pointer, here or in the curve; NAN = none
 *
 * What is needed to draw over a photograph.
 */
typedef struct
{
  GtkWidget *widget;
  GtkSnapshot *snapshot;
  const ShimViewTransform *transform;
  const ShimPalette *palette;
  const ShimMeasurement *measurement;
  const ShimPhotoMarks *marks;
  double hover_reading_mm;
} ShimPhotoOverlay;

/**
 * ShimStripFrame:
 * @along: unit vector from the strip's first end to its second
 * @across: unit vector across it, pointing right (or down where it cannot)
 * @half_width_px: half the width to look in, pixels of the photograph
 *
 * The directions of a strip.
 */
typedef struct
{
  ShimPoint along;
  ShimPoint across;
  double half_width_px;
} ShimStripFrame;

gboolean  shim_strip_frame_from_marks   (ShimStripFrame *self, const ShimPhotoMarks *marks);
ShimPoint shim_strip_frame_foot         (const ShimStripFrame *self, const ShimPhotoMarks *marks, ShimPoint px);
void      shim_photo_overlay_draw       (const ShimPhotoOverlay *self);
ShimPoint shim_photo_overlay_handle_at  (const ShimPhotoOverlay *self, ShimMark mark);
void      shim_photo_overlay_line       (const ShimPhotoOverlay *self, ShimPoint from, ShimPoint to, double thickness,
                                         const GdkRGBA *colour);
char     *shim_photo_overlay_value_text (const ShimPhotoOverlay *self, ShimMark mark);

G_END_DECLS
