/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-ops-summary.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

void shim_record_save (GtkWidget *widget, ShimWorkspace *workspace, const ShimTestSummary *summary);

G_END_DECLS
