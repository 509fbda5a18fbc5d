/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

#include "shim-measurement.h"
#include "shim-orientation.h"

G_BEGIN_DECLS

/**
 * ShimPitchSource:
 * @SHIM_PITCH_UNKNOWN: the file does not say how far apart its pixels are on the sensor
 * @SHIM_PITCH_FOCAL_PLANE: from the focal plane resolution, and it agrees with the picture's size
 * @SHIM_PITCH_EQUIVALENT: from the 35 mm equivalent focal length (whole millimetres, so good to about a percent)
 *
 * Where #ShimMetadata.pixel_pitch_mm comes from.
 */
typedef enum
{
  SHIM_PITCH_UNKNOWN,
  SHIM_PITCH_FOCAL_PLANE,
  SHIM_PITCH_EQUIVALENT,
} ShimPitchSource;

/**
 * ShimMetadata:
 *
 * What a photograph says about itself. A text that is missing, blank or a known stand-in for "unknown" ("N/A",
 * "0000000000") is %NULL; a number that is missing or says "unknown" (0, 0/0, infinity) is NAN. Nothing is guessed.
 * @make: maker of the body, as written, trimmed
 * @model: model of the body
 * @body_serial: serial number of the body as text, leading zeros kept
 * @lens_make: maker of the lens
 * @lens_model: model of the lens
 * @lens_serial: serial number of the lens as text
 * @focal_length_mm: real focal length, mm
 * @focal_35mm: 35 mm equivalent focal length, mm
 * @f_number: f-number
 * @exposure_s: exposure time, seconds
 * @iso: ISO sensitivity
 * @taken: local time of exposure as ISO 8601 text with the sub-seconds as written, "2026-03-02T14:05:09.04"
 * @distance_m: distance of focus the body noted, metres
 * @adjustment: fine adjustment that was in force, whole units of that body, where the maker's notes carry it
 * @pixel_pitch_mm: distance of two pixels on the sensor, mm
 * @pitch_source: where @pixel_pitch_mm comes from
 * @width_px: columns of the upright picture; 0 when only metadata could be read
 * @height_px: rows of the upright picture
 * @orientation: how the stored picture is turned upright; normal where the file does not say
 */
typedef struct
{
  char *make;
  char *model;
  char *body_serial;
  char *lens_make;
  char *lens_model;
  char *lens_serial;
  double focal_length_mm;
  double focal_35mm;
  double f_number;
  double exposure_s;
  double iso;
  char *taken;
  double distance_m;
  double adjustment;
  double pixel_pitch_mm;
  ShimPitchSource pitch_source;
  int width_px;
  int height_px;
  ShimOrientation orientation;
} ShimMetadata;

ShimMetadata *shim_metadata_new          (void);
ShimMetadata *shim_metadata_copy         (const ShimMetadata *self);
void          shim_metadata_free         (ShimMetadata *self);
ShimMetadata *shim_metadata_read         (const char *path, GError **error);
void          shim_metadata_fill_request (const ShimMetadata *self, ShimMeasureRequest *request);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ShimMetadata, shim_metadata_free)

G_END_DECLS
