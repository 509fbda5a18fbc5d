/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-response.h"

G_BEGIN_DECLS

#define SHIM_TYPE_RESPONSE_CHART (shim_response_chart_get_type ())
G_DECLARE_FINAL_TYPE (ShimResponseChart, shim_response_chart, SHIM, RESPONSE_CHART, GtkWidget)

/**
 * ShimResponseView:
 * @points: (array length=n_points): the rounds
 * @n_points: how many
 * @response: (nullable): the line through them
 * @tolerance_mm: the largest offset accepted, NAN = not known
 * @has_chosen: whether a setting is accepted
 * @chosen: the accepted setting
 *
 * What a response chart shows.
 */
typedef struct
{
  const ShimResponsePoint *points;
  gsize n_points;
  const ShimResponse *response;
  double tolerance_mm;
  gboolean has_chosen;
  int chosen;
} ShimResponseView;

/**
 * ShimResponseChart:
 *
 * Offset over setting: the rounds with their error bars, the line with its confidence band, the tolerance, the
 * accepted setting.
 */

GtkWidget *shim_response_chart_new  (void);
void       shim_response_chart_show (ShimResponseChart *self, const ShimResponseView *view);

G_END_DECLS
