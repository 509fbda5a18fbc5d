/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-pair-now.h"

G_BEGIN_DECLS

GtkWidget  *shim_state_badge_new  (ShimPairState state);
const char *shim_state_badge_icon (ShimPairState state);
const char *shim_state_badge_css  (ShimPairState state);

G_END_DECLS
