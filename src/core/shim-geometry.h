/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * ShimPoint:
 * @x: pixels to the right
 * @y: pixels down
 *
 * A place in the upright picture (after its orientation is honoured), in pixels of the full-size picture.
 * (0, 0) is the top-left corner of the first pixel, so that pixel's centre is (0.5, 0.5).
 */
typedef struct
{
  double x;
  double y;
} ShimPoint;

/**
 * ShimFarSide:
 *
 * Towards which side of the upright picture the ruler runs away from the camera.
 */
typedef enum
{
  SHIM_FAR_UNKNOWN,
  SHIM_FAR_UP,
  SHIM_FAR_DOWN,
  SHIM_FAR_LEFT,
  SHIM_FAR_RIGHT,
} ShimFarSide;

G_END_DECLS
