/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

void shim_setting_spin_prepare (GtkSpinButton *spin);

G_END_DECLS
