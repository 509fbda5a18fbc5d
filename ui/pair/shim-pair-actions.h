/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-ops-pair.h"
#include "shim-ops-write-down.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

typedef struct _ShimPairActions ShimPairActions;

ShimPairActions *shim_pair_actions_new  (GtkWidget *page, ShimWorkspace *workspace);
void             shim_pair_actions_free (ShimPairActions *self);
void             shim_pair_actions_show (ShimPairActions *self, const ShimPairView *view);
void             shim_pair_write_down   (GtkWidget *widget, ShimWorkspace *workspace, ShimWriteDown *request);
void             shim_pair_set_needed   (GtkWidget *widget, ShimWorkspace *workspace, const char *body, const char *lens,
                                        const char *converter, gboolean needed);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimPairActions, shim_pair_actions_free)

G_END_DECLS
