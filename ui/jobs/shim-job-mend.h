/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-ops-jobs.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

const char *shim_job_mend_label (const ShimNotReady *line);
const char *shim_job_mend_icon  (const ShimNotReady *line);
void        shim_job_mend       (GtkWidget *widget, ShimWorkspace *workspace, const ShimNotReady *line);
gboolean    shim_job_mend_can_be_left_out (const ShimNotReady *line);
void        shim_job_mend_leave_out (GtkWidget *widget, ShimWorkspace *workspace, const ShimNotReady *line);

G_END_DECLS
