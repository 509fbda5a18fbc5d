/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>

#include "shim-format.h"
#include "shim-item-pairs.h"
#include "shim-state-badge.h"

/* Next to the slots a screen of the smallest size has room for no more. */
#define FIRST 8

struct _ShimItemPairs
{
  AdwPreferencesGroup parent_instance;

  /* Owned */
  GPtrArray *rows; /* GtkWidget *, borrowed */
  char *item;

  /* Borrowed, for as long as its rows are shown */
  const ShimItemView *view;

  gboolean shows_all;
};

G_DEFINE_FINAL_TYPE (ShimItemPairs, shim_item_pairs, ADW_TYPE_PREFERENCES_GROUP)

static void
activated_cb (AdwActionRow *row, ShimItemPairs *self)
{
  gtk_widget_activate_action (GTK_WIDGET (self), "win.open-pair", "s", gtk_widget_get_name (GTK_WIDGET (row)));
}

static GtkWidget *
row_new (ShimItemPairs *self, const ShimItemPair *pair)
{
  GtkWidget *row = adw_action_row_new ();
  GtkWidget *setting;
  g_autofree char *escaped = g_markup_escape_text (pair->other, -1);
  g_autofree char *value = shim_format_setting (pair->now->value);

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), escaped);
  gtk_widget_set_name (row, pair->now->pair);
  setting = gtk_label_new (value);
  gtk_widget_add_css_class (setting, "numeric");
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), shim_state_badge_new (pair->now->state));
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), setting);
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), gtk_image_new_from_icon_name ("go-next-symbolic"));
  gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), TRUE);
  g_signal_connect (row, "activated", G_CALLBACK (activated_cb), self);
  return row;
}

static void
add_row (ShimItemPairs *self, GtkWidget *row)
{
  adw_preferences_group_add (ADW_PREFERENCES_GROUP (self), row);
  g_ptr_array_add (self->rows, row);
}

static void
add_pairs (ShimItemPairs *self, guint first, guint end)
{
  for (guint i = first; i < end; i++)
    add_row (self, row_new (self, self->view->pairs->pdata[i]));
}

static void
drop_row (ShimItemPairs *self, GtkWidget *row)
{
  g_ptr_array_remove (self->rows, row);
  adw_preferences_group_remove (ADW_PREFERENCES_GROUP (self), row);
}

static void
more_cb (AdwActionRow *row, ShimItemPairs *self)
{
  self->shows_all = TRUE;
  add_pairs (self, FIRST, self->view->pairs->len);
  /* The focus goes on to the first of the new ones, in the order they stand in once this row is gone. */
  gtk_widget_grab_focus (self->rows->pdata[FIRST + 1]);
  drop_row (self, GTK_WIDGET (row));
}

static GtkWidget *
more_row_new (ShimItemPairs *self, guint n)
{
  g_autofree char *text = g_strdup_printf (ngettext ("%u More", "%u More", n), n);
  GtkWidget *row = adw_action_row_new ();

  adw_preferences_row_set_title (ADW_PREFERENCES_ROW (row), text);
  adw_action_row_add_suffix (ADW_ACTION_ROW (row), gtk_image_new_from_icon_name ("go-down-symbolic"));
  gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), TRUE);
  g_signal_connect (row, "activated", G_CALLBACK (more_cb), self);
  return row;
}

static void
shim_item_pairs_finalize (GObject *object)
{
  ShimItemPairs *self = SHIM_ITEM_PAIRS (object);

  g_ptr_array_unref (self->rows);
  g_free (self->item);
  G_OBJECT_CLASS (shim_item_pairs_parent_class)->finalize (object);
}

static void
shim_item_pairs_class_init (ShimItemPairsClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = shim_item_pairs_finalize;
}

static void
shim_item_pairs_init (ShimItemPairs *self)
{
  self->rows = g_ptr_array_new ();
  adw_preferences_group_set_title (ADW_PREFERENCES_GROUP (self), _ ("Pairs"));
}

static void
show_limit (ShimItemPairs *self)
{
  g_autofree char *text = NULL;

  if (self->view->n_pairs > self->view->pairs->len)
    text = g_strdup_printf (_ ("The %u with the greatest error of %d; all of them are in Pairs"), self->view->pairs->len,
                            (int) self->view->n_pairs);
  adw_preferences_group_set_description (ADW_PREFERENCES_GROUP (self), text);
}

/**
 * shim_item_pairs_new:
 *
 * Returns: (transfer floating): a group that shows nothing yet
 */
GtkWidget *
shim_item_pairs_new (void)
{
  return g_object_new (SHIM_TYPE_ITEM_PAIRS, NULL);
}

/**
 * shim_item_pairs_set_view:
 * @self: a group
 * @view: an item with its pairs; to be kept until another one is set
 *
 * Shows the pairs of an item, all of them where all were shown of the same one.
 */
void
shim_item_pairs_set_view (ShimItemPairs *self, const ShimItemView *view)
{
  guint n;

  g_return_if_fail (SHIM_IS_ITEM_PAIRS (self));
  g_return_if_fail (view != NULL);

  while (self->rows->len > 0)
    drop_row (self, self->rows->pdata[self->rows->len - 1]);
  if (g_strcmp0 (self->item, view->item->id) != 0)
    self->shows_all = FALSE;
  g_free (self->item);
  self->item = g_strdup (view->item->id);
  self->view = view;
  show_limit (self);
  n = self->shows_all ? view->pairs->len : MIN (view->pairs->len, FIRST);
  add_pairs (self, 0, n);
  if (n < view->pairs->len)
    add_row (self, more_row_new (self, view->pairs->len - n));
}
