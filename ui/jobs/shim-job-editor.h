/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-job.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimJobFunc:
 * @job: as stored
 * @user_data: as given
 */
typedef void (*ShimJobFunc) (ShimJob *job, gpointer user_data);

void shim_job_editor_show (GtkWidget *widget, ShimWorkspace *workspace, ShimJob *job, ShimJobFunc func);

G_END_DECLS
