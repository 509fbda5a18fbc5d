/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-whole-rows.h"

/* GTK scrolls to what has the focus, which in a row with an entry is the line of text and no more: the row's title and its lower edge
 * would stay out of sight. */

#define MARGIN_PX 12

static void
focus_cb (GtkWindow *window)
{
  GtkWidget *focus = gtk_window_get_focus (window);
  GtkWidget *row = focus != NULL ? gtk_widget_get_ancestor (focus, GTK_TYPE_LIST_BOX_ROW) : NULL;
  GtkWidget *viewport = row != NULL ? gtk_widget_get_ancestor (row, GTK_TYPE_VIEWPORT) : NULL;
  GtkWidget *child = viewport != NULL ? gtk_viewport_get_child (GTK_VIEWPORT (viewport)) : NULL;
  graphene_rect_t bounds;
  double top_px;

  if (child == NULL || !gtk_widget_compute_bounds (row, child, &bounds))
    return;
  /* By the child's place, not the viewport's: that one is laid out anew only after GTK has scrolled. */
  top_px = gtk_widget_get_margin_top (child) + bounds.origin.y;
  gtk_adjustment_clamp_page (gtk_scrollable_get_vadjustment (GTK_SCROLLABLE (viewport)), top_px - MARGIN_PX,
                             top_px + bounds.size.height + MARGIN_PX);
}

/**
 * shim_window_show_rows_whole:
 * @window: a window with lists of rows that scroll
 *
 * Scrolls so that all of the row with the focus is seen, not only what is focused in it.
 */
void
shim_window_show_rows_whole (GtkWindow *window)
{
  g_return_if_fail (GTK_IS_WINDOW (window));

  g_signal_connect_after (window, "notify::focus-widget", G_CALLBACK (focus_cb), NULL);
}
