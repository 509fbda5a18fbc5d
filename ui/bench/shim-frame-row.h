/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-ops-summary.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

#define SHIM_TYPE_FRAME_ROW (shim_frame_row_get_type ())
G_DECLARE_FINAL_TYPE (ShimFrameRow, shim_frame_row, SHIM, FRAME_ROW, GtkListBoxRow)

/**
 * ShimFrameRow:
 *
 * One frame of a round: a piece of it, its offset, whether it counts, and why not.
 *
 * Signal "use-changed": (boolean use): a person wants it to count, or not.
 */

GtkWidget  *shim_frame_row_new        (void);
void        shim_frame_row_show       (ShimFrameRow *self, const ShimFrameSummary *frame, guint number);
const char *shim_frame_row_get_frame  (ShimFrameRow *self);
void        shim_frame_row_toggle_use (ShimFrameRow *self);
void        shim_frame_row_load       (ShimFrameRow *self, ShimWorkspace *workspace);

G_END_DECLS
