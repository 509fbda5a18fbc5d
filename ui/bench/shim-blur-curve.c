/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-text.h"
#include "shim-blur-curve.h"
#include "shim-blur-drawing.h"
#include "shim-chart-frame.h"
#include "shim-format.h"
#include "shim-plot.h"

struct _ShimBlurCurve
{
  GtkWidget parent_instance;

  ShimChartFrame *frame;
  GtkToggleButton *colours_button;
  ShimMeasurement *measurement;
  ShimMeasurement *channels[3]; /* red, green, blue, where they are wanted */
  double hover_reading_mm;
  ShimPlotAxis x; /* as last drawn, for the pointer */
};

G_DEFINE_FINAL_TYPE (ShimBlurCurve, shim_blur_curve, GTK_TYPE_WIDGET)

enum
{
  PROP_0,
  PROP_HOVER_READING,
  PROP_COLOURS,
  N_PROPS,
};

static GParamSpec *properties[N_PROPS];

static void
draw_cb (GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer user_data)
{
  ShimBlurCurve *self = user_data;
  const ShimMeasurement *m = self->measurement;
  ShimPlot plot;

  shim_plot_begin (&plot, GTK_WIDGET (area), cr, width, height);
  if (m == NULL || m->n_curve < 2)
    {
      shim_plot_text (&plot, m == NULL ? _ ("No frame is measured yet.") : _ ("This frame has no blur curve."),
                      width / 2.0, height / 2.0, 0.5, 0.5, &plot.palette.dim);
      return;
    }
  shim_blur_drawing_draw (&plot, m, self->channels, self->hover_reading_mm);
  self->x = plot.x;
}

static const ShimBlurPoint *
nearest_point (const ShimMeasurement *m, double reading_mm)
{
  const ShimBlurPoint *nearest = NULL;

  for (guint i = 0; i < m->n_curve; i++)
    if (nearest == NULL || fabs (m->curve[i].reading_mm - reading_mm) < fabs (nearest->reading_mm - reading_mm))
      nearest = &m->curve[i];
  return nearest;
}

static char *
channels_text (ShimBlurCurve *self)
{
  g_autofree char *red = NULL;
  g_autofree char *green = NULL;
  g_autofree char *blue = NULL;

  if (self->channels[0] == NULL)
    return NULL;
  red = shim_format_signed (self->channels[0]->offset_mm, 1);
  green = shim_format_signed (self->channels[1]->offset_mm, 1);
  blue = shim_format_signed (self->channels[2]->offset_mm, 1);
  /* Translators: offsets of red, green and blue. */
  return g_strdup_printf (_ ("\u2066R %s, G %s, B %s mm\u2069"), red, green, blue);
}

static void
show_value (ShimBlurCurve *self)
{
  const ShimMeasurement *m = self->measurement;
  const ShimBlurPoint *point;
  g_autofree char *offset = NULL;
  g_autofree char *contrast = NULL;
  g_autofree char *text = NULL;

  if (m == NULL || m->n_curve == 0 || isnan (self->hover_reading_mm))
    {
      g_autofree char *channels = channels_text (self);

      shim_chart_frame_set_value (self->frame, channels);
      return;
    }
  point = nearest_point (m, self->hover_reading_mm);
  offset = shim_bench_text_about (shim_measurement_offset_between (m, m->target_reading_mm, self->hover_reading_mm));
  contrast = shim_format_with_error (point->contrast, point->contrast_se, "");
  /* Short, or a small window cuts the number off. Translators: an offset in mm along the optical axis, which the chart's own axis is
   * not, and the contrast there. */
  text = g_strdup_printf (_ ("Offset %s: %s"), offset, g_strchomp (contrast));
  shim_chart_frame_set_value (self->frame, text);
}

static void
motion_cb (GtkEventControllerMotion *controller, double x, double y, ShimBlurCurve *self)
{
  const ShimMeasurement *m = self->measurement;
  double place;

  if (m == NULL || m->n_curve < 2 || !(self->x.high > self->x.low))
    return;
  place = shim_plot_axis_value (&self->x, x);
  shim_blur_curve_set_hover_reading (self,
                                     place >= self->x.low && place <= self->x.high ? shim_blur_drawing_reading (m, place) : NAN);
}

static void
leave_cb (GtkEventControllerMotion *controller, ShimBlurCurve *self)
{
  shim_blur_curve_set_hover_reading (self, NAN);
}

static void
add_to_table (ShimNumbersTable *table, const char *light, const ShimMeasurement *m)
{
  for (guint i = 0; m != NULL && i < m->n_curve; i++)
    {
      g_autofree char *place = shim_format_signed (shim_blur_drawing_place (m, m->curve[i].reading_mm), 1);
      g_autofree char *contrast = shim_format_number (m->curve[i].contrast, 3);
      g_autofree char *se = shim_format_number (m->curve[i].contrast_se, 3);
      g_autofree char *model = shim_format_number (m->curve[i].model, 3);
      const char *cells[] = { light, place, contrast, se, model, m->curve[i].used ? _ ("yes") : _ ("no"), NULL };

      shim_numbers_table_add (table, cells);
    }
}

static void
fill_table (ShimBlurCurve *self)
{
  ShimNumbersTable *table = shim_chart_frame_get_table (self->frame);

  shim_numbers_table_clear (table);
  add_to_table (table, _ ("all"), self->measurement);
  add_to_table (table, _ ("red"), self->channels[0]);
  add_to_table (table, _ ("green"), self->channels[1]);
  add_to_table (table, _ ("blue"), self->channels[2]);
}

static void
describe (ShimBlurCurve *self)
{
  const ShimMeasurement *m = self->measurement;
  g_autofree char *offset = NULL;
  g_autofree char *text = NULL;

  if (m == NULL || m->n_curve < 2)
    {
      shim_chart_frame_set_description (self->frame, _ ("Empty."));
      return;
    }
  offset = shim_bench_text_offset (m->offset_mm, m->offset_se_mm);
  text = g_strdup_printf (ngettext ("Contrast at %u tick. Offset of the sharp line: %s.",
                                    "Contrast at %u ticks. Offset of the sharp line: %s.", m->n_curve),
                          m->n_curve, offset);
  shim_chart_frame_set_description (self->frame, text);
}

static void
shim_blur_curve_get_property (GObject *object, guint prop_id, GValue *value, GParamSpec *pspec)
{
  if (prop_id == PROP_HOVER_READING)
    g_value_set_double (value, SHIM_BLUR_CURVE (object)->hover_reading_mm);
  else if (prop_id == PROP_COLOURS)
    g_value_set_boolean (value, shim_blur_curve_wants_colours (SHIM_BLUR_CURVE (object)));
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, prop_id, pspec);
}

static void
shim_blur_curve_set_property (GObject *object, guint prop_id, const GValue *value, GParamSpec *pspec)
{
  if (prop_id == PROP_HOVER_READING)
    shim_blur_curve_set_hover_reading (SHIM_BLUR_CURVE (object), g_value_get_double (value));
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, prop_id, pspec);
}

static void
shim_blur_curve_dispose (GObject *object)
{
  ShimBlurCurve *self = SHIM_BLUR_CURVE (object);

  if (self->frame != NULL)
    gtk_widget_unparent (GTK_WIDGET (self->frame));
  self->frame = NULL;
  g_clear_pointer (&self->measurement, shim_measurement_free);
  for (int i = 0; i < 3; i++)
    g_clear_pointer (&self->channels[i], shim_measurement_free);
  G_OBJECT_CLASS (shim_blur_curve_parent_class)->dispose (object);
}

static void
shim_blur_curve_class_init (ShimBlurCurveClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->get_property = shim_blur_curve_get_property;
  object_class->set_property = shim_blur_curve_set_property;
  object_class->dispose = shim_blur_curve_dispose;
  properties[PROP_HOVER_READING] =
      /* Lax, because NAN is not within any range. */
      g_param_spec_double ("hover-reading", NULL, NULL, -G_MAXDOUBLE, G_MAXDOUBLE, 0.0,
                           G_PARAM_READWRITE | G_PARAM_LAX_VALIDATION | G_PARAM_EXPLICIT_NOTIFY |
                               G_PARAM_STATIC_STRINGS);
  properties[PROP_COLOURS] =
      g_param_spec_boolean ("colours", NULL, NULL, FALSE, G_PARAM_READABLE | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, properties);
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
colours_toggled_cb (ShimBlurCurve *self)
{
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_COLOURS]);
}

static void
add_colours_button (ShimBlurCurve *self)
{
  GtkWidget *button = gtk_toggle_button_new_with_mnemonic (_ ("C_olours"));

  self->colours_button = GTK_TOGGLE_BUTTON (button);
  gtk_widget_add_css_class (button, "flat");
  gtk_widget_set_tooltip_text (button, _ ("Red, Green and Blue by Themselves"));
  g_signal_connect_swapped (button, "toggled", G_CALLBACK (colours_toggled_cb), self);
  shim_chart_frame_add_tool (self->frame, button);
}

static void
shim_blur_curve_init (ShimBlurCurve *self)
{
  const char *titles[] = {
    _ ("Light"), _ ("Along the ruler, mm"), _ ("Contrast"), _ ("Standard error"), _ ("Fitted"), _ ("Used"), NULL
  };
  GtkEventController *motion = gtk_event_controller_motion_new ();
  GtkDrawingArea *area;

  self->hover_reading_mm = NAN;
  self->frame = SHIM_CHART_FRAME (shim_chart_frame_new (_ ("Blur curve")));
  gtk_widget_set_parent (GTK_WIDGET (self->frame), GTK_WIDGET (self));
  add_colours_button (self);
  area = shim_chart_frame_get_area (self->frame);
  gtk_drawing_area_set_draw_func (area, draw_cb, self, NULL);
  gtk_drawing_area_set_content_height (area, 180);
  shim_numbers_table_set_columns (shim_chart_frame_get_table (self->frame), titles);
  g_signal_connect (motion, "motion", G_CALLBACK (motion_cb), self);
  g_signal_connect (motion, "leave", G_CALLBACK (leave_cb), self);
  gtk_widget_add_controller (GTK_WIDGET (area), motion);
  describe (self);
}

/**
 * shim_blur_curve_new:
 *
 * Returns: an empty curve
 */
GtkWidget *
shim_blur_curve_new (void)
{
  return g_object_new (SHIM_TYPE_BLUR_CURVE, NULL);
}

static void
redraw (ShimBlurCurve *self)
{
  gtk_widget_queue_draw (GTK_WIDGET (shim_chart_frame_get_area (self->frame)));
}

/**
 * shim_blur_curve_set_measurement:
 * @self: a curve
 * @measurement: (nullable): what to show; copied
 */
void
shim_blur_curve_set_measurement (ShimBlurCurve *self, const ShimMeasurement *measurement)
{
  g_return_if_fail (SHIM_IS_BLUR_CURVE (self));

  g_clear_pointer (&self->measurement, shim_measurement_free);
  if (measurement != NULL)
    self->measurement = shim_measurement_copy (measurement);
  self->x = (ShimPlotAxis){ 0 };
  fill_table (self);
  describe (self);
  show_value (self);
  redraw (self);
}

/**
 * shim_blur_curve_set_hover_reading:
 * @self: a curve
 * @reading_mm: the reading looked at, mm; NAN = none
 */
void
shim_blur_curve_set_hover_reading (ShimBlurCurve *self, double reading_mm)
{
  g_return_if_fail (SHIM_IS_BLUR_CURVE (self));

  if (self->hover_reading_mm == reading_mm || (isnan (self->hover_reading_mm) && isnan (reading_mm)))
    return;
  self->hover_reading_mm = reading_mm;
  show_value (self);
  redraw (self);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_HOVER_READING]);
}

/**
 * shim_blur_curve_set_channels:
 * @self: a curve
 * @channels: (nullable) (array fixed-size=3): the same frame measured in red, green and blue alone; copied
 */
void
shim_blur_curve_set_channels (ShimBlurCurve *self, const ShimMeasurement *const *channels)
{
  g_return_if_fail (SHIM_IS_BLUR_CURVE (self));

  for (int i = 0; i < 3; i++)
    {
      g_clear_pointer (&self->channels[i], shim_measurement_free);
      if (channels != NULL)
        self->channels[i] = shim_measurement_copy (channels[i]);
    }
  fill_table (self);
  show_value (self);
  redraw (self);
}

/**
 * shim_blur_curve_wants_colours:
 * @self: a curve
 *
 * Returns: whether the colours are wanted by themselves
 */
gboolean
shim_blur_curve_wants_colours (ShimBlurCurve *self)
{
  g_return_val_if_fail (SHIM_IS_BLUR_CURVE (self), FALSE);

  return self->frame != NULL && gtk_toggle_button_get_active (self->colours_button);
}
