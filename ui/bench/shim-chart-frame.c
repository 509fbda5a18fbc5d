/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-chart-frame.h"

struct _ShimChartFrame
{
  GtkWidget parent_instance;

  /* template widgets */
  GtkWidget *area;
  GtkWidget *header;
  GtkStack *stack;
  ShimNumbersTable *table;
  GtkToggleButton *table_button;
  GtkLabel *title_label;
  GtkLabel *value_label;
};

G_DEFINE_FINAL_TYPE (ShimChartFrame, shim_chart_frame, GTK_TYPE_WIDGET)

static void
table_toggled_cb (GtkToggleButton *button, ShimChartFrame *self)
{
  gtk_stack_set_visible_child_name (self->stack, gtk_toggle_button_get_active (button) ? "table" : "chart");
}

static void
shim_chart_frame_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), SHIM_TYPE_CHART_FRAME);
  G_OBJECT_CLASS (shim_chart_frame_parent_class)->dispose (object);
}

static void
shim_chart_frame_class_init (ShimChartFrameClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_chart_frame_dispose;
  g_type_ensure (SHIM_TYPE_NUMBERS_TABLE);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/bench/shim-chart-frame.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimChartFrame, area);
  gtk_widget_class_bind_template_child (widget_class, ShimChartFrame, header);
  gtk_widget_class_bind_template_child (widget_class, ShimChartFrame, stack);
  gtk_widget_class_bind_template_child (widget_class, ShimChartFrame, table);
  gtk_widget_class_bind_template_child (widget_class, ShimChartFrame, table_button);
  gtk_widget_class_bind_template_child (widget_class, ShimChartFrame, title_label);
  gtk_widget_class_bind_template_child (widget_class, ShimChartFrame, value_label);
  gtk_widget_class_bind_template_callback (widget_class, table_toggled_cb);
}

static void
shim_chart_frame_init (ShimChartFrame *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}

/**
 * shim_chart_frame_new:
 * @title: of the chart
 *
 * Returns: a frame whose drawing area and table are still empty
 */
GtkWidget *
shim_chart_frame_new (const char *title)
{
  ShimChartFrame *self = g_object_new (SHIM_TYPE_CHART_FRAME, NULL);

  gtk_label_set_label (self->title_label, title);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->area), GTK_ACCESSIBLE_PROPERTY_LABEL, title, -1);
  return GTK_WIDGET (self);
}

/**
 * shim_chart_frame_get_area:
 * @self: a frame
 *
 * Returns: where the chart is drawn
 */
GtkDrawingArea *
shim_chart_frame_get_area (ShimChartFrame *self)
{
  g_return_val_if_fail (SHIM_IS_CHART_FRAME (self), NULL);

  return GTK_DRAWING_AREA (self->area);
}

/**
 * shim_chart_frame_get_table:
 * @self: a frame
 *
 * Returns: the table behind the chart
 */
ShimNumbersTable *
shim_chart_frame_get_table (ShimChartFrame *self)
{
  g_return_val_if_fail (SHIM_IS_CHART_FRAME (self), NULL);

  return self->table;
}

/**
 * shim_chart_frame_set_value:
 * @self: a frame
 * @value: (nullable): what lies under the pointer, in words
 */
void
shim_chart_frame_set_value (ShimChartFrame *self, const char *value)
{
  g_return_if_fail (SHIM_IS_CHART_FRAME (self));

  gtk_label_set_label (self->value_label, value != NULL ? value : "");
}

/**
 * shim_chart_frame_set_description:
 * @self: a frame
 * @description: what the chart shows, in a sentence, for those who do not see it
 */
void
shim_chart_frame_set_description (ShimChartFrame *self, const char *description)
{
  g_return_if_fail (SHIM_IS_CHART_FRAME (self));

  gtk_accessible_update_property (GTK_ACCESSIBLE (self->area), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, description, -1);
}

/**
 * shim_chart_frame_add_tool:
 * @self: a frame
 * @tool: what the head of the chart offers besides the table
 */
void
shim_chart_frame_add_tool (ShimChartFrame *self, GtkWidget *tool)
{
  g_return_if_fail (SHIM_IS_CHART_FRAME (self));
  g_return_if_fail (GTK_IS_WIDGET (tool));

  gtk_box_insert_child_after (GTK_BOX (self->header), tool, GTK_WIDGET (self->value_label));
}
