/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-mark-handle.h"
#include "shim-palette.h"

/* A grip on the photograph: dragged by mouse or finger, nudged by the arrow keys. It knows nothing of the photograph;
 * it says how it was moved, and its view moves it. */
struct _ShimMarkHandle
{
  GtkWidget parent_instance;

  ShimMark mark;
  GtkGesture *drag;
  double last_x;
  double last_y;
  gboolean dragging;
};

G_DEFINE_FINAL_TYPE (ShimMarkHandle, shim_mark_handle, GTK_TYPE_WIDGET)

enum
{
  DRAG_MOVED,
  DRAG_ENDED,
  NUDGED,
  N_SIGNALS,
};

static guint signals[N_SIGNALS];

static const struct
{
  const char *label;
  const char *description;
} texts[SHIM_N_MARKS] = {
  [SHIM_MARK_TARGET] = { N_ ("Target line"), N_ ("The ruler reading level with the target's face.") },
  [SHIM_MARK_EYE] = { N_ ("Sharp line by eye"), N_ ("Where the ruler looks sharpest to you.") },
  [SHIM_MARK_STRIP_A] = { N_ ("First end of the strip"), N_ ("One end of the tick edge to measure along.") },
  [SHIM_MARK_STRIP_B] = { N_ ("Second end of the strip"), N_ ("The other end of the tick edge to measure along.") },
};

/* How far the pointer went since last told, in the coordinates of the view: the handle itself moves under the
   pointer. */
static gboolean
moved_in_view (ShimMarkHandle *self, double *dx, double *dy)
{
  GtkWidget *view = gtk_widget_get_parent (GTK_WIDGET (self));
  graphene_point_t here, in_view;
  double x, y;

  if (!gtk_gesture_get_point (self->drag, NULL, &x, &y))
    return FALSE;
  graphene_point_init (&here, (float) x, (float) y);
  if (!gtk_widget_compute_point (GTK_WIDGET (self), view, &here, &in_view))
    return FALSE;
  *dx = in_view.x - self->last_x;
  *dy = in_view.y - self->last_y;
  self->last_x = in_view.x;
  self->last_y = in_view.y;
  return TRUE;
}

static void
drag_begin_cb (GtkGestureDrag *drag, double x, double y, ShimMarkHandle *self)
{
  double dx, dy;

  gtk_gesture_set_state (GTK_GESTURE (drag), GTK_EVENT_SEQUENCE_CLAIMED);
  gtk_widget_grab_focus (GTK_WIDGET (self));
  moved_in_view (self, &dx, &dy);
  self->dragging = TRUE;
  gtk_widget_queue_draw (gtk_widget_get_parent (GTK_WIDGET (self)));
}

static void
drag_update_cb (GtkGestureDrag *drag, double offset_x, double offset_y, ShimMarkHandle *self)
{
  double dx, dy;

  if (self->dragging && moved_in_view (self, &dx, &dy) && (dx != 0.0 || dy != 0.0))
    g_signal_emit (self, signals[DRAG_MOVED], 0, dx, dy);
}

static void
drag_end_cb (GtkGestureDrag *drag, double offset_x, double offset_y, ShimMarkHandle *self)
{
  if (!self->dragging)
    return;
  self->dragging = FALSE;
  gtk_widget_queue_draw (gtk_widget_get_parent (GTK_WIDGET (self)));
  g_signal_emit (self, signals[DRAG_ENDED], 0);
}

static gboolean
nudge_cb (GtkWidget *widget, GVariant *args, gpointer user_data)
{
  int x, y;
  gboolean far, handled = FALSE;

  g_variant_get (args, "(iib)", &x, &y, &far);
  g_signal_emit (widget, signals[NUDGED], 0, x, y, far, &handled);
  return handled;
}

static void
focus_changed_cb (GtkWidget *widget)
{
  gtk_widget_queue_draw (widget);
  if (gtk_widget_get_parent (widget) != NULL)
    gtk_widget_queue_draw (gtk_widget_get_parent (widget));
}

static void
shim_mark_handle_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum, int *natural,
                          int *minimum_baseline, int *natural_baseline)
{
  *minimum = *natural = SHIM_MARK_HANDLE_PX;
}

static void
append_disc (GtkSnapshot *snapshot, double size, double radius, const GdkRGBA *colour)
{
  double from = (SHIM_MARK_HANDLE_PX - size) / 2.0;
  GskRoundedRect shape;

  gsk_rounded_rect_init_from_rect (&shape, &GRAPHENE_RECT_INIT (from, from, size, size), radius);
  gtk_snapshot_push_rounded_clip (snapshot, &shape);
  gtk_snapshot_append_color (snapshot, colour, &shape.bounds);
  gtk_snapshot_pop (snapshot);
}

/* The target's grip is round, the eye's stands on its corner, the ends of the strip are square. */
static void
shim_mark_handle_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  ShimMarkHandle *self = SHIM_MARK_HANDLE (widget);
  gboolean focused = gtk_widget_has_focus (widget);
  double size = self->mark == SHIM_MARK_TARGET ? 18.0 : 14.0;
  double radius = self->mark == SHIM_MARK_TARGET ? size / 2.0 : 2.0;
  const GdkRGBA black = { 0.0f, 0.0f, 0.0f, 1.0f };
  const GdkRGBA *fill;
  ShimPalette palette;

  shim_palette_for_widget (&palette, widget);
  fill = self->mark == SHIM_MARK_TARGET ? &palette.target
         : self->mark == SHIM_MARK_EYE  ? &palette.eye
                                        : &palette.on_photo;
  gtk_snapshot_save (snapshot);
  if (self->mark == SHIM_MARK_EYE)
    {
      gtk_snapshot_translate (snapshot,
                              &GRAPHENE_POINT_INIT (SHIM_MARK_HANDLE_PX / 2.0f, SHIM_MARK_HANDLE_PX / 2.0f));
      gtk_snapshot_rotate (snapshot, 45.0f);
      gtk_snapshot_translate (snapshot,
                              &GRAPHENE_POINT_INIT (-SHIM_MARK_HANDLE_PX / 2.0f, -SHIM_MARK_HANDLE_PX / 2.0f));
    }
  if (focused)
    {
      append_disc (snapshot, size + 12.0, radius + 6.0, &black);
      append_disc (snapshot, size + 9.0, radius + 4.5, &palette.on_photo);
    }
  append_disc (snapshot, size + 4.0, radius + 2.0, &black);
  append_disc (snapshot, size, radius, fill);
  append_disc (snapshot, 4.0, 2.0, &black);
  gtk_snapshot_restore (snapshot);
}

static void
add_nudge (GtkWidgetClass *widget_class, guint key, guint keypad_key, int x, int y)
{
  const guint keys[] = { key, keypad_key };

  for (guint i = 0; i < G_N_ELEMENTS (keys); i++)
    {
      gtk_widget_class_add_binding (widget_class, keys[i], 0, nudge_cb, "(iib)", x, y, FALSE);
      gtk_widget_class_add_binding (widget_class, keys[i], GDK_SHIFT_MASK, nudge_cb, "(iib)", x, y, TRUE);
    }
}

static void
shim_mark_handle_class_init (ShimMarkHandleClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  widget_class->measure = shim_mark_handle_measure;
  widget_class->snapshot = shim_mark_handle_snapshot;

  /**
   * ShimMarkHandle::drag-moved:
   * @dx: widget pixels to the right since the last time
   * @dy: widget pixels down
   */
  signals[DRAG_MOVED] = g_signal_new ("drag-moved", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                      G_TYPE_NONE, 2, G_TYPE_DOUBLE, G_TYPE_DOUBLE);
  /**
   * ShimMarkHandle::drag-ended:
   *
   * The handle was let go.
   */
  signals[DRAG_ENDED] =
      g_signal_new ("drag-ended", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  /**
   * ShimMarkHandle::nudged:
   * @x: −1 for left, 1 for right, 0
   * @y: −1 for up, 1 for down, 0
   * @far: whether by a tick, else by a pixel
   *
   * Returns: whether there was something to move that way
   */
  signals[NUDGED] =
      g_signal_new ("nudged", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, g_signal_accumulator_true_handled,
                    NULL, NULL, G_TYPE_BOOLEAN, 3, G_TYPE_INT, G_TYPE_INT, G_TYPE_BOOLEAN);

  add_nudge (widget_class, GDK_KEY_Left, GDK_KEY_KP_Left, -1, 0);
  add_nudge (widget_class, GDK_KEY_Right, GDK_KEY_KP_Right, 1, 0);
  add_nudge (widget_class, GDK_KEY_Up, GDK_KEY_KP_Up, 0, -1);
  add_nudge (widget_class, GDK_KEY_Down, GDK_KEY_KP_Down, 0, 1);

  gtk_widget_class_set_css_name (widget_class, "markhandle");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_SLIDER);
}

static void
shim_mark_handle_init (ShimMarkHandle *self)
{
  gtk_widget_set_focusable (GTK_WIDGET (self), TRUE);
  gtk_widget_set_cursor_from_name (GTK_WIDGET (self), "grab");
  g_signal_connect (self, "notify::has-focus", G_CALLBACK (focus_changed_cb), NULL);

  self->drag = gtk_gesture_drag_new ();
  g_signal_connect (self->drag, "drag-begin", G_CALLBACK (drag_begin_cb), self);
  g_signal_connect (self->drag, "drag-update", G_CALLBACK (drag_update_cb), self);
  g_signal_connect (self->drag, "drag-end", G_CALLBACK (drag_end_cb), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (self->drag));
}

/**
 * shim_mark_handle_new:
 * @mark: what it moves
 *
 * Returns: a grip
 */
GtkWidget *
shim_mark_handle_new (ShimMark mark)
{
  ShimMarkHandle *self = g_object_new (SHIM_TYPE_MARK_HANDLE, NULL);

  self->mark = mark;
  gtk_widget_set_tooltip_text (GTK_WIDGET (self), _ (texts[mark].label));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, _ (texts[mark].label),
                                  GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, _ (texts[mark].description), -1);
  return GTK_WIDGET (self);
}

/**
 * shim_mark_handle_get_mark:
 * @self: a handle
 *
 * Returns: what it moves
 */
ShimMark
shim_mark_handle_get_mark (ShimMarkHandle *self)
{
  g_return_val_if_fail (SHIM_IS_MARK_HANDLE (self), SHIM_N_MARKS);

  return self->mark;
}

/**
 * shim_mark_handle_set_value:
 * @self: a handle
 * @value: where it stands, in words, for those who do not see it
 *
 * The bus of GTK 4.8 hands on the value of its own sliders only, so it is in the description as well.
 */
void
shim_mark_handle_set_value (ShimMarkHandle *self, const char *value)
{
  g_autofree char *description = NULL;

  g_return_if_fail (SHIM_IS_MARK_HANDLE (self));

  description = g_strdup_printf ("%s %s", _ (texts[self->mark].description), value);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_VALUE_TEXT, value,
                                  GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, description, -1);
}

/**
 * shim_mark_handle_is_active:
 * @self: a handle
 *
 * Returns: whether somebody is moving it or about to, by mouse or by key
 */
gboolean
shim_mark_handle_is_active (ShimMarkHandle *self)
{
  g_return_val_if_fail (SHIM_IS_MARK_HANDLE (self), FALSE);

  return self->dragging || gtk_widget_has_focus (GTK_WIDGET (self));
}
