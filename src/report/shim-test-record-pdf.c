/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "shim-format.h"
#include "shim-page.h"
#include "shim-record-chart.h"
#include "shim-test-record.h"

#define CHART_MM 75.0
/* A strip on paper: long ones are shrunk to this. */
#define STRIP_LONG_MM 58.0
#define STRIP_GAP_MM 3.0
#define LABEL_MM 40.0

static void
lines (ShimPage *page, GPtrArray *list)
{
  const ShimTextStyle label = { .size_pt = 9.0, .grey = TRUE, .lines = 1 };
  const ShimTextStyle value = { .size_pt = 9.0 };

  for (guint i = 0; i < list->len; i++)
    {
      const ShimRecordLine *line = list->pdata[i];
      double height_mm;

      shim_page_need (page, 9.0);
      shim_page_text (page, 0.0, LABEL_MM, &label, line->label);
      height_mm = shim_page_text (page, LABEL_MM, shim_page_width_mm (page) - LABEL_MM, &value, line->value);
      shim_page_skip (page, height_mm + 0.6);
    }
}

static char *
round_title (const ShimRecordRound *round)
{
  g_autofree char *setting = shim_format_setting (round->setting);
  g_autofree char *mean = NULL;

  if (isnan (round->stats.mean_mm))
    return round->is_reference ? g_strdup (_ ("Reference round: no frame counts"))
                               : g_strdup_printf (_ ("Setting %s: no frame counts"), setting);
  mean = shim_format_signed_error (round->stats.mean_mm, round->stats.se_mm, "mm");
  if (round->is_reference)
    return g_strdup_printf (_ ("Reference round: %s from %u of %u frames"), mean, round->stats.n_used, round->stats.n_frames);
  return g_strdup_printf (_ ("Setting %s: %s from %u of %u frames"), setting, mean, round->stats.n_used, round->stats.n_frames);
}

static void
chart (const ShimTestRecord *self, ShimPage *page)
{
  const ShimTextStyle small = { .size_pt = 7.5, .grey = TRUE };
  cairo_t *cairo;

  if (self->response.state == SHIM_RESPONSE_NOTHING)
    return;
  shim_page_heading (page, _ ("Offset over setting"));
  shim_page_need (page, CHART_MM + 8.0);
  shim_page_skip (page, 2.0);
  cairo = shim_page_cairo (page);
  shim_record_chart_draw (cairo, self, shim_page_width_mm (page), CHART_MM);
  cairo_restore (cairo);
  shim_page_skip (page, CHART_MM + 1.0);
  shim_page_paragraph (page, &small,
                       _ ("Dots: means of the rounds with one standard error, the error of the set-up taken off. Line with its 95 % "
                          "band. Light band: tolerance. Broken line: the setting decided. Positive is past the target."));
}

static void
round_table (ShimPage *page, const ShimRecordRound *round)
{
  const double width_mm = shim_page_width_mm (page);
  const ShimColumn columns[] = {
    { _ ("Frame"), width_mm * 0.27, FALSE },
    { _ ("Taken"), width_mm * 0.22, FALSE },
    { _ ("Offset"), width_mm * 0.19, TRUE },
    { _ ("Read by"), width_mm * 0.12, FALSE },
    { _ ("Remark"), width_mm * 0.20, FALSE },
  };

  shim_page_table_head (page, columns, G_N_ELEMENTS (columns));
  for (guint i = 0; i < round->frames->len; i++)
    {
      const ShimRecordFrame *frame = round->frames->pdata[i];
      g_autofree char *offset = isnan (frame->offset_mm)
                                    ? g_strdup (_ ("not measured"))
                                    : shim_format_signed_error (frame->offset_mm, frame->offset_se_mm, "mm");
      const char *cells[] = { frame->name, frame->taken, offset, frame->by_eye ? _ ("eye") : _ ("program"), frame->remark };

      shim_page_table_row (page, columns, G_N_ELEMENTS (columns), cells);
    }
}

static double
scale_of (const ShimRecordFrame *frame)
{
  return STRIP_LONG_MM / MAX (1, MAX (frame->width_px, frame->height_px));
}

/* A line across the ruler at a place of the evidence; units are its pixels. */
static void
mark (cairo_t *cairo, const ShimRecordFrame *frame, ShimPoint at, gboolean broken)
{
  const double length = hypot (frame->along_px.x, frame->along_px.y);
  const double px = MAX (frame->width_px, frame->height_px) / STRIP_LONG_MM;
  const double reach = MIN (frame->width_px, frame->height_px) / 2.0;
  const double dashes[] = { 1.0 * px, 0.8 * px };
  double x, y;

  if (!isfinite (at.x + at.y) || !(length > 0.0))
    return;
  x = -frame->along_px.y / length * reach;
  y = frame->along_px.x / length * reach;
  for (guint pass = 0; pass < 2; pass++)
    {
      /* White under black, so that it is seen on any ruler. */
      cairo_set_source_rgb (cairo, 1.0 - pass, 1.0 - pass, 1.0 - pass);
      cairo_set_line_width (cairo, (pass == 0 ? 0.6 : 0.25) * px);
      cairo_set_dash (cairo, dashes, pass == 1 && broken ? G_N_ELEMENTS (dashes) : 0, 0.0);
      cairo_move_to (cairo, at.x - x, at.y - y);
      cairo_line_to (cairo, at.x + x, at.y + y);
      cairo_stroke (cairo);
    }
}

/* The JPEG goes into the document as it is; the surface only says how large it is. */
static cairo_surface_t *
surface_of (const ShimRecordFrame *frame)
{
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, frame->width_px, frame->height_px);
  gsize size;
  const guchar *data = g_bytes_get_data (frame->evidence, &size);

  if (cairo_surface_set_mime_data (surface, CAIRO_MIME_TYPE_JPEG, data, size, (cairo_destroy_func_t) g_bytes_unref,
                                   g_bytes_ref (frame->evidence))
      != CAIRO_STATUS_SUCCESS)
    g_bytes_unref (frame->evidence);
  return surface;
}

static void
draw_strip (ShimPage *page, const ShimRecordFrame *frame, double x_mm)
{
  const ShimTextStyle small = { .size_pt = 6.5, .lines = 1 };
  const double scale = scale_of (frame);
  cairo_surface_t *surface = surface_of (frame);
  cairo_t *cairo = shim_page_cairo (page);

  cairo_translate (cairo, x_mm, 0.0);
  cairo_scale (cairo, scale, scale);
  cairo_rectangle (cairo, 0.0, 0.0, frame->width_px, frame->height_px);
  cairo_clip (cairo);
  cairo_set_source_surface (cairo, surface, 0.0, 0.0);
  cairo_paint (cairo);
  mark (cairo, frame, frame->target_px, FALSE);
  mark (cairo, frame, frame->sharp_px, TRUE);
  cairo_restore (cairo);
  cairo_surface_destroy (surface);
  shim_page_skip (page, frame->height_px * scale + 0.5);
  shim_page_text (page, x_mm, MAX (frame->width_px * scale, 22.0), &small, frame->name);
  shim_page_skip (page, -(frame->height_px * scale + 0.5));
}

/* Strips side by side, as many as go into the width. */
static void
strips (ShimPage *page, const ShimRecordRound *round)
{
  double x_mm = 0.0, row_mm = 0.0;

  for (guint i = 0; i < round->frames->len; i++)
    {
      const ShimRecordFrame *frame = round->frames->pdata[i];
      double width_mm, height_mm;

      if (frame->evidence == NULL || frame->width_px < 1 || frame->height_px < 1)
        continue;
      width_mm = MAX (frame->width_px * scale_of (frame), 22.0);
      height_mm = frame->height_px * scale_of (frame) + 4.0;
      if (x_mm > 0.0 && x_mm + width_mm > shim_page_width_mm (page))
        {
          shim_page_skip (page, row_mm + STRIP_GAP_MM);
          x_mm = row_mm = 0.0;
        }
      /* A row does not know how high its later strips are, but those of one round are alike. */
      if (x_mm == 0.0)
        shim_page_need (page, height_mm);
      draw_strip (page, frame, x_mm);
      x_mm += width_mm + STRIP_GAP_MM;
      row_mm = MAX (row_mm, height_mm);
    }
  shim_page_skip (page, row_mm > 0.0 ? row_mm + STRIP_GAP_MM : 0.0);
}

static void
rounds (const ShimTestRecord *self, ShimPage *page)
{
  const ShimTextStyle bold = { .size_pt = 10.0, .bold = TRUE };
  const ShimTextStyle small = { .size_pt = 7.5, .grey = TRUE };

  if (self->rounds->len == 0)
    return;
  shim_page_heading (page, _ ("Rounds and evidence"));
  shim_page_paragraph (page, &small, _ ("On each strip: target line full, sharp line broken."));
  for (guint i = 0; i < self->rounds->len; i++)
    {
      const ShimRecordRound *round = self->rounds->pdata[i];
      g_autofree char *title = round_title (round);

      shim_page_need (page, 30.0);
      shim_page_skip (page, 1.5);
      shim_page_paragraph (page, &bold, title);
      round_table (page, round);
      shim_page_skip (page, 1.0);
      strips (page, round);
    }
}

static void
cautions (const ShimTestRecord *self, ShimPage *page)
{
  const ShimTextStyle style = { .size_pt = 9.0 };

  if (self->cautions[0] == NULL)
    return;
  shim_page_heading (page, _ ("To bear in mind"));
  for (guint i = 0; self->cautions[i] != NULL; i++)
    shim_page_paragraph (page, &style, self->cautions[i]);
}

static void
decision (const ShimTestRecord *self, ShimPage *page)
{
  const ShimTextStyle style = { .size_pt = 9.0 };

  shim_page_heading (page, _ ("Decision"));
  if (self->decisions->len == 0)
    shim_page_paragraph (page, &style, _ ("Nothing was decided from this test yet."));
  lines (page, self->decisions);
  if (self->advice != NULL)
    shim_page_paragraph (page, &style, self->advice);
}

/**
 * shim_test_record_write_pdf:
 * @self: a record
 * @paper: the paper
 * @path: file to write
 * @error: return location for a #ShimReportError
 *
 * Returns: whether it was written, whole or not at all
 */
gboolean
shim_test_record_write_pdf (const ShimTestRecord *self, ShimPaper paper, const char *path, GError **error)
{
  const ShimTextStyle title = { .size_pt = 18.0, .bold = TRUE };
  const ShimTextStyle under = { .size_pt = 10.0, .grey = TRUE };
  g_autoptr (ShimPage) page = NULL;
  g_autofree char *made_at = NULL, *footer = NULL, *tested = NULL;

  g_return_val_if_fail (self != NULL && self->made_at != NULL, FALSE);
  g_return_val_if_fail (path != NULL, FALSE);

  page = shim_page_new (path, paper, self->title, self->made_at, error);
  if (page == NULL)
    return FALSE;
  made_at = g_date_time_format (self->made_at, "%Y-%m-%d %H:%M");
  footer = g_strdup_printf (_ ("Test record · %s · made %s by Shimbook. Adjusting is not repairing."), self->title, made_at);
  tested = g_strdup_printf (_ ("Tested %s"), self->started_at);
  shim_page_set_footer (page, footer);
  shim_page_paragraph (page, &title, self->title);
  shim_page_paragraph (page, &under, tested);
  decision (self, page);
  chart (self, page);
  shim_page_heading (page, _ ("Items and set-up"));
  lines (page, self->items);
  lines (page, self->set_up);
  cautions (self, page);
  rounds (self, page);
  return shim_page_finish (page, error);
}
