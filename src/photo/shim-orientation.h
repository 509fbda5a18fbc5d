/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include "shim-geometry.h"
#include "shim-luma.h"

G_BEGIN_DECLS

/**
 * ShimOrientation:
 *
 * How the stored rows and columns of a photograph have to be turned to stand upright: the values 1 to 8 of the Exif
 * tag Orientation (0x0112). The names say what turns the STORED picture upright.
 *
 * "Stored" is the frame of the pixels in the file, "upright" the frame a person sees; both count from the top-left
 * corner of their first pixel.
 */
typedef enum
{
  SHIM_ORIENTATION_NORMAL = 1,
  SHIM_ORIENTATION_MIRROR = 2,                /* mirror left and right */
  SHIM_ORIENTATION_TURN_180 = 3,
  SHIM_ORIENTATION_MIRROR_VERTICAL = 4,       /* mirror top and bottom */
  SHIM_ORIENTATION_TRANSPOSE = 5,             /* mirror at the falling diagonal */
  SHIM_ORIENTATION_TURN_RIGHT = 6,            /* a quarter turn clockwise */
  SHIM_ORIENTATION_TRANSVERSE = 7,            /* mirror at the rising diagonal */
  SHIM_ORIENTATION_TURN_LEFT = 8,             /* a quarter turn anticlockwise */
} ShimOrientation;

gboolean    shim_orientation_swaps_axes     (ShimOrientation orientation) G_GNUC_CONST;
void        shim_orientation_upright_size   (ShimOrientation orientation, int stored_width, int stored_height,
                                             int *upright_width, int *upright_height);
ShimPoint   shim_orientation_point_to_upright (ShimOrientation orientation, int stored_width, int stored_height,
                                               ShimPoint stored_px);
ShimPoint   shim_orientation_point_to_stored  (ShimOrientation orientation, int stored_width, int stored_height,
                                               ShimPoint upright_px);
ShimRect    shim_orientation_rect_to_upright  (ShimOrientation orientation, int stored_width, int stored_height,
                                               const ShimRect *stored);
ShimRect    shim_orientation_rect_to_stored   (ShimOrientation orientation, int stored_width, int stored_height,
                                               const ShimRect *upright);
ShimFarSide shim_orientation_side_to_upright  (ShimOrientation orientation, ShimFarSide stored_side);
ShimFarSide shim_orientation_side_to_stored   (ShimOrientation orientation, ShimFarSide upright_side);

G_END_DECLS
