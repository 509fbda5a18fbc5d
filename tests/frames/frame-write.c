/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-write.h"

#include "frame-truth.h"

#include <errno.h>
#include <gexiv2/gexiv2.h>
#include <glib/gstdio.h>
#include <math.h>
#include <setjmp.h>
#include <stdio.h>
#include <string.h>

#include <jpeglib.h>

#define THUMBNAIL_WIDTH 160
#define THUMBNAIL_HEIGHT 120
#define MM_PER_INCH 25.4

/* Where the pixel (x, y) as stored is found in the upright picture, in bytes. */
static gsize
upright_index (const FrameScene *scene, int x, int y)
{
  gsize w = scene->width_px, h = scene->height_px;

  switch (scene->turn_deg)
    {
    case 90:
      return 3 * (x * h + (h - 1 - y));
    case 180:
      return 3 * ((h - 1 - y) * w + (w - 1 - x));
    case 270:
      return 3 * ((w - 1 - x) * h + y);
    default:
      return 3 * (y * w + x);
    }
}

static void
fill_row (const FrameScene *scene, const guint8 *rgb, int y, guint8 *row)
{
  if (scene->turn_deg == 0)
    {
      memcpy (row, rgb + upright_index (scene, 0, y), 3 * (gsize) scene->width_px);
      return;
    }
  for (int x = 0; x < scene->width_px; x++)
    memcpy (row + 3 * x, rgb + upright_index (scene, x, y), 3);
}

/* Names how many pixels share a colour sample: 444 none, 422 two side by side, 420 four. */
static void
set_subsampling (struct jpeg_compress_struct *jpeg, int subsampling)
{
  jpeg->comp_info[0].h_samp_factor = subsampling == 444 ? 1 : 2;
  jpeg->comp_info[0].v_samp_factor = subsampling == 420 ? 2 : 1;
}

typedef struct
{
  struct jpeg_error_mgr parent;
  jmp_buf leave;
  char message[JMSG_LENGTH_MAX];
} JpegError;

static void
leave_jpeg (j_common_ptr jpeg)
{
  JpegError *trap = (JpegError *) jpeg->err;

  trap->parent.format_message (jpeg, trap->message);
  longjmp (trap->leave, 1);
}

static void
start_jpeg (struct jpeg_compress_struct *jpeg, int width, int height, int quality, int subsampling, gboolean compact)
{
  jpeg->image_width = width;
  jpeg->image_height = height;
  jpeg->input_components = 3;
  jpeg->in_color_space = JCS_RGB;
  jpeg_set_defaults (jpeg);
  jpeg_set_quality (jpeg, quality, TRUE);
  set_subsampling (jpeg, subsampling);
  jpeg->optimize_coding = compact;
  jpeg_start_compress (jpeg, TRUE);
}

/* The rows of the picture, after everything that can be set. Returns FALSE with a message in @trap. */
static gboolean
compress_rows (const FrameScene *scene, const guint8 *rgb, struct jpeg_compress_struct *jpeg, JpegError *trap, FILE *file,
               guint8 *row)
{
  if (setjmp (trap->leave) != 0)
    return FALSE;
  jpeg_create_compress (jpeg);
  jpeg_stdio_dest (jpeg, file);
  start_jpeg (jpeg, scene->width_px, scene->height_px, scene->quality, scene->subsampling, scene->compact);
  while (jpeg->next_scanline < jpeg->image_height)
    {
      fill_row (scene, rgb, jpeg->next_scanline, row);
      jpeg_write_scanlines (jpeg, &row, 1);
    }
  jpeg_finish_compress (jpeg);
  return TRUE;
}

/**
 * frame_write_jpeg:
 * @scene: the scene
 * @rgb: its picture, upright
 * @path: file to be written
 * @error: return location for a #GError
 *
 * Turns the pixels as the camera was held and writes them, without metadata.
 *
 * Returns: whether it was written
 */
gboolean
frame_write_jpeg (const FrameScene *scene, const guint8 *rgb, const char *path, GError **error)
{
  struct jpeg_compress_struct jpeg = { 0 };
  JpegError trap = { .message = "" };
  g_autofree guint8 *row = g_malloc (3 * (gsize) scene->width_px);
  FILE *file = g_fopen (path, "wb");
  gboolean written;

  if (file == NULL)
    {
      g_set_error (error, FRAME_ERROR, FRAME_ERROR_WRITE, "%s cannot be written: %s.", path, g_strerror (errno));
      return FALSE;
    }
  jpeg.err = jpeg_std_error (&trap.parent);
  trap.parent.error_exit = leave_jpeg;
  written = compress_rows (scene, rgb, &jpeg, &trap, file, row);
  jpeg_destroy_compress (&jpeg);
  written = fclose (file) == 0 && written;
  if (!written)
    g_set_error (error, FRAME_ERROR, FRAME_ERROR_WRITE, "%s cannot be written: %s.", path,
                 trap.message[0] != '\0' ? trap.message : g_strerror (errno));
  return written;
}

static void
set_text (GExiv2Metadata *metadata, const char *tag, const char *text, GError **error)
{
  if (text != NULL && *error == NULL)
    gexiv2_metadata_try_set_tag_string (metadata, tag, text, error);
}

static void
set_ratio (GExiv2Metadata *metadata, const char *tag, double value, int denominator, GError **error)
{
  g_autofree char *text = g_strdup_printf ("%ld/%d", lround (value * denominator), denominator);

  set_text (metadata, tag, text, error);
}

static void
set_number (GExiv2Metadata *metadata, const char *tag, int value, GError **error)
{
  g_autofree char *text = g_strdup_printf ("%d", value);

  set_text (metadata, tag, text, error);
}

static void
set_exposure (GExiv2Metadata *metadata, const FrameScene *scene, GError **error)
{
  g_autofree char *time = NULL;

  if (scene->exposure_s > 0.0 && scene->exposure_s < 0.4)
    time = g_strdup_printf ("1/%ld", lround (1.0 / scene->exposure_s));
  else
    time = g_strdup_printf ("%ld/10", lround (scene->exposure_s * 10.0));
  set_text (metadata, "Exif.Photo.ExposureTime", time, error);
  set_number (metadata, "Exif.Photo.ISOSpeedRatings", scene->iso, error);
}

static void
set_lens (GExiv2Metadata *metadata, const FrameScene *scene, GError **error)
{
  double focal = scene->exif_focal_mm > 0.0 ? scene->exif_focal_mm : scene->focal_mm;
  double f_number = scene->exif_f_number > 0.0 ? scene->exif_f_number : scene->f_number;
  double diagonal = frame_scene_pitch_mm (scene) * hypot (scene->width_px, scene->height_px);

  set_text (metadata, "Exif.Photo.LensModel", scene->lens_model, error);
  set_text (metadata, "Exif.Photo.LensSerialNumber", scene->lens_serial, error);
  if (!scene->write_lens)
    return;
  set_ratio (metadata, "Exif.Photo.FocalLength", focal, 10, error);
  set_ratio (metadata, "Exif.Photo.FNumber", f_number, 10, error);
  set_number (metadata, "Exif.Photo.FocalLengthIn35mmFilm", (int) lround (focal * hypot (36.0, 24.0) / diagonal), error);
}

static void
set_sensor (GExiv2Metadata *metadata, const FrameScene *scene, GError **error)
{
  double per_unit = (scene->plane_unit_cm ? 10.0 : MM_PER_INCH) / frame_scene_pitch_mm (scene);

  set_ratio (metadata, "Exif.Photo.FocalPlaneXResolution", per_unit, 1000, error);
  set_ratio (metadata, "Exif.Photo.FocalPlaneYResolution", per_unit, 1000, error);
  set_number (metadata, "Exif.Photo.FocalPlaneResolutionUnit", scene->plane_unit_cm ? 3 : 2, error);
  set_number (metadata, "Exif.Photo.PixelXDimension", scene->width_px, error);
  set_number (metadata, "Exif.Photo.PixelYDimension", scene->height_px, error);
  /* As bodies do it: in steps of a tenth of a metre. */
  set_ratio (metadata, "Exif.Photo.SubjectDistance", round (scene->distance_mm / 100.0) / 10.0, 10, error);
}

static void
set_body (GExiv2Metadata *metadata, const FrameScene *scene, GError **error)
{
  FrameTruth truth;

  frame_truth_compute (scene, &truth);
  set_text (metadata, "Exif.Image.Make", scene->make, error);
  set_text (metadata, "Exif.Image.Model", scene->model, error);
  set_number (metadata, "Exif.Image.Orientation", truth.orientation, error);
  set_text (metadata, "Exif.Photo.BodySerialNumber", scene->body_serial, error);
  set_text (metadata, "Exif.Photo.DateTimeOriginal", scene->taken, error);
  set_text (metadata, "Exif.Photo.DateTimeDigitized", scene->taken, error);
  set_text (metadata, "Exif.Photo.SubSecTimeOriginal", scene->subsec, error);
}

/* A small picture of the stored pixels with bars where it is less high, as bodies embed it. */
static void
set_thumbnail (GExiv2Metadata *metadata, const FrameScene *scene, const guint8 *rgb, GError **error)
{
  struct jpeg_compress_struct jpeg = { 0 };
  struct jpeg_error_mgr errors;
  guint8 row[3 * THUMBNAIL_WIDTH];
  JSAMPROW rows = row;
  guchar *buffer = NULL;
  gulong size = 0;
  double step = (double) scene->width_px / THUMBNAIL_WIDTH;

  jpeg.err = jpeg_std_error (&errors);
  jpeg_create_compress (&jpeg);
  jpeg_mem_dest (&jpeg, &buffer, &size);
  start_jpeg (&jpeg, THUMBNAIL_WIDTH, THUMBNAIL_HEIGHT, 80, 420, TRUE);
  for (int y = 0; y < THUMBNAIL_HEIGHT; y++)
    {
      int from = (int) (scene->height_px / 2.0 + (y + 0.5 - THUMBNAIL_HEIGHT / 2.0) * step);

      memset (row, 0, sizeof row);
      for (int x = 0; x < THUMBNAIL_WIDTH && from >= 0 && from < scene->height_px; x++)
        memcpy (row + 3 * x, rgb + upright_index (scene, (int) ((x + 0.5) * step), from), 3);
      jpeg_write_scanlines (&jpeg, &rows, 1);
    }
  jpeg_finish_compress (&jpeg);
  jpeg_destroy_compress (&jpeg);
  gexiv2_metadata_try_set_exif_thumbnail_from_buffer (metadata, buffer, (gint) size, error);
  free (buffer);
}

/**
 * frame_write_metadata:
 * @scene: the scene
 * @rgb: its picture, upright, for the embedded small one
 * @path: a JPEG file
 * @error: return location for a #GError
 *
 * Adds the metadata that @scene asks for.
 *
 * Returns: whether it was written
 */
gboolean
frame_write_metadata (const FrameScene *scene, const guint8 *rgb, const char *path, GError **error)
{
  g_autoptr (GExiv2Metadata) metadata = gexiv2_metadata_new ();
  g_autoptr (GError) failure = NULL;

  if (!scene->write_exif)
    return TRUE;
  if (gexiv2_metadata_open_path (metadata, path, &failure))
    {
      set_body (metadata, scene, &failure);
      set_exposure (metadata, scene, &failure);
      set_lens (metadata, scene, &failure);
      set_sensor (metadata, scene, &failure);
    }
  if (failure == NULL && scene->thumbnail)
    set_thumbnail (metadata, scene, rgb, &failure);
  if (failure == NULL)
    gexiv2_metadata_save_file (metadata, path, &failure);
  if (failure == NULL)
    return TRUE;
  g_set_error (error, FRAME_ERROR, FRAME_ERROR_WRITE, "The metadata of %s cannot be written: %s", path, failure->message);
  return FALSE;
}
