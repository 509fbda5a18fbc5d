/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-photo-marks.h"

G_BEGIN_DECLS

#define SHIM_TYPE_PHOTO_VIEW (shim_photo_view_get_type ())
G_DECLARE_FINAL_TYPE (ShimPhotoView, shim_photo_view, SHIM, PHOTO_VIEW, GtkWidget)

/**
 * ShimPhotoView:
 *
 * A photograph, upright, from the whole of it to single pixels, with the strip, the target line and the sharp line
 * on it.
 *
 * Properties: "hover-reading" (double, read and write: the reading under the pointer, mm, NAN for none),
 * "editable" (boolean: whether the marks
 * can be moved), "zoom" (double, read-only: screen pixels per pixel; 0 = no photograph), "loading" (boolean, read-
 * only).
 *
 * Signals: "marks-changed" (boolean settled): a person moved a mark; settled is %FALSE while it is still being
 * dragged. "view-changed": zoom or place
 * changed. "failed" (const char *sentence): the photograph cannot be shown.
 * "damaged": parts of the photograph are missing; what there is is shown.
 *
 * Actions: "photo.zoom-in", "photo.zoom-out", "photo.zoom-fit", "photo.zoom-ruler", "photo.zoom-1",
 * "photo.zoom-4", "photo.go-to-target",
 * "photo.mark-target", "photo.mark-eye", "photo.undo-marks".
 */

GtkWidget             *shim_photo_view_new               (void);
void                   shim_photo_view_set_path          (ShimPhotoView *self, const char *path);
const char            *shim_photo_view_get_path          (ShimPhotoView *self);
void                   shim_photo_view_show_jpeg         (ShimPhotoView *self, GBytes *jpeg);
void                   shim_photo_view_set_measurement   (ShimPhotoView *self, const ShimMeasurement *measurement);
const ShimMeasurement *shim_photo_view_get_measurement   (ShimPhotoView *self);
void                   shim_photo_view_set_marks         (ShimPhotoView *self, const ShimPhotoMarks *marks);
const ShimPhotoMarks  *shim_photo_view_get_marks         (ShimPhotoView *self);
void                   shim_photo_view_set_hover_reading (ShimPhotoView *self, double reading_mm);
double                 shim_photo_view_get_zoom          (ShimPhotoView *self);
void                   shim_photo_view_zoom_to           (ShimPhotoView *self, double zoom);
void                   shim_photo_view_zoom_fit          (ShimPhotoView *self);
void                   shim_photo_view_zoom_ruler        (ShimPhotoView *self);
void                   shim_photo_view_pan               (ShimPhotoView *self, double dx, double dy);
ShimPoint              shim_photo_view_get_centre        (ShimPhotoView *self);
void                   shim_photo_view_show_place        (ShimPhotoView *self, ShimPoint photo_px, double zoom);
gboolean               shim_photo_view_has_full_size     (ShimPhotoView *self);

G_END_DECLS
