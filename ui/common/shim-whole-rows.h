/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

void shim_window_show_rows_whole (GtkWindow *window);

G_END_DECLS
