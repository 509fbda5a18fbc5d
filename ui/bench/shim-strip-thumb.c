/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-frame-measure.h"
#include "shim-palette.h"
#include "shim-strip-thumb.h"

#define WIDTH_PX 64
#define HEIGHT_PX 56

struct _ShimStripThumb
{
  GtkWidget parent_instance;

  GBytes *evidence;
  GdkTexture *texture;
  ShimPoint sharp; /* in the evidence picture; NAN = its middle */
};

G_DEFINE_FINAL_TYPE (ShimStripThumb, shim_strip_thumb, GTK_TYPE_WIDGET)

static void
shim_strip_thumb_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum, int *natural,
                          int *minimum_baseline, int *natural_baseline)
{
  *minimum = *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? WIDTH_PX : HEIGHT_PX;
}

static void
append_sharp_marks (ShimStripThumb *self, GtkSnapshot *snapshot, const ShimPalette *palette, int width, int height)
{
  const graphene_rect_t marks[] = {
    GRAPHENE_RECT_INIT (0.0f, height / 2.0f - 1.0f, 8.0f, 2.0f),
    GRAPHENE_RECT_INIT (width - 8.0f, height / 2.0f - 1.0f, 8.0f, 2.0f),
  };

  for (guint i = 0; i < G_N_ELEMENTS (marks); i++)
    {
      graphene_rect_t halo = marks[i];

      graphene_rect_inset (&halo, 0.0f, -1.0f);
      gtk_snapshot_append_color (snapshot, &palette->halo, &halo);
      gtk_snapshot_append_color (snapshot, &palette->on_photo, &marks[i]);
    }
}

static void
shim_strip_thumb_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  ShimStripThumb *self = SHIM_STRIP_THUMB (widget);
  int width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  double x, y;
  GskRoundedRect shape;
  ShimPalette palette;

  shim_palette_for_widget (&palette, widget);
  gsk_rounded_rect_init_from_rect (&shape, &GRAPHENE_RECT_INIT (0.0f, 0.0f, (float) width, (float) height), 6.0f);
  gtk_snapshot_push_rounded_clip (snapshot, &shape);
  if (self->texture == NULL)
    gtk_snapshot_append_color (snapshot, &palette.dim, &shape.bounds);
  else
    {
      x = isnan (self->sharp.x) ? gdk_texture_get_width (self->texture) / 2.0 : self->sharp.x;
      y = isnan (self->sharp.y) ? gdk_texture_get_height (self->texture) / 2.0 : self->sharp.y;
      gtk_snapshot_append_texture (snapshot, self->texture,
                                   &GRAPHENE_RECT_INIT ((float) round (width / 2.0 - x),
                                                        (float) round (height / 2.0 - y),
                                                        (float) gdk_texture_get_width (self->texture),
                                                        (float) gdk_texture_get_height (self->texture)));
      if (!isnan (self->sharp.x))
        append_sharp_marks (self, snapshot, &palette, width, height);
    }
  gtk_snapshot_pop (snapshot);
}

static void
shim_strip_thumb_finalize (GObject *object)
{
  ShimStripThumb *self = SHIM_STRIP_THUMB (object);

  g_clear_object (&self->texture);
  g_clear_pointer (&self->evidence, g_bytes_unref);
  G_OBJECT_CLASS (shim_strip_thumb_parent_class)->finalize (object);
}

static void
shim_strip_thumb_class_init (ShimStripThumbClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->finalize = shim_strip_thumb_finalize;
  widget_class->measure = shim_strip_thumb_measure;
  widget_class->snapshot = shim_strip_thumb_snapshot;
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_PRESENTATION);
}

static void
shim_strip_thumb_init (ShimStripThumb *self)
{
  self->sharp = (ShimPoint){ NAN, NAN };
  gtk_widget_set_valign (GTK_WIDGET (self), GTK_ALIGN_CENTER);
}

/**
 * shim_strip_thumb_new:
 *
 * Returns: a thumbnail without a picture
 */
GtkWidget *
shim_strip_thumb_new (void)
{
  return g_object_new (SHIM_TYPE_STRIP_THUMB, NULL);
}

/**
 * shim_strip_thumb_show:
 * @self: a thumbnail
 * @evidence: (nullable): JPEG of the strip
 * @measurement: (nullable): where the strip and the sharp line lie
 */
void
shim_strip_thumb_show (ShimStripThumb *self, GBytes *evidence, const ShimMeasurement *measurement)
{
  g_return_if_fail (SHIM_IS_STRIP_THUMB (self));

  if (evidence == NULL || self->evidence == NULL || !g_bytes_equal (evidence, self->evidence))
    {
      g_clear_object (&self->texture);
      g_clear_pointer (&self->evidence, g_bytes_unref);
      if (evidence != NULL)
        {
          self->evidence = g_bytes_ref (evidence);
          self->texture = gdk_texture_new_from_bytes (evidence, NULL);
        }
    }
  shim_strip_thumb_place (self, measurement);
}

/**
 * shim_strip_thumb_place:
 * @self: a thumbnail
 * @measurement: (nullable): where the sharp line lies now
 */
void
shim_strip_thumb_place (ShimStripThumb *self, const ShimMeasurement *measurement)
{
  ShimRect cut;

  g_return_if_fail (SHIM_IS_STRIP_THUMB (self));

  self->sharp = (ShimPoint){ NAN, NAN };
  if (self->texture != NULL && measurement != NULL && measurement->refusal == SHIM_REFUSAL_NONE &&
      shim_frame_evidence_rect (self->evidence, &cut, NULL, NULL))
    self->sharp = (ShimPoint){ measurement->sharp_px.x - cut.x, measurement->sharp_px.y - cut.y };
  gtk_widget_queue_draw (GTK_WIDGET (self));
}
