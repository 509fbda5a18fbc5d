/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "shim-frame-carry.h"
#include "shim-frame-measure-private.h"
#include "shim-frame-shift.h"
#include "shim-measure.h"
#include "shim-photo-error.h"
#include "shim-photo-private.h"
#include "shim-turn.h"

/* A camera on a tripod that is only focused anew stays within this. */
#define STILL_PX 3.0

struct _ShimFrameAnchor
{
  ShimPoint strip_a_px;
  ShimPoint strip_b_px;
  double strip_width_px;
  ShimPoint target_px;
  ShimFarSide far_side;
  ShimLuma luma;
  guint8 *px;
};

/**
 * shim_frame_anchor_free:
 * @self: (transfer full) (nullable): a marked frame
 */
void
shim_frame_anchor_free (ShimFrameAnchor *self)
{
  if (self == NULL)
    return;
  g_free (self->px);
  g_free (self);
}

static gboolean
decode_evidence (ShimFrameAnchor *self, GBytes *evidence, GError **error)
{
  const ShimJpegSource source = { .fd = -1, .bytes = evidence, .name = "evidence" };
  g_autoptr (ShimJpeg) jpeg = shim_jpeg_open (&source, &shim_jpeg_default_limits, NULL, error);
  ShimRect *rect = &self->luma.rect;

  if (jpeg == NULL)
    return FALSE;
  if (!shim_frame_evidence_rect (evidence, rect, &self->luma.picture_width, &self->luma.picture_height))
    {
      g_set_error_literal (error, SHIM_PHOTO_ERROR, SHIM_PHOTO_ERROR_DAMAGED,
                           "The stored strip of the marked frame does not say where it was cut. Mark this frame itself.");
      return FALSE;
    }
  self->px = g_malloc ((gsize) rect->width * rect->height);
  self->luma.px = self->px;
  self->luma.stride = (gsize) rect->width;
  return shim_jpeg_start (jpeg, SHIM_JPEG_LUMA, 1, error)
         && shim_jpeg_read_rows (jpeg, self->px, self->luma.stride, rect->height, error);
}

/**
 * shim_frame_anchor_new:
 * @evidence: the marked frame's evidence, as from shim_frame_evidence()
 * @marks: its measurement: the strip, and the target line where there is one
 * @error: #ShimPhotoError
 *
 * Returns: (transfer full) (nullable): the marked frame
 */
ShimFrameAnchor *
shim_frame_anchor_new (GBytes *evidence, const ShimMeasurement *marks, GError **error)
{
  g_autoptr (ShimFrameAnchor) self = g_new0 (ShimFrameAnchor, 1);

  g_return_val_if_fail (evidence != NULL && marks != NULL, NULL);

  self->strip_a_px = marks->strip_a_px;
  self->strip_b_px = marks->strip_b_px;
  self->strip_width_px = marks->strip_width_px;
  self->target_px = marks->target_px;
  self->far_side = marks->far_side;
  return decode_evidence (self, evidence, error) ? g_steal_pointer (&self) : NULL;
}

/* --- finding it in another frame --- */

static ShimRect
grow (ShimRect rect, int by_px, int width, int height)
{
  const int x0 = MAX (rect.x - by_px, 0), y0 = MAX (rect.y - by_px, 0);
  const int x1 = MIN (rect.x + rect.width + by_px, width), y1 = MIN (rect.y + rect.height + by_px, height);

  return (ShimRect) { x0, y0, x1 - x0, y1 - y0 };
}

static ShimRect
unite (ShimRect a, ShimRect b)
{
  const int x0 = MIN (a.x, b.x), y0 = MIN (a.y, b.y);
  const int x1 = MAX (a.x + a.width, b.x + b.width), y1 = MAX (a.y + a.height, b.y + b.height);

  return (ShimRect) { x0, y0, x1 - x0, y1 - y0 };
}

/* One frame that the marks are carried over to. */
typedef struct
{
  ShimPhoto *photo;
  const ShimFrameAnchor *anchor;
  ShimMeasureRequest request;   /* in the upright picture */
  gboolean carries_strip;
  gboolean carries_target;
  ShimLumaBlock *block;         /* what was decoded for it */
  ShimFrameShift shift;
} Carrying;

static gboolean
has_same_size (const Carrying *self)
{
  const ShimMetadata *metadata = self->photo->metadata;

  return metadata->width_px == self->anchor->luma.picture_width
         && metadata->height_px == self->anchor->luma.picture_height;
}

static void
take_marks (Carrying *self)
{
  ShimMeasureRequest *request = &self->request;

  if (self->carries_strip)
    {
      request->has_strip = TRUE;
      request->strip_a_px = self->anchor->strip_a_px;
      request->strip_b_px = self->anchor->strip_b_px;
      if (isnan (request->strip_width_px))
        request->strip_width_px = self->anchor->strip_width_px;
      if (request->far_side == SHIM_FAR_UNKNOWN)
        request->far_side = self->anchor->far_side;
    }
  if (self->carries_target)
    {
      request->has_target = TRUE;
      request->target_px = self->anchor->target_px;
    }
}

static void
move_marks (Carrying *self)
{
  ShimMeasureRequest *request = &self->request;

  if (self->carries_strip)
    {
      request->strip_a_px = shim_frame_shift_apply (&self->shift, request->strip_a_px);
      request->strip_b_px = shim_frame_shift_apply (&self->shift, request->strip_b_px);
    }
  if (self->carries_target)
    request->target_px = shim_frame_shift_apply (&self->shift, request->target_px);
}

/* The piece to look in, and that of the strip where it lay, so that the measurement need not decode again. */
static gboolean
decode_around (Carrying *self, const ShimRect *upright, GCancellable *cancellable, GError **error)
{
  ShimPhoto *photo = self->photo;
  ShimRect stored = shim_orientation_rect_to_stored (photo->metadata->orientation, photo->width, photo->height, upright);
  ShimMeasureRequest known;
  ShimRect strip;

  _shim_frame_prepare (photo, &self->request, &known);
  if (shim_measure_rect (&known, photo->width, photo->height, &strip))
    stored = unite (stored, strip);
  self->block = shim_luma_read_rect (photo, &stored, cancellable, error);
  return self->block != NULL;
}

/* Whether the marked frame's piece is in this frame too, and where; FALSE with @error when it cannot be read. */
static gboolean
find_shift (Carrying *self, GCancellable *cancellable, GError **error)
{
  const ShimLuma *before = &self->anchor->luma;
  const ShimRect upright = grow (before->rect, SHIM_FRAME_SHIFT_REACH_PX, before->picture_width, before->picture_height);
  g_autofree guint8 *px = NULL;
  ShimLuma after;

  if (!has_same_size (self) || !decode_around (self, &upright, cancellable, error))
    return FALSE;
  px = shim_turn_pixels_upright (self->photo, self->block->luma.px, &self->block->luma.rect, self->block->luma.stride, 1,
                                 &upright);
  after = (ShimLuma) { .rect = upright, .picture_width = before->picture_width,
                       .picture_height = before->picture_height, .stride = (gsize) upright.width, .px = px };
  return shim_frame_shift_find (before, &after, &self->shift);
}

static ShimMeasurement *
measure_upright (const Carrying *self, const ShimMeasureRequest *request, GCancellable *cancellable, GError **error)
{
  ShimMeasureRequest known;

  _shim_frame_prepare (self->photo, request, &known);
  return _shim_frame_measure_known (self->photo, &known, self->block, FALSE, cancellable, error);
}

/* --- what it says on the frame --- */

/* The target line is no surer than the shift that put it there. */
static void
add_doubt (ShimMeasurement *measurement, double se_px)
{
  const double doubt_mm = se_px * measurement->mm_per_px * cos (measurement->angle_deg * G_PI / 180.0);

  if (measurement->refusal == SHIM_REFUSAL_NONE && isfinite (doubt_mm))
    measurement->offset_se_mm = hypot (measurement->offset_se_mm, doubt_mm);
}

static void
note_shift (const Carrying *self, ShimMeasurement *measurement)
{
  const ShimFrameAnchor *anchor = self->anchor;
  const ShimPoint from = isfinite (anchor->target_px.x) ? anchor->target_px : self->shift.middle_px;
  const ShimPoint to = shim_frame_shift_apply (&self->shift, from);
  const double half = 0.5 * hypot (anchor->strip_b_px.x - anchor->strip_a_px.x,
                                   anchor->strip_b_px.y - anchor->strip_a_px.y);
  const double moved = shim_frame_shift_movement_px (&self->shift, anchor->luma.picture_width,
                                                     anchor->luma.picture_height, half);

  measurement->shift_x_px = to.x - from.x;
  measurement->shift_y_px = to.y - from.y;
  measurement->shift_se_px = self->shift.se_px;
  measurement->shift_turn_deg = self->shift.turn_rad * 180.0 / G_PI;
  measurement->shift_growth = self->shift.growth;
  measurement->marks = moved > STILL_PX ? SHIM_MARKS_MOVED : SHIM_MARKS_CARRIED;
  if (self->carries_target)
    add_doubt (measurement, self->shift.se_px);
  if (measurement->marks == SHIM_MARKS_MOVED)
    shim_measurement_warn (measurement,
                           "The camera or the ruler moved by %.0f pixels since the frame that was marked. The target "
                           "line was carried along: see that it is still level with the target's face.", moved);
}

static void
refuse_unmatched (const Carrying *self, ShimMeasurement *measurement)
{
  if (has_same_size (self))
    shim_measurement_refuse (measurement, SHIM_REFUSAL_MOVED,
                             "The camera or the ruler moved so far since the frame that was marked that its marks do "
                             "not fit here. Mark the target line anew on this frame.");
  else
    shim_measurement_refuse (measurement, SHIM_REFUSAL_MOVED,
                             "This frame is not of the size, or not held the way, of the frame that was marked, so that "
                             "its marks do not fit here. Mark the target line anew on this frame.");
  measurement->target_px = (ShimPoint) { NAN, NAN };
  measurement->target_reading_mm = NAN;
}

/* Ruler and target may be found without any marks: by the printed target, or when the target line was given. What
 * makes a frame useless in itself says more than that the marks do not fit. */
static ShimMeasurement *
measure_unmatched (const Carrying *self, const ShimMeasureRequest *request, GCancellable *cancellable, GError **error)
{
  ShimMeasurement *measurement = measure_upright (self, request, cancellable, error);

  if (measurement == NULL)
    return NULL;
  if (measurement->refusal == SHIM_REFUSAL_NONE)
    shim_measurement_warn (measurement, "The marks of the frame before did not fit any more: the camera or the ruler "
                                        "moved. They were found anew.");
  else
    {
      measurement->marks = SHIM_MARKS_UNMATCHED;
      if (!request->has_target && measurement->refusal != SHIM_REFUSAL_CLIPPED && measurement->refusal != SHIM_REFUSAL_TOO_DARK
          && measurement->refusal != SHIM_REFUSAL_SHAKEN)
        refuse_unmatched (self, measurement);
    }
  return measurement;
}

/**
 * shim_frame_measure_carried:
 * @photo: a photograph
 * @anchor: a frame of the same set-up that has marks
 * @request: (nullable): what is known of @photo itself; what it says of strip and target line goes before @anchor
 * @cancellable: (nullable): polled for each block of rows
 * @error: #ShimPhotoError; G_IO_ERROR_CANCELLED
 *
 * Measures a frame with the strip and the target line of another, moved by how far the picture moved in between. A camera
 * that moved by more than a few pixels is said in a warning; where the marked frame cannot be made out at all, and
 * nothing else tells where the target is, the frame is refused as %SHIM_REFUSAL_MOVED.
 *
 * Returns: (transfer full) (nullable): the measurement, which may be a refusal; %NULL when the file cannot be read
 */
ShimMeasurement *
shim_frame_measure_carried (ShimPhoto *photo, const ShimFrameAnchor *anchor, const ShimMeasureRequest *request,
                            GCancellable *cancellable, GError **error)
{
  Carrying self = { .photo = photo, .anchor = anchor };
  ShimMeasurement *measurement = NULL;
  g_autoptr (GError) read_error = NULL;
  ShimMeasureRequest given;

  g_return_val_if_fail (photo != NULL && anchor != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  shim_measure_request_init (&given);
  if (request != NULL)
    given = *request;
  self.request = given;
  self.carries_strip = !given.has_strip && !given.has_click;
  self.carries_target = !given.has_target && isfinite (anchor->target_px.x);
  if (!self.carries_strip && !self.carries_target)
    return shim_frame_measure_photo (photo, request, cancellable, error);
  take_marks (&self);
  if (find_shift (&self, cancellable, &read_error))
    {
      move_marks (&self);
      measurement = measure_upright (&self, &self.request, cancellable, error);
      if (measurement != NULL)
        note_shift (&self, measurement);
    }
  else if (read_error != NULL)
    g_propagate_error (error, g_steal_pointer (&read_error));
  else
    measurement = measure_unmatched (&self, &given, cancellable, error);
  g_clear_pointer (&self.block, shim_luma_block_free);
  return measurement;
}
