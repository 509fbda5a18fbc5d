/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-search-escape.h"

static void
stop_search_cb (GtkSearchEntry *entry)
{
  GtkWindow *window = GTK_WINDOW (gtk_widget_get_root (GTK_WIDGET (entry)));

  if (*gtk_editable_get_text (GTK_EDITABLE (entry)) != '\0')
    gtk_editable_set_text (GTK_EDITABLE (entry), "");
  else if (gtk_window_get_modal (window))
    gtk_window_close (window);
}

/**
 * shim_search_escape_add:
 * @entry: a search
 *
 * A search entry keeps Escape to itself. With this it takes the words back, and once there are none leaves the dialog that it stands in, as
 * Escape does everywhere else there.
 */
void
shim_search_escape_add (GtkSearchEntry *entry)
{
  g_return_if_fail (GTK_IS_SEARCH_ENTRY (entry));

  g_signal_connect (entry, "stop-search", G_CALLBACK (stop_search_cb), NULL);
}
