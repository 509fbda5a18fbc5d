/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * SHIM_PHOTO_ERROR:
 *
 * The error domain of the photo layer; codes are in #ShimPhotoError.
 */
#define SHIM_PHOTO_ERROR (shim_photo_error_quark ())

/**
 * ShimPhotoError:
 * @SHIM_PHOTO_ERROR_OPEN: the file cannot be read
 * @SHIM_PHOTO_ERROR_FORMAT: the file is not a picture this program reads
 * @SHIM_PHOTO_ERROR_DAMAGED: the file is a picture, but cut short or broken
 * @SHIM_PHOTO_ERROR_TOO_LARGE: beyond the limits set for hostile files
 * @SHIM_PHOTO_ERROR_NO_PREVIEW: a raw file without a usable preview
 */
typedef enum
{
  SHIM_PHOTO_ERROR_OPEN,
  SHIM_PHOTO_ERROR_FORMAT,
  SHIM_PHOTO_ERROR_DAMAGED,
  SHIM_PHOTO_ERROR_TOO_LARGE,
  SHIM_PHOTO_ERROR_NO_PREVIEW,
} ShimPhotoError;

GQuark shim_photo_error_quark (void);

G_END_DECLS
