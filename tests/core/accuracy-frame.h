/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-render.h"
#include "frame-truth.h"
#include "shim-frame-measure.h"

/**
 * AccuracyFrame:
 *
 * A frame of known truth, and what was measured on it with the target line given and nothing else.
 * @scene: what it shows
 * @truth: what should come out
 * @path: its file
 * @keep: whether the file is left behind, and used again when it is there
 * @measurement: (nullable): what came out; %NULL while nothing did
 */
typedef struct
{
  FrameScene scene;
  FrameTruth truth;
  char *path;
  gboolean keep;
  ShimMeasurement *measurement;
} AccuracyFrame;

/**
 * AccuracyVerdict:
 * @ACCURACY_MEASURED: a number
 * @ACCURACY_REFUSED: refused, on the ruler or without a side
 * @ACCURACY_SIDE_RIGHT: refused as off the ruler, to the right side, with a bound that holds if there is one
 * @ACCURACY_SIDE_WRONG: refused as off the ruler to the wrong side, or when it is on the ruler
 * @ACCURACY_BOUND_WRONG: the right side, but not as far as was said
 */
typedef enum
{
  ACCURACY_MEASURED,
  ACCURACY_REFUSED,
  ACCURACY_SIDE_RIGHT,
  ACCURACY_SIDE_WRONG,
  ACCURACY_BOUND_WRONG,
} AccuracyVerdict;

AccuracyFrame  *accuracy_frame_new              (const char *set, guint32 seed, int index, gboolean whole);
void            accuracy_frame_free             (AccuracyFrame *self);
void            accuracy_frame_run              (AccuracyFrame *self);
AccuracyVerdict accuracy_frame_judge            (const AccuracyFrame *self);
double          accuracy_frame_error_mm         (const AccuracyFrame *self);
double          accuracy_frame_depth_of_field_mm (const AccuracyFrame *self);
void            accuracy_frame_print            (const AccuracyFrame *self);
