/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-dialogs.h"
#include "shim-item-picture.h"
#include "shim-kinds.h"
#include "shim-picture.h"
#include "shim-workspace-ops.h"

#define HEIGHT 220
/* Enough pixels at scale 2. */
#define WANTED_PIXELS (2 * HEIGHT)

struct _ShimItemPicture
{
  GtkBox parent_instance;

  /* Template widgets */
  GtkButton *choose_button;
  GtkLabel *problem;
  GtkPicture *picture;
  GtkButton *remove_button;

  /* Owned */
  ShimWorkspace *workspace;
  ShimRecord *item;
  GCancellable *cancellable; /* of the decoding */
  char *path;                /* of the picture shown or on its way */
  gboolean is_first;         /* what is on its way is the first, quick one */
};

G_DEFINE_FINAL_TYPE (ShimItemPicture, shim_item_picture, GTK_TYPE_BOX)

static char *
path_of (ShimRecord *item)
{
  char *path = NULL;

  if (shim_kind_find_field (shim_record_get_kind (item), "picture") != NULL)
    g_object_get (item, "picture", &path, NULL);
  return path;
}

static void
show_problem (ShimItemPicture *self, const char *problem)
{
  gtk_label_set_label (self->problem, problem != NULL ? problem : "");
  gtk_widget_set_visible (GTK_WIDGET (self->problem), problem != NULL);
}

static void
show_picture (ShimItemPicture *self, const ShimPicture *picture)
{
  const double scale = MIN (1.0, (double) HEIGHT / picture->height);
  const graphene_size_t size = GRAPHENE_SIZE_INIT ((float) round (picture->width * scale), (float) round (picture->height * scale));
  g_autoptr (GdkTexture) texture = gdk_memory_texture_new (picture->width, picture->height, GDK_MEMORY_B8G8R8A8_PREMULTIPLIED,
                                                           picture->bytes, picture->stride);
  g_autoptr (GdkPaintable) paintable = NULL;
  GtkSnapshot *snapshot = gtk_snapshot_new ();

  /* A paintable of the size that it is to have, with more pixels than that. */
  gdk_paintable_snapshot (GDK_PAINTABLE (texture), snapshot, size.width, size.height);
  paintable = gtk_snapshot_free_to_paintable (snapshot, &size);
  gtk_picture_set_paintable (self->picture, paintable);
  gtk_widget_set_size_request (GTK_WIDGET (self->picture), -1, (int) size.height);
  gtk_widget_set_visible (GTK_WIDGET (self->picture), TRUE);
}

/* The smallest picture with enough pixels. */
static ShimPictureSize
size_for (int picture_height)
{
  if (picture_height >= 8 * WANTED_PIXELS)
    return SHIM_PICTURE_EIGHTH;
  if (picture_height >= 4 * WANTED_PIXELS)
    return SHIM_PICTURE_QUARTER;
  return picture_height >= 2 * WANTED_PIXELS ? SHIM_PICTURE_HALF : SHIM_PICTURE_FULL;
}

static void load (ShimItemPicture *self, ShimPictureSize size);

static void
loaded_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimItemPicture) self = SHIM_ITEM_PICTURE (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimPicture) picture = shim_picture_load_finish (result, NULL, &error);

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    return;
  if (picture == NULL)
    {
      show_problem (self, error->message);
      return;
    }
  show_picture (self, picture);
  /* The first one comes soonest and says how large the whole is. */
  if (self->is_first && picture->height < MIN (picture->picture_height, WANTED_PIXELS))
    load (self, size_for (picture->picture_height));
}

static void
load (ShimItemPicture *self, ShimPictureSize size)
{
  self->is_first = size == SHIM_PICTURE_EIGHTH;
  shim_picture_load_path_async (self->path, size, self->cancellable, loaded_cb, g_object_ref (self));
}

/**
 * shim_item_picture_set_item:
 * @self: the picture
 * @workspace: where the item is stored
 * @item: (nullable): a body, lens, converter or adapter
 */
void
shim_item_picture_set_item (ShimItemPicture *self, ShimWorkspace *workspace, ShimRecord *item)
{
  g_autofree char *path = NULL;

  g_return_if_fail (SHIM_IS_ITEM_PICTURE (self));

  g_set_object (&self->workspace, workspace);
  g_set_object (&self->item, item);
  path = item != NULL ? path_of (item) : NULL;
  gtk_widget_set_visible (GTK_WIDGET (self),
                          item != NULL && shim_kind_find_field (shim_record_get_kind (item), "picture") != NULL);
  gtk_button_set_label (self->choose_button, path != NULL ? _ ("Choose Another _Picture…") : _ ("Add a _Picture…"));
  gtk_widget_set_visible (GTK_WIDGET (self->remove_button), path != NULL);
  if (g_strcmp0 (path, self->path) == 0)
    return;
  g_cancellable_cancel (self->cancellable);
  g_object_unref (self->cancellable);
  self->cancellable = g_cancellable_new ();
  g_free (self->path);
  self->path = g_steal_pointer (&path);
  show_problem (self, NULL);
  gtk_widget_set_visible (GTK_WIDGET (self->picture), FALSE);
  gtk_picture_set_paintable (self->picture, NULL);
  if (self->path != NULL)
    load (self, SHIM_PICTURE_EIGHTH);
}

static void
stored_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  g_autoptr (ShimItemPicture) self = SHIM_ITEM_PICTURE (user_data);
  g_autoptr (GError) error = NULL;
  g_autoptr (ShimRecord) stored = shim_workspace_call_finish (SHIM_WORKSPACE (source), result, &error);

  /* The page reads the item again when it has changed. */
  if (stored == NULL)
    shim_show_error (GTK_WIDGET (self), _ ("The Picture Was Not Stored"), error);
}

static void
store (ShimItemPicture *self, const char *path)
{
  g_autoptr (ShimRecord) changed = NULL;

  if (self->item == NULL)
    return;
  changed = shim_record_copy (self->item);
  g_object_set (changed, "picture", path, NULL);
  shim_workspace_save_async (self->workspace, self->item, changed, NULL, stored_cb, g_object_ref (self));
}

static void
chosen_cb (GListModel *files, gpointer user_data)
{
  g_autoptr (GFile) file = g_list_model_get_item (files, 0);
  g_autofree char *path = g_file_get_path (file);

  if (path != NULL)
    store (SHIM_ITEM_PICTURE (user_data), path);
  else
    shim_show_toast (GTK_WIDGET (user_data), _ ("Only files on this computer can be shown"));
}

static void
choose_cb (ShimItemPicture *self)
{
  static const char *const patterns[] = { "*.jpg", "*.jpeg", "*.JPG", "*.JPEG", NULL };

  shim_choose_open (GTK_WIDGET (self), _ ("Picture of the Item"), _ ("Photographs (JPEG)"), patterns, chosen_cb, self);
}

static void
remove_cb (ShimItemPicture *self)
{
  store (self, NULL);
}

static void
shim_item_picture_dispose (GObject *object)
{
  ShimItemPicture *self = SHIM_ITEM_PICTURE (object);

  g_cancellable_cancel (self->cancellable);
  gtk_widget_dispose_template (GTK_WIDGET (self), SHIM_TYPE_ITEM_PICTURE);
  g_clear_object (&self->cancellable);
  g_clear_object (&self->item);
  g_clear_object (&self->workspace);
  g_clear_pointer (&self->path, g_free);
  G_OBJECT_CLASS (shim_item_picture_parent_class)->dispose (object);
}

static void
shim_item_picture_class_init (ShimItemPictureClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = shim_item_picture_dispose;
  gtk_widget_class_set_template_from_resource (widget_class, "/org/shimbook/Shimbook/kit/shim-item-picture.ui");
  gtk_widget_class_bind_template_child (widget_class, ShimItemPicture, choose_button);
  gtk_widget_class_bind_template_child (widget_class, ShimItemPicture, picture);
  gtk_widget_class_bind_template_child (widget_class, ShimItemPicture, problem);
  gtk_widget_class_bind_template_child (widget_class, ShimItemPicture, remove_button);
  gtk_widget_class_bind_template_callback (widget_class, choose_cb);
  gtk_widget_class_bind_template_callback (widget_class, remove_cb);
}

static void
shim_item_picture_init (ShimItemPicture *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->cancellable = g_cancellable_new ();
}
