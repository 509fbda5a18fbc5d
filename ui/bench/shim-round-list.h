/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gtk/gtk.h>

#include "shim-ops-summary.h"
#include "shim-workspace.h"

G_BEGIN_DECLS

#define SHIM_TYPE_ROUND_LIST (shim_round_list_get_type ())
G_DECLARE_FINAL_TYPE (ShimRoundList, shim_round_list, SHIM, ROUND_LIST, GtkWidget)

/**
 * ShimRoundList:
 *
 * The rounds of a test, one at a time: its frames and its figures.
 *
 * Signals: "frame-selected" (const char *frame): a frame is to be shown. "use-changed" (const char *frame, boolean
 * use): a frame
 * is to count, or to be left out. Keys: Delete leaves the selected frame out or takes it in again.
 */

GtkWidget  *shim_round_list_new           (void);
void        shim_round_list_set_workspace (ShimRoundList *self, ShimWorkspace *workspace);
void        shim_round_list_show          (ShimRoundList *self, ShimTestSummary *summary, const char *select_frame);
const char *shim_round_list_get_selected  (ShimRoundList *self);
void        shim_round_list_select_frame  (ShimRoundList *self, const char *frame);

G_END_DECLS
