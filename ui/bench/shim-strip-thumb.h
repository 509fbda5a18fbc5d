/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-measurement.h"

G_BEGIN_DECLS

#define SHIM_TYPE_STRIP_THUMB (shim_strip_thumb_get_type ())
G_DECLARE_FINAL_TYPE (ShimStripThumb, shim_strip_thumb, SHIM, STRIP_THUMB, GtkWidget)

/**
 * ShimStripThumb:
 *
 * A small piece of a frame's evidence strip, cut where it is sharp, pixel by pixel: blur can be seen in it, which
 * a reduced
 * picture hides.
 */

GtkWidget *shim_strip_thumb_new   (void);
void       shim_strip_thumb_show  (ShimStripThumb *self, GBytes *evidence, const ShimMeasurement *measurement);
void       shim_strip_thumb_place (ShimStripThumb *self, const ShimMeasurement *measurement);

G_END_DECLS
