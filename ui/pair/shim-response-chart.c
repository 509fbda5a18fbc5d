/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-text.h"
#include "shim-chart-frame.h"
#include "shim-format.h"
#include "shim-plot.h"
#include "shim-response-chart.h"

#define LEVEL 0.95

struct _ShimResponseChart
{
  GtkWidget parent_instance;

  ShimChartFrame *frame;
  GArray *points; /* ShimResponsePoint */
  ShimResponse response;
  double tolerance_mm;
  gboolean has_chosen;
  int chosen;
};

G_DEFINE_FINAL_TYPE (ShimResponseChart, shim_response_chart, GTK_TYPE_WIDGET)

static gboolean
has_line (const ShimResponseChart *self)
{
  return self->response.state >= SHIM_RESPONSE_UNCLEAR;
}

/* Without a reference round nothing is subtracted. */
static double
set_up_error_mm (const ShimResponseChart *self)
{
  return isfinite (self->response.reference_mm) ? self->response.reference_mm : 0.0;
}

/* Rounds without a counted frame have no mean. */
static gboolean
is_empty (const ShimResponseChart *self)
{
  for (guint i = 0; i < self->points->len; i++)
    if (isfinite (g_array_index (self->points, ShimResponsePoint, i).round.mean_mm))
      return FALSE;
  return TRUE;
}

static const ShimResponsePoint *
point_at (const ShimResponseChart *self, guint i)
{
  return &g_array_index (self->points, ShimResponsePoint, i);
}

static double
half_width_mm (const ShimResponsePoint *point)
{
  double half = shim_round_half_width_mm (&point->round, LEVEL);

  return isfinite (half) ? half : 0.0;
}

static void
include_x (ShimResponseChart *self, ShimPlot *plot)
{
  shim_plot_axis_include (&plot->x, 0.0);
  for (guint i = 0; i < self->points->len; i++)
    shim_plot_axis_include (&plot->x, point_at (self, i)->setting);
  if (has_line (self))
    shim_plot_axis_include (&plot->x, self->response.best_setting);
  if (self->has_chosen)
    shim_plot_axis_include (&plot->x, self->chosen);
  plot->x.low -= 1.0;
  plot->x.high += 1.0;
}

static void
include_y (ShimResponseChart *self, ShimPlot *plot)
{
  double margin, most = 0.0;

  shim_plot_axis_include (&plot->y, 0.0);
  if (isfinite (self->tolerance_mm))
    {
      shim_plot_axis_include (&plot->y, -self->tolerance_mm);
      shim_plot_axis_include (&plot->y, self->tolerance_mm);
    }
  for (guint i = 0; i < self->points->len; i++)
    {
      const ShimResponsePoint *point = point_at (self, i);
      double offset = point->round.mean_mm - set_up_error_mm (self);

      shim_plot_axis_include (&plot->y, offset);
      most = MAX (most, fabs (offset));
    }
  /* The whole of a bar, unless it is so long that it would flatten the chart. */
  for (guint i = 0; i < self->points->len; i++)
    {
      const ShimResponsePoint *point = point_at (self, i);
      double offset = point->round.mean_mm - set_up_error_mm (self),
             half = MIN (half_width_mm (point), MAX (most, 1.0));

      shim_plot_axis_include (&plot->y, offset - half);
      shim_plot_axis_include (&plot->y, offset + half);
    }
  margin = (plot->y.high - plot->y.low) * 0.08;
  plot->y.low -= margin > 0.0 ? margin : 1.0;
  plot->y.high += margin > 0.0 ? margin : 1.0;
}

static void
clip_to_axes (ShimPlot *plot)
{
  cairo_save (plot->cr);
  cairo_rectangle (plot->cr, plot->x.low_px, plot->y.high_px, plot->x.high_px - plot->x.low_px,
                   plot->y.low_px - plot->y.high_px);
  cairo_clip (plot->cr);
}

static void
draw_tolerance (ShimResponseChart *self, ShimPlot *plot)
{
  /* Where the line is not: it rises towards one side. */
  gboolean at_the_left = !(has_line (self) && self->response.line.slope < 0.0);
  GdkRGBA shade;
  double zero = round (shim_plot_axis_at (&plot->y, 0.0)) + 0.5, top;

  if (isfinite (self->tolerance_mm))
    {
      shim_palette_faded (&plot->palette.text, 0.10, &shade);
      shim_plot_shade_y (plot, -self->tolerance_mm, self->tolerance_mm, &shade);
      /* Inside the band where there is room beside the zero line, else above it. */
      top = shim_plot_axis_at (&plot->y, self->tolerance_mm);
      shim_plot_text (plot, _ ("Tolerance"), at_the_left ? plot->x.low_px + 6.0 : plot->x.high_px - 6.0, top,
                      at_the_left ? 0.0 : 1.0, zero - top > 24.0 ? 0.0 : 1.0, &plot->palette.dim);
    }
  cairo_move_to (plot->cr, plot->x.low_px, zero);
  cairo_line_to (plot->cr, plot->x.high_px, zero);
  shim_plot_stroke (plot, SHIM_PLOT_SOLID, 1.0, &plot->palette.text);
}

static void
band_point (ShimResponseChart *self, ShimPlot *plot, double setting, int side)
{
  double half = 0.0, at = shim_response_at (&self->response, setting, NULL, &half);

  if (isfinite (half))
    cairo_line_to (plot->cr, shim_plot_axis_at (&plot->x, setting), shim_plot_axis_at (&plot->y, at + side * half));
}

static void
draw_line (ShimResponseChart *self, ShimPlot *plot)
{
  const int steps = 60;
  double width = plot->x.high - plot->x.low;
  GdkRGBA shade;

  if (!has_line (self))
    return;
  clip_to_axes (plot);
  shim_palette_faded (&plot->palette.accent, 0.18, &shade);
  for (int i = 0; i <= steps; i++)
    band_point (self, plot, plot->x.low + width * i / steps, 1);
  for (int i = steps; i >= 0; i--)
    band_point (self, plot, plot->x.low + width * i / steps, -1);
  cairo_close_path (plot->cr);
  gdk_cairo_set_source_rgba (plot->cr, &shade);
  cairo_fill (plot->cr);
  cairo_move_to (plot->cr, plot->x.low_px,
                 shim_plot_axis_at (&plot->y, shim_response_at (&self->response, plot->x.low, NULL, NULL)));
  cairo_line_to (plot->cr, plot->x.high_px,
                 shim_plot_axis_at (&plot->y, shim_response_at (&self->response, plot->x.high, NULL, NULL)));
  shim_plot_stroke (plot, self->response.state == SHIM_RESPONSE_UNCLEAR ? SHIM_PLOT_DASHED : SHIM_PLOT_SOLID,
                    plot->palette.line_px, &plot->palette.accent);
  cairo_restore (plot->cr);
}

static void
draw_rounds (ShimResponseChart *self, ShimPlot *plot)
{
  clip_to_axes (plot);
  for (guint i = 0; i < self->points->len; i++)
    {
      const ShimResponsePoint *point = point_at (self, i);
      double offset = point->round.mean_mm - set_up_error_mm (self), half = half_width_mm (point);
      double x = round (shim_plot_axis_at (&plot->x, point->setting)) + 0.5, y = shim_plot_axis_at (&plot->y, offset);
      double low = shim_plot_axis_at (&plot->y, offset - half), high = shim_plot_axis_at (&plot->y, offset + half);

      if (!isfinite (offset))
        continue;
      cairo_move_to (plot->cr, x, low);
      cairo_line_to (plot->cr, x, high);
      for (int end = 0; end < 2; end++)
        {
          cairo_move_to (plot->cr, x - 5.0, end ? high : low);
          cairo_line_to (plot->cr, x + 5.0, end ? high : low);
        }
      shim_plot_stroke (plot, SHIM_PLOT_SOLID, plot->palette.line_px * 0.75, &plot->palette.text);
      cairo_arc (plot->cr, x, y, 4.5, 0.0, 2.0 * G_PI);
      gdk_cairo_set_source_rgba (plot->cr, &plot->palette.text);
      cairo_fill (plot->cr);
    }
  cairo_restore (plot->cr);
}

static void
draw_settings (ShimResponseChart *self, ShimPlot *plot)
{
  g_autofree char *number = NULL;
  g_autofree char *label = NULL;

  if (self->has_chosen)
    {
      number = shim_bench_text_setting (self->chosen);
      label = g_strdup_printf (_ ("Accepted %s"), number);
      shim_plot_vertical (plot, self->chosen, SHIM_PLOT_DASHED, &plot->palette.text, label, 0.5);
    }
  else if (self->response.state == SHIM_RESPONSE_CLEAR)
    {
      number = shim_bench_text_setting (self->response.best_setting);
      label = g_strdup_printf (_ ("Best by the line %s"), number);
      shim_plot_vertical (plot, self->response.best_setting, SHIM_PLOT_DOTTED, &plot->palette.text, label, 0.5);
    }
}

static void
draw_reference (ShimResponseChart *self, ShimPlot *plot)
{
  g_autofree char *offset = NULL;
  g_autofree char *text = NULL;

  if (!(self->response.reference_se_mm > 0.0))
    return;
  offset = shim_bench_text_offset (self->response.reference_mm, self->response.reference_se_mm);
  text = g_strdup_printf (_ ("Error of the set-up taken off: %s"), offset);
  shim_plot_text (plot, text, plot->x.low_px + 6.0, plot->y.low_px - 4.0, 0.0, 1.0, &plot->palette.dim);
}

static void
draw_cb (GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer user_data)
{
  ShimResponseChart *self = user_data;
  ShimPlot plot;

  shim_plot_begin (&plot, GTK_WIDGET (area), cr, width, height);
  if (is_empty (self))
    {
      shim_plot_text (&plot, _ ("No round is measured yet."), width / 2.0, height / 2.0, 0.5, 0.5, &plot.palette.dim);
      return;
    }
  include_x (self, &plot);
  include_y (self, &plot);
  draw_tolerance (self, &plot);
  shim_plot_axes (&plot, _ ("Setting"), _ ("Offset, mm (+ past)"), TRUE);
  draw_line (self, &plot);
  draw_rounds (self, &plot);
  draw_settings (self, &plot);
  draw_reference (self, &plot);
}

static void
fill_table (ShimResponseChart *self)
{
  ShimNumbersTable *table = shim_chart_frame_get_table (self->frame);

  shim_numbers_table_clear (table);
  for (guint i = 0; i < self->points->len; i++)
    {
      const ShimResponsePoint *point = point_at (self, i);
      g_autofree char *setting = shim_bench_text_setting (point->setting);
      g_autofree char *offset =
          shim_bench_text_offset (point->round.mean_mm - set_up_error_mm (self), point->round.se_mm);
      g_autofree char *half = shim_format_number (half_width_mm (point), 2);
      g_autofree char *frames = g_strdup_printf ("%u", point->round.n_used);
      const char *cells[] = { setting, offset, half, frames, NULL };

      shim_numbers_table_add (table, cells);
    }
}

static void
describe (ShimResponseChart *self)
{
  g_autofree char *number = NULL;
  g_autofree char *line = NULL;
  g_autofree char *text = NULL;

  if (is_empty (self))
    {
      shim_chart_frame_set_description (self->frame, _ ("Empty."));
      return;
    }
  if (self->response.state == SHIM_RESPONSE_CLEAR)
    {
      number = shim_bench_text_setting (self->response.best_setting);
      line = g_strdup_printf (_ ("The line says %s."), number);
    }
  text = g_strdup_printf (ngettext ("%u round. %s", "%u rounds. %s", self->points->len), self->points->len,
                          line != NULL ? line : "");
  shim_chart_frame_set_description (self->frame, g_strchomp (text));
}

static void
shim_response_chart_dispose (GObject *object)
{
  ShimResponseChart *self = SHIM_RESPONSE_CHART (object);

  if (self->frame != NULL)
    gtk_widget_unparent (GTK_WIDGET (self->frame));
  self->frame = NULL;
  g_clear_pointer (&self->points, g_array_unref);
  G_OBJECT_CLASS (shim_response_chart_parent_class)->dispose (object);
}

static void
shim_response_chart_class_init (ShimResponseChartClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = shim_response_chart_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
shim_response_chart_init (ShimResponseChart *self)
{
  const char *titles[] = { _ ("Setting"), _ ("Offset"), _ ("95 % within ± mm"), _ ("Frames"), NULL };
  GtkDrawingArea *area;

  self->points = g_array_new (FALSE, FALSE, sizeof (ShimResponsePoint));
  self->tolerance_mm = NAN;
  self->frame = SHIM_CHART_FRAME (shim_chart_frame_new (_ ("Response")));
  gtk_widget_set_parent (GTK_WIDGET (self->frame), GTK_WIDGET (self));
  shim_chart_frame_set_value (self->frame, _ ("Bars and band: 95 %"));
  area = shim_chart_frame_get_area (self->frame);
  gtk_drawing_area_set_draw_func (area, draw_cb, self, NULL);
  gtk_drawing_area_set_content_height (area, 220);
  gtk_drawing_area_set_content_width (area, 280);
  shim_numbers_table_set_columns (shim_chart_frame_get_table (self->frame), titles);
  describe (self);
}

/**
 * shim_response_chart_new:
 *
 * Returns: an empty chart
 */
GtkWidget *
shim_response_chart_new (void)
{
  return g_object_new (SHIM_TYPE_RESPONSE_CHART, NULL);
}

/**
 * shim_response_chart_show:
 * @self: a chart
 * @view: (nullable): what to show; copied
 */
void
shim_response_chart_show (ShimResponseChart *self, const ShimResponseView *view)
{
  g_return_if_fail (SHIM_IS_RESPONSE_CHART (self));

  g_array_set_size (self->points, 0);
  self->response = (ShimResponse){ 0 };
  self->tolerance_mm = NAN;
  self->has_chosen = FALSE;
  if (view != NULL)
    {
      if (view->n_points > 0)
        g_array_append_vals (self->points, view->points, (guint) view->n_points);
      if (view->response != NULL)
        self->response = *view->response;
      self->tolerance_mm = view->tolerance_mm;
      self->has_chosen = view->has_chosen;
      self->chosen = view->chosen;
    }
  fill_table (self);
  describe (self);
  gtk_widget_queue_draw (GTK_WIDGET (shim_chart_frame_get_area (self->frame)));
}
