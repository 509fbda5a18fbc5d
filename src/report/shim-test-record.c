/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-test-record.h"

static void
line_free (ShimRecordLine *line)
{
  g_free (line->label);
  g_free (line->value);
  g_free (line);
}

static void
frame_free (ShimRecordFrame *frame)
{
  g_free (frame->name);
  g_free (frame->taken);
  g_free (frame->remark);
  g_clear_pointer (&frame->evidence, g_bytes_unref);
  g_free (frame);
}

static void
round_free (ShimRecordRound *round)
{
  g_ptr_array_unref (round->frames);
  g_free (round);
}

/**
 * shim_test_record_new:
 *
 * Returns: (transfer full): a record with nothing in it
 */
ShimTestRecord *
shim_test_record_new (void)
{
  ShimTestRecord *self = g_new0 (ShimTestRecord, 1);

  self->items = g_ptr_array_new_with_free_func ((GDestroyNotify) line_free);
  self->set_up = g_ptr_array_new_with_free_func ((GDestroyNotify) line_free);
  self->decisions = g_ptr_array_new_with_free_func ((GDestroyNotify) line_free);
  self->rounds = g_ptr_array_new_with_free_func ((GDestroyNotify) round_free);
  self->tolerance_mm = NAN;
  self->decided = SHIM_NO_INT;
  self->cautions = g_new0 (char *, 1);
  return self;
}

/**
 * shim_test_record_free:
 * @self: (transfer full) (nullable): a record
 */
void
shim_test_record_free (ShimTestRecord *self)
{
  if (self == NULL)
    return;
  g_free (self->title);
  g_free (self->started_at);
  g_clear_pointer (&self->made_at, g_date_time_unref);
  g_ptr_array_unref (self->items);
  g_ptr_array_unref (self->set_up);
  g_ptr_array_unref (self->decisions);
  g_ptr_array_unref (self->rounds);
  g_free (self->advice);
  g_strfreev (self->cautions);
  g_free (self);
}

/**
 * shim_test_record_add_line:
 * @lines: (element-type ShimRecordLine): a list of the record
 * @label: what it is
 * @value: (transfer full) (nullable): its value; %NULL or nothing in it leaves the line out
 */
void
shim_test_record_add_line (GPtrArray *lines, const char *label, char *value)
{
  ShimRecordLine *line;

  g_return_if_fail (lines != NULL && label != NULL);

  if (value == NULL || *value == '\0')
    {
      g_free (value);
      return;
    }
  line = g_new0 (ShimRecordLine, 1);
  line->label = g_strdup (label);
  line->value = value;
  g_ptr_array_add (lines, line);
}

/**
 * shim_test_record_add_round:
 * @self: a record
 *
 * Returns: (transfer none): a new round at its end, to be filled in
 */
ShimRecordRound *
shim_test_record_add_round (ShimTestRecord *self)
{
  ShimRecordRound *round;

  g_return_val_if_fail (self != NULL, NULL);

  round = g_new0 (ShimRecordRound, 1);
  round->setting = SHIM_NO_INT;
  round->frames = g_ptr_array_new_with_free_func ((GDestroyNotify) frame_free);
  g_ptr_array_add (self->rounds, round);
  return round;
}

/**
 * shim_record_round_add:
 * @self: a round
 *
 * Returns: (transfer none): a new frame at its end, to be filled in
 */
ShimRecordFrame *
shim_record_round_add (ShimRecordRound *self)
{
  const ShimPoint nowhere = { NAN, NAN };
  ShimRecordFrame *frame;

  g_return_val_if_fail (self != NULL, NULL);

  frame = g_new0 (ShimRecordFrame, 1);
  frame->offset_mm = frame->offset_se_mm = NAN;
  frame->target_px = frame->sharp_px = frame->along_px = nowhere;
  g_ptr_array_add (self->frames, frame);
  return frame;
}
