/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <cairo-pdf.h>
#include <errno.h>
#include <gio/gio.h>
#include <glib/gi18n-lib.h>
#include <pango/pangocairo.h>
#include <string.h>

#include "shim-page.h"
#include "shim-report-error.h"
#include "shim-write-file.h"

#define PT_PER_MM (72.0 / 25.4)
#define MARGIN_MM 15.0
#define FOOTER_MM 8.0
#define ROW_GAP_MM 1.0
#define CELL_GAP_MM 2.0
/* A family that every desktop maps to something with digits of one width. */
#define FONT_FAMILY "Sans"

struct _ShimPage
{
  cairo_surface_t *surface;
  cairo_t *cairo;
  PangoLayout *layout;
  GByteArray *bytes;
  char *path;
  char *footer;
  double width_mm;
  double height_mm;
  double y_mm;
  guint number;
  gboolean page_is_empty;

  /* The table under way, so that its head is repeated on the next page. */
  const ShimColumn *columns;
  guint n_columns;
};

static cairo_status_t
append_bytes (void *closure, const unsigned char *data, unsigned int length)
{
  g_byte_array_append (closure, data, length);
  return CAIRO_STATUS_SUCCESS;
}

static double
paper_width_mm (ShimPaper paper)
{
  return paper == SHIM_PAPER_LETTER ? 8.5 * 25.4 : 210.0;
}

static double
paper_height_mm (ShimPaper paper)
{
  return paper == SHIM_PAPER_LETTER ? 11.0 * 25.4 : 297.0;
}

/* Paper has no pixels: letters stand where the font wants them, not where a screen's grid would push them. */
static PangoLayout *
layout_new (cairo_t *cairo)
{
  cairo_font_options_t *options = cairo_font_options_create ();
  PangoLayout *layout = pango_cairo_create_layout (cairo);
  PangoContext *context = pango_layout_get_context (layout);

  cairo_font_options_set_hint_style (options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics (options, CAIRO_HINT_METRICS_OFF);
  pango_cairo_context_set_font_options (context, options);
  pango_context_set_round_glyph_positions (context, FALSE);
  pango_layout_context_changed (layout);
  cairo_font_options_destroy (options);
  return layout;
}

/**
 * shim_page_new:
 * @path: file to write; it is only touched by shim_page_finish()
 * @paper: the paper
 * @title: of the document
 * @made_at: when it was made; the same input then gives the same bytes
 * @error: unused so far, for symmetry
 *
 * Returns: (transfer full): an empty document
 */
ShimPage *
shim_page_new (const char *path, ShimPaper paper, const char *title, GDateTime *made_at, GError **error)
{
  g_autofree char *stamp = NULL;
  ShimPage *self;

  g_return_val_if_fail (path != NULL, NULL);

  self = g_new0 (ShimPage, 1);
  self->path = g_strdup (path);
  self->bytes = g_byte_array_new ();
  self->width_mm = paper_width_mm (paper);
  self->height_mm = paper_height_mm (paper);
  self->surface = cairo_pdf_surface_create_for_stream (append_bytes, self->bytes, self->width_mm * PT_PER_MM,
                                                       self->height_mm * PT_PER_MM);
  stamp = g_date_time_format (made_at, "%Y-%m-%dT%H:%M:%SZ");
  cairo_pdf_surface_set_metadata (self->surface, CAIRO_PDF_METADATA_TITLE, title);
  cairo_pdf_surface_set_metadata (self->surface, CAIRO_PDF_METADATA_CREATOR, "Shimbook " SHIM_VERSION);
  cairo_pdf_surface_set_metadata (self->surface, CAIRO_PDF_METADATA_CREATE_DATE, stamp);
  self->cairo = cairo_create (self->surface);
  self->layout = layout_new (self->cairo);
  self->y_mm = MARGIN_MM;
  self->number = 1;
  self->page_is_empty = TRUE;
  return self;
}

/**
 * shim_page_free:
 * @self: (transfer full) (nullable): a document; unfinished ones are not written
 */
void
shim_page_free (ShimPage *self)
{
  if (self == NULL)
    return;
  g_clear_object (&self->layout);
  g_clear_pointer (&self->cairo, cairo_destroy);
  g_clear_pointer (&self->surface, cairo_surface_destroy);
  g_byte_array_unref (self->bytes);
  g_free (self->path);
  g_free (self->footer);
  g_free (self);
}

/**
 * shim_page_set_footer:
 * @self: a document
 * @text: printed at the foot of every page, before its number
 */
void
shim_page_set_footer (ShimPage *self, const char *text)
{
  g_return_if_fail (self != NULL);

  g_free (self->footer);
  self->footer = g_strdup (text);
}

/**
 * shim_page_width_mm:
 * @self: a document
 *
 * Returns: width between the margins
 */
double
shim_page_width_mm (const ShimPage *self)
{
  return self->width_mm - 2.0 * MARGIN_MM;
}

/**
 * shim_page_y_mm:
 * @self: a document
 *
 * Returns: where the next line goes, from the top of the paper
 */
double
shim_page_y_mm (const ShimPage *self)
{
  return self->y_mm;
}

/**
 * shim_page_cairo:
 * @self: a document
 *
 * For pictures and charts: units are mm, the origin is the left margin at shim_page_y_mm(). Balance with cairo_restore().
 *
 * Returns: (transfer none): a context, saved
 */
cairo_t *
shim_page_cairo (ShimPage *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  cairo_save (self->cairo);
  cairo_scale (self->cairo, PT_PER_MM, PT_PER_MM);
  cairo_translate (self->cairo, MARGIN_MM, self->y_mm);
  self->page_is_empty = FALSE;
  return self->cairo;
}

/* Makes the first of several lines bold; a @text of %NULL takes that back. */
static void
set_lead (PangoLayout *layout, const char *text)
{
  PangoAttrList *list = pango_attr_list_new ();

  if (text != NULL && strchr (text, '\n') != NULL)
    {
      PangoAttribute *bold = pango_attr_weight_new (PANGO_WEIGHT_BOLD);

      bold->end_index = (guint) strcspn (text, "\n");
      pango_attr_list_insert (list, bold);
    }
  pango_layout_set_attributes (layout, list);
  pango_attr_list_unref (list);
}

static double
layout_text (ShimPage *self, double x_mm, double y_mm, double width_mm, const ShimTextStyle *style, const char *text)
{
  PangoFontDescription *font = pango_font_description_from_string (FONT_FAMILY);
  int height;

  pango_font_description_set_absolute_size (font, style->size_pt * PANGO_SCALE);
  pango_font_description_set_weight (font, style->bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_layout_set_font_description (self->layout, font);
  pango_font_description_free (font);
  pango_layout_set_width (self->layout, (int) (width_mm * PT_PER_MM * PANGO_SCALE));
  pango_layout_set_wrap (self->layout, PANGO_WRAP_WORD_CHAR);
  pango_layout_set_alignment (self->layout, style->align_right ? PANGO_ALIGN_RIGHT : PANGO_ALIGN_LEFT);
  pango_layout_set_height (self->layout, style->lines > 0 ? -style->lines : -1000);
  pango_layout_set_ellipsize (self->layout, style->lines > 0 ? PANGO_ELLIPSIZE_END : PANGO_ELLIPSIZE_NONE);
  pango_layout_set_text (self->layout, text, -1);
  set_lead (self->layout, style->lead ? text : NULL);
  pango_layout_get_size (self->layout, NULL, &height);
  if (y_mm >= 0.0)
    {
      cairo_set_source_rgb (self->cairo, style->grey ? 0.35 : 0.0, style->grey ? 0.35 : 0.0, style->grey ? 0.35 : 0.0);
      cairo_move_to (self->cairo, (MARGIN_MM + x_mm) * PT_PER_MM, y_mm * PT_PER_MM);
      pango_cairo_show_layout (self->cairo, self->layout);
    }
  return (double) height / PANGO_SCALE / PT_PER_MM;
}

static void
draw_footer (ShimPage *self)
{
  const ShimTextStyle style = { .size_pt = 7.5, .grey = TRUE, .lines = 1 };
  const ShimTextStyle number_style = { .size_pt = 7.5, .grey = TRUE, .lines = 1, .align_right = TRUE };
  g_autofree char *number = g_strdup_printf (_ ("Page %u"), self->number);
  double y_mm = self->height_mm - MARGIN_MM + 2.0;

  if (self->footer != NULL)
    layout_text (self, 0.0, y_mm, shim_page_width_mm (self) - 25.0, &style, self->footer);
  layout_text (self, shim_page_width_mm (self) - 25.0, y_mm, 25.0, &number_style, number);
}

static void
next_page (ShimPage *self)
{
  draw_footer (self);
  cairo_show_page (self->cairo);
  self->number++;
  self->y_mm = MARGIN_MM;
  self->page_is_empty = TRUE;
}

/**
 * shim_page_need:
 * @self: a document
 * @height_mm: what comes next and must not be torn apart
 *
 * Returns: whether a new page was begun for it
 */
gboolean
shim_page_need (ShimPage *self, double height_mm)
{
  g_return_val_if_fail (self != NULL, FALSE);

  if (self->page_is_empty || self->y_mm + height_mm <= self->height_mm - MARGIN_MM - FOOTER_MM / 2.0)
    return FALSE;
  next_page (self);
  return TRUE;
}

/**
 * shim_page_skip:
 * @self: a document
 * @height_mm: room to leave, or the height of what was drawn by shim_page_cairo()
 */
void
shim_page_skip (ShimPage *self, double height_mm)
{
  g_return_if_fail (self != NULL);

  self->y_mm += height_mm;
}

/**
 * shim_page_text:
 * @self: a document
 * @x_mm: from the left margin
 * @width_mm: room for it
 * @style: how
 * @text: what
 *
 * Sets @text at the present height, without moving on.
 *
 * Returns: its height, mm
 */
double
shim_page_text (ShimPage *self, double x_mm, double width_mm, const ShimTextStyle *style, const char *text)
{
  g_return_val_if_fail (self != NULL && style != NULL && text != NULL, 0.0);

  self->page_is_empty = FALSE;
  return layout_text (self, x_mm, self->y_mm, width_mm, style, text);
}

/**
 * shim_page_paragraph:
 * @self: a document
 * @style: how
 * @text: what, over the whole width
 */
void
shim_page_paragraph (ShimPage *self, const ShimTextStyle *style, const char *text)
{
  double height_mm;

  g_return_if_fail (self != NULL && style != NULL && text != NULL);

  height_mm = layout_text (self, 0.0, -1.0, shim_page_width_mm (self), style, text);
  shim_page_need (self, height_mm);
  self->y_mm += shim_page_text (self, 0.0, shim_page_width_mm (self), style, text) + ROW_GAP_MM;
}

/**
 * shim_page_heading:
 * @self: a document
 * @text: what follows is about
 */
void
shim_page_heading (ShimPage *self, const char *text)
{
  const ShimTextStyle style = { .size_pt = 12.0, .bold = TRUE };

  g_return_if_fail (self != NULL && text != NULL);

  shim_page_need (self, 25.0);
  if (!self->page_is_empty)
    self->y_mm += 4.0;
  shim_page_paragraph (self, &style, text);
}

static void
line_across (ShimPage *self, double grey, double width_pt)
{
  cairo_set_source_rgb (self->cairo, grey, grey, grey);
  cairo_set_line_width (self->cairo, width_pt);
  cairo_move_to (self->cairo, MARGIN_MM * PT_PER_MM, self->y_mm * PT_PER_MM);
  cairo_rel_line_to (self->cairo, shim_page_width_mm (self) * PT_PER_MM, 0.0);
  cairo_stroke (self->cairo);
}

/**
 * shim_page_rule:
 * @self: a document
 */
void
shim_page_rule (ShimPage *self)
{
  g_return_if_fail (self != NULL);

  line_across (self, 0.3, 0.75);
  self->y_mm += ROW_GAP_MM;
  self->page_is_empty = FALSE;
}

static double
row (ShimPage *self, const ShimColumn *columns, guint n_columns, const char *const *cells, gboolean bold, gboolean draw)
{
  double x_mm = 0.0, height_mm = 0.0;

  for (guint i = 0; i < n_columns; i++)
    {
      const ShimTextStyle style = { .size_pt = 8.5, .bold = bold, .lines = 2, .align_right = columns[i].align_right,
                                    .lead = columns[i].lead && !bold };

      if (cells[i] != NULL && *cells[i] != '\0')
        {
          /* Not inside MAX, which would draw it twice. */
          double cell_mm = layout_text (self, x_mm, draw ? self->y_mm : -1.0, columns[i].width_mm - CELL_GAP_MM, &style, cells[i]);

          height_mm = MAX (height_mm, cell_mm);
        }
      x_mm += columns[i].width_mm;
    }
  return height_mm;
}

/**
 * shim_page_table_head:
 * @self: a document
 * @columns: (array length=n_columns): borrowed until the next table begins; repeated at the top of every page it needs
 * @n_columns: their number
 */
void
shim_page_table_head (ShimPage *self, const ShimColumn *columns, guint n_columns)
{
  g_autofree const char **headings = g_new (const char *, n_columns);

  g_return_if_fail (self != NULL);

  for (guint i = 0; i < n_columns; i++)
    headings[i] = columns[i].heading;
  self->columns = columns;
  self->n_columns = n_columns;
  shim_page_need (self, 15.0);
  self->page_is_empty = FALSE;
  self->y_mm += row (self, columns, n_columns, headings, TRUE, TRUE) + ROW_GAP_MM;
  shim_page_rule (self);
}

/**
 * shim_page_table_row:
 * @self: a document
 * @columns: as given to shim_page_table_head()
 * @n_columns: their number
 * @cells: (array length=n_columns): texts, two lines each at most
 */
void
shim_page_table_row (ShimPage *self, const ShimColumn *columns, guint n_columns, const char *const *cells)
{
  double height_mm;

  g_return_if_fail (self != NULL && cells != NULL);

  height_mm = row (self, columns, n_columns, cells, FALSE, FALSE);
  if (shim_page_need (self, height_mm))
    shim_page_table_head (self, self->columns, self->n_columns);
  self->y_mm += row (self, columns, n_columns, cells, FALSE, TRUE) + ROW_GAP_MM / 2.0;
  line_across (self, 0.82, 0.25);
  self->y_mm += ROW_GAP_MM / 2.0;
  self->page_is_empty = FALSE;
}

/**
 * shim_page_finish:
 * @self: a document
 * @error: WRITE when the file cannot be written
 *
 * Writes the file, whole or not at all.
 *
 * Returns: whether it was written
 */
gboolean
shim_page_finish (ShimPage *self, GError **error)
{
  cairo_status_t status;

  g_return_val_if_fail (self != NULL, FALSE);

  draw_footer (self);
  cairo_show_page (self->cairo);
  cairo_surface_finish (self->surface);
  status = cairo_surface_status (self->surface);
  if (status != CAIRO_STATUS_SUCCESS)
    {
      g_set_error (error, SHIM_REPORT_ERROR, SHIM_REPORT_ERROR_WRITE, _ ("The document could not be drawn: %s"),
                   cairo_status_to_string (status));
      return FALSE;
    }
  return shim_write_file (self->path, self->bytes->data, self->bytes->len, error);
}
