/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
 * ShimPalette:
 * @text: what text on the widget's own ground has
 * @dim: for grids and what matters less
 * @accent: for the measured thing
 * @on_photo: a line on a photograph
 * @halo: what goes round it, so that it shows on light and on dark
 * @target: the target line on a photograph
 * @eye: what was marked by eye
 * @warning: for what is not right
 * @high_contrast: whether the person asked for more contrast
 * @line_px: width of a line, pixels
 *
 * Colours of what is drawn by hand. A colour is never the only sign: each line has its own stroke and a label.
 */
typedef struct
{
  GdkRGBA text;
  GdkRGBA dim;
  GdkRGBA accent;
  GdkRGBA on_photo;
  GdkRGBA halo;
  GdkRGBA target;
  GdkRGBA eye;
  GdkRGBA warning;
  gboolean high_contrast;
  double line_px;
} ShimPalette;

void shim_palette_for_widget (ShimPalette *self, GtkWidget *widget);
void shim_palette_faded      (const GdkRGBA *colour, double alpha, GdkRGBA *result);

G_END_DECLS
