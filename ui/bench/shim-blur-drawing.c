/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-blur-drawing.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-ruler-places.h"

/* Where the far side is not known, the ruler's readings have no direction: then they stand as they are. */
static gboolean
knows_away (const ShimMeasurement *m)
{
  return !isnan (shim_ruler_along_from_target (m, m->target_reading_mm));
}

/**
 * shim_blur_drawing_place:
 * @m: a measurement
 * @reading_mm: a reading of its ruler
 *
 * Returns: where it stands on the chart's axis: mm along the ruler from the target line, positive away from the camera; where the
 *   far side is not known, the reading itself
 */
double
shim_blur_drawing_place (const ShimMeasurement *m, double reading_mm)
{
  return knows_away (m) ? shim_ruler_along_from_target (m, reading_mm) : reading_mm;
}

/**
 * shim_blur_drawing_reading:
 * @m: a measurement
 * @place_mm: a place on the chart's axis, as shim_blur_drawing_place() tells it
 *
 * Returns: the ruler's reading there, mm
 */
double
shim_blur_drawing_reading (const ShimMeasurement *m, double place_mm)
{
  return knows_away (m) ? shim_ruler_reading_at_along (m, place_mm) : place_mm;
}

static void
fill_axes (ShimPlot *plot, const ShimMeasurement *m)
{
  double margin;

  shim_plot_axis_include (&plot->y, 0.0);
  shim_plot_axis_include (&plot->y, 1.1);
  for (guint i = 0; i < m->n_curve; i++)
    {
      shim_plot_axis_include (&plot->x, shim_blur_drawing_place (m, m->curve[i].reading_mm));
      shim_plot_axis_include (&plot->y, m->curve[i].contrast);
    }
  shim_plot_axis_include (&plot->x, shim_blur_drawing_place (m, m->target_reading_mm));
  margin = MAX ((plot->x.high - plot->x.low) * 0.02, 1e-3);
  plot->x.low -= margin;
  plot->x.high += margin;
  /* A wild point must not flatten all the others. */
  plot->y.high = MIN (plot->y.high, 2.0) * 1.04;
  plot->y.low = MAX (plot->y.low, -0.5) - 0.04;
}

/* Filled where the fit used it, a ring where it did not. */
static void
draw_points (ShimPlot *plot, const ShimMeasurement *m)
{
  GdkRGBA bar;

  shim_palette_faded (&plot->palette.dim, 0.6, &bar);
  for (guint i = 0; i < m->n_curve; i++)
    {
      const ShimBlurPoint *point = &m->curve[i];
      double x = shim_plot_axis_at (&plot->x, shim_blur_drawing_place (m, point->reading_mm));
      double y = shim_plot_axis_at (&plot->y, point->contrast);

      if (!isfinite (x) || !isfinite (y) || y < plot->y.high_px || y > plot->y.low_px)
        continue;
      if (point->contrast_se > 0.0)
        {
          cairo_move_to (plot->cr, x,
                         MIN (shim_plot_axis_at (&plot->y, point->contrast - point->contrast_se), plot->y.low_px));
          cairo_line_to (plot->cr, x,
                         MAX (shim_plot_axis_at (&plot->y, point->contrast + point->contrast_se), plot->y.high_px));
          shim_plot_stroke (plot, SHIM_PLOT_SOLID, 1.0, &bar);
        }
      cairo_arc (plot->cr, x, y, 2.5, 0.0, 2.0 * G_PI);
      gdk_cairo_set_source_rgba (plot->cr, &plot->palette.text);
      if (point->used)
        cairo_fill (plot->cr);
      else
        shim_plot_stroke (plot, SHIM_PLOT_SOLID, 1.0, &plot->palette.text);
    }
}

static void
trace_model (ShimPlot *plot, const ShimMeasurement *m)
{
  gboolean pen_down = FALSE;

  for (guint i = 0; i < m->n_curve; i++)
    {
      double x = shim_plot_axis_at (&plot->x, shim_blur_drawing_place (m, m->curve[i].reading_mm));
      double y = shim_plot_axis_at (&plot->y, m->curve[i].model);

      if (!isfinite (x) || !isfinite (y))
        pen_down = FALSE;
      else if (pen_down)
        cairo_line_to (plot->cr, x, y);
      else
        cairo_move_to (plot->cr, x, y);
      pen_down = pen_down || (isfinite (x) && isfinite (y));
    }
}

static void
draw_model (ShimPlot *plot, const ShimMeasurement *m)
{
  trace_model (plot, m);
  shim_plot_stroke (plot, SHIM_PLOT_SOLID, plot->palette.line_px, &plot->palette.accent);
}

/* The target line, then the sharp line: their labels point away from each other. */
static void
name_lines (const ShimMeasurement *m, ShimPlotLabel labels[2])
{
  const double target = shim_blur_drawing_place (m, m->target_reading_mm), sharp = shim_blur_drawing_place (m, m->sharp_reading_mm);
  const double share = isnan (sharp) ? 0.5 : sharp > target ? 1.0 : 0.0;

  labels[0] = (ShimPlotLabel) { target, _ ("Target line"), share };
  labels[1] = (ShimPlotLabel) { sharp, _ ("Sharp line"), 1.0 - share };
}

static void
draw_lines (ShimPlot *plot, const ShimMeasurement *m, const ShimPlotLabel labels[2])
{
  double near_reading, far_reading;
  GdkRGBA shade;

  if (m->refusal == SHIM_REFUSAL_NONE && shim_ruler_sharp_band (m, &near_reading, &far_reading))
    {
      shim_palette_faded (&plot->palette.accent, 0.3, &shade);
      shim_plot_shade_x (plot, shim_blur_drawing_place (m, near_reading), shim_blur_drawing_place (m, far_reading), &shade);
      shim_plot_vertical (plot, labels[1].x, SHIM_PLOT_SOLID, &plot->palette.accent, labels[1].text, labels[1].x_share);
    }
  shim_plot_vertical (plot, labels[0].x, SHIM_PLOT_DASHED, &plot->palette.text, labels[0].text, labels[0].x_share);
}

static void
draw_depth_of_field (ShimPlot *plot, const ShimMeasurement *m, const ShimPlotLabel labels[2])
{
  double near_reading, far_reading, from, to;
  GdkRGBA shade;

  if (!shim_ruler_depth_of_field (m, &near_reading, &far_reading))
    return;
  from = shim_blur_drawing_place (m, near_reading);
  to = shim_blur_drawing_place (m, far_reading);
  shim_palette_faded (&plot->palette.text, 0.08, &shade);
  shim_plot_shade_x (plot, from, to, &shade);
  shim_plot_name_x (plot, from, to, _ ("Depth of field"), labels, 2);
}

/* Each colour with its own stroke and its letter: R, G, B. */
static void
draw_channels (ShimPlot *plot, ShimMeasurement *const *channels)
{
  static const GdkRGBA colours[] = { { 0.88f, 0.11f, 0.14f, 1.0f },
                                     { 0.15f, 0.64f, 0.41f, 1.0f },
                                     { 0.21f, 0.52f, 0.89f, 1.0f } };
  static const ShimPlotStroke strokes[] = { SHIM_PLOT_DASHED, SHIM_PLOT_SOLID, SHIM_PLOT_DOTTED };
  const char *letters[] = { _ ("R"), _ ("G"), _ ("B") };

  for (int i = 0; i < 3; i++)
    {
      const ShimMeasurement *m = channels[i];
      double at;

      if (m == NULL || m->n_curve < 2)
        continue;
      trace_model (plot, m);
      shim_plot_stroke (plot, strokes[i], plot->palette.line_px, &colours[i]);
      if (m->refusal != SHIM_REFUSAL_NONE)
        continue;
      at = shim_plot_axis_at (&plot->x, shim_blur_drawing_place (m, m->sharp_reading_mm));
      cairo_move_to (plot->cr, at, plot->y.low_px);
      cairo_line_to (plot->cr, at, plot->y.low_px - 12.0 - 18.0 * i);
      shim_plot_stroke (plot, strokes[i], plot->palette.line_px, &colours[i]);
      shim_plot_text (plot, letters[i], at, plot->y.low_px - 12.0 - 18.0 * i, 0.5, 1.0, &plot->palette.text);
    }
}

/**
 * shim_blur_drawing_draw:
 * @plot: a plot that was begun; its axes are set
 * @m: a measurement with a curve of two points or more
 * @channels: (array fixed-size=3): those of red, green and blue, or %NULL in place of each
 * @hover_reading_mm: the reading that is pointed at, or NaN
 *
 * Draws the blur curve: what was measured, what was fitted, the target line, the sharp line with its error and the depth of field.
 */
void
shim_blur_drawing_draw (ShimPlot *plot, const ShimMeasurement *m, ShimMeasurement *const *channels, double hover_reading_mm)
{
  ShimPlotLabel labels[2];

  fill_axes (plot, m);
  name_lines (m, labels);
  draw_depth_of_field (plot, m, labels);
  shim_plot_axes (plot,
                  knows_away (m) ? _ ("Along the ruler from the target line, mm (+ away from the camera)")
                                 : _ ("Reading along the ruler, mm"),
                  _ ("Contrast"), FALSE);
  draw_points (plot, m);
  draw_model (plot, m);
  draw_lines (plot, m, labels);
  draw_channels (plot, channels);
  if (!isnan (hover_reading_mm))
    shim_plot_vertical (plot, shim_blur_drawing_place (m, hover_reading_mm), SHIM_PLOT_DOTTED, &plot->palette.text, NULL, 0.5);
}
