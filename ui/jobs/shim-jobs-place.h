/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimJobsPlace:
 *
 * The place Jobs: the occasions, what each takes along, what is not ready, and the kit sheet.
 */
#define SHIM_TYPE_JOBS_PLACE (shim_jobs_place_get_type ())
G_DECLARE_FINAL_TYPE (ShimJobsPlace, shim_jobs_place, SHIM, JOBS_PLACE, GtkBox)

GtkWidget *shim_jobs_place_new    (ShimWorkspace *workspace);
void       shim_jobs_place_search (ShimJobsPlace *self);
void       shim_jobs_place_open   (ShimJobsPlace *self, const char *job);

G_END_DECLS
