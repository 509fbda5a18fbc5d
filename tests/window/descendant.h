/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

GtkWidget *descendant (GtkWidget *widget, GType type);

G_END_DECLS
