/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-ops-pair.h"

G_BEGIN_DECLS

void shim_pair_history_fill (GtkListBox *list, const ShimPairView *view);

G_END_DECLS
