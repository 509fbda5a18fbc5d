/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <adwaita.h>

#include "shim-palette.h"

/* The one place that asks for a style context: GTK 4.10 deprecates it in favour of what 4.8 does not have yet. */
static void
look_up (GtkWidget *widget, const char *name, const GdkRGBA *otherwise, GdkRGBA *result)
{
  if (!gtk_style_context_lookup_color (gtk_widget_get_style_context (widget), name, result))
    *result = *otherwise;
}

/**
 * shim_palette_for_widget:
 * @self: (out): the colours
 * @widget: whose style they follow: light, dark, high contrast
 */
void
shim_palette_for_widget (ShimPalette *self, GtkWidget *widget)
{
  const GdkRGBA white = { 1.0f, 1.0f, 1.0f, 1.0f };

  gtk_style_context_get_color (gtk_widget_get_style_context (widget), &self->text);
  self->high_contrast = adw_style_manager_get_high_contrast (adw_style_manager_get_default ());
  self->line_px = self->high_contrast ? 3.0 : 2.0;
  shim_palette_faded (&self->text, self->high_contrast ? 0.8 : 0.55, &self->dim);
  look_up (widget, "accent_color", &self->text, &self->accent);
  look_up (widget, "warning_color", &self->text, &self->warning);
  self->on_photo = white;
  self->halo = (GdkRGBA){ 0.0f, 0.0f, 0.0f, self->high_contrast ? 0.9f : 0.6f };
  self->target = (GdkRGBA){ 1.0f, 0.85f, 0.30f, 1.0f };
  self->eye = (GdkRGBA){ 0.98f, 0.62f, 1.0f, 1.0f };
}

/**
 * shim_palette_faded:
 * @colour: a colour
 * @alpha: share of its opacity that stays, 0 to 1
 * @result: (out): the colour, fainter
 */
void
shim_palette_faded (const GdkRGBA *colour, double alpha, GdkRGBA *result)
{
  *result = *colour;
  result->alpha *= (float) alpha;
}
