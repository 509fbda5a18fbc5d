/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

void shim_register_merge_choose (GtkWidget *widget, ShimWorkspace *workspace);

G_END_DECLS
