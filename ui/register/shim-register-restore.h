/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-workspace.h"

#include <adwaita.h>

G_BEGIN_DECLS

void shim_register_restore_choose (GtkWidget *widget, ShimWorkspace *workspace);

G_END_DECLS
