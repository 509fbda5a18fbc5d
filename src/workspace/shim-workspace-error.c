/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-workspace-error.h"

G_DEFINE_QUARK (shim-workspace-error-quark, shim_workspace_error)
