/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-photo-view-private.h"

#define LOUPE_RADIUS_PX 80.0
#define LOUPE_AWAY_PX 140.0
#define LOUPE_ZOOM 4.0

static ShimMarkHandle *
active_handle (ShimPhotoView *self)
{
  for (int mark = 0; mark < SHIM_N_MARKS; mark++)
    {
      ShimMarkHandle *handle = SHIM_MARK_HANDLE (self->handles[mark]);

      if (gtk_widget_get_visible (self->handles[mark]) && shim_mark_handle_is_active (handle))
        return handle;
    }
  return NULL;
}

/* Beside the mark, on the side away from its grip, so that neither finger nor label covers it; inside the view. */
static ShimPoint
loupe_middle (ShimPhotoView *self, const ShimPhotoOverlay *overlay, ShimMark mark, ShimPoint px)
{
  ShimPoint at = shim_view_transform_to_view (&self->transform, px);
  double side = mark == SHIM_MARK_EYE ? 1.0 : -1.0, inset = LOUPE_RADIUS_PX + 6.0;
  ShimStripFrame frame;

  if (!shim_strip_frame_from_marks (&frame, overlay->marks))
    return at;
  at.x += side * frame.across.x * LOUPE_AWAY_PX;
  at.y += side * frame.across.y * LOUPE_AWAY_PX;
  return (ShimPoint){ CLAMP (at.x, inset, MAX (self->transform.width - inset, inset)),
                      CLAMP (at.y, inset, MAX (self->transform.height - inset, inset)) };
}

static void
draw_line_in_loupe (const ShimPhotoOverlay *overlay, ShimMark mark)
{
  const double length = LOUPE_RADIUS_PX, middle = LOUPE_RADIUS_PX;
  const GdkRGBA *colour = mark == SHIM_MARK_TARGET ? &overlay->palette->target
                          : mark == SHIM_MARK_EYE  ? &overlay->palette->eye
                                                   : &overlay->palette->on_photo;
  ShimStripFrame frame;

  if (!shim_strip_frame_from_marks (&frame, overlay->marks))
    return;
  shim_photo_overlay_line (overlay, (ShimPoint){ middle - frame.across.x * length, middle - frame.across.y * length },
                           (ShimPoint){ middle + frame.across.x * length, middle + frame.across.y * length }, 1.0,
                           colour);
  if (mark == SHIM_MARK_STRIP_A || mark == SHIM_MARK_STRIP_B)
    shim_photo_overlay_line (overlay, (ShimPoint){ middle - frame.along.x * length, middle - frame.along.y * length },
                             (ShimPoint){ middle + frame.along.x * length, middle + frame.along.y * length }, 1.0,
                             colour);
}

/**
 * shim_photo_view_snapshot_loupe:
 * @self: a view
 * @overlay: what is needed to draw over it
 *
 * Draws the surroundings of the mark that is being moved, enlarged, in a round window beside it.
 */
void
shim_photo_view_snapshot_loupe (ShimPhotoView *self, const ShimPhotoOverlay *overlay)
{
  const float side = 2.0f * (float) LOUPE_RADIUS_PX;
  const graphene_rect_t area = GRAPHENE_RECT_INIT (0.0f, 0.0f, side, side);
  const float widths[] = { 2.0f, 2.0f, 2.0f, 2.0f };
  const GdkRGBA ground = { 0.1f, 0.1f, 0.1f, 1.0f }, white = overlay->palette->on_photo;
  const GdkRGBA colours[] = { white, white, white, white };
  ShimMarkHandle *handle = active_handle (self);
  int scale_factor = gtk_widget_get_scale_factor (GTK_WIDGET (self));
  ShimViewTransform transform;
  GskRoundedRect shape;
  ShimPoint px, at;
  ShimMark mark;

  if (handle == NULL)
    return;
  mark = shim_mark_handle_get_mark (handle);
  px = shim_photo_marks_get (&self->marks, mark);
  at = loupe_middle (self, overlay, mark, px);
  transform = (ShimViewTransform){ .centre = px, .width = side, .height = side };
  transform.zoom =
      CLAMP (MAX (LOUPE_ZOOM / scale_factor, self->transform.zoom * 2.0), SHIM_VIEW_ZOOM_MIN, SHIM_VIEW_ZOOM_MAX);

  gtk_snapshot_save (overlay->snapshot);
  gtk_snapshot_translate (overlay->snapshot, &GRAPHENE_POINT_INIT (floorf ((float) (at.x - LOUPE_RADIUS_PX)),
                                                                   floorf ((float) (at.y - LOUPE_RADIUS_PX))));
  gsk_rounded_rect_init_from_rect (&shape, &area, (float) LOUPE_RADIUS_PX);
  gtk_snapshot_append_outset_shadow (overlay->snapshot, &shape, &overlay->palette->halo, 0.0f, 1.0f, 2.0f, 4.0f);
  gtk_snapshot_push_rounded_clip (overlay->snapshot, &shape);
  gtk_snapshot_append_color (overlay->snapshot, &ground, &area);
  shim_photo_view_append_tiles (self, overlay->snapshot, &transform, &area);
  draw_line_in_loupe (overlay, mark);
  gtk_snapshot_pop (overlay->snapshot);
  gtk_snapshot_append_border (overlay->snapshot, &shape, widths, colours);
  gtk_snapshot_restore (overlay->snapshot);
}
