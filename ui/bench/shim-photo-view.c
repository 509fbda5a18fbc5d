/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-text.h"
#include "shim-mark-handle.h"
#include "shim-photo-view-private.h"

G_DEFINE_FINAL_TYPE (ShimPhotoView, shim_photo_view, GTK_TYPE_WIDGET)

enum
{
  PROP_0,
  PROP_HOVER_READING,
  PROP_EDITABLE,
  PROP_ZOOM,
  PROP_LOADING,
  N_PROPS,
};

enum
{
  MARKS_CHANGED,
  VIEW_CHANGED,
  FAILED,
  DAMAGED,
  N_SIGNALS,
};

static GParamSpec *properties[N_PROPS];
static guint signals[N_SIGNALS];

/* Marks and handles */

static void
update_handles (ShimPhotoView *self)
{
  ShimPhotoOverlay overlay;

  shim_photo_view_fill_overlay (self, &overlay, NULL);
  for (int mark = 0; mark < SHIM_N_MARKS; mark++)
    {
      gboolean shown = self->editable && self->photo_width > 0 && shim_photo_marks_has (&self->marks, mark);
      g_autofree char *value = NULL;

      gtk_widget_set_visible (self->handles[mark], shown);
      if (!shown)
        continue;
      value = shim_photo_overlay_value_text (&overlay, mark);
      shim_mark_handle_set_value (SHIM_MARK_HANDLE (self->handles[mark]), value);
    }
}

static void
update_description (ShimPhotoView *self)
{
  const ShimMeasurement *m = self->measurement;
  g_autofree char *offset = NULL;
  g_autofree char *text = NULL;

  if (self->path == NULL)
    text = g_strdup (_ ("No photograph."));
  else if (m == NULL)
    text = g_strdup (_ ("Not measured yet."));
  else if (m->refusal != SHIM_REFUSAL_NONE)
    text = g_strdup (m->reason != NULL ? m->reason : _ ("Not measured."));
  else
    {
      offset = shim_bench_text_offset (m->offset_mm, m->offset_se_mm);
      text = g_strdup_printf (_ ("Offset %s."), offset);
    }
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text, -1);
}

/**
 * shim_photo_view_marks_changed:
 * @self: a view
 * @settled: whether the person has let go
 *
 * Tells that a person moved a mark.
 */
void
shim_photo_view_marks_changed (ShimPhotoView *self, gboolean settled)
{
  update_handles (self);
  gtk_widget_queue_allocate (GTK_WIDGET (self));
  gtk_widget_queue_draw (GTK_WIDGET (self));
  g_signal_emit (self, signals[MARKS_CHANGED], 0, settled);
}

/**
 * shim_photo_view_view_changed:
 * @self: a view
 *
 * Brings everything in line after zoom or place changed.
 */
void
shim_photo_view_view_changed (ShimPhotoView *self)
{
  if (self->photo_width > 0)
    shim_view_transform_keep_on (&self->transform, self->photo_width, self->photo_height);
  update_handles (self);
  gtk_widget_queue_allocate (GTK_WIDGET (self));
  gtk_widget_queue_draw (GTK_WIDGET (self));
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_ZOOM]);
  g_signal_emit (self, signals[VIEW_CHANGED], 0);
}

/**
 * shim_photo_view_fill_overlay:
 * @self: a view
 * @overlay: (out): what is needed to draw, without the snapshot
 * @palette: (nullable): the colours
 */
void
shim_photo_view_fill_overlay (ShimPhotoView *self, ShimPhotoOverlay *overlay, const ShimPalette *palette)
{
  *overlay = (ShimPhotoOverlay){
    .widget = GTK_WIDGET (self),
    .transform = &self->transform,
    .palette = palette,
    .measurement = self->measurement,
    .marks = &self->marks,
    .hover_reading_mm = self->hover_reading_mm,
  };
}

/* The widget */

static void
shim_photo_view_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum, int *natural,
                         int *minimum_baseline, int *natural_baseline)
{
  *minimum = 160;
  *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? 720 : 480;
}

static void
allocate_handle (ShimPhotoView *self, const ShimPhotoOverlay *overlay, ShimMark mark)
{
  GtkAllocation place = { 0, 0, SHIM_MARK_HANDLE_PX, SHIM_MARK_HANDLE_PX };
  ShimPoint at;
  int minimum;

  if (!gtk_widget_get_visible (self->handles[mark]))
    return;
  /* Without a request first, GTK complains about the allocation. */
  gtk_widget_measure (self->handles[mark], GTK_ORIENTATION_HORIZONTAL, -1, &minimum, NULL, NULL, NULL);
  at = shim_photo_overlay_handle_at (overlay, mark);
  place.x = (int) CLAMP (at.x, -1e6, 1e6) - SHIM_MARK_HANDLE_PX / 2;
  place.y = (int) CLAMP (at.y, -1e6, 1e6) - SHIM_MARK_HANDLE_PX / 2;
  gtk_widget_size_allocate (self->handles[mark], &place, -1);
}

static gboolean
tell_view_changed_cb (gpointer user_data)
{
  ShimPhotoView *self = user_data;

  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_ZOOM]);
  g_signal_emit (self, signals[VIEW_CHANGED], 0);
  return G_SOURCE_REMOVE;
}

static void
shim_photo_view_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  ShimPhotoView *self = SHIM_PHOTO_VIEW (widget);
  gboolean is_new_size = self->transform.width != width || self->transform.height != height;
  ShimPhotoOverlay overlay;

  self->transform.width = width;
  self->transform.height = height;
  if (is_new_size)
    {
      shim_photo_view_apply_mode (self);
      /* Whoever is told may want another size; now is not the time for that. */
      g_idle_add_full (G_PRIORITY_DEFAULT, tell_view_changed_cb, g_object_ref (self), g_object_unref);
    }
  shim_photo_view_fill_overlay (self, &overlay, NULL);
  for (int mark = 0; mark < SHIM_N_MARKS; mark++)
    allocate_handle (self, &overlay, mark);
}

static void
snapshot_photo (ShimPhotoView *self, GtkSnapshot *snapshot)
{
  ShimPoint from = shim_view_transform_to_view (&self->transform, (ShimPoint){ 0.0, 0.0 });
  ShimPoint to = shim_view_transform_to_view (&self->transform, (ShimPoint){ self->photo_width, self->photo_height });
  /* To whole pixels: half a pixel of ground along the edge would look like a frame. */
  double left = MAX (round (from.x), 0.0), top = MAX (round (from.y), 0.0);
  double width = MIN (round (to.x), self->transform.width) - left,
         height = MIN (round (to.y), self->transform.height) - top;

  if (width > 0.0 && height > 0.0)
    shim_photo_view_append_tiles (self, snapshot, &self->transform,
                                  &GRAPHENE_RECT_INIT ((float) left, (float) top, (float) width, (float) height));
}

static void
shim_photo_view_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  ShimPhotoView *self = SHIM_PHOTO_VIEW (widget);
  graphene_rect_t all =
      GRAPHENE_RECT_INIT (0.0f, 0.0f, (float) self->transform.width, (float) self->transform.height);
  ShimPhotoOverlay overlay;
  ShimPalette palette;

  if (self->photo_width == 0)
    return;
  shim_palette_for_widget (&palette, widget);
  shim_photo_view_fill_overlay (self, &overlay, &palette);
  overlay.snapshot = snapshot;
  gtk_snapshot_push_clip (snapshot, &all);
  snapshot_photo (self, snapshot);
  shim_photo_overlay_draw (&overlay);
  for (int mark = 0; mark < SHIM_N_MARKS; mark++)
    gtk_widget_snapshot_child (widget, self->handles[mark], snapshot);
  shim_photo_view_snapshot_loupe (self, &overlay);
  gtk_snapshot_pop (snapshot);
}

/* The photograph itself, not the first of its handles. */
static gboolean
shim_photo_view_grab_focus (GtkWidget *widget)
{
  GtkRoot *root = gtk_widget_get_root (widget);

  if (root == NULL)
    return FALSE;
  gtk_root_set_focus (root, widget);
  return TRUE;
}

static void
shim_photo_view_get_property (GObject *object, guint prop_id, GValue *value, GParamSpec *pspec)
{
  ShimPhotoView *self = SHIM_PHOTO_VIEW (object);

  switch (prop_id)
    {
    case PROP_HOVER_READING:
      g_value_set_double (value, self->hover_reading_mm);
      break;
    case PROP_EDITABLE:
      g_value_set_boolean (value, self->editable);
      break;
    case PROP_ZOOM:
      g_value_set_double (value, shim_photo_view_get_zoom (self));
      break;
    case PROP_LOADING:
      g_value_set_boolean (value, self->cancellable != NULL);
      break;
    default:
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, prop_id, pspec);
    }
}

static void
shim_photo_view_set_property (GObject *object, guint prop_id, const GValue *value, GParamSpec *pspec)
{
  ShimPhotoView *self = SHIM_PHOTO_VIEW (object);

  switch (prop_id)
    {
    case PROP_HOVER_READING:
      shim_photo_view_set_hover_reading (self, g_value_get_double (value));
      break;
    case PROP_EDITABLE:
      self->editable = g_value_get_boolean (value);
      update_handles (self);
      break;
    default:
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, prop_id, pspec);
    }
}

static void
shim_photo_view_dispose (GObject *object)
{
  ShimPhotoView *self = SHIM_PHOTO_VIEW (object);

  shim_photo_view_unload (self);
  for (int mark = 0; mark < SHIM_N_MARKS; mark++)
    g_clear_pointer (&self->handles[mark], gtk_widget_unparent);
  G_OBJECT_CLASS (shim_photo_view_parent_class)->dispose (object);
}

static void
shim_photo_view_finalize (GObject *object)
{
  ShimPhotoView *self = SHIM_PHOTO_VIEW (object);

  shim_measurement_free (self->measurement);
  g_array_unref (self->undo);
  G_OBJECT_CLASS (shim_photo_view_parent_class)->finalize (object);
}

static void
install_properties (GObjectClass *object_class)
{
  properties[PROP_HOVER_READING] =
      /* Lax, because NAN is not within any range. */
      g_param_spec_double ("hover-reading", NULL, NULL, -G_MAXDOUBLE, G_MAXDOUBLE, 0.0,
                           G_PARAM_READWRITE | G_PARAM_LAX_VALIDATION | G_PARAM_EXPLICIT_NOTIFY |
                               G_PARAM_STATIC_STRINGS);
  properties[PROP_EDITABLE] =
      g_param_spec_boolean ("editable", NULL, NULL, TRUE, G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS);
  properties[PROP_ZOOM] = g_param_spec_double ("zoom", NULL, NULL, 0.0, SHIM_VIEW_ZOOM_MAX, 0.0,
                                               G_PARAM_READABLE | G_PARAM_STATIC_STRINGS);
  properties[PROP_LOADING] =
      g_param_spec_boolean ("loading", NULL, NULL, FALSE, G_PARAM_READABLE | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, properties);
}

static void
shim_photo_view_class_init (ShimPhotoViewClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->get_property = shim_photo_view_get_property;
  object_class->set_property = shim_photo_view_set_property;
  object_class->dispose = shim_photo_view_dispose;
  object_class->finalize = shim_photo_view_finalize;
  widget_class->measure = shim_photo_view_measure;
  widget_class->size_allocate = shim_photo_view_size_allocate;
  widget_class->snapshot = shim_photo_view_snapshot;
  widget_class->focus = shim_photo_view_focus;
  widget_class->grab_focus = shim_photo_view_grab_focus;
  install_properties (object_class);

  signals[MARKS_CHANGED] = g_signal_new ("marks-changed", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                         NULL, G_TYPE_NONE, 1, G_TYPE_BOOLEAN);
  signals[VIEW_CHANGED] = g_signal_new ("view-changed", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                        NULL, G_TYPE_NONE, 0);
  signals[FAILED] = g_signal_new ("failed", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                  G_TYPE_NONE, 1, G_TYPE_STRING);
  signals[DAMAGED] =
      g_signal_new ("damaged", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);

  shim_photo_view_install_input (widget_class);
  gtk_widget_class_set_css_name (widget_class, "photoview");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
shim_photo_view_init (ShimPhotoView *self)
{
  self->transform.zoom = 1.0;
  self->mode = SHIM_PHOTO_VIEW_FIT;
  self->editable = TRUE;
  self->hover_reading_mm = NAN;
  self->undo = g_array_new (FALSE, FALSE, sizeof (ShimPhotoMarks));
  shim_photo_marks_init (&self->marks);

  gtk_widget_set_focusable (GTK_WIDGET (self), TRUE);
  gtk_widget_set_overflow (GTK_WIDGET (self), GTK_OVERFLOW_HIDDEN);
  gtk_widget_set_hexpand (GTK_WIDGET (self), TRUE);
  gtk_widget_set_vexpand (GTK_WIDGET (self), TRUE);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Photograph"), -1);
  for (int mark = 0; mark < SHIM_N_MARKS; mark++)
    {
      self->handles[mark] = shim_mark_handle_new (mark);
      gtk_widget_set_visible (self->handles[mark], FALSE);
      gtk_widget_set_parent (self->handles[mark], GTK_WIDGET (self));
      shim_photo_view_watch_handle (self, SHIM_MARK_HANDLE (self->handles[mark]));
    }
  shim_photo_view_add_controllers (self);
  update_description (self);
}

/**
 * shim_photo_view_new:
 *
 * Returns: a view without a photograph
 */
GtkWidget *
shim_photo_view_new (void)
{
  return g_object_new (SHIM_TYPE_PHOTO_VIEW, NULL);
}

/**
 * shim_photo_view_set_path:
 * @self: a view
 * @path: (nullable): the photograph to show; %NULL for none
 *
 * Zoom and place stay when a photograph follows another one that was zoomed into, so that a round can be compared.
 */
void
shim_photo_view_set_path (ShimPhotoView *self, const char *path)
{
  g_return_if_fail (SHIM_IS_PHOTO_VIEW (self));

  if (g_strcmp0 (self->path, path) == 0)
    return;
  shim_photo_view_unload (self);
  self->tiles = shim_tile_set_new ();
  self->path = g_strdup (path);
  if (path != NULL)
    shim_photo_view_load (self);
  update_handles (self);
  update_description (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

/**
 * shim_photo_view_get_path:
 * @self: a view
 *
 * Returns: (nullable): the photograph shown
 */
const char *
shim_photo_view_get_path (ShimPhotoView *self)
{
  g_return_val_if_fail (SHIM_IS_PHOTO_VIEW (self), NULL);

  return self->path;
}

/**
 * shim_photo_view_set_measurement:
 * @self: a view
 * @measurement: (nullable): what the program measured; copied
 */
void
shim_photo_view_set_measurement (ShimPhotoView *self, const ShimMeasurement *measurement)
{
  g_return_if_fail (SHIM_IS_PHOTO_VIEW (self));

  g_clear_pointer (&self->measurement, shim_measurement_free);
  if (measurement != NULL)
    self->measurement = shim_measurement_copy (measurement);
  update_handles (self);
  update_description (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

/**
 * shim_photo_view_get_measurement:
 * @self: a view
 *
 * Returns: (nullable): the measurement shown
 */
const ShimMeasurement *
shim_photo_view_get_measurement (ShimPhotoView *self)
{
  g_return_val_if_fail (SHIM_IS_PHOTO_VIEW (self), NULL);

  return self->measurement;
}

/**
 * shim_photo_view_set_marks:
 * @self: a view
 * @marks: what is marked on the photograph; copied
 *
 * Forgets what could be undone: these are the marks of another photograph.
 */
void
shim_photo_view_set_marks (ShimPhotoView *self, const ShimPhotoMarks *marks)
{
  g_return_if_fail (SHIM_IS_PHOTO_VIEW (self));
  g_return_if_fail (marks != NULL);

  self->marks = *marks;
  g_array_set_size (self->undo, 0);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "photo.undo-marks", FALSE);
  update_handles (self);
  gtk_widget_queue_allocate (GTK_WIDGET (self));
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

/**
 * shim_photo_view_get_marks:
 * @self: a view
 *
 * Returns: what is marked on the photograph
 */
const ShimPhotoMarks *
shim_photo_view_get_marks (ShimPhotoView *self)
{
  g_return_val_if_fail (SHIM_IS_PHOTO_VIEW (self), NULL);

  return &self->marks;
}

/**
 * shim_photo_view_set_hover_reading:
 * @self: a view
 * @reading_mm: the reading looked at, mm; NAN = none
 */
void
shim_photo_view_set_hover_reading (ShimPhotoView *self, double reading_mm)
{
  g_return_if_fail (SHIM_IS_PHOTO_VIEW (self));

  if (self->hover_reading_mm == reading_mm || (isnan (self->hover_reading_mm) && isnan (reading_mm)))
    return;
  self->hover_reading_mm = reading_mm;
  gtk_widget_queue_draw (GTK_WIDGET (self));
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_HOVER_READING]);
}

/**
 * shim_photo_view_has_full_size:
 * @self: a view
 *
 * Returns: whether single pixels can be seen already
 */
gboolean
shim_photo_view_has_full_size (ShimPhotoView *self)
{
  g_return_val_if_fail (SHIM_IS_PHOTO_VIEW (self), FALSE);

  return self->tiles != NULL && shim_tile_set_has_level (self->tiles, 0);
}
