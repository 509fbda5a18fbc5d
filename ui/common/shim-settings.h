/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gio/gio.h>

#include "shim-kit-sheet.h"

G_BEGIN_DECLS

GSettings *shim_settings_get             (void);
double     shim_settings_tolerance_share (void);
int        shim_settings_due_after_days  (void);
ShimPaper  shim_settings_paper           (void);

G_END_DECLS
