/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "frame-surface.h"

G_BEGIN_DECLS

/**
 * FrameBox:
 *
 * A part of the picture, pixels; the far borders are not in it.
 */
typedef struct
{
  int x0;
  int y0;
  int x1;
  int y1;
} FrameBox;

double frame_sensor_full_scale (const FrameScene *scene);
double frame_sensor_read_noise (void);
void   frame_sensor_develop    (const FrameScene *scene, GPtrArray *patches, const FrameBox *lively, guint8 *rgb);

G_END_DECLS
