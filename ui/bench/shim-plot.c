/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-format.h"
#include "shim-plot.h"

/* Room for the numbers and titles of the axes, pixels. */
#define LEFT_PX 64.0
#define RIGHT_PX 16.0
#define TOP_PX 26.0
#define BOTTOM_PX 46.0

/**
 * shim_plot_axis_at:
 * @axis: an axis
 * @value: a value
 *
 * Returns: its place on the widget
 */
double
shim_plot_axis_at (const ShimPlotAxis *axis, double value)
{
  return axis->low_px + (value - axis->low) / (axis->high - axis->low) * (axis->high_px - axis->low_px);
}

/**
 * shim_plot_axis_value:
 * @axis: an axis
 * @px: a place on the widget
 *
 * Returns: the value there
 */
double
shim_plot_axis_value (const ShimPlotAxis *axis, double px)
{
  return axis->low + (px - axis->low_px) / (axis->high_px - axis->low_px) * (axis->high - axis->low);
}

/**
 * shim_plot_axis_include:
 * @axis: an axis; nothing on it yet when low > high
 * @value: a value it must reach; what is not finite is passed over
 */
void
shim_plot_axis_include (ShimPlotAxis *axis, double value)
{
  if (!isfinite (value))
    return;
  axis->low = MIN (axis->low, value);
  axis->high = MAX (axis->high, value);
}

/**
 * shim_plot_axis_step:
 * @axis: an axis
 * @gap_px: least distance of two numbers
 *
 * Returns: a round step: 1, 2 or 5 times a power of ten
 */
double
shim_plot_axis_step (const ShimPlotAxis *axis, double gap_px)
{
  const double factors[] = { 1.0, 2.0, 5.0, 10.0 };
  double least = (axis->high - axis->low) * gap_px / fabs (axis->high_px - axis->low_px);
  double power = pow (10.0, floor (log10 (least)));

  for (guint i = 0; i < G_N_ELEMENTS (factors); i++)
    if (factors[i] * power >= least)
      return factors[i] * power;
  return 10.0 * power;
}

/**
 * shim_plot_begin:
 * @plot: (out): a chart about to be drawn; its axes have no values yet
 * @widget: the widget
 * @cr: where to draw
 * @width: of the widget, pixels
 * @height: of the widget, pixels
 */
void
shim_plot_begin (ShimPlot *plot, GtkWidget *widget, cairo_t *cr, int width, int height)
{
  *plot = (ShimPlot){
    .widget = widget,
    .cr = cr,
    .x = { .low = G_MAXDOUBLE,
           .high = -G_MAXDOUBLE,
           .low_px = LEFT_PX,
           .high_px = MAX (width - RIGHT_PX, LEFT_PX + 1.0) },
    .y = { .low = G_MAXDOUBLE,
           .high = -G_MAXDOUBLE,
           .low_px = MAX (height - BOTTOM_PX, TOP_PX + 1.0),
           .high_px = TOP_PX },
  };
  shim_palette_for_widget (&plot->palette, widget);
}

/**
 * shim_plot_text:
 * @plot: a chart
 * @text: what to write
 * @x: place on the widget
 * @y: place on the widget
 * @x_share: which share of the text's width lies left of @x: 0, 0.5 or 1
 * @y_share: which share of its height lies above @y
 * @colour: of the text
 */
void
shim_plot_text (ShimPlot *plot, const char *text, double x, double y, double x_share, double y_share,
                const GdkRGBA *colour)
{
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (plot->widget, text);
  int width, height;
  double left;

  pango_layout_get_pixel_size (layout, &width, &height);
  cairo_save (plot->cr);
  gdk_cairo_set_source_rgba (plot->cr, colour);
  left = CLAMP (x - x_share * width, 0.0, MAX (plot->x.high_px - width, 0.0));
  cairo_move_to (plot->cr, round (left), round (y - y_share * height));
  pango_cairo_show_layout (plot->cr, layout);
  cairo_restore (plot->cr);
}

/**
 * shim_plot_stroke:
 * @plot: a chart with a path
 * @stroke: how
 * @width: of the line, pixels
 * @colour: of the line
 *
 * Draws the path and forgets it.
 */
void
shim_plot_stroke (ShimPlot *plot, ShimPlotStroke stroke, double width, const GdkRGBA *colour)
{
  const double dashes[] = { 7.0, 4.0 }, dots[] = { 1.5, 3.5 };

  gdk_cairo_set_source_rgba (plot->cr, colour);
  cairo_set_line_width (plot->cr, width);
  if (stroke == SHIM_PLOT_DASHED)
    cairo_set_dash (plot->cr, dashes, 2, 0.0);
  else if (stroke == SHIM_PLOT_DOTTED)
    cairo_set_dash (plot->cr, dots, 2, 0.0);
  cairo_stroke (plot->cr);
  cairo_set_dash (plot->cr, NULL, 0, 0.0);
}

static int
decimals_of (double step)
{
  return CLAMP ((int) ceil (-log10 (step) - 1e-9), 0, 6);
}

/* From the left, whatever the direction of the text: an axis of numbers does not turn round. */
static void
numbers (ShimPlot *plot, gboolean is_x, double step)
{
  const ShimPlotAxis *axis = is_x ? &plot->x : &plot->y;
  GdkRGBA grid;

  shim_palette_faded (&plot->palette.dim, 0.35, &grid);
  for (double i = ceil (axis->low / step - 1e-9); i * step <= axis->high + 1e-9 * step; i += 1.0)
    {
      g_autofree char *number = shim_format_number (i * step, decimals_of (step));
      /* Kept left to right: else the sign would change sides in a right-to-left language. */
      g_autofree char *text = g_strconcat ("\u2066", number, "\u2069", NULL);
      double at = round (shim_plot_axis_at (axis, i * step)) + 0.5;

      if (is_x)
        {
          cairo_move_to (plot->cr, at, plot->y.high_px);
          cairo_line_to (plot->cr, at, plot->y.low_px);
          shim_plot_text (plot, text, at, plot->y.low_px + 3.0, 0.5, 0.0, &plot->palette.text);
        }
      else
        {
          cairo_move_to (plot->cr, plot->x.low_px, at);
          cairo_line_to (plot->cr, plot->x.high_px, at);
          shim_plot_text (plot, text, plot->x.low_px - 6.0, at, 1.0, 0.5, &plot->palette.text);
        }
      shim_plot_stroke (plot, SHIM_PLOT_SOLID, 1.0, &grid);
    }
}

static void
side_title (ShimPlot *plot, const char *title)
{
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (plot->widget, title);
  int width, height;

  pango_layout_get_pixel_size (layout, &width, &height);
  cairo_save (plot->cr);
  cairo_translate (plot->cr, 4.0, (plot->y.low_px + plot->y.high_px + width) / 2.0);
  cairo_rotate (plot->cr, -G_PI / 2.0);
  cairo_move_to (plot->cr, 0.0, 0.0);
  gdk_cairo_set_source_rgba (plot->cr, &plot->palette.text);
  pango_cairo_show_layout (plot->cr, layout);
  cairo_restore (plot->cr);
}

/**
 * shim_plot_axes:
 * @plot: a chart whose axes have their values
 * @x_title: of the axis below, with its unit
 * @y_title: of the axis at the side, with its unit
 * @whole_x: whether only whole numbers make sense below
 */
void
shim_plot_axes (ShimPlot *plot, const char *x_title, const char *y_title, gboolean whole_x)
{
  double x_step = shim_plot_axis_step (&plot->x, 64.0);

  numbers (plot, TRUE, whole_x ? MAX (x_step, 1.0) : x_step);
  numbers (plot, FALSE, shim_plot_axis_step (&plot->y, 34.0));
  cairo_rectangle (plot->cr, plot->x.low_px + 0.5, plot->y.high_px + 0.5, plot->x.high_px - plot->x.low_px,
                   plot->y.low_px - plot->y.high_px);
  shim_plot_stroke (plot, SHIM_PLOT_SOLID, 1.0, &plot->palette.dim);
  shim_plot_text (plot, x_title, (plot->x.low_px + plot->x.high_px) / 2.0, plot->y.low_px + 22.0, 0.5, 0.0,
                  &plot->palette.text);
  side_title (plot, y_title);
}

/**
 * shim_plot_shade_x:
 * @plot: a chart
 * @from: value on the axis below
 * @to: value on the axis below; INFINITY allowed
 * @colour: of the shade
 */
void
shim_plot_shade_x (ShimPlot *plot, double from, double to, const GdkRGBA *colour)
{
  double left = shim_plot_axis_at (&plot->x, CLAMP (MIN (from, to), plot->x.low, plot->x.high));
  double right = shim_plot_axis_at (&plot->x, CLAMP (MAX (from, to), plot->x.low, plot->x.high));

  gdk_cairo_set_source_rgba (plot->cr, colour);
  cairo_rectangle (plot->cr, left, plot->y.high_px, right - left, plot->y.low_px - plot->y.high_px);
  cairo_fill (plot->cr);
}

/**
 * shim_plot_shade_y:
 * @plot: a chart
 * @from: value on the axis at the side
 * @to: value on the axis at the side
 * @colour: of the shade
 */
void
shim_plot_shade_y (ShimPlot *plot, double from, double to, const GdkRGBA *colour)
{
  double low = shim_plot_axis_at (&plot->y, CLAMP (MIN (from, to), plot->y.low, plot->y.high));
  double high = shim_plot_axis_at (&plot->y, CLAMP (MAX (from, to), plot->y.low, plot->y.high));

  gdk_cairo_set_source_rgba (plot->cr, colour);
  cairo_rectangle (plot->cr, plot->x.low_px, high, plot->x.high_px - plot->x.low_px, low - high);
  cairo_fill (plot->cr);
}

/**
 * shim_plot_vertical:
 * @plot: a chart
 * @x: value on the axis below; beyond the axis nothing is drawn
 * @stroke: how
 * @colour: of line and label
 * @label: (nullable): written above it
 * @x_share: which share of the label lies left of the line: 0, 0.5 or 1, so that neighbours do not run into each
 *   other
 */
void
shim_plot_vertical (ShimPlot *plot, double x, ShimPlotStroke stroke, const GdkRGBA *colour, const char *label,
                    double x_share)
{
  double at;

  if (!(x >= plot->x.low && x <= plot->x.high))
    return;
  at = round (shim_plot_axis_at (&plot->x, x)) + 0.5;
  cairo_move_to (plot->cr, at, plot->y.high_px);
  cairo_line_to (plot->cr, at, plot->y.low_px);
  shim_plot_stroke (plot, stroke, plot->palette.line_px, colour);
  if (label != NULL)
    shim_plot_text (plot, label, at, plot->y.high_px - 3.0, x_share, 1.0, colour);
}
