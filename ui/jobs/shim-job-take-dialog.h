/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimJobTakeDialog:
 *
 * A search over all items of the kit; activating one takes it along on a job, or leaves it at home again.
 */
#define SHIM_TYPE_JOB_TAKE_DIALOG (shim_job_take_dialog_get_type ())
G_DECLARE_FINAL_TYPE (ShimJobTakeDialog, shim_job_take_dialog, SHIM, JOB_TAKE_DIALOG, AdwWindow)

ShimJobTakeDialog *shim_job_take_dialog_new (GtkWindow *parent, ShimWorkspace *workspace, const char *job);

G_END_DECLS
