/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-text.h"
#include "shim-photo-overlay.h"
#include "shim-ruler-places.h"

/* Lines are drawn as thin turned rectangles of plain colour: these cost every renderer next to nothing, whereas a
 * drawing as large as the view would have to be painted and handed over anew in every frame. */

#define OVERHANG_PX 22.0 /* how far the lines reach beyond the strip */
#define GRIP_PX 16.0     /* how far beyond that the grip sits */
#define TICK_GAP_PX 10.0 /* closer tick marks are thinned out */
#define LABEL_GAP_PX 6.0
#define DASH_PX 9.0
#define MOST_DASHES 20

/**
 * shim_strip_frame_from_marks:
 * @self: (out): the directions
 * @marks: marks
 *
 * Returns: whether there is a strip that has a direction
 */
gboolean
shim_strip_frame_from_marks (ShimStripFrame *self, const ShimPhotoMarks *marks)
{
  double dx = marks->strip_b_px.x - marks->strip_a_px.x, dy = marks->strip_b_px.y - marks->strip_a_px.y;
  double length = hypot (dx, dy);

  if (!marks->has_strip || !(length > 1.0))
    return FALSE;
  self->along = (ShimPoint){ dx / length, dy / length };
  self->across = (ShimPoint){ -self->along.y, self->along.x };
  if (self->across.x < -1e-3 || (self->across.x < 1e-3 && self->across.y < 0.0))
    self->across = (ShimPoint){ -self->across.x, -self->across.y };
  self->half_width_px = isnan (marks->strip_width_px) ? length * 0.02 : marks->strip_width_px / 2.0;
  return TRUE;
}

/**
 * shim_strip_frame_foot:
 * @self: the directions of the strip
 * @marks: marks with the strip
 * @px: a place in the photograph
 *
 * Returns: the place on the strip's line that is level with it
 */
ShimPoint
shim_strip_frame_foot (const ShimStripFrame *self, const ShimPhotoMarks *marks, ShimPoint px)
{
  double t = (px.x - marks->strip_a_px.x) * self->along.x + (px.y - marks->strip_a_px.y) * self->along.y;

  return (ShimPoint){ marks->strip_a_px.x + t * self->along.x, marks->strip_a_px.y + t * self->along.y };
}

static ShimPoint
moved (ShimPoint from, ShimPoint direction, double distance)
{
  return (ShimPoint){ from.x + direction.x * distance, from.y + direction.y * distance };
}

static ShimPoint
to_view (const ShimPhotoOverlay *self, ShimPoint px)
{
  return shim_view_transform_to_view (self->transform, px);
}

static void
append_bar (GtkSnapshot *snapshot, ShimPoint from, ShimPoint to, double thickness, const GdkRGBA *colour)
{
  double dx = to.x - from.x, dy = to.y - from.y;

  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT ((float) from.x, (float) from.y));
  gtk_snapshot_rotate (snapshot, (float) (atan2 (dy, dx) * 180.0 / G_PI));
  gtk_snapshot_append_color (snapshot, colour,
                             &GRAPHENE_RECT_INIT (0.0f, (float) (-thickness / 2.0), (float) hypot (dx, dy),
                                                  (float) thickness));
  gtk_snapshot_restore (snapshot);
}

/**
 * shim_photo_overlay_line:
 * @self: what is needed to draw
 * @from: place in the view
 * @to: place in the view
 * @thickness: of the line itself, widget pixels
 * @colour: of the line itself
 *
 * A line with a dark edge, so that it shows on light and on dark ground.
 */
void
shim_photo_overlay_line (const ShimPhotoOverlay *self, ShimPoint from, ShimPoint to, double thickness,
                         const GdkRGBA *colour)
{
  append_bar (self->snapshot, from, to, thickness + 2.0, &self->palette->halo);
  append_bar (self->snapshot, from, to, thickness, colour);
}

/* The part of a line that is in the view, by Liang and Barsky's parameters: from 0 to 1 along it. */
static gboolean
part_in_view (const ShimPhotoOverlay *self, ShimPoint from, ShimPoint to, double *enters, double *leaves)
{
  const double d[] = { to.x - from.x, to.y - from.y }, start[] = { from.x, from.y },
               size[] = { self->transform->width, self->transform->height };

  *enters = 0.0;
  *leaves = 1.0;
  for (int i = 0; i < 2; i++)
    {
      double t0 = (0.0 - start[i]) / d[i], t1 = (size[i] - start[i]) / d[i];

      if (d[i] == 0.0)
        {
          if (start[i] < 0.0 || start[i] > size[i])
            return FALSE;
          continue;
        }
      *enters = MAX (*enters, MIN (t0, t1));
      *leaves = MIN (*leaves, MAX (t0, t1));
    }
  return *enters < *leaves;
}

/* Each dash is drawn by itself, and a turned one costs: only those in the view, and not too many of them. */
static void
dashed_line (const ShimPhotoOverlay *self, ShimPoint from, ShimPoint to, double thickness, const GdkRGBA *colour)
{
  double length = hypot (to.x - from.x, to.y - from.y), enters, leaves, dash_px;
  ShimPoint along;

  if (!(length > 0.0) || !part_in_view (self, from, to, &enters, &leaves))
    return;
  along = (ShimPoint){ (to.x - from.x) / length, (to.y - from.y) / length };
  dash_px = MAX (DASH_PX, (leaves - enters) * length / (2.0 * MOST_DASHES));
  append_bar (self->snapshot, moved (from, along, enters * length), moved (from, along, leaves * length),
              thickness + 2.0, &self->palette->halo);
  for (double at = floor (enters * length / (2.0 * dash_px)) * 2.0 * dash_px; at < leaves * length;
       at += 2.0 * dash_px)
    append_bar (self->snapshot, moved (from, along, at), moved (from, along, MIN (at + dash_px, length)), thickness,
                colour);
}

static void
draw_strip (const ShimPhotoOverlay *self, const ShimStripFrame *frame)
{
  const double sides[] = { -frame->half_width_px, frame->half_width_px };
  ShimPoint corners[4];

  for (int i = 0; i < 2; i++)
    {
      corners[2 * i] = to_view (self, moved (self->marks->strip_a_px, frame->across, sides[i]));
      corners[2 * i + 1] = to_view (self, moved (self->marks->strip_b_px, frame->across, sides[i]));
      dashed_line (self, corners[2 * i], corners[2 * i + 1], 1.0, &self->palette->on_photo);
    }
  shim_photo_overlay_line (self, corners[0], corners[2], 1.0, &self->palette->on_photo);
  shim_photo_overlay_line (self, corners[1], corners[3], 1.0, &self->palette->on_photo);
}

/* How many of the ruler's ticks make one mark, so that marks do not run together: 1, 5, 10, 50 … ticks. */
static double
tick_step_mm (const ShimPhotoOverlay *self)
{
  const ShimMeasurement *m = self->measurement;
  double step = m->tick_mm, gap_px = m->tick_mm / m->mm_per_px * self->transform->zoom;

  for (int i = 0; gap_px < TICK_GAP_PX && i < 8; i++)
    {
      double factor = i % 2 == 0 ? 5.0 : 2.0;

      step *= factor;
      gap_px *= factor;
    }
  return step;
}

static gboolean
is_in_view (const ShimPhotoOverlay *self, ShimPoint at, double margin)
{
  return at.x > -margin && at.y > -margin && at.x < self->transform->width + margin &&
         at.y < self->transform->height + margin;
}

/* Short marks outside the strip, where the lattice says that the ruler's ticks are: if they walk off the ticks, the
   map is wrong. */
static void
draw_ticks (const ShimPhotoOverlay *self, const ShimStripFrame *frame)
{
  const ShimMeasurement *m = self->measurement;
  double first, last, step;

  if (m == NULL || !(m->tick_mm > 0.0) || !(m->mm_per_px > 0.0) || isnan (m->map[0]))
    return;
  step = tick_step_mm (self);
  first = MIN (m->first_reading_mm, m->last_reading_mm);
  last = MAX (m->first_reading_mm, m->last_reading_mm);
  for (double i = ceil (first / step - 1e-6); i * step <= last + 1e-6; i += 1.0)
    {
      ShimPoint at = shim_measurement_point_at (m, i * step);
      ShimPoint from = to_view (self, moved (at, frame->across, -frame->half_width_px));
      gboolean is_long = fabs (remainder (i, 10.0)) < 0.5;

      if (is_in_view (self, from, 20.0))
        shim_photo_overlay_line (self, from, moved (from, frame->across, is_long ? -10.0 : -6.0), 1.0,
                                 &self->palette->on_photo);
    }
}

static void
line_ends (const ShimPhotoOverlay *self, const ShimStripFrame *frame, ShimPoint px, ShimPoint *left, ShimPoint *right)
{
  ShimPoint foot = to_view (self, shim_strip_frame_foot (frame, self->marks, px));
  double reach = frame->half_width_px * self->transform->zoom + OVERHANG_PX;

  *left = moved (foot, frame->across, -reach);
  *right = moved (foot, frame->across, reach);
}

/* One standard error either side of the sharp line, shaded, at least two pixels wide so that it never vanishes. */
static void
draw_sharp_band (const ShimPhotoOverlay *self, const ShimStripFrame *frame)
{
  const ShimMeasurement *m = self->measurement;
  double near_reading, far_reading, thickness;
  ShimPoint from, to, middle, left, right;
  GdkRGBA shade;

  if (!shim_ruler_sharp_band (m, &near_reading, &far_reading))
    return;
  from = shim_measurement_point_at (m, near_reading);
  to = shim_measurement_point_at (m, far_reading);
  middle = (ShimPoint){ (from.x + to.x) / 2.0, (from.y + to.y) / 2.0 };
  thickness = MAX (hypot (to.x - from.x, to.y - from.y) * self->transform->zoom, 2.0);
  line_ends (self, frame, middle, &left, &right);
  shim_palette_faded (&self->palette->on_photo, 0.4, &shade);
  append_bar (self->snapshot, left, right, thickness, &shade);
}

/* Where there is little room beside the line, as side by side, the number has to do: the strokes tell which line is
   which. */
#define ROOM_FOR_WORDS_PX 240.0
#define ROOM_FOR_TARGET_PX 120.0

static void
draw_label (const ShimPhotoOverlay *self, const char *text, ShimPoint at, gboolean to_the_right, double dy)
{
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (self->widget, text);
  const GdkRGBA ground = { 0.0f, 0.0f, 0.0f, self->palette->high_contrast ? 1.0f : 0.75f };
  GskRoundedRect shape;
  int width, height;
  double x, y, inset;

  pango_layout_get_pixel_size (layout, &width, &height);
  x = to_the_right ? at.x + LABEL_GAP_PX : at.x - LABEL_GAP_PX - width - 12.0;
  y = at.y - height / 2.0 - 3.0 + dy;
  /* A line that runs out of the view has its grip at the edge. */
  inset = at.x < 2.0 * GRIP_PX || at.x > self->transform->width - 2.0 * GRIP_PX ? 2.0 * GRIP_PX + 8.0 : 8.0;
  x = CLAMP (x, inset, MAX (self->transform->width - width - 12.0 - inset, inset));
  gsk_rounded_rect_init_from_rect (&shape, &GRAPHENE_RECT_INIT ((float) x, (float) y, width + 12.0f, height + 6.0f),
                                   6.0f);
  gtk_snapshot_push_rounded_clip (self->snapshot, &shape);
  gtk_snapshot_append_color (self->snapshot, &ground, &shape.bounds);
  gtk_snapshot_pop (self->snapshot);
  gtk_snapshot_save (self->snapshot);
  gtk_snapshot_translate (self->snapshot, &GRAPHENE_POINT_INIT ((float) x + 6.0f, (float) y + 3.0f));
  gtk_snapshot_append_layout (self->snapshot, layout, &self->palette->on_photo);
  gtk_snapshot_restore (self->snapshot);
}

/**
 * shim_photo_overlay_value_text:
 * @self: what is needed to draw
 * @mark: a mark
 *
 * Returns: (transfer full): where it stands, in words
 */
char *
shim_photo_overlay_value_text (const ShimPhotoOverlay *self, ShimMark mark)
{
  const ShimMeasurement *m = self->measurement;
  ShimPoint at = shim_photo_marks_get (self->marks, mark);
  g_autofree char *offset = NULL;

  if (mark != SHIM_MARK_EYE || m == NULL || isnan (m->map[0]) || !self->marks->has_target)
    return g_strdup_printf (_ ("%.1f px from the left, %.1f px from the top"), at.x, at.y);
  offset = shim_bench_text_about (
      shim_measurement_offset_between (m, shim_measurement_reading_at (m, self->marks->target_px),
                                       shim_measurement_reading_at (m, at)));
  return g_strdup_printf (_ ("offset %s"), offset);
}

static char *
sharp_label (const ShimPhotoOverlay *self, double room_px)
{
  const ShimMeasurement *m = self->measurement;
  g_autofree char *offset = shim_bench_text_offset (m->offset_mm, m->offset_se_mm);

  if (room_px < ROOM_FOR_WORDS_PX)
    return g_steal_pointer (&offset);

  return g_strdup_printf (_ ("Sharp line %s"), offset);
}

static char *
eye_label (const ShimPhotoOverlay *self, double room_px)
{
  g_autofree char *value = shim_photo_overlay_value_text (self, SHIM_MARK_EYE);

  return self->measurement == NULL || room_px < ROOM_FOR_WORDS_PX ? g_strdup (_ ("By eye"))
                                                                  : g_strdup_printf (_ ("By eye: %s"), value);
}

static void
draw_sharp_line (const ShimPhotoOverlay *self, const ShimStripFrame *frame, double target_y)
{
  g_autofree char *label = NULL;
  ShimPoint left, right;
  double dy = 0.0, gap;

  draw_sharp_band (self, frame);
  line_ends (self, frame, self->measurement->sharp_px, &left, &right);
  label = sharp_label (self, self->transform->width - right.x);
  shim_photo_overlay_line (self, left, right, self->palette->line_px, &self->palette->on_photo);
  /* Make way for the label of the target line where both lines are close. */
  gap = right.y - target_y;
  if (fabs (gap) < 30.0)
    dy = gap >= 0.0 ? 30.0 - gap : -30.0 - gap;
  draw_label (self, label, moved (right, frame->across, GRIP_PX * 2.0), TRUE, dy);
}

static void
draw_hover (const ShimPhotoOverlay *self, const ShimStripFrame *frame)
{
  ShimPoint left, right;

  if (isnan (self->hover_reading_mm) || self->measurement == NULL || isnan (self->measurement->map[0]))
    return;
  line_ends (self, frame, shim_measurement_point_at (self->measurement, self->hover_reading_mm), &left, &right);
  dashed_line (self, left, right, 1.0, &self->palette->on_photo);
}

/**
 * shim_photo_overlay_draw:
 * @self: what is needed to draw
 *
 * Draws strip, ticks, target line, the program's sharp line with its error band, and the sharp line by eye, each
 * with its label.
 */
void
shim_photo_overlay_draw (const ShimPhotoOverlay *self)
{
  ShimStripFrame frame;
  ShimPoint left, right = { NAN, NAN };

  if (!shim_strip_frame_from_marks (&frame, self->marks))
    return;
  draw_strip (self, &frame);
  draw_ticks (self, &frame);
  draw_hover (self, &frame);
  if (self->marks->has_target)
    {
      line_ends (self, &frame, self->marks->target_px, &left, &right);
      shim_photo_overlay_line (self, left, right, self->palette->line_px, &self->palette->target);
      /* Its grip and colour do where the word would lie under the grip. */
      if (self->transform->width - right.x > ROOM_FOR_TARGET_PX)
        draw_label (self, _ ("Target line"), moved (right, frame.across, GRIP_PX * 2.0), TRUE, 0.0);
    }
  if (self->measurement != NULL && self->measurement->refusal == SHIM_REFUSAL_NONE)
    draw_sharp_line (self, &frame, right.y);
  if (self->marks->has_eye)
    {
      g_autofree char *label = NULL;

      line_ends (self, &frame, self->marks->eye_px, &left, &right);
      label = eye_label (self, left.x);
      dashed_line (self, left, right, self->palette->line_px, &self->palette->eye);
      draw_label (self, label, moved (left, frame.across, -GRIP_PX * 2.0), FALSE, 0.0);
    }
}

static ShimPoint
kept_in_view (const ShimPhotoOverlay *self, ShimPoint grip, ShimPoint foot)
{
  const double inset = GRIP_PX + 4.0;

  /* Only where the line itself is in the view: a grip must not float away from its line. */
  if (!is_in_view (self, foot, 0.0))
    return grip;
  return (ShimPoint){ CLAMP (grip.x, inset, MAX (self->transform->width - inset, inset)),
                      CLAMP (grip.y, inset, MAX (self->transform->height - inset, inset)) };
}

/**
 * shim_photo_overlay_handle_at:
 * @self: what is needed to draw
 * @mark: a mark that is there
 *
 * Returns: where in the view its grip belongs
 */
ShimPoint
shim_photo_overlay_handle_at (const ShimPhotoOverlay *self, ShimMark mark)
{
  ShimPoint px = shim_photo_marks_get (self->marks, mark), left, right, foot;
  ShimStripFrame frame;

  if (mark == SHIM_MARK_STRIP_A || mark == SHIM_MARK_STRIP_B || !shim_strip_frame_from_marks (&frame, self->marks))
    return to_view (self, px);
  line_ends (self, &frame, px, &left, &right);
  foot = to_view (self, shim_strip_frame_foot (&frame, self->marks, px));
  if (mark == SHIM_MARK_EYE)
    return kept_in_view (self, moved (left, frame.across, -GRIP_PX), foot);
  return kept_in_view (self, moved (right, frame.across, GRIP_PX), foot);
}
