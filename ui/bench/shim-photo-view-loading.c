/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-photo-view-private.h"
#include "shim-picture.h"

/* Loading: the smallest first, so that there is something to see at once. */

/* Which size comes next, and which level it becomes. */
static const struct
{
  ShimPictureSize size;
  int level;
} loading_steps[] = {
  { SHIM_PICTURE_QUICK, SHIM_TILE_LEVEL_QUICK },
  { SHIM_PICTURE_EIGHTH, 3 },
  { SHIM_PICTURE_QUARTER, 2 },
  { SHIM_PICTURE_FULL, 0 },
  { SHIM_PICTURE_HALF, 1 },
};

typedef struct
{
  ShimPhotoView *view; /* not owned: the cancellable tells whether it is still there */
  GCancellable *cancellable;
  guint step;
} Loading;

static void
loading_free (Loading *loading)
{
  g_object_unref (loading->cancellable);
  g_free (loading);
}

/* Nothing is read from the file any more: it is closed, and a preview cut from a raw file is given up. */
static void
loading_ended (ShimPhotoView *self)
{
  g_clear_pointer (&self->photo, shim_photo_unref);
  g_clear_object (&self->cancellable);
  g_object_notify (G_OBJECT (self), "loading");
}

static void
picture_came (ShimPhotoView *self, int level, ShimPicture *picture)
{
  gboolean is_first = self->photo_width == 0, is_damaged = picture->n_damaged > 0;

  g_clear_pointer (&self->node, gsk_render_node_unref);
  shim_tile_set_take_level (self->tiles, level, picture);
  shim_tile_set_get_size (self->tiles, &self->photo_width, &self->photo_height);
  if (is_first)
    {
      shim_photo_view_apply_mode (self);
      shim_photo_view_view_changed (self);
    }
  if (is_damaged && !self->damaged)
    {
      self->damaged = TRUE;
      g_signal_emit_by_name (self, "damaged");
    }
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
picture_loaded_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  Loading *loading = user_data;
  g_autoptr (ShimPhoto) photo = NULL;
  g_autoptr (GError) error = NULL;
  ShimPicture *picture = shim_picture_load_finish (result, &photo, &error);
  ShimPhotoView *self;

  /* The view has moved on to another photograph, or is gone: what comes late is dropped. */
  if (g_cancellable_is_cancelled (loading->cancellable))
    {
      g_clear_pointer (&picture, shim_picture_free);
      loading_free (loading);
      return;
    }

  self = loading->view;
  if (picture == NULL)
    {
      loading_free (loading);
      loading_ended (self);
      g_signal_emit_by_name (self, "failed", error->message);
      return;
    }
  /* Without a preview in the file, the quick picture is the eighth already. */
  if (loading->step == 0 && !picture->from_preview)
    loading->step = 1;
  picture_came (self, loading_steps[loading->step].level, picture);
  if (self->photo == NULL)
    self->photo = g_steal_pointer (&photo);
  loading->step++;
  if (loading->step == G_N_ELEMENTS (loading_steps))
    {
      loading_free (loading);
      loading_ended (self);
      return;
    }
  shim_picture_load_async (self->photo, loading_steps[loading->step].size, loading->cancellable, picture_loaded_cb,
                           loading);
}

/**
 * shim_photo_view_load:
 * @self: a view that has a path
 *
 * Starts loading, off the main loop.
 */
void
shim_photo_view_load (ShimPhotoView *self)
{
  Loading *loading = g_new0 (Loading, 1);

  self->cancellable = g_cancellable_new ();
  loading->view = self;
  loading->cancellable = g_object_ref (self->cancellable);
  g_object_notify (G_OBJECT (self), "loading");
  shim_picture_load_path_async (self->path, loading_steps[0].size, loading->cancellable, picture_loaded_cb, loading);
}

/**
 * shim_photo_view_unload:
 * @self: a view
 *
 * Forgets the photograph; what is still being loaded is cancelled.
 */
void
shim_photo_view_unload (ShimPhotoView *self)
{
  if (self->cancellable != NULL)
    g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
  g_clear_pointer (&self->photo, shim_photo_unref);
  g_clear_pointer (&self->path, g_free);
  g_clear_pointer (&self->node, gsk_render_node_unref);
  g_clear_pointer (&self->tiles, shim_tile_set_free);
  self->photo_width = self->photo_height = 0;
  self->damaged = FALSE;
}

/**
 * shim_photo_view_show_jpeg:
 * @self: a view whose photograph cannot be shown
 * @jpeg: a small picture to show in its place
 *
 * The path stays, so that the photograph is not tried again each time it is set.
 */
void
shim_photo_view_show_jpeg (ShimPhotoView *self, GBytes *jpeg)
{
  g_autoptr (GdkTexture) texture = gdk_texture_new_from_bytes (jpeg, NULL);
  g_autofree char *path = g_strdup (self->path);
  ShimPicture *picture;
  guint8 *pixels;

  g_return_if_fail (SHIM_IS_PHOTO_VIEW (self));

  if (texture == NULL)
    return;
  picture = g_new0 (ShimPicture, 1);
  picture->width = picture->picture_width = gdk_texture_get_width (texture);
  picture->height = picture->picture_height = gdk_texture_get_height (texture);
  picture->stride = (gsize) picture->width * 4;
  pixels = g_malloc (picture->stride * (gsize) picture->height);
  gdk_texture_download (texture, pixels, picture->stride);
  picture->bytes = g_bytes_new_take (pixels, picture->stride * (gsize) picture->height);
  shim_photo_view_unload (self);
  self->path = g_steal_pointer (&path);
  self->tiles = shim_tile_set_new ();
  picture_came (self, 0, picture);
}
