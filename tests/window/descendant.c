/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "descendant.h"

/* The first widget of a type in @widget, itself included; or NULL. */
GtkWidget *
descendant (GtkWidget *widget, GType type)
{
  GtkWidget *found = G_TYPE_CHECK_INSTANCE_TYPE (widget, type) ? widget : NULL;

  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL && found == NULL;
       child = gtk_widget_get_next_sibling (child))
    found = descendant (child, type);
  return found;
}
