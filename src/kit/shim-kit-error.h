/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * SHIM_KIT_ERROR:
 *
 * The error domain of the kit layer; codes are in #ShimKitError.
 */
#define SHIM_KIT_ERROR (shim_kit_error_quark ())

/**
 * ShimKitError:
 * @SHIM_KIT_ERROR_INVALID: a value out of its range, or not understood
 * @SHIM_KIT_ERROR_MISSING: a value that must be given is not
 * @SHIM_KIT_ERROR_MOUNT: the lens does not fit the body
 * @SHIM_KIT_ERROR_CONFLICT: two things contradict each other
 */
typedef enum
{
  SHIM_KIT_ERROR_INVALID,
  SHIM_KIT_ERROR_MISSING,
  SHIM_KIT_ERROR_MOUNT,
  SHIM_KIT_ERROR_CONFLICT,
} ShimKitError;

GQuark shim_kit_error_quark (void);

G_END_DECLS
