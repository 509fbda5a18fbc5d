/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-photo-view-private.h"

#define ZOOM_STEP 1.25
#define PAN_STEP_PX 64.0
#define MAX_UNDO 100

/* How near to the strip the pointer must be to point at a reading, in halves of its width and widget pixels. */
#define HOVER_REACH 1.5
#define HOVER_REACH_PX 40.0

/* Marks */

static void
remember_marks (ShimPhotoView *self)
{
  if (self->undo->len == MAX_UNDO)
    g_array_remove_index (self->undo, 0);
  g_array_append_val (self->undo, self->marks);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "photo.undo-marks", TRUE);
}

static void
undo_marks_cb (GtkWidget *widget, const char *action_name, GVariant *parameter)
{
  ShimPhotoView *self = SHIM_PHOTO_VIEW (widget);

  if (self->undo->len == 0)
    return;
  self->marks = g_array_index (self->undo, ShimPhotoMarks, self->undo->len - 1);
  g_array_set_size (self->undo, self->undo->len - 1);
  gtk_widget_action_set_enabled (widget, "photo.undo-marks", self->undo->len > 0);
  shim_photo_view_marks_changed (self, TRUE);
}

/* Lines slide along the strip; the strip's ends go anywhere. Both stay on the photograph. */
static void
move_mark (ShimPhotoView *self, ShimMark mark, double dx_px, double dy_px)
{
  ShimPoint to = shim_photo_marks_get (&self->marks, mark);
  ShimStripFrame frame;

  to.x += dx_px;
  to.y += dy_px;
  if ((mark == SHIM_MARK_TARGET || mark == SHIM_MARK_EYE) && shim_strip_frame_from_marks (&frame, &self->marks))
    to = shim_strip_frame_foot (&frame, &self->marks, to);
  to.x = CLAMP (to.x, 0.0, self->photo_width);
  to.y = CLAMP (to.y, 0.0, self->photo_height);
  shim_photo_marks_set (&self->marks, mark, to);
}

static void
handle_drag_moved_cb (ShimMarkHandle *handle, double dx, double dy, ShimPhotoView *self)
{
  if (!self->dragging_mark)
    {
      remember_marks (self);
      self->dragging_mark = TRUE;
    }
  move_mark (self, shim_mark_handle_get_mark (handle), dx / self->transform.zoom, dy / self->transform.zoom);
  shim_photo_view_marks_changed (self, FALSE);
}

static void
handle_drag_ended_cb (ShimMarkHandle *handle, ShimPhotoView *self)
{
  if (!self->dragging_mark)
    return;
  self->dragging_mark = FALSE;
  shim_photo_view_marks_changed (self, TRUE);
}

/* The place one tick further along the ruler, as the lattice has it; ten pixels where there is no lattice. */
static ShimPoint
a_tick_further (ShimPhotoView *self, ShimPoint from, const ShimStripFrame *frame, double direction)
{
  const ShimMeasurement *m = self->measurement;
  double reading, sign;
  ShimPoint up, place;

  if (m == NULL || !(m->tick_mm > 0.0) || isnan (m->map[0]))
    return (ShimPoint){ from.x + frame->along.x * direction * 10.0, from.y + frame->along.y * direction * 10.0 };
  reading = shim_measurement_reading_at (m, from);
  up = shim_measurement_point_at (m, reading + m->tick_mm);
  place = shim_measurement_point_at (m, reading);
  sign = copysign (1.0, (up.x - place.x) * frame->along.x + (up.y - place.y) * frame->along.y);
  return shim_measurement_point_at (m, reading + sign * direction * m->tick_mm);
}

static gboolean
handle_nudged_cb (ShimMarkHandle *handle, int x, int y, gboolean far, ShimPhotoView *self)
{
  ShimMark mark = shim_mark_handle_get_mark (handle);
  ShimPoint from = shim_photo_marks_get (&self->marks, mark);
  ShimStripFrame frame;
  double along;

  if (!shim_strip_frame_from_marks (&frame, &self->marks))
    return FALSE;
  along = x * frame.along.x + y * frame.along.y;
  /* Across the strip, a line has nowhere to go. */
  if ((mark == SHIM_MARK_TARGET || mark == SHIM_MARK_EYE) && fabs (along) < 0.3)
    return FALSE;
  remember_marks (self);
  if (mark == SHIM_MARK_TARGET || mark == SHIM_MARK_EYE)
    {
      double direction = copysign (1.0, along);
      ShimPoint to = { from.x + direction * frame.along.x, from.y + direction * frame.along.y };

      if (far)
        to = a_tick_further (self, from, &frame, direction);
      move_mark (self, mark, to.x - from.x, to.y - from.y);
    }
  else
    move_mark (self, mark, x * (far ? 10.0 : 1.0), y * (far ? 10.0 : 1.0));
  shim_photo_view_marks_changed (self, TRUE);
  return TRUE;
}

/* Somebody tabbed to a mark that is out of sight: bring it there. */
static void
handle_focused_cb (GtkWidget *handle, GParamSpec *pspec, ShimPhotoView *self)
{
  ShimMark mark = shim_mark_handle_get_mark (SHIM_MARK_HANDLE (handle));
  ShimPoint px = shim_photo_marks_get (&self->marks, mark);
  ShimPoint at = shim_view_transform_to_view (&self->transform, px);

  if (!gtk_widget_has_focus (handle) ||
      (at.x >= 0.0 && at.y >= 0.0 && at.x <= self->transform.width && at.y <= self->transform.height))
    return;
  self->transform.centre = px;
  self->mode = SHIM_PHOTO_VIEW_FREE;
  shim_photo_view_view_changed (self);
}

/**
 * shim_photo_view_watch_handle:
 * @self: a view
 * @handle: one of its handles
 */
void
shim_photo_view_watch_handle (ShimPhotoView *self, ShimMarkHandle *handle)
{
  g_signal_connect (handle, "drag-moved", G_CALLBACK (handle_drag_moved_cb), self);
  g_signal_connect (handle, "drag-ended", G_CALLBACK (handle_drag_ended_cb), self);
  g_signal_connect (handle, "nudged", G_CALLBACK (handle_nudged_cb), self);
  g_signal_connect (handle, "notify::has-focus", G_CALLBACK (handle_focused_cb), self);
}

static GtkWidget *
focusable_at (ShimPhotoView *self, int place)
{
  return place < 0 ? GTK_WIDGET (self) : self->handles[place];
}

/**
 * shim_photo_view_focus:
 * @widget: a view
 * @direction: where to
 *
 * Tab goes from the photograph to the target line, the line by eye and the ends of the strip, wherever they lie
 * just now.
 *
 * Returns: whether the focus stays inside
 */
gboolean
shim_photo_view_focus (GtkWidget *widget, GtkDirectionType direction)
{
  ShimPhotoView *self = SHIM_PHOTO_VIEW (widget);
  gboolean forward = direction == GTK_DIR_TAB_FORWARD;
  int place = forward ? -2 : SHIM_N_MARKS;

  if (direction != GTK_DIR_TAB_FORWARD && direction != GTK_DIR_TAB_BACKWARD)
    return !gtk_widget_get_focus_child (widget) && !gtk_widget_has_focus (widget) && gtk_widget_grab_focus (widget);
  for (int i = -1; i < SHIM_N_MARKS; i++)
    if (gtk_widget_has_focus (focusable_at (self, i)))
      place = i;
  for (place += forward ? 1 : -1; place >= -1 && place < SHIM_N_MARKS; place += forward ? 1 : -1)
    if (gtk_widget_get_visible (focusable_at (self, place)) && gtk_widget_grab_focus (focusable_at (self, place)))
      return TRUE;
  return FALSE;
}

static void
mark_eye_cb (GtkWidget *widget, const char *action_name, GVariant *parameter)
{
  ShimPhotoView *self = SHIM_PHOTO_VIEW (widget);
  ShimPoint start;

  if (self->photo_width == 0)
    return;
  if (!self->marks.has_eye)
    {
      remember_marks (self);
      shim_photo_marks_start_in_middle (&self->marks, self->photo_width, self->photo_height);
      start = self->measurement != NULL && isfinite (self->measurement->sharp_px.x) ? self->measurement->sharp_px
                                                                                    : self->marks.target_px;
      shim_photo_marks_set (&self->marks, SHIM_MARK_EYE, start);
      shim_photo_view_marks_changed (self, FALSE);
    }
  gtk_widget_grab_focus (self->handles[SHIM_MARK_EYE]);
}

/* The target line in the middle of what is seen, ready to be nudged. */
static void
mark_target_cb (GtkWidget *widget, const char *action_name, GVariant *parameter)
{
  ShimPhotoView *self = SHIM_PHOTO_VIEW (widget);

  if (self->photo_width == 0 || !self->editable)
    return;
  if (!self->marks.has_target)
    {
      remember_marks (self);
      shim_photo_marks_set (&self->marks, SHIM_MARK_TARGET, self->transform.centre);
      move_mark (self, SHIM_MARK_TARGET, 0.0, 0.0);
      shim_photo_view_marks_changed (self, TRUE);
    }
  gtk_widget_grab_focus (self->handles[SHIM_MARK_TARGET]);
}

/* Where the program could not tell where the target is, a click on the photograph says so. */
static void
released_cb (GtkGestureClick *click, int n_press, double x, double y, ShimPhotoView *self)
{
  ShimPoint at;

  if (n_press != 1 || self->photo_width == 0 || !self->editable || self->marks.has_target)
    return;
  at = shim_view_transform_to_photo (&self->transform, (ShimPoint){ x, y });
  if (at.x < 0.0 || at.y < 0.0 || at.x > self->photo_width || at.y > self->photo_height)
    return;
  remember_marks (self);
  shim_photo_marks_set (&self->marks, SHIM_MARK_TARGET, at);
  move_mark (self, SHIM_MARK_TARGET, 0.0, 0.0);
  shim_photo_view_marks_changed (self, TRUE);
}

/* Zoom and place */

static void
zoom_cb (GtkWidget *widget, const char *action_name, GVariant *parameter)
{
  ShimPhotoView *self = SHIM_PHOTO_VIEW (widget);
  double zoom = shim_photo_view_get_zoom (self);

  if (zoom == 0.0)
    return;
  if (g_str_equal (action_name, "photo.zoom-fit"))
    shim_photo_view_zoom_fit (self);
  else if (g_str_equal (action_name, "photo.zoom-1"))
    shim_photo_view_zoom_to (self, 1.0);
  else if (g_str_equal (action_name, "photo.zoom-4"))
    shim_photo_view_zoom_to (self, 4.0);
  else if (g_str_equal (action_name, "photo.zoom-in"))
    shim_photo_view_zoom_to (self, zoom * ZOOM_STEP);
  else
    shim_photo_view_zoom_to (self, zoom / ZOOM_STEP);
}

static void
go_to_target_cb (GtkWidget *widget, const char *action_name, GVariant *parameter)
{
  ShimPhotoView *self = SHIM_PHOTO_VIEW (widget);

  if (self->marks.has_target && self->photo_width > 0)
    shim_photo_view_show_place (self, self->marks.target_px, MAX (shim_photo_view_get_zoom (self), 1.0));
}

static void
zoom_ruler_cb (GtkWidget *widget, const char *action_name, GVariant *parameter)
{
  shim_photo_view_zoom_ruler (SHIM_PHOTO_VIEW (widget));
}

static gboolean
pan_cb (GtkWidget *widget, GVariant *args, gpointer user_data)
{
  int x, y;

  g_variant_get (args, "(ii)", &x, &y);
  shim_photo_view_pan (SHIM_PHOTO_VIEW (widget), -x * PAN_STEP_PX, -y * PAN_STEP_PX);
  return TRUE;
}

static gboolean
scroll_cb (GtkEventControllerScroll *controller, double dx, double dy, ShimPhotoView *self)
{
  GdkModifierType state = gtk_event_controller_get_current_event_state (GTK_EVENT_CONTROLLER (controller));
  gboolean is_wheel = gtk_event_controller_scroll_get_unit (controller) == GDK_SCROLL_UNIT_WHEEL;

  if (self->photo_width == 0)
    return GDK_EVENT_PROPAGATE;
  /* A wheel zooms; two fingers on a touchpad move the photograph, and zoom with Ctrl. */
  if (is_wheel)
    shim_photo_view_zoom_to (self, shim_photo_view_get_zoom (self) * pow (ZOOM_STEP, -dy));
  else if (state & GDK_CONTROL_MASK)
    shim_photo_view_zoom_to (self, shim_photo_view_get_zoom (self) * pow (1.01, -dy));
  else
    shim_photo_view_pan (self, -dx, -dy);
  return GDK_EVENT_STOP;
}

static void
pinch_begin_cb (GtkGesture *gesture, GdkEventSequence *sequence, ShimPhotoView *self)
{
  self->pinch_zoom = shim_photo_view_get_zoom (self);
}

static void
pinch_cb (GtkGestureZoom *gesture, double scale, ShimPhotoView *self)
{
  double x, y;

  if (self->photo_width == 0 || !gtk_gesture_get_bounding_box_center (GTK_GESTURE (gesture), &x, &y))
    return;
  self->pointer = (ShimPoint){ x, y };
  shim_photo_view_zoom_to (self, self->pinch_zoom * scale);
}

static void
pan_begin_cb (GtkGestureDrag *drag, double x, double y, ShimPhotoView *self)
{
  gtk_widget_grab_focus (GTK_WIDGET (self));
  self->drag_x = self->drag_y = 0.0;
  gtk_widget_set_cursor_from_name (GTK_WIDGET (self), "grabbing");
}

static void
pan_update_cb (GtkGestureDrag *drag, double offset_x, double offset_y, ShimPhotoView *self)
{
  if (self->photo_width == 0)
    return;
  shim_photo_view_pan (self, offset_x - self->drag_x, offset_y - self->drag_y);
  self->drag_x = offset_x;
  self->drag_y = offset_y;
}

static void
pan_end_cb (GtkGestureDrag *drag, double offset_x, double offset_y, ShimPhotoView *self)
{
  gtk_widget_set_cursor (GTK_WIDGET (self), NULL);
}

static void
pressed_cb (GtkGestureClick *click, int n_press, double x, double y, ShimPhotoView *self)
{
  if (n_press != 2 || self->photo_width == 0)
    return;
  self->pointer = (ShimPoint){ x, y };
  if (self->mode != SHIM_PHOTO_VIEW_FREE)
    shim_photo_view_zoom_to (self, 1.0);
  else
    shim_photo_view_zoom_fit (self);
}

/* The pointer */

static void
motion_cb (GtkEventControllerMotion *controller, double x, double y, ShimPhotoView *self)
{
  const ShimMeasurement *m = self->measurement;
  double reading = NAN;
  ShimStripFrame frame;

  self->pointer = (ShimPoint){ x, y };
  if (self->photo_width > 0 && m != NULL && !isnan (m->map[0]) && shim_strip_frame_from_marks (&frame, &self->marks))
    {
      ShimPoint px = shim_view_transform_to_photo (&self->transform, self->pointer);
      ShimPoint foot = shim_strip_frame_foot (&frame, &self->marks, px);
      double away_px = hypot (px.x - foot.x, px.y - foot.y);

      if (away_px < frame.half_width_px * HOVER_REACH + HOVER_REACH_PX / self->transform.zoom)
        reading = shim_measurement_reading_at (m, px);
      if (!(reading >= MIN (m->first_reading_mm, m->last_reading_mm) &&
            reading <= MAX (m->first_reading_mm, m->last_reading_mm)))
        reading = NAN;
    }
  shim_photo_view_set_hover_reading (self, reading);
}

static void
leave_cb (GtkEventControllerMotion *controller, ShimPhotoView *self)
{
  self->pointer = (ShimPoint){ NAN, NAN };
  shim_photo_view_set_hover_reading (self, NAN);
}

static void
add_gestures (ShimPhotoView *self)
{
  GtkWidget *widget = GTK_WIDGET (self);
  GtkGesture *pan = gtk_gesture_drag_new ();
  GtkGesture *pinch = gtk_gesture_zoom_new ();
  GtkGesture *click = gtk_gesture_click_new ();

  gtk_gesture_single_set_button (GTK_GESTURE_SINGLE (pan), 0);
  g_signal_connect (pan, "drag-begin", G_CALLBACK (pan_begin_cb), self);
  g_signal_connect (pan, "drag-update", G_CALLBACK (pan_update_cb), self);
  g_signal_connect (pan, "drag-end", G_CALLBACK (pan_end_cb), self);
  gtk_widget_add_controller (widget, GTK_EVENT_CONTROLLER (pan));

  g_signal_connect (pinch, "begin", G_CALLBACK (pinch_begin_cb), self);
  g_signal_connect (pinch, "scale-changed", G_CALLBACK (pinch_cb), self);
  gtk_widget_add_controller (widget, GTK_EVENT_CONTROLLER (pinch));

  g_signal_connect (click, "pressed", G_CALLBACK (pressed_cb), self);
  g_signal_connect (click, "released", G_CALLBACK (released_cb), self);
  gtk_widget_add_controller (widget, GTK_EVENT_CONTROLLER (click));
}

/**
 * shim_photo_view_add_controllers:
 * @self: a view
 */
void
shim_photo_view_add_controllers (ShimPhotoView *self)
{
  GtkEventController *scroll = gtk_event_controller_scroll_new (GTK_EVENT_CONTROLLER_SCROLL_BOTH_AXES);
  GtkEventController *motion = gtk_event_controller_motion_new ();

  self->pointer = (ShimPoint){ NAN, NAN };
  add_gestures (self);
  g_signal_connect (scroll, "scroll", G_CALLBACK (scroll_cb), self);
  gtk_widget_add_controller (GTK_WIDGET (self), scroll);
  g_signal_connect (motion, "enter", G_CALLBACK (motion_cb), self);
  g_signal_connect (motion, "motion", G_CALLBACK (motion_cb), self);
  g_signal_connect (motion, "leave", G_CALLBACK (leave_cb), self);
  gtk_widget_add_controller (GTK_WIDGET (self), motion);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "photo.undo-marks", FALSE);
}

static void
add_keys (GtkWidgetClass *widget_class)
{
  const struct
  {
    guint key;
    GdkModifierType modifiers;
    const char *action;
  } keys[] = {
    { GDK_KEY_plus, 0, "photo.zoom-in" },         { GDK_KEY_KP_Add, 0, "photo.zoom-in" },
    { GDK_KEY_equal, 0, "photo.zoom-in" },        { GDK_KEY_minus, 0, "photo.zoom-out" },
    { GDK_KEY_KP_Subtract, 0, "photo.zoom-out" }, { GDK_KEY_0, 0, "photo.zoom-fit" },
    { GDK_KEY_KP_0, 0, "photo.zoom-fit" },        { GDK_KEY_1, 0, "photo.zoom-1" },
    { GDK_KEY_KP_1, 0, "photo.zoom-1" },          { GDK_KEY_4, 0, "photo.zoom-4" },
    { GDK_KEY_KP_4, 0, "photo.zoom-4" },          { GDK_KEY_t, 0, "photo.go-to-target" },
    { GDK_KEY_r, 0, "photo.zoom-ruler" },         { GDK_KEY_e, 0, "photo.mark-eye" },
    { GDK_KEY_m, 0, "photo.mark-target" },        { GDK_KEY_z, GDK_CONTROL_MASK, "photo.undo-marks" },
  };
  const struct
  {
    guint key;
    int x;
    int y;
  } arrows[] = {
    { GDK_KEY_Left, -1, 0 },    { GDK_KEY_Right, 1, 0 },    { GDK_KEY_Up, 0, -1 },    { GDK_KEY_Down, 0, 1 },
    { GDK_KEY_KP_Left, -1, 0 }, { GDK_KEY_KP_Right, 1, 0 }, { GDK_KEY_KP_Up, 0, -1 }, { GDK_KEY_KP_Down, 0, 1 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (keys); i++)
    gtk_widget_class_add_binding_action (widget_class, keys[i].key, keys[i].modifiers, keys[i].action, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (arrows); i++)
    gtk_widget_class_add_binding (widget_class, arrows[i].key, 0, pan_cb, "(ii)", arrows[i].x, arrows[i].y);
}

/**
 * shim_photo_view_install_input:
 * @widget_class: the class of the view
 *
 * Its actions and keys.
 */
void
shim_photo_view_install_input (GtkWidgetClass *widget_class)
{
  gtk_widget_class_install_action (widget_class, "photo.zoom-in", NULL, zoom_cb);
  gtk_widget_class_install_action (widget_class, "photo.zoom-out", NULL, zoom_cb);
  gtk_widget_class_install_action (widget_class, "photo.zoom-fit", NULL, zoom_cb);
  gtk_widget_class_install_action (widget_class, "photo.zoom-ruler", NULL, zoom_ruler_cb);
  gtk_widget_class_install_action (widget_class, "photo.zoom-1", NULL, zoom_cb);
  gtk_widget_class_install_action (widget_class, "photo.zoom-4", NULL, zoom_cb);
  gtk_widget_class_install_action (widget_class, "photo.go-to-target", NULL, go_to_target_cb);
  gtk_widget_class_install_action (widget_class, "photo.mark-target", NULL, mark_target_cb);
  gtk_widget_class_install_action (widget_class, "photo.mark-eye", NULL, mark_eye_cb);
  gtk_widget_class_install_action (widget_class, "photo.undo-marks", NULL, undo_marks_cb);
  add_keys (widget_class);
}
