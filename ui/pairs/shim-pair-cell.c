/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-format.h"
#include "shim-pair-cell.h"
#include "shim-state-badge.h"

/* One cell of the matrix: setting, then state as shape and word, then age where there is room. */

#define PADDING 8.0f
#define ICON 14.0f

/**
 * shim_pair_cell_text:
 * @widget: whose font it is
 * @snapshot: where to draw
 * @text: what
 * @colour: its colour
 * @bold: whether bold
 * @area: room for it; longer texts end in an ellipsis, and it stands in the middle of the height
 */
void
shim_pair_cell_text (GtkWidget *widget, GtkSnapshot *snapshot, const char *text, const GdkRGBA *colour, gboolean bold,
                     const graphene_rect_t *area)
{
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (widget, text);
  g_autoptr (PangoAttrList) attributes = pango_attr_list_new ();
  int height;

  if (bold)
    pango_attr_list_insert (attributes, pango_attr_weight_new (PANGO_WEIGHT_BOLD));
  pango_attr_list_insert (attributes, pango_attr_font_features_new ("tnum"));
  pango_layout_set_attributes (layout, attributes);
  pango_layout_set_width (layout, (int) (area->size.width * PANGO_SCALE));
  pango_layout_set_ellipsize (layout, PANGO_ELLIPSIZE_END);
  pango_layout_get_pixel_size (layout, NULL, &height);
  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT (area->origin.x, area->origin.y + floorf ((area->size.height - (float) height) / 2)));
  gtk_snapshot_append_layout (snapshot, layout, colour);
  gtk_snapshot_restore (snapshot);
}

static const GdkRGBA *
colour_of (const ShimPalette *palette, ShimPairState state)
{
  switch (state)
    {
    case SHIM_PAIR_TUNED:
      return &palette->text;
    case SHIM_PAIR_DUE:
    case SHIM_PAIR_OUT_OF_REACH:
      return &palette->warning;
    case SHIM_PAIR_IN_TEST:
      return &palette->accent;
    case SHIM_PAIR_UNTESTED:
    case SHIM_PAIR_NOT_NEEDED:
    default:
      return &palette->dim;
    }
}

static void
draw_icon (GtkWidget *widget, GtkSnapshot *snapshot, const char *name, const GdkRGBA *colour, float x, float y)
{
  GtkIconTheme *theme = gtk_icon_theme_get_for_display (gtk_widget_get_display (widget));
  g_autoptr (GtkIconPaintable) icon = gtk_icon_theme_lookup_icon (theme, name, NULL, (int) ICON, gtk_widget_get_scale_factor (widget),
                                                                  gtk_widget_get_direction (widget), GTK_ICON_LOOKUP_FORCE_SYMBOLIC);
  const GdkRGBA colours[4] = { *colour, *colour, *colour, *colour };

  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT (x, y));
  gtk_symbolic_paintable_snapshot_symbolic (GTK_SYMBOLIC_PAINTABLE (icon), snapshot, ICON, ICON, colours, G_N_ELEMENTS (colours));
  gtk_snapshot_restore (snapshot);
}

/**
 * shim_pair_cell_value:
 * @now: a pair
 *
 * Returns: (transfer full): its setting, or its two: "+3 / −2"; empty when none is decided
 */
char *
shim_pair_cell_value (const ShimPairNow *now)
{
  g_autofree char *wide = shim_format_setting (now->value);
  g_autofree char *far_end = shim_format_setting (now->value_long);

  if (now->value == SHIM_NO_INT)
    return g_strdup ("");
  return now->value_long == SHIM_NO_INT ? g_steal_pointer (&wide) : g_strdup_printf ("%s / %s", wide, far_end);
}

static char *
age_text (const ShimPairNow *now)
{
  /* How old the test of a pair is that nobody uses matters to nobody. */
  return isnan (now->age_days) || now->state == SHIM_PAIR_NOT_NEEDED ? g_strdup ("") : shim_format_age_days ((gint64) now->age_days);
}

/**
 * shim_pair_cell_snapshot:
 * @widget: the matrix
 * @snapshot: where to draw
 * @palette: colours
 * @now: (nullable): what is true of the pair; %NULL while it is being read, or when nobody touched it yet
 * @fit: whether lens and body go together
 * @area: the cell
 */
void
shim_pair_cell_snapshot (GtkWidget *widget, GtkSnapshot *snapshot, const ShimPalette *palette, const ShimPairNow *now, ShimFit fit,
                         const graphene_rect_t *area)
{
  const ShimPairState state = now != NULL ? now->state : SHIM_PAIR_UNTESTED;
  const GdkRGBA *colour = colour_of (palette, state);
  const float half = area->size.height / 2, x = area->origin.x + PADDING, width = area->size.width - 2 * PADDING;
  float y = area->origin.y + half - 2; /* of the line with the state */
  g_autofree char *value = NULL, *age = NULL, *state_text = NULL;

  if (fit == SHIM_FIT_NO && (now == NULL || now->pair == NULL))
    {
      shim_pair_cell_text (widget, snapshot, "–", &palette->dim, FALSE,
                           &GRAPHENE_RECT_INIT (x, area->origin.y, width, area->size.height));
      return;
    }
  value = now != NULL ? shim_pair_cell_value (now) : g_strdup ("");
  age = now != NULL ? age_text (now) : g_strdup ("");
  state_text = g_strdup_printf ("%s%s%s", shim_pair_state_to_label (state), *age != '\0' ? ", " : "", age);
  if (*value != '\0')
    shim_pair_cell_text (widget, snapshot, value, &palette->text, TRUE,
                         &GRAPHENE_RECT_INIT (x, area->origin.y + 2, width - ICON, half - 2));
  else
    y = area->origin.y + floorf (half / 2);
  if (now != NULL && now->conflict)
    draw_icon (widget, snapshot, "dialog-warning-symbolic", &palette->warning, x + width - ICON, area->origin.y + 5);
  draw_icon (widget, snapshot, shim_state_badge_icon (state), colour, x, y + floorf ((half - ICON) / 2) + 1);
  shim_pair_cell_text (widget, snapshot, state_text, colour, FALSE,
                       &GRAPHENE_RECT_INIT (x + ICON + 5, y, width - ICON - 5, half));
}

/**
 * shim_pair_cell_describe:
 * @now: (nullable): what is true of the pair
 * @fit: whether lens and body go together
 *
 * Returns: (transfer full): the cell in words
 */
char *
shim_pair_cell_describe (const ShimPairNow *now, ShimFit fit)
{
  g_autofree char *value = NULL, *age = NULL, *residual = NULL;
  GString *text;

  if (fit == SHIM_FIT_NO && (now == NULL || now->pair == NULL))
    return g_strdup (_ ("does not fit"));
  if (now == NULL)
    return g_strdup (shim_pair_state_to_label (SHIM_PAIR_UNTESTED));
  text = g_string_new (shim_pair_state_to_label (now->state));
  value = shim_pair_cell_value (now);
  age = age_text (now);
  if (*value != '\0')
    g_string_append_printf (text, _ (", setting %s"), value);
  if (!isnan (now->residual_mm))
    {
      residual = shim_format_signed_error (now->residual_mm, now->residual_se_mm, "mm");
      g_string_append_printf (text, _ (", residual %s"), residual);
    }
  if (*age != '\0')
    g_string_append_printf (text, _ (", tested: %s"), age);
  if (now->conflict)
    g_string_append (text, _ (", another copy of this model needs another value"));
  return g_string_free (text, FALSE);
}
