/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-metadata.h"
#include "shim-photo-error.h"
#include "shim-photo-private.h"

/**
 * shim_metadata_new:
 *
 * Returns: (transfer full): metadata that say nothing
 */
ShimMetadata *
shim_metadata_new (void)
{
  ShimMetadata *self = g_new0 (ShimMetadata, 1);

  self->focal_length_mm = self->focal_35mm = self->f_number = self->exposure_s = self->iso = NAN;
  self->distance_m = self->adjustment = self->pixel_pitch_mm = NAN;
  self->orientation = SHIM_ORIENTATION_NORMAL;
  return self;
}

/**
 * shim_metadata_copy:
 * @self: metadata
 *
 * Returns: (transfer full): the same again
 */
ShimMetadata *
shim_metadata_copy (const ShimMetadata *self)
{
  ShimMetadata *copy;

  g_return_val_if_fail (self != NULL, NULL);

  copy = g_memdup2 (self, sizeof *self);
  copy->make = g_strdup (self->make);
  copy->model = g_strdup (self->model);
  copy->body_serial = g_strdup (self->body_serial);
  copy->lens_make = g_strdup (self->lens_make);
  copy->lens_model = g_strdup (self->lens_model);
  copy->lens_serial = g_strdup (self->lens_serial);
  copy->taken = g_strdup (self->taken);
  return copy;
}

/**
 * shim_metadata_free:
 * @self: (nullable) (transfer full): metadata
 */
void
shim_metadata_free (ShimMetadata *self)
{
  if (self == NULL)
    return;
  g_free (self->make);
  g_free (self->model);
  g_free (self->body_serial);
  g_free (self->lens_make);
  g_free (self->lens_model);
  g_free (self->lens_serial);
  g_free (self->taken);
  g_free (self);
}

/**
 * shim_metadata_read:
 * @path: a photograph
 * @error: #ShimPhotoError
 *
 * Reads what a photograph says about itself. A raw file without a usable preview still has metadata; its width and
 * height are 0 then.
 *
 * Returns: (transfer full) (nullable): the metadata
 */
ShimMetadata *
shim_metadata_read (const char *path, GError **error)
{
  g_autoptr (GError) local_error = NULL;
  g_autoptr (ShimPhoto) photo = shim_photo_open (path, &local_error);

  if (photo != NULL)
    return shim_metadata_copy (shim_photo_get_metadata (photo));
  if (g_error_matches (local_error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_NO_PREVIEW))
    {
      g_autoptr (ShimExif) exif = shim_exif_open_path (path);

      if (exif != NULL)
        return shim_metadata_from_exif (exif, 0, 0);
    }
  g_propagate_error (error, g_steal_pointer (&local_error));
  return NULL;
}

static void
fill (double *wanted, double known)
{
  if (isnan (*wanted))
    *wanted = known;
}

/**
 * shim_metadata_fill_request:
 * @self: metadata
 * @request: (inout): what is known before measuring; numbers that are NAN are taken from @self
 */
void
shim_metadata_fill_request (const ShimMetadata *self, ShimMeasureRequest *request)
{
  g_return_if_fail (self != NULL && request != NULL);

  fill (&request->focal_mm, self->focal_length_mm);
  fill (&request->f_number, self->f_number);
  fill (&request->distance_mm, self->distance_m * 1000.0);
  fill (&request->pixel_pitch_mm, self->pixel_pitch_mm);
}
