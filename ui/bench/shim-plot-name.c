/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-plot.h"

#define GAP_PX 8.0

static double
width_of (ShimPlot *plot, const char *text)
{
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (plot->widget, text);
  int width;

  pango_layout_get_pixel_size (layout, &width, NULL);
  return width;
}

/* From where to where the strip above the plot is taken. */
static void
find_taken (ShimPlot *plot, const ShimPlotLabel *labels, guint n_labels, double *first_px, double *last_px)
{
  *first_px = G_MAXDOUBLE;
  *last_px = -G_MAXDOUBLE;
  for (guint i = 0; i < n_labels; i++)
    {
      double at = shim_plot_axis_at (&plot->x, labels[i].x), width = width_of (plot, labels[i].text);

      if (!(labels[i].x >= plot->x.low && labels[i].x <= plot->x.high))
        continue;
      *first_px = MIN (*first_px, at - labels[i].x_share * width - GAP_PX);
      *last_px = MAX (*last_px, at + (1.0 - labels[i].x_share) * width + GAP_PX);
    }
}

/**
 * shim_plot_name_x:
 * @plot: a chart
 * @from: where the shade begins on the axis below
 * @to: where it ends
 * @text: its name
 * @labels: (array length=n_labels): what stands above the plot already
 * @n_labels: how many
 *
 * Names what shim_plot_shade_x() shaded: above one end of it, where no curve runs; beside its foot when both are taken.
 */
void
shim_plot_name_x (ShimPlot *plot, double from, double to, const char *text, const ShimPlotLabel *labels, guint n_labels)
{
  const double left = shim_plot_axis_at (&plot->x, CLAMP (MIN (from, to), plot->x.low, plot->x.high));
  const double right = shim_plot_axis_at (&plot->x, CLAMP (MAX (from, to), plot->x.low, plot->x.high));
  const double width = width_of (plot, text), above = plot->y.high_px - 3.0, foot = plot->y.low_px - 2.0;
  double first, last;

  find_taken (plot, labels, n_labels, &first, &last);
  if (left + width <= first || (left >= last && left + width <= plot->x.high_px))
    shim_plot_text (plot, text, left, above, 0.0, 1.0, &plot->palette.dim);
  else if (right - width >= last || (right <= first && right - width >= plot->x.low_px))
    shim_plot_text (plot, text, right, above, 1.0, 1.0, &plot->palette.dim);
  else if (right + GAP_PX + width <= plot->x.high_px)
    shim_plot_text (plot, text, right + GAP_PX, foot, 0.0, 1.0, &plot->palette.dim);
  else
    shim_plot_text (plot, text, left - GAP_PX, foot, 1.0, 1.0, &plot->palette.dim);
}
