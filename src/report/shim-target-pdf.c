/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <cairo-pdf.h>
#include <glib/gi18n-lib.h>
#include <pango/pangocairo.h>

#include "shim-report-error.h"
#include "shim-target-page.h"
#include "shim-write-file.h"

#define PT_PER_MM (72.0 / 25.4)
#define CUT_WIDTH_MM 0.25
#define FOLD_WIDTH_MM 0.2
/* Text is laid out so many times larger than it is, lest letters snap to whole mm. */
#define FINE 50.0


static cairo_status_t
append_bytes (void *closure, const unsigned char *data, unsigned int length)
{
  g_byte_array_append (closure, data, length);
  return CAIRO_STATUS_SUCCESS;
}

static void
draw_text (cairo_t *cairo, const ShimTargetShape *shape)
{
  g_autoptr (PangoLayout) layout = pango_cairo_create_layout (cairo);
  PangoFontDescription *font = pango_font_description_from_string ("Sans");

  pango_font_description_set_absolute_size (font, shape->height * FINE * PANGO_SCALE);
  pango_layout_set_font_description (layout, font);
  pango_font_description_free (font);
  pango_layout_set_width (layout, (int) (shape->width * FINE * PANGO_SCALE));
  pango_layout_set_wrap (layout, PANGO_WRAP_WORD_CHAR);
  pango_layout_set_text (layout, shape->text, -1);
  cairo_save (cairo);
  cairo_translate (cairo, shape->x, shape->y);
  cairo_rotate (cairo, shape->from_deg * G_PI / 180.0);
  cairo_scale (cairo, 1.0 / FINE, 1.0 / FINE);
  cairo_move_to (cairo, 0.0, 0.0);
  pango_cairo_show_layout (cairo, layout);
  cairo_restore (cairo);
}

static void
draw_line (cairo_t *cairo, const ShimTargetShape *shape)
{
  static const double dashes[] = { 3.0, 1.6 };

  cairo_set_line_width (cairo, shape->kind == SHIM_TARGET_CUT ? CUT_WIDTH_MM : FOLD_WIDTH_MM);
  cairo_set_dash (cairo, dashes, shape->kind == SHIM_TARGET_FOLD ? 2 : 0, 0.0);
  cairo_move_to (cairo, shape->x, shape->y);
  cairo_rel_line_to (cairo, shape->width, shape->height);
  cairo_stroke (cairo);
}

static void
draw_arc (cairo_t *cairo, const ShimTargetShape *shape)
{
  cairo_new_path (cairo);
  cairo_set_line_width (cairo, shape->height);
  cairo_set_dash (cairo, NULL, 0, 0.0);
  cairo_arc_negative (cairo, shape->x, shape->y, shape->width, -shape->from_deg * G_PI / 180.0, -shape->to_deg * G_PI / 180.0);
  cairo_stroke (cairo);
}

static void
draw_shape (cairo_t *cairo, const ShimTargetShape *shape)
{
  switch (shape->kind)
    {
    case SHIM_TARGET_FILL:
      cairo_rectangle (cairo, shape->x, shape->y, shape->width, shape->height);
      cairo_fill (cairo);
      break;
    case SHIM_TARGET_DISC:
      cairo_new_path (cairo);
      cairo_arc (cairo, shape->x, shape->y, shape->width, 0.0, 2.0 * G_PI);
      cairo_fill (cairo);
      break;
    case SHIM_TARGET_ARC:
      draw_arc (cairo, shape);
      break;
    case SHIM_TARGET_TEXT:
      draw_text (cairo, shape);
      break;
    case SHIM_TARGET_CUT:
    case SHIM_TARGET_FOLD:
    case SHIM_TARGET_LINE:
      draw_line (cairo, shape);
      break;
    default:
      g_return_if_reached ();
    }
}

static void
draw_sheet (cairo_surface_t *surface, ShimPaper paper, int sheet)
{
  g_autoptr (GArray) shapes = shim_target_page_shapes (paper, sheet);
  cairo_t *cairo = cairo_create (surface);

  cairo_scale (cairo, PT_PER_MM, PT_PER_MM);
  cairo_set_source_rgb (cairo, 0.0, 0.0, 0.0);
  for (guint i = 0; i < shapes->len; i++)
    draw_shape (cairo, &g_array_index (shapes, ShimTargetShape, i));
  cairo_show_page (cairo);
  cairo_destroy (cairo);
}

/**
 * shim_target_page_write:
 * @paper: the paper
 * @path: PDF file to be written, whole or not at all
 * @error: #ShimReportError WRITE
 *
 * Writes the printed target, true to scale: two sheets in black.
 *
 * Returns: whether it was written
 */
gboolean
shim_target_page_write (ShimPaper paper, const char *path, GError **error)
{
  g_autoptr (GByteArray) bytes = g_byte_array_new ();
  cairo_surface_t *surface;
  cairo_status_t status;
  double width, height;

  g_return_val_if_fail (path != NULL, FALSE);
  g_return_val_if_fail (error == NULL || *error == NULL, FALSE);

  shim_target_page_size (paper, &width, &height);
  surface = cairo_pdf_surface_create_for_stream (append_bytes, bytes, width * PT_PER_MM, height * PT_PER_MM);
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_TITLE, _ ("Shimbook target"));
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATOR, "Shimbook " SHIM_VERSION);
  for (int sheet = 0; sheet < SHIM_TARGET_SHEETS; sheet++)
    draw_sheet (surface, paper, sheet);
  cairo_surface_finish (surface);
  status = cairo_surface_status (surface);
  cairo_surface_destroy (surface);
  if (status != CAIRO_STATUS_SUCCESS)
    {
      g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_WRITE, _ ("The document could not be drawn: %s"),
                   cairo_status_to_string (status));
      return FALSE;
    }
  return shim_write_file (path, bytes->data, bytes->len, error);
}
