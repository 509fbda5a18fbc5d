/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

void shim_job_copy_show    (GtkWidget *widget, ShimWorkspace *workspace, const char *job);
void shim_job_serials_show (GtkWidget *widget, ShimWorkspace *workspace, const char *job);

G_END_DECLS
