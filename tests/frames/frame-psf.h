/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define FRAME_MAX_DISCS 32

/**
 * FrameDisc:
 *
 * One uniform disc of a point's image.
 * @radius: pixels
 * @growth: change of @radius per pixel down the picture
 * @weight: its share of the light; rings are differences of discs, so single weights may be negative
 */
typedef struct
{
  double radius;
  double growth;
  double weight;
} FrameDisc;

int   frame_psf_discs  (double radius, double growth, double aberration, FrameDisc discs[FRAME_MAX_DISCS]);
double frame_psf_strip (double radius, double low, double high, double *half_width);
float *frame_psf_taps  (double sigma, double shift, int over, int *first, int *count);

G_END_DECLS
