/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-measurement.h"

G_BEGIN_DECLS

#define SHIM_TYPE_BLUR_CURVE (shim_blur_curve_get_type ())
G_DECLARE_FINAL_TYPE (ShimBlurCurve, shim_blur_curve, SHIM, BLUR_CURVE, GtkWidget)

/**
 * ShimBlurCurve:
 *
 * How sharp each tick of the ruler is, on the ruler's own axis: the measured contrast, the fitted curve, the sharp
 * line with its error, the
 * target line, and the depth of field shaded.
 *
 * Property "hover-reading" (double, read and write): the reading under the pointer, mm, NAN for none.
 * Property "colours" (boolean, read): whether the colours are wanted by themselves; whoever shows a measurement then
 * sets the channels.
 */

GtkWidget *shim_blur_curve_new               (void);
void       shim_blur_curve_set_measurement   (ShimBlurCurve *self, const ShimMeasurement *measurement);
void       shim_blur_curve_set_channels      (ShimBlurCurve *self, const ShimMeasurement *const *channels);
void       shim_blur_curve_set_hover_reading (ShimBlurCurve *self, double reading_mm);
gboolean   shim_blur_curve_wants_colours     (ShimBlurCurve *self);

G_END_DECLS
