/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "shim-photo-private.h"

/* Which tag says what, and when it says nothing. Tags and their meaning: CIPA DC-008 (Exif), as quoted in the tag
 * tables of Exiv2 0.27; maker's notes: the same tables. */

/* First tag that says something wins: the standard's own, then makers', then XMP of the same meaning. */
static const char *const make_tags[] = { "Exif.Image.Make", NULL };
static const char *const model_tags[] = { "Exif.Image.Model", NULL };
static const char *const body_serial_tags[] = {
  "Exif.Photo.BodySerialNumber", "Exif.Image.CameraSerialNumber", "Exif.Nikon3.SerialNumber",
  "Exif.OlympusEq.SerialNumber", "Exif.Pentax.SerialNumber", "Exif.PentaxDng.SerialNumber", "Exif.Sigma.SerialNumber",
  "Xmp.exifEX.BodySerialNumber", "Xmp.aux.SerialNumber", NULL,
};
static const char *const lens_make_tags[] = { "Exif.Photo.LensMake", "Xmp.exifEX.LensMake", NULL };
static const char *const lens_model_tags[] = {
  "Exif.Photo.LensModel", "Exif.Canon.LensModel", "Exif.OlympusEq.LensModel", "Exif.Panasonic.LensType",
  "Xmp.exifEX.LensModel", "Xmp.aux.Lens", NULL,
};
static const char *const lens_serial_tags[] = {
  "Exif.Photo.LensSerialNumber", "Exif.OlympusEq.LensSerialNumber", "Exif.Panasonic.LensSerialNumber",
  "Xmp.exifEX.LensSerialNumber", "Xmp.aux.LensSerialNumber", NULL,
};
static const char *const focal_tags[] = { "Exif.Photo.FocalLength", "Exif.Image.FocalLength", NULL };
static const char *const focal_35mm_tags[] = { "Exif.Photo.FocalLengthIn35mmFilm", NULL };
static const char *const f_number_tags[] = { "Exif.Photo.FNumber", "Exif.Image.FNumber", NULL };
static const char *const exposure_tags[] = { "Exif.Photo.ExposureTime", "Exif.Image.ExposureTime", NULL };
static const char *const distance_tags[] = { "Exif.Photo.SubjectDistance", "Exif.Image.SubjectDistance", NULL };
static const char *const iso_tags[] = {
  "Exif.Photo.ISOSpeedRatings", "Exif.Image.ISOSpeedRatings", "Exif.Photo.RecommendedExposureIndex",
  "Exif.Photo.StandardOutputSensitivity", "Exif.Photo.ISOSpeed", NULL,
};

/* The short ISO field is full at this value and says "look elsewhere". */
#define ISO_OVERFLOW 65535.0

/* Diagonal of the 36 × 24 mm format, mm, to which equivalent focal lengths refer. */
#define FULL_DIAGONAL_MM 43.266615305567875

/* Sensors of cameras lie well between these diagonals, mm. */
#define SMALLEST_DIAGONAL_MM 3.0
#define LARGEST_DIAGONAL_MM 100.0

/* Stand-ins for "unknown" that makers write: nothing but zeros, dashes, dots or question marks; "N/A"; "0.0 mm
 * f/0.0". */
static gboolean
is_stand_in (const char *text)
{
  static const char *const words[] = {
    "n/a", "na", "none", "unknown", "undef", "0.0 mm f/0.0", "0 mm f/0", "0mm f/0",
  };

  for (guint i = 0; i < G_N_ELEMENTS (words); i++)
    if (g_ascii_strcasecmp (text, words[i]) == 0)
      return TRUE;
  return strspn (text, "0-_.,:/?* ") == strlen (text);
}

static char *
first_text (ShimExif *exif, const char *const *tags)
{
  for (; *tags != NULL; tags++)
    {
      g_autofree char *text = shim_exif_get_text (exif, *tags);

      if (text != NULL && !is_stand_in (text))
        return g_steal_pointer (&text);
    }
  return NULL;
}

/* First value above zero: zero and below say "unknown" in all of these tags. */
static double
first_positive (ShimExif *exif, const char *const *tags)
{
  for (; *tags != NULL; tags++)
    {
      double value = shim_exif_get_number (exif, *tags, 0);

      if (value > 0.0 && isfinite (value))
        return value;
    }
  return NAN;
}

static double
read_iso (ShimExif *exif)
{
  for (const char *const *tag = iso_tags; *tag != NULL; tag++)
    {
      double value = shim_exif_get_number (exif, *tag, 0);

      if (value > 0.0 && value != ISO_OVERFLOW)
        return value;
    }
  return NAN;
}

static char *
read_body_serial (ShimExif *exif, const char *model)
{
  g_autofree char *serial = first_text (exif, body_serial_tags);
  double number;

  if (serial != NULL)
    return g_steal_pointer (&serial);

  serial = shim_exif_get_text (exif, "Exif.Nikon3.SerialNO");
  if (serial != NULL && g_str_has_prefix (serial, "NO="))
    {
      char *rest = g_strstrip (serial + strlen ("NO="));

      return is_stand_in (rest) ? NULL : g_strdup (rest);
    }

  /* A 32-bit number whose ten decimals are what is engraved, except on the first bodies, which count otherwise. */
  number = shim_exif_get_number (exif, "Exif.Canon.SerialNumber", 0);
  if (number > 0.0 && model != NULL && strstr (model, "D30") == NULL && strstr (model, "EOS-1D") == NULL)
    return g_strdup_printf ("%010.0f", number);
  return NULL;
}

/* "2026:03:02 14:05:09" and "04" become "2026-03-02T14:05:09.04"; blanks between the colons and impossible dates,
 * nothing. */
static char *
read_taken (ShimExif *exif)
{
  g_autofree char *text = shim_exif_get_text (exif, "Exif.Photo.DateTimeOriginal");
  g_autofree char *fraction = NULL;
  g_autoptr (GDateTime) time = NULL;
  g_autofree char *stamp = NULL;
  int year, month, day, hour, minute, second;

  if (text == NULL)
    text = shim_exif_get_text (exif, "Exif.Image.DateTimeOriginal");
  if (text == NULL || sscanf (text, "%4d:%2d:%2d %2d:%2d:%2d", &year, &month, &day, &hour, &minute, &second) != 6)
    return NULL;
  time = g_date_time_new_utc (year, month, day, hour, minute, second);
  if (time == NULL)
    return NULL;
  stamp = g_date_time_format (time, "%Y-%m-%dT%H:%M:%S");
  fraction = shim_exif_get_text (exif, "Exif.Photo.SubSecTimeOriginal");
  if (fraction == NULL || strspn (fraction, "0123456789") != strlen (fraction))
    return g_steal_pointer (&stamp);
  return g_strconcat (stamp, ".", fraction, NULL);
}

ShimOrientation
shim_exif_orientation (ShimExif *exif)
{
  double value = shim_exif_get_number (exif, "Exif.Image.Orientation", 0);

  return value >= 1.0 && value <= 8.0 ? (ShimOrientation) value : SHIM_ORIENTATION_NORMAL;
}

/* Millimetres in the unit of the focal plane resolution. 4 and 5 are outside the standard, but written (common
 * practice). */
static double
focal_plane_unit_mm (ShimExif *exif)
{
  double unit = shim_exif_get_number (exif, "Exif.Photo.FocalPlaneResolutionUnit", 0);

  if (isnan (unit))
    return 25.4;
  switch ((int) unit)
    {
    case 2:
      return 25.4;
    case 3:
      return 10.0;
    case 4:
      return 1.0;
    case 5:
      return 0.001;
    default:
      return NAN;
    }
}

static gboolean
about_equal (double a, double b, double share)
{
  return fabs (a - b) <= share * MAX (fabs (a), fabs (b));
}

static gboolean
is_sensor (double diagonal_mm)
{
  return diagonal_mm >= SMALLEST_DIAGONAL_MM && diagonal_mm <= LARGEST_DIAGONAL_MM;
}

/* What the file says its picture's size to be. A program that made the picture smaller often forgot the tags of the
 * sensor; the preview of a raw file may be a few rows smaller than the raw picture. */
static gboolean
size_agrees (ShimExif *exif, int width, int height, gboolean *said)
{
  double x = shim_exif_get_number (exif, "Exif.Photo.PixelXDimension", 0);
  double y = shim_exif_get_number (exif, "Exif.Photo.PixelYDimension", 0);

  *said = x > 0.0 && y > 0.0;
  return *said && ((about_equal (x, width, 0.02) && about_equal (y, height, 0.02))
                   || (about_equal (x, height, 0.02) && about_equal (y, width, 0.02)));
}

static double
equivalent_pitch_mm (const ShimMetadata *self, double diagonal_px)
{
  double diagonal_mm = FULL_DIAGONAL_MM * self->focal_length_mm / self->focal_35mm;

  return is_sensor (diagonal_mm) ? diagonal_mm / diagonal_px : NAN;
}

static double
focal_plane_pitch_mm (ShimExif *exif, double diagonal_px)
{
  double unit_mm = focal_plane_unit_mm (exif);
  double x_mm = unit_mm / shim_exif_get_number (exif, "Exif.Photo.FocalPlaneXResolution", 0);
  double y_mm = unit_mm / shim_exif_get_number (exif, "Exif.Photo.FocalPlaneYResolution", 0);

  if (isnan (y_mm))
    y_mm = x_mm;
  if (!(x_mm > 0.0 && y_mm > 0.0) || !about_equal (x_mm, y_mm, 0.05) || !is_sensor (sqrt (x_mm * y_mm) * diagonal_px))
    return NAN;
  return sqrt (x_mm * y_mm);
}

static void
read_pitch (ShimMetadata *self, ShimExif *exif, int width, int height)
{
  double diagonal_px = hypot (width, height);
  double equivalent_mm = equivalent_pitch_mm (self, diagonal_px);
  double focal_plane_mm = focal_plane_pitch_mm (exif, diagonal_px);
  gboolean said;
  gboolean agrees = size_agrees (exif, width, height, &said);

  if (!isnan (equivalent_mm) && !about_equal (equivalent_mm, focal_plane_mm, 0.1))
    focal_plane_mm = NAN;
  if (agrees && !isnan (focal_plane_mm))
    {
      self->pixel_pitch_mm = focal_plane_mm;
      self->pitch_source = SHIM_PITCH_FOCAL_PLANE;
    }
  else if ((agrees || !said) && !isnan (equivalent_mm))
    {
      self->pixel_pitch_mm = equivalent_mm;
      self->pitch_source = SHIM_PITCH_EQUIVALENT;
    }
}

/**
 * shim_metadata_from_exif:
 * @exif: (nullable): the tags; %NULL = there are none
 * @stored_width: columns of the picture as stored; 0 = not known
 * @stored_height: its rows
 *
 * Returns: (transfer full): what the tags say
 */
ShimMetadata *
shim_metadata_from_exif (ShimExif *exif, int stored_width, int stored_height)
{
  ShimMetadata *self = shim_metadata_new ();

  if (exif != NULL)
    {
      self->make = first_text (exif, make_tags);
      self->model = first_text (exif, model_tags);
      self->body_serial = read_body_serial (exif, self->model);
      self->lens_make = first_text (exif, lens_make_tags);
      self->lens_model = first_text (exif, lens_model_tags);
      self->lens_serial = first_text (exif, lens_serial_tags);
      self->focal_length_mm = first_positive (exif, focal_tags);
      self->focal_35mm = first_positive (exif, focal_35mm_tags);
      self->f_number = first_positive (exif, f_number_tags);
      self->exposure_s = first_positive (exif, exposure_tags);
      self->iso = read_iso (exif);
      self->taken = read_taken (exif);
      self->distance_m = first_positive (exif, distance_tags);
      self->adjustment = shim_exif_adjustment (exif);
      self->orientation = shim_exif_orientation (exif);
      if (stored_width > 0 && stored_height > 0)
        read_pitch (self, exif, stored_width, stored_height);
    }
  shim_orientation_upright_size (self->orientation, stored_width, stored_height, &self->width_px, &self->height_px);
  return self;
}
