/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * SHIM_WORKSPACE_ERROR:
 *
 * The error domain of the workspace layer; codes are in #ShimWorkspaceError.
 */
#define SHIM_WORKSPACE_ERROR (shim_workspace_error_quark ())

/**
 * ShimWorkspaceError:
 * @SHIM_WORKSPACE_ERROR_CONTRADICTION: what was measured belongs to another pair
 * @SHIM_WORKSPACE_ERROR_STATE: not possible at this point of the test
 * @SHIM_WORKSPACE_ERROR_NO_SLOT: no slot is free
 * @SHIM_WORKSPACE_ERROR_CLOSED: the workspace is closed
 */
typedef enum
{
  SHIM_WORKSPACE_ERROR_CONTRADICTION,
  SHIM_WORKSPACE_ERROR_STATE,
  SHIM_WORKSPACE_ERROR_NO_SLOT,
  SHIM_WORKSPACE_ERROR_CLOSED,
} ShimWorkspaceError;

GQuark shim_workspace_error_quark (void);

G_END_DECLS
