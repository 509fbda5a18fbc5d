/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

void shim_drop_down_shorten (GtkDropDown *drop_down);

G_END_DECLS
