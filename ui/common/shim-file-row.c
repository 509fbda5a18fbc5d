/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-dialogs.h"
#include "shim-file-row.h"

struct _ShimFileRow
{
  AdwActionRow parent_instance;

  GtkWidget *remove_button;
  char *path;
};

enum
{
  PROP_PATH = 1,
  N_PROPS,
};

static GParamSpec *props[N_PROPS];

G_DEFINE_FINAL_TYPE (ShimFileRow, shim_file_row, ADW_TYPE_ACTION_ROW)

static void
chosen_cb (GListModel *files, gpointer user_data)
{
  g_autoptr (GFile) file = g_list_model_get_item (files, 0);
  g_autofree char *path = g_file_get_path (file);

  if (path != NULL)
    shim_file_row_set_path (SHIM_FILE_ROW (user_data), path);
}

static void
choose_cb (ShimFileRow *self)
{
  static const char *const patterns[] = { "*.jpg", "*.jpeg", "*.JPG", "*.JPEG", "*.png", "*.PNG", NULL };

  shim_choose_open (GTK_WIDGET (self), _ ("Choose a Picture"), _ ("Pictures"), patterns, chosen_cb, self);
}

static void
remove_cb (ShimFileRow *self)
{
  shim_file_row_set_path (self, NULL);
}

static GtkWidget *
add_button (ShimFileRow *self, const char *label, GCallback callback)
{
  GtkWidget *button = gtk_button_new_with_mnemonic (label);

  gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
  g_signal_connect_swapped (button, "clicked", callback, self);
  adw_action_row_add_suffix (ADW_ACTION_ROW (self), button);
  return button;
}

static void
shim_file_row_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  g_value_set_string (value, SHIM_FILE_ROW (object)->path);
}

static void
shim_file_row_finalize (GObject *object)
{
  g_free (SHIM_FILE_ROW (object)->path);
  G_OBJECT_CLASS (shim_file_row_parent_class)->finalize (object);
}

static void
shim_file_row_class_init (ShimFileRowClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->get_property = shim_file_row_get_property;
  object_class->finalize = shim_file_row_finalize;
  props[PROP_PATH] = g_param_spec_string ("path", NULL, NULL, NULL, G_PARAM_READABLE | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, props);
}

static void
shim_file_row_init (ShimFileRow *self)
{
  adw_action_row_set_subtitle_lines (ADW_ACTION_ROW (self), 1);
  add_button (self, _ ("C_hoose…"), G_CALLBACK (choose_cb));
  self->remove_button = add_button (self, _ ("_Take Off"), G_CALLBACK (remove_cb));
  gtk_widget_set_visible (self->remove_button, FALSE);
}

/**
 * shim_file_row_new:
 * @path: (nullable): a file
 *
 * Returns: (transfer floating): a row
 */
GtkWidget *
shim_file_row_new (const char *path)
{
  ShimFileRow *self = g_object_new (SHIM_TYPE_FILE_ROW, NULL);

  shim_file_row_set_path (self, path);
  return GTK_WIDGET (self);
}

/**
 * shim_file_row_get_path:
 * @self: a row
 *
 * Returns: (nullable) (transfer none): the file
 */
const char *
shim_file_row_get_path (ShimFileRow *self)
{
  g_return_val_if_fail (SHIM_IS_FILE_ROW (self), NULL);

  return self->path;
}

/**
 * shim_file_row_set_path:
 * @self: a row
 * @path: (nullable): a file
 */
void
shim_file_row_set_path (ShimFileRow *self, const char *path)
{
  g_autofree char *name = NULL, *escaped = NULL;

  g_return_if_fail (SHIM_IS_FILE_ROW (self));

  if (path != self->path)
    {
      g_free (self->path);
      self->path = g_strdup (path);
    }
  name = path != NULL ? g_path_get_basename (path) : g_strdup (_ ("None"));
  escaped = g_markup_escape_text (name, -1);
  adw_action_row_set_subtitle (ADW_ACTION_ROW (self), escaped);
  gtk_widget_set_tooltip_text (GTK_WIDGET (self), path);
  gtk_widget_set_visible (self->remove_button, path != NULL);
  g_object_notify_by_pspec (G_OBJECT (self), props[PROP_PATH]);
}
