/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <pango/pangocairo.h>

#include "shim-format.h"
#include "shim-record-chart.h"

/* Room for the numbers beside the axes, mm. */
#define LEFT_MM 16.0
#define BOTTOM_MM 10.0
#define TOP_MM 3.0
#define RIGHT_MM 4.0
#define TEXT_MM 2.7
#define N_CURVE 60
#define MAX_TICKS 9.0

typedef struct
{
  cairo_t *cairo;
  const ShimTestRecord *record;
  double width_mm, height_mm;
  double x_min, x_max, y_min, y_max;
} Chart;

static double
x_of (const Chart *self, double setting)
{
  return LEFT_MM + (setting - self->x_min) / (self->x_max - self->x_min) * (self->width_mm - LEFT_MM - RIGHT_MM);
}

static double
y_of (const Chart *self, double offset_mm)
{
  return TOP_MM + (self->y_max - offset_mm) / (self->y_max - self->y_min) * (self->height_mm - TOP_MM - BOTTOM_MM);
}

static gboolean
has_line (const ShimResponse *response)
{
  return response->state != SHIM_RESPONSE_NOTHING && response->state != SHIM_RESPONSE_ONE_SETTING;
}

static gboolean
counts (const ShimRecordRound *round)
{
  return !round->is_reference && round->setting != SHIM_NO_INT && !isnan (round->stats.mean_mm);
}

/* What is drawn is what the response says: the error of the set-up taken off. */
static double
mean_of (const Chart *self, const ShimRecordRound *round)
{
  return round->stats.mean_mm - self->record->response.reference_mm;
}

static void
reach_x (Chart *self, double setting)
{
  self->x_min = fmin (self->x_min, setting);
  self->x_max = fmax (self->x_max, setting);
}

static void
reach_y (Chart *self, double offset_mm)
{
  if (!isfinite (offset_mm))
    return;
  self->y_min = fmin (self->y_min, offset_mm);
  self->y_max = fmax (self->y_max, offset_mm);
}

static void
find_limits (Chart *self)
{
  self->x_min = self->y_min = INFINITY;
  self->x_max = self->y_max = -INFINITY;
  reach_y (self, self->record->tolerance_mm);
  reach_y (self, -self->record->tolerance_mm);
  reach_y (self, 0.0);
  for (guint i = 0; i < self->record->rounds->len; i++)
    {
      const ShimRecordRound *round = self->record->rounds->pdata[i];

      if (!counts (round))
        continue;
      reach_x (self, (double) round->setting);
      reach_y (self, mean_of (self, round) + 2.0 * round->stats.se_mm);
      reach_y (self, mean_of (self, round) - 2.0 * round->stats.se_mm);
    }
  if (self->record->decided != SHIM_NO_INT)
    reach_x (self, (double) self->record->decided);
  self->x_min -= 1.0;
  self->x_max += 1.0;
  self->y_max += 0.06 * (self->y_max - self->y_min);
  self->y_min -= 0.06 * (self->y_max - self->y_min);
}

/* 1, 2 or 5 times a power of ten. */
static double
round_step (double span)
{
  double raw = span / MAX_TICKS;
  double power = pow (10.0, floor (log10 (raw)));
  double lead = raw / power;

  return power * (lead <= 1.0 ? 1.0 : lead <= 2.0 ? 2.0 : lead <= 5.0 ? 5.0 : 10.0);
}

static void
text_at (const Chart *self, double x_mm, double y_mm, double anchor, const char *text)
{
  PangoLayout *layout = pango_cairo_create_layout (self->cairo);
  PangoFontDescription *font = pango_font_description_from_string ("Sans");
  PangoRectangle box;

  pango_font_description_set_absolute_size (font, TEXT_MM * PANGO_SCALE);
  pango_layout_set_font_description (layout, font);
  pango_layout_set_text (layout, text, -1);
  pango_layout_get_extents (layout, NULL, &box);
  cairo_move_to (self->cairo, x_mm - anchor * box.width / PANGO_SCALE, y_mm);
  cairo_set_source_rgb (self->cairo, 0.0, 0.0, 0.0);
  pango_cairo_show_layout (self->cairo, layout);
  pango_font_description_free (font);
  g_object_unref (layout);
}

static void
line (const Chart *self, double x1, double y1, double x2, double y2, double grey, double width_mm)
{
  cairo_set_source_rgb (self->cairo, grey, grey, grey);
  cairo_set_line_width (self->cairo, width_mm);
  cairo_move_to (self->cairo, x1, y1);
  cairo_line_to (self->cairo, x2, y2);
  cairo_stroke (self->cairo);
}

static void
draw_axes (const Chart *self)
{
  const double left = LEFT_MM, right = self->width_mm - RIGHT_MM, bottom = self->height_mm - BOTTOM_MM;
  const double y_step = round_step (self->y_max - self->y_min);
  const double x_step = fmax (1.0, round_step (self->x_max - self->x_min));

  for (double y = ceil (self->y_min / y_step) * y_step; y <= self->y_max; y += y_step)
    {
      g_autofree char *text = shim_format_signed (fabs (y) < y_step / 1000.0 ? 0.0 : y, y_step < 1.0 ? 1 : 0);

      line (self, left - 1.0, y_of (self, y), left, y_of (self, y), 0.0, 0.2);
      text_at (self, left - 1.5, y_of (self, y) - TEXT_MM * 0.65, 1.0, text);
    }
  for (double x = ceil (self->x_min / x_step) * x_step; x <= self->x_max; x += x_step)
    {
      g_autofree char *text = shim_format_setting ((gint64) lround (x));

      line (self, x_of (self, x), bottom, x_of (self, x), bottom + 1.0, 0.0, 0.2);
      text_at (self, x_of (self, x), bottom + 1.2, 0.5, text);
    }
  line (self, left, TOP_MM, left, bottom, 0.0, 0.25);
  line (self, left, bottom, right, bottom, 0.0, 0.25);
  line (self, left, y_of (self, 0.0), right, y_of (self, 0.0), 0.0, 0.2);
  text_at (self, (left + right) / 2.0, bottom + 5.2, 0.5, _ ("setting"));
  text_at (self, 0.0, -1.0, 0.0, _ ("offset, mm"));
}

static void
draw_tolerance (const Chart *self)
{
  const double top = y_of (self, self->record->tolerance_mm), bottom = y_of (self, -self->record->tolerance_mm);

  if (isnan (self->record->tolerance_mm))
    return;
  cairo_set_source_rgb (self->cairo, 0.92, 0.92, 0.92);
  cairo_rectangle (self->cairo, LEFT_MM, top, self->width_mm - LEFT_MM - RIGHT_MM, bottom - top);
  cairo_fill (self->cairo);
}

/* One edge of the confidence band, or the line itself with @side = 0. */
static void
trace (const Chart *self, double side, gboolean backwards)
{
  for (guint k = 0; k <= N_CURVE; k++)
    {
      guint i = backwards ? N_CURVE - k : k;
      double setting = self->x_min + (self->x_max - self->x_min) * i / N_CURVE;
      double half_mm = 0.0;
      double offset_mm = shim_response_at (&self->record->response, setting, NULL, &half_mm);

      cairo_line_to (self->cairo, x_of (self, setting), y_of (self, offset_mm + (isfinite (half_mm) ? side * half_mm : 0.0)));
    }
}

static void
draw_response (const Chart *self)
{
  cairo_save (self->cairo);
  cairo_rectangle (self->cairo, LEFT_MM, TOP_MM, self->width_mm - LEFT_MM - RIGHT_MM, self->height_mm - TOP_MM - BOTTOM_MM);
  cairo_clip (self->cairo);
  cairo_new_path (self->cairo);
  trace (self, 1.0, FALSE);
  trace (self, -1.0, TRUE);
  cairo_close_path (self->cairo);
  cairo_set_source_rgb (self->cairo, 0.78, 0.78, 0.78);
  cairo_fill (self->cairo);
  cairo_set_source_rgb (self->cairo, 0.0, 0.0, 0.0);
  cairo_set_line_width (self->cairo, 0.35);
  trace (self, 0.0, FALSE);
  cairo_stroke (self->cairo);
  cairo_restore (self->cairo);
}

static void
draw_rounds (const Chart *self)
{
  for (guint i = 0; i < self->record->rounds->len; i++)
    {
      const ShimRecordRound *round = self->record->rounds->pdata[i];
      double x, low, high;

      if (!counts (round))
        continue;
      x = x_of (self, (double) round->setting);
      low = y_of (self, mean_of (self, round) - round->stats.se_mm);
      high = y_of (self, mean_of (self, round) + round->stats.se_mm);
      line (self, x, low, x, high, 0.0, 0.3);
      line (self, x - 0.8, low, x + 0.8, low, 0.0, 0.3);
      line (self, x - 0.8, high, x + 0.8, high, 0.0, 0.3);
      cairo_arc (self->cairo, x, y_of (self, mean_of (self, round)), 0.9, 0.0, 2.0 * G_PI);
      cairo_fill (self->cairo);
    }
}

static void
draw_decided (const Chart *self)
{
  const double dashes[] = { 1.2, 1.0 };
  double x;

  if (self->record->decided == SHIM_NO_INT)
    return;
  x = x_of (self, (double) self->record->decided);
  cairo_set_dash (self->cairo, dashes, G_N_ELEMENTS (dashes), 0.0);
  line (self, x, TOP_MM, x, self->height_mm - BOTTOM_MM, 0.0, 0.3);
  cairo_set_dash (self->cairo, NULL, 0, 0.0);
}

/**
 * shim_record_chart_draw:
 * @cairo: a context in mm, its origin the chart's top left corner
 * @record: what is drawn: every round with one standard error, the line with its 95 % band, the tolerance, the setting decided
 * @width_mm: of the chart
 * @height_mm: of the chart
 *
 * In black and greys, so that it prints on any paper. Draws nothing when no round counts.
 */
void
shim_record_chart_draw (cairo_t *cairo, const ShimTestRecord *record, double width_mm, double height_mm)
{
  Chart self = { .cairo = cairo, .record = record, .width_mm = width_mm, .height_mm = height_mm };

  g_return_if_fail (cairo != NULL && record != NULL);

  find_limits (&self);
  if (!(self.x_max > self.x_min && self.y_max > self.y_min))
    return;
  draw_tolerance (&self);
  if (has_line (&record->response))
    draw_response (&self);
  draw_axes (&self);
  draw_decided (&self);
  draw_rounds (&self);
}
