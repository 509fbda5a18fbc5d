/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <setjmp.h>
#include <stdio.h>

#include <jpeglib.h>
#include <jerror.h>

#include "shim-jpeg.h"
#include "shim-jpeg-source.h"
#include "shim-photo-error.h"

/* libjpeg leaves its callers by longjmp. The rules that keep that safe here: whatever must be freed hangs on
 * ShimJpeg, never on the frame that is jumped out of; each public call arms the trap anew; no local that is changed
 * after setjmp() is used after a jump. */

#define ROWS_AT_ONCE 16
#define COMMENT_MAX_BYTES 1000

struct _ShimJpeg
{
  struct jpeg_decompress_struct cinfo;
  struct jpeg_error_mgr err;
  struct jpeg_source_mgr src;
  struct jpeg_progress_mgr progress;
  jmp_buf trap;
  const ShimJpegSource *source;
  const ShimJpegLimits *limits;
  GCancellable *cancellable;
  goffset position;
  gboolean at_end;
  int read_errno;
  gboolean too_many_scans;
  guint n_damaged;
  guint8 buffer[SHIM_JPEG_BUFFER_BYTES];
};

/* 200 megapixels are twice the largest camera; 768 MiB hold the coefficients of 100 megapixels without colour
 * subsampling. */
const ShimJpegLimits shim_jpeg_default_limits = {
  .max_pixels = G_GUINT64_CONSTANT (200000000),
  .max_memory = (gsize) 768 * 1024 * 1024,
  .max_scans = 48,
};

static const guint8 end_of_image[] = { 0xff, JPEG_EOI };

static ShimJpeg *
jpeg_of (j_common_ptr cinfo)
{
  return cinfo->client_data;
}

static void
on_error_exit (j_common_ptr cinfo)
{
  longjmp (jpeg_of (cinfo)->trap, 1);
}

static gboolean
is_damage (int message_code)
{
  switch (message_code)
    {
    case JWRN_BOGUS_PROGRESSION:
    case JWRN_HIT_MARKER:
    case JWRN_HUFF_BAD_CODE:
    case JWRN_MUST_RESYNC:
    case JWRN_ARITH_BAD_CODE:
      return TRUE;
    default:
      /* The rest (stray bytes between segments, odd colour notes) leaves every pixel right. */
      return FALSE;
    }
}

static void
on_message (j_common_ptr cinfo, int level)
{
  ShimJpeg *self = jpeg_of (cinfo);

  if (level >= 0)
    return;
  cinfo->err->num_warnings++;
  if (is_damage (cinfo->err->msg_code))
    self->n_damaged++;
  /* The decoder wants data that the file no longer has. Only a missing end marker, with every pixel there, gets
   * past this. */
  if (self->at_end && cinfo->err->msg_code == JWRN_HIT_MARKER)
    longjmp (self->trap, 1);
}

static void
on_progress (j_common_ptr cinfo)
{
  ShimJpeg *self = jpeg_of (cinfo);

  self->too_many_scans = self->cinfo.input_scan_number > self->limits->max_scans;
  if (self->too_many_scans || g_cancellable_is_cancelled (self->cancellable))
    longjmp (self->trap, 1);
}

static void
source_init (j_decompress_ptr cinfo)
{
}

static void
source_term (j_decompress_ptr cinfo)
{
}

static boolean
source_fill (j_decompress_ptr cinfo)
{
  ShimJpeg *self = jpeg_of ((j_common_ptr) cinfo);
  gssize n = shim_jpeg_source_read (self->source, self->buffer, sizeof self->buffer, self->position);

  if (n < 0)
    {
      self->read_errno = errno;
      longjmp (self->trap, 1);
    }
  if (n == 0)
    {
      self->at_end = TRUE;
      self->src.next_input_byte = end_of_image;
      self->src.bytes_in_buffer = sizeof end_of_image;
      return TRUE;
    }
  self->position += n;
  self->src.next_input_byte = self->buffer;
  self->src.bytes_in_buffer = (gsize) n;
  return TRUE;
}

static void
source_skip (j_decompress_ptr cinfo, long n_bytes)
{
  ShimJpeg *self = jpeg_of ((j_common_ptr) cinfo);

  if (n_bytes <= 0)
    return;
  if ((gsize) n_bytes <= self->src.bytes_in_buffer)
    {
      self->src.next_input_byte += n_bytes;
      self->src.bytes_in_buffer -= (gsize) n_bytes;
      return;
    }
  self->position += n_bytes - (goffset) self->src.bytes_in_buffer;
  self->src.bytes_in_buffer = 0;
}

static void
set_library_error (ShimJpeg *self, GError **error)
{
  char detail[JMSG_LENGTH_MAX];

  switch (self->err.msg_code)
    {
    case JERR_NO_SOI:
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_FORMAT, "The file “%s” is not a JPEG picture.",
                   self->source->name);
      break;
    case JERR_CONVERSION_NOTIMPL:
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_FORMAT,
                   "The file “%s” holds printing colours (CMYK), which no camera writes. Save it as an RGB JPEG.",
                   self->source->name);
      break;
    case JERR_OUT_OF_MEMORY:
    case JERR_NO_BACKING_STORE:
    case JERR_IMAGE_TOO_BIG:
    case JERR_WIDTH_OVERFLOW:
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_TOO_LARGE,
                   "The picture in “%s” needs more memory than it may have. Save it as an ordinary (baseline) JPEG.",
                   self->source->name);
      break;
    default:
      self->err.format_message ((j_common_ptr) &self->cinfo, detail);
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_DAMAGED,
                   "The file “%s” is damaged and cannot be read as a picture (%s). Copy it from the card again.",
                   self->source->name, detail);
      break;
    }
}

/* Puts into words why the trap was sprung; always FALSE, for the callers to return. */
static gboolean
report (ShimJpeg *self, GError **error)
{
  if (g_cancellable_set_error_if_cancelled (self->cancellable, error))
    return FALSE;
  if (self->read_errno != 0)
    shim_jpeg_source_set_read_error (self->source, self->read_errno, error);
  else if (self->too_many_scans)
    g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_TOO_LARGE,
                 "The picture in “%s” is stored in more than %d layers, which no camera does. "
                 "Save it as an ordinary (baseline) JPEG.", self->source->name, self->limits->max_scans);
  else if (self->at_end)
    shim_jpeg_source_set_cut_short (self->source, error);
  else
    set_library_error (self, error);
  return FALSE;
}

static gboolean
read_header (ShimJpeg *self, GError **error)
{
  if (setjmp (self->trap) != 0)
    return report (self, error);

  jpeg_create_decompress (&self->cinfo);
  self->cinfo.client_data = self;
  self->cinfo.src = &self->src;
  self->cinfo.progress = &self->progress;
  self->cinfo.mem->max_memory_to_use = (long) self->limits->max_memory;
  jpeg_save_markers (&self->cinfo, JPEG_COM, COMMENT_MAX_BYTES);
  jpeg_read_header (&self->cinfo, TRUE);
  return TRUE;
}

/**
 * shim_jpeg_open:
 * @source: where the picture is; must outlive the result
 * @limits: what it may ask for; must outlive the result
 * @cancellable: (nullable): polled while rows are read
 * @error: #ShimPhotoError
 *
 * Reads the header of a JPEG picture. Of a progressive one every later pass costs a full decoding of its
 * entropy-coded data and the memory for all its coefficients (2 to 6 bytes a pixel), however small the piece asked
 * for.
 *
 * Returns: (transfer full) (nullable): a decoder for one pass over the picture
 */
ShimJpeg *
shim_jpeg_open (const ShimJpegSource *source, const ShimJpegLimits *limits, GCancellable *cancellable, GError **error)
{
  g_autoptr (ShimJpeg) self = g_new0 (ShimJpeg, 1);
  guint64 n_pixels;

  self->source = source;
  self->limits = limits;
  self->cancellable = cancellable != NULL ? g_object_ref (cancellable) : NULL;
  self->cinfo.err = jpeg_std_error (&self->err);
  self->cinfo.client_data = self;
  self->err.error_exit = on_error_exit;
  self->err.emit_message = on_message;
  self->progress.progress_monitor = on_progress;
  self->src.init_source = source_init;
  self->src.fill_input_buffer = source_fill;
  self->src.skip_input_data = source_skip;
  self->src.resync_to_restart = jpeg_resync_to_restart;
  self->src.term_source = source_term;

  if (!read_header (self, error))
    return NULL;

  n_pixels = (guint64) self->cinfo.image_width * self->cinfo.image_height;
  if (n_pixels > limits->max_pixels)
    {
      g_set_error (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_TOO_LARGE,
                   "The picture in “%s” claims %u × %u pixels; at most %" G_GUINT64_FORMAT " megapixels are read.",
                   source->name, self->cinfo.image_width, self->cinfo.image_height, limits->max_pixels / 1000000);
      return NULL;
    }
  return g_steal_pointer (&self);
}

/**
 * shim_jpeg_free:
 * @self: (nullable) (transfer full): a decoder, whether its pass is finished or not
 */
void
shim_jpeg_free (ShimJpeg *self)
{
  if (self == NULL)
    return;
  jpeg_destroy_decompress (&self->cinfo);
  g_clear_object (&self->cancellable);
  g_free (self);
}

int
shim_jpeg_get_width (const ShimJpeg *self)
{
  return (int) self->cinfo.image_width;
}

int
shim_jpeg_get_height (const ShimJpeg *self)
{
  return (int) self->cinfo.image_height;
}

/* Zeros where the first component is not luma, or its table comes only later in the file. */
void
shim_jpeg_get_luma_steps (const ShimJpeg *self, guint16 steps[64])
{
  const J_COLOR_SPACE space = self->cinfo.jpeg_color_space;
  const int table_no = self->cinfo.comp_info[0].quant_tbl_no;
  const JQUANT_TBL *table = table_no >= 0 && table_no < NUM_QUANT_TBLS ? self->cinfo.quant_tbl_ptrs[table_no] : NULL;
  const gboolean known = table != NULL && (space == JCS_YCbCr || space == JCS_GRAYSCALE);

  for (int i = 0; i < DCTSIZE2; i++)
    steps[i] = known ? table->quantval[i] : 0;
}

gboolean
shim_jpeg_is_progressive (const ShimJpeg *self)
{
  return self->cinfo.progressive_mode;
}

/* How many places the decoder had to guess at so far. */
guint
shim_jpeg_get_n_damaged (const ShimJpeg *self)
{
  return self->n_damaged;
}

int
shim_jpeg_get_out_width (const ShimJpeg *self)
{
  return (int) self->cinfo.output_width;
}

int
shim_jpeg_get_out_height (const ShimJpeg *self)
{
  return (int) self->cinfo.output_height;
}

/* The first comment in the file, whatever its bytes; NULL = there is none. */
char *
shim_jpeg_get_comment (const ShimJpeg *self)
{
  const struct jpeg_marker_struct *marker = self->cinfo.marker_list;

  return marker != NULL ? g_strndup ((const char *) marker->data, marker->data_length) : NULL;
}

static J_COLOR_SPACE
library_colors (ShimJpegColors colors)
{
  switch (colors)
    {
    case SHIM_JPEG_BGRA:
      return JCS_EXT_BGRA;
    case SHIM_JPEG_RGB:
      return JCS_RGB;
    case SHIM_JPEG_LUMA:
    default:
      return JCS_GRAYSCALE;
    }
}

/**
 * shim_jpeg_start:
 * @self: a decoder fresh from shim_jpeg_open()
 * @colors: what a pixel is
 * @shrink: 1, 2, 4 or 8: the picture comes out that many times smaller, sizes rounded up
 * @error: #ShimPhotoError
 *
 * Begins the pass. Of a progressive picture all data are read here.
 */
gboolean
shim_jpeg_start (ShimJpeg *self, ShimJpegColors colors, int shrink, GError **error)
{
  if (setjmp (self->trap) != 0)
    return report (self, error);

  self->cinfo.out_color_space = library_colors (colors);
  self->cinfo.scale_num = 1;
  self->cinfo.scale_denom = (unsigned int) shrink;
  jpeg_start_decompress (&self->cinfo);
  return TRUE;
}

/**
 * shim_jpeg_crop:
 * @self: a started decoder
 * @x: (inout): first column wanted; set to the first column that will come (moved left to a block)
 * @width: (inout): columns wanted; set to those that will come
 * @error: #ShimPhotoError
 *
 * Limits the rows that follow to some columns.
 */
gboolean
shim_jpeg_crop (ShimJpeg *self, int *x, int *width, GError **error)
{
  JDIMENSION first = (JDIMENSION) *x;
  JDIMENSION n = (JDIMENSION) *width;

  if (setjmp (self->trap) != 0)
    return report (self, error);

  jpeg_crop_scanline (&self->cinfo, &first, &n);
  *x = (int) first;
  *width = (int) n;
  return TRUE;
}

/* Passes over @n_rows rows without making pixels of them. */
gboolean
shim_jpeg_skip_rows (ShimJpeg *self, int n_rows, GError **error)
{
  if (g_cancellable_set_error_if_cancelled (self->cancellable, error))
    return FALSE;
  if (setjmp (self->trap) != 0)
    return report (self, error);

  jpeg_skip_scanlines (&self->cinfo, (JDIMENSION) n_rows);
  return TRUE;
}

/* The next @n_rows rows, all of them or an error. */
gboolean
shim_jpeg_read_rows (ShimJpeg *self, guint8 *rows, gsize stride, int n_rows, GError **error)
{
  JDIMENSION end = self->cinfo.output_scanline + (JDIMENSION) n_rows;
  JDIMENSION start = self->cinfo.output_scanline;

  g_return_val_if_fail (end <= self->cinfo.output_height, FALSE);

  if (g_cancellable_set_error_if_cancelled (self->cancellable, error))
    return FALSE;
  if (setjmp (self->trap) != 0)
    return report (self, error);

  while (self->cinfo.output_scanline < end)
    {
      JSAMPROW pointers[ROWS_AT_ONCE];
      JDIMENSION n = MIN (end - self->cinfo.output_scanline, ROWS_AT_ONCE);

      for (JDIMENSION i = 0; i < n; i++)
        pointers[i] = rows + (gsize) (self->cinfo.output_scanline - start + i) * stride;
      jpeg_read_scanlines (&self->cinfo, pointers, n);
    }
  return TRUE;
}

/**
 * shim_jpeg_check_complete:
 * @self: a started decoder, at any row
 * @error: #ShimPhotoError
 *
 * Returns: whether the file holds the rest of the picture, too; see shim_jpeg_source_check_complete()
 */
gboolean
shim_jpeg_check_complete (ShimJpeg *self, GError **error)
{
  /* The decoder reads ahead up to a marker: where that is the end of the picture, it was seen. */
  if (!self->at_end && (jpeg_input_complete (&self->cinfo) || self->cinfo.unread_marker == JPEG_EOI))
    return TRUE;
  if (self->at_end)
    {
      shim_jpeg_source_set_cut_short (self->source, error);
      return FALSE;
    }
  return shim_jpeg_source_check_complete (self->source, self->position - (goffset) self->src.bytes_in_buffer,
                                          self->cancellable, error);
}
