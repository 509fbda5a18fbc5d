/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-scene.h"

#include <stdio.h>

G_BEGIN_DECLS

/**
 * FramePoint:
 *
 * Pixels; (0, 0) is the top-left corner of the first pixel.
 */
typedef struct
{
  double x;
  double y;
} FramePoint;

/**
 * FrameMark:
 *
 * A point on the tick edge.
 * @reading_mm: its reading
 * @stored: where it is in the pixels as stored
 * @upright: where it is for a reader that honours the Exif orientation
 */
typedef struct
{
  double reading_mm;
  FramePoint stored;
  FramePoint upright;
} FrameMark;

/**
 * FrameTruth:
 *
 * What a measurement of a frame ought to find.
 * @delta_mm: the offset: sharp plane less target face, + = past the target
 * @on_ruler: whether the sharp line lies between the first and the last tick
 * @orientation: Exif orientation as recorded
 * @stored_width: pixels
 * @stored_height: pixels
 * @aligned: the target line
 * @near_end: the first or last tick, whichever is nearer to the camera
 * @far_end: the other one
 * @mark1: a point at a sixth of the ruler
 * @mark2: a point at five sixths
 * @sharp: the sharp line; beyond the ruler when not @on_ruler
 */
typedef struct
{
  double delta_mm;
  gboolean on_ruler;
  int orientation;
  int stored_width;
  int stored_height;
  FrameMark aligned;
  FrameMark near_end;
  FrameMark far_end;
  FrameMark mark1;
  FrameMark mark2;
  FrameMark sharp;
} FrameTruth;

void frame_truth_compute (const FrameScene *scene, FrameTruth *truth);
void frame_truth_mark    (const FrameScene *scene, double reading_mm, FrameMark *mark);
void frame_truth_header  (FILE *csv);
void frame_truth_row     (FILE *csv, const char *file, const FrameScene *scene, const char *setting, const char *run,
                          const char *notes);

G_END_DECLS
