/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimJobPage:
 *
 * One job: when and where, what is not ready with the way to put it right, what it takes along, and its kit sheet.
 */
#define SHIM_TYPE_JOB_PAGE (shim_job_page_get_type ())
G_DECLARE_FINAL_TYPE (ShimJobPage, shim_job_page, SHIM, JOB_PAGE, GtkBox)

GtkWidget *shim_job_page_new     (ShimWorkspace *workspace);
void       shim_job_page_set_job (ShimJobPage *self, const char *job);

G_END_DECLS
