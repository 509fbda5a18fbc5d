/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-drop-down.h"

/* Names that a person gave may be long: the button says as much of one as it has room for, the list more. */
#define BUTTON_CHARS 22
#define LIST_CHARS 60

static void
setup_name_cb (GtkSignalListItemFactory *factory, GtkListItem *item, gpointer max_chars)
{
  GtkWidget *label = gtk_label_new (NULL);

  gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_ellipsize (GTK_LABEL (label), PANGO_ELLIPSIZE_END);
  gtk_label_set_max_width_chars (GTK_LABEL (label), GPOINTER_TO_INT (max_chars));
  gtk_list_item_set_child (item, label);
}

static void
bind_name_cb (GtkSignalListItemFactory *factory, GtkListItem *item, gpointer max_chars)
{
  GObject *named = gtk_list_item_get_item (item);
  GtkWidget *label = gtk_list_item_get_child (item);
  const int most = GPOINTER_TO_INT (max_chars);
  g_autofree char *name = NULL;
  int length;

  g_object_get (named, GTK_IS_STRING_OBJECT (named) ? "string" : "label", &name, NULL);
  length = name != NULL ? (int) g_utf8_strlen (name, -1) : 0;
  gtk_label_set_label (GTK_LABEL (label), name);
  /* A list is made as narrow as it can be. */
  if (most == LIST_CHARS)
    gtk_label_set_width_chars (GTK_LABEL (label), MIN (length, most));
  /* Where there is none, none need be taken away: each time GTK asks the display where the pointer is. */
  if (length > most || gtk_widget_get_has_tooltip (label))
    gtk_widget_set_tooltip_text (label, length > most ? name : NULL);
}

static GtkListItemFactory *
name_factory_new (int max_chars)
{
  GtkListItemFactory *factory = gtk_signal_list_item_factory_new ();

  g_signal_connect (factory, "setup", G_CALLBACK (setup_name_cb), GINT_TO_POINTER (max_chars));
  g_signal_connect (factory, "bind", G_CALLBACK (bind_name_cb), GINT_TO_POINTER (max_chars));
  return factory;
}

/**
 * shim_drop_down_shorten:
 * @drop_down: over strings, or over records with a label
 *
 * Keeps long names from making a drop-down, and the window with it, wider than the rest needs.
 */
void
shim_drop_down_shorten (GtkDropDown *drop_down)
{
  g_autoptr (GtkListItemFactory) button = NULL, list = NULL;

  g_return_if_fail (GTK_IS_DROP_DOWN (drop_down));

  button = name_factory_new (BUTTON_CHARS);
  list = name_factory_new (LIST_CHARS);
  gtk_drop_down_set_factory (drop_down, button);
  gtk_drop_down_set_list_factory (drop_down, list);
}
