/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * SHIM_CORE_ERROR:
 *
 * The error domain of the core layer; codes are in #ShimCoreError.
 */
#define SHIM_CORE_ERROR (shim_core_error_quark ())

/**
 * ShimCoreError:
 * @SHIM_CORE_ERROR_INVALID: an argument out of range that came from a user
 * @SHIM_CORE_ERROR_TOO_FEW: fewer values than the computation needs
 * @SHIM_CORE_ERROR_NO_SOLUTION: the values do not determine the answer
 * @SHIM_CORE_ERROR_REFUSED: the measurement is not worth its number
 */
typedef enum
{
  SHIM_CORE_ERROR_INVALID,
  SHIM_CORE_ERROR_TOO_FEW,
  SHIM_CORE_ERROR_NO_SOLUTION,
  SHIM_CORE_ERROR_REFUSED,
} ShimCoreError;

GQuark shim_core_error_quark (void);

G_END_DECLS
