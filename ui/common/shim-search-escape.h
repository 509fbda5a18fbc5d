/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

void shim_search_escape_add (GtkSearchEntry *entry);

G_END_DECLS
