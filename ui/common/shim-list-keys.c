/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-list-keys.h"

static GtkWidget *
beside (GtkWidget *widget, GtkDirectionType direction)
{
  return direction == GTK_DIR_TAB_FORWARD ? gtk_widget_get_next_sibling (widget) : gtk_widget_get_prev_sibling (widget);
}

/* Past the last widget of the window one comes round to the first. */
static gboolean
leave (GtkWidget *list, GtkDirectionType direction)
{
  for (GtkWidget *widget = list; widget != NULL; widget = gtk_widget_get_parent (widget))
    for (GtkWidget *other = beside (widget, direction); other != NULL; other = beside (other, direction))
      if (gtk_widget_child_focus (other, direction))
        return TRUE;
  gtk_root_set_focus (gtk_widget_get_root (list), NULL);
  return gtk_widget_child_focus (GTK_WIDGET (gtk_widget_get_root (list)), direction);
}

static gboolean
pressed_cb (GtkEventControllerKey *controller, guint key, guint code, GdkModifierType state, GtkWidget *list)
{
  if ((state & (GDK_CONTROL_MASK | GDK_ALT_MASK)) != 0)
    return GDK_EVENT_PROPAGATE;
  if (key == GDK_KEY_ISO_Left_Tab || (key == GDK_KEY_Tab && (state & GDK_SHIFT_MASK) != 0))
    return leave (list, GTK_DIR_TAB_BACKWARD);
  return key == GDK_KEY_Tab && leave (list, GTK_DIR_TAB_FORWARD);
}

/**
 * shim_list_keys_add:
 * @list: a list whose rows hold nothing to press
 *
 * Lets Tab leave the list, as in every other list of the desktop, where GTK 4.8 goes through it row by row: a list of
 * thousands would never be left, and in a list that selects by focus every row would be opened on the way.
 */
void
shim_list_keys_add (GtkWidget *list)
{
  GtkEventController *keys = gtk_event_controller_key_new ();

  g_return_if_fail (GTK_IS_WIDGET (list));

  gtk_event_controller_set_propagation_phase (keys, GTK_PHASE_CAPTURE);
  g_signal_connect_object (keys, "key-pressed", G_CALLBACK (pressed_cb), list, 0);
  gtk_widget_add_controller (list, keys);
}

static void
activated_cb (GtkListView *list, guint position, gpointer user_data)
{
  gtk_selection_model_select_item (gtk_list_view_get_model (list), position, TRUE);
}

/**
 * shim_list_keys_select_on_activate:
 * @list: a list in which one row is chosen and shown beside it
 *
 * Lets Enter choose the row that has the focus: the first one has it without being chosen when somebody comes by key.
 */
void
shim_list_keys_select_on_activate (GtkListView *list)
{
  g_return_if_fail (GTK_IS_LIST_VIEW (list));

  g_signal_connect (list, "activate", G_CALLBACK (activated_cb), NULL);
}
