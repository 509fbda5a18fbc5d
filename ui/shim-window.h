/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <adwaita.h>

#include "shim-workspace.h"

G_BEGIN_DECLS

/**
 * ShimWindow:
 *
 * One register in one window: the places in a sidebar, each a widget of its own. Actions for all places:
 * `win.place` (s: "kit", "pairs", "bench", "slots", "jobs"), `win.open-item` ((ss): kind, id), `win.open-pair` (s: pair id),
 * `win.open-slots` (s: body id), `win.bench-pair` (s: pair id), `win.bench-test` (s: test id), `win.search`, `win.undo`, `win.redo`, `win.back-up`.
 */
#define SHIM_TYPE_WINDOW (shim_window_get_type ())
G_DECLARE_FINAL_TYPE (ShimWindow, shim_window, SHIM, WINDOW, AdwApplicationWindow)

ShimWindow    *shim_window_new             (GtkApplication *application);
void           shim_window_set_workspace   (ShimWindow *self, ShimWorkspace *workspace);
ShimWorkspace *shim_window_get_workspace   (ShimWindow *self);
void           shim_window_show_open_error (ShimWindow *self, const GError *error);

G_END_DECLS
