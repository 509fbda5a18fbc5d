/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-numbers-table.h"

G_BEGIN_DECLS

#define SHIM_TYPE_CHART_FRAME (shim_chart_frame_get_type ())
G_DECLARE_FINAL_TYPE (ShimChartFrame, shim_chart_frame, SHIM, CHART_FRAME, GtkWidget)

/**
 * ShimChartFrame:
 *
 * What every chart stands in: its title, a value under the pointer, the drawing, and behind it the same numbers as
 * a table.
 */

GtkWidget        *shim_chart_frame_new             (const char *title);
GtkDrawingArea   *shim_chart_frame_get_area        (ShimChartFrame *self);
ShimNumbersTable *shim_chart_frame_get_table       (ShimChartFrame *self);
void              shim_chart_frame_set_value       (ShimChartFrame *self, const char *value);
void              shim_chart_frame_set_description (ShimChartFrame *self, const char *description);
void              shim_chart_frame_add_tool        (ShimChartFrame *self, GtkWidget *tool);

G_END_DECLS
