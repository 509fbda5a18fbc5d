/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-list-scroll.h"

#define WAITING_KEY "shim-list-scroll-waiting"

/**
 * shim_list_show_first:
 * @list: a list that is about to show the answer to another question
 *
 * Goes to the first row: how far down somebody was in the old answer says nothing about the new one.
 */
void
shim_list_show_first (GtkListView *list)
{
  GtkAdjustment *adjustment;

  g_return_if_fail (GTK_IS_LIST_VIEW (list));

  adjustment = gtk_scrollable_get_vadjustment (GTK_SCROLLABLE (list));
  if (adjustment != NULL)
    gtk_adjustment_set_value (adjustment, 0.0);
}

/* The first frame after the register's answer shows what was asked for; the list follows in the next one. */
static gboolean
tick_cb (GtkWidget *widget, GdkFrameClock *clock, gpointer user_data)
{
  GtkSingleSelection *selection = GTK_SINGLE_SELECTION (gtk_list_view_get_model (GTK_LIST_VIEW (widget)));
  gboolean busy;
  guint position;

  g_object_get (user_data, "busy", &busy, NULL);
  if (busy)
    {
      g_object_set_data (G_OBJECT (widget), WAITING_KEY, GUINT_TO_POINTER (1));
      return G_SOURCE_CONTINUE;
    }
  if (GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (widget), WAITING_KEY)) == 1)
    {
      g_object_set_data (G_OBJECT (widget), WAITING_KEY, GUINT_TO_POINTER (2));
      return G_SOURCE_CONTINUE;
    }
  g_object_set_data (G_OBJECT (widget), WAITING_KEY, NULL);
  position = gtk_single_selection_get_selected (selection);
  if (position != GTK_INVALID_LIST_POSITION)
    gtk_widget_activate_action (widget, "list.scroll-to-item", "u", position);
  return G_SOURCE_REMOVE;
}

/**
 * shim_list_show_selected_later:
 * @list: a list with a #GtkSingleSelection
 * @workspace: what is selected is read from it, to be shown beside the list
 *
 * Scrolls to what is selected, once that stands beside the list: a GtkListView makes two hundred rows anew about a far place, and
 * nobody is to wait for them.
 */
void
shim_list_show_selected_later (GtkListView *list, ShimWorkspace *workspace)
{
  g_return_if_fail (GTK_IS_LIST_VIEW (list) && SHIM_IS_WORKSPACE (workspace));

  if (g_object_get_data (G_OBJECT (list), WAITING_KEY) == NULL)
    gtk_widget_add_tick_callback (GTK_WIDGET (list), tick_cb, g_object_ref (workspace), g_object_unref);
  g_object_set_data (G_OBJECT (list), WAITING_KEY, GUINT_TO_POINTER (1));
}
