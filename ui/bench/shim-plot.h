/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-palette.h"

G_BEGIN_DECLS

/**
 * ShimPlotAxis:
 * @low: value at @low_px
 * @high: value at @high_px
 * @low_px: place on the widget
 * @high_px: place on the widget
 *
 * A straight axis of a chart.
 */
typedef struct
{
  double low;
  double high;
  double low_px;
  double high_px;
} ShimPlotAxis;

/**
 * ShimPlot:
 * @widget: the chart, for its font
 * @cr: where to draw
 * @palette: the colours
 * @x: the axis below
 * @y: the axis at the side
 *
 * A chart while it is drawn.
 */
typedef struct
{
  GtkWidget *widget;
  cairo_t *cr;
  ShimPalette palette;
  ShimPlotAxis x;
  ShimPlotAxis y;
} ShimPlot;

/**
 * ShimPlotStroke:
 *
 * How a line is drawn, so that its colour is not its only sign.
 */
typedef enum
{
  SHIM_PLOT_SOLID,
  SHIM_PLOT_DASHED,
  SHIM_PLOT_DOTTED,
} ShimPlotStroke;

/**
 * ShimPlotLabel:
 * @x: value on the axis below that is named
 * @text: what stands above it
 * @x_share: which share of @text lies left of it
 *
 * A name above a vertical line.
 */
typedef struct
{
  double x;
  const char *text;
  double x_share;
} ShimPlotLabel;

double shim_plot_axis_at      (const ShimPlotAxis *axis, double value);
double shim_plot_axis_value   (const ShimPlotAxis *axis, double px);
double shim_plot_axis_step    (const ShimPlotAxis *axis, double gap_px);
void   shim_plot_axis_include (ShimPlotAxis *axis, double value);
void   shim_plot_begin        (ShimPlot *plot, GtkWidget *widget, cairo_t *cr, int width, int height);
void   shim_plot_axes         (ShimPlot *plot, const char *x_title, const char *y_title, gboolean whole_x);
void   shim_plot_stroke       (ShimPlot *plot, ShimPlotStroke stroke, double width, const GdkRGBA *colour);
void   shim_plot_vertical     (ShimPlot *plot, double x, ShimPlotStroke stroke, const GdkRGBA *colour, const char *label,
                               double x_share);
void   shim_plot_shade_x      (ShimPlot *plot, double from, double to, const GdkRGBA *colour);
void   shim_plot_name_x       (ShimPlot *plot, double from, double to, const char *text, const ShimPlotLabel *labels,
                               guint n_labels);
void   shim_plot_shade_y      (ShimPlot *plot, double from, double to, const GdkRGBA *colour);
void   shim_plot_text         (ShimPlot *plot, const char *text, double x, double y, double x_share, double y_share,
                               const GdkRGBA *colour);

G_END_DECLS
