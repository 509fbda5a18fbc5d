/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * SHIM_STORE_ERROR:
 *
 * The error domain of the store layer; codes are in #ShimStoreError.
 */
#define SHIM_STORE_ERROR (shim_store_error_quark ())

/**
 * ShimStoreError:
 * @SHIM_STORE_ERROR_OPEN: the register cannot be opened
 * @SHIM_STORE_ERROR_NOT_A_REGISTER: the file is not a register of this program
 * @SHIM_STORE_ERROR_NEWER: the register was written by a newer version
 * @SHIM_STORE_ERROR_CORRUPT: the register is damaged
 * @SHIM_STORE_ERROR_BUSY: another program holds the register
 * @SHIM_STORE_ERROR_FULL: no room left on the disk
 * @SHIM_STORE_ERROR_NOT_FOUND: no such row
 * @SHIM_STORE_ERROR_DUPLICATE: there is one already
 * @SHIM_STORE_ERROR_CONSTRAINT: a rule of the register forbids it
 * @SHIM_STORE_ERROR_READ_ONLY: the register, its folder or its disk cannot be written to
 * @SHIM_STORE_ERROR_NOTHING: there is nothing to undo or redo
 * @SHIM_STORE_ERROR_CONFLICT: a later change touched the same records
 * @SHIM_STORE_ERROR_FAILED: anything else
 */
typedef enum
{
  SHIM_STORE_ERROR_OPEN,
  SHIM_STORE_ERROR_NOT_A_REGISTER,
  SHIM_STORE_ERROR_NEWER,
  SHIM_STORE_ERROR_CORRUPT,
  SHIM_STORE_ERROR_BUSY,
  SHIM_STORE_ERROR_FULL,
  SHIM_STORE_ERROR_NOT_FOUND,
  SHIM_STORE_ERROR_DUPLICATE,
  SHIM_STORE_ERROR_CONSTRAINT,
  SHIM_STORE_ERROR_READ_ONLY,
  SHIM_STORE_ERROR_NOTHING,
  SHIM_STORE_ERROR_CONFLICT,
  SHIM_STORE_ERROR_FAILED,
} ShimStoreError;

GQuark shim_store_error_quark (void);

G_END_DECLS
