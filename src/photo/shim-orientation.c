/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-orientation.h"

/* Every orientation is: mirror the stored picture, then perhaps exchange rows and columns. Values from the
 * definition of the tag in CIPA DC-008 (which row and column of the file is the upright picture's top and left),
 * from memory. */
typedef struct
{
  gboolean flip_x;
  gboolean flip_y;
  gboolean swap;
} Turn;

static const Turn turns[] = {
  [SHIM_ORIENTATION_NORMAL] = { FALSE, FALSE, FALSE },
  [SHIM_ORIENTATION_MIRROR] = { TRUE, FALSE, FALSE },
  [SHIM_ORIENTATION_TURN_180] = { TRUE, TRUE, FALSE },
  [SHIM_ORIENTATION_MIRROR_VERTICAL] = { FALSE, TRUE, FALSE },
  [SHIM_ORIENTATION_TRANSPOSE] = { FALSE, FALSE, TRUE },
  [SHIM_ORIENTATION_TURN_RIGHT] = { FALSE, TRUE, TRUE },
  [SHIM_ORIENTATION_TRANSVERSE] = { TRUE, TRUE, TRUE },
  [SHIM_ORIENTATION_TURN_LEFT] = { TRUE, FALSE, TRUE },
};

static const Turn *
turn_of (ShimOrientation orientation)
{
  if (orientation < SHIM_ORIENTATION_NORMAL || orientation > SHIM_ORIENTATION_TURN_LEFT)
    return &turns[SHIM_ORIENTATION_NORMAL];
  return &turns[orientation];
}

/**
 * shim_orientation_swaps_axes:
 * @orientation: an orientation
 *
 * Returns: whether stored rows become upright columns, so that width and height change places
 */
gboolean
shim_orientation_swaps_axes (ShimOrientation orientation)
{
  return turn_of (orientation)->swap;
}

/**
 * shim_orientation_upright_size:
 * @orientation: an orientation
 * @stored_width: columns in the file
 * @stored_height: rows in the file
 * @upright_width: (out): columns of the upright picture
 * @upright_height: (out): its rows
 */
void
shim_orientation_upright_size (ShimOrientation orientation, int stored_width, int stored_height, int *upright_width,
                               int *upright_height)
{
  gboolean swap = turn_of (orientation)->swap;

  g_return_if_fail (upright_width != NULL && upright_height != NULL);

  *upright_width = swap ? stored_height : stored_width;
  *upright_height = swap ? stored_width : stored_height;
}

/**
 * shim_orientation_point_to_upright:
 * @orientation: an orientation
 * @stored_width: columns in the file
 * @stored_height: rows in the file
 * @stored_px: a place in the stored picture
 *
 * Returns: the same place in the upright picture
 */
ShimPoint
shim_orientation_point_to_upright (ShimOrientation orientation, int stored_width, int stored_height,
                                   ShimPoint stored_px)
{
  const Turn *turn = turn_of (orientation);
  double x = turn->flip_x ? stored_width - stored_px.x : stored_px.x;
  double y = turn->flip_y ? stored_height - stored_px.y : stored_px.y;

  return turn->swap ? (ShimPoint) { y, x } : (ShimPoint) { x, y };
}

/**
 * shim_orientation_point_to_stored:
 * @orientation: an orientation
 * @stored_width: columns in the file
 * @stored_height: rows in the file
 * @upright_px: a place in the upright picture
 *
 * Returns: the same place in the stored picture
 */
ShimPoint
shim_orientation_point_to_stored (ShimOrientation orientation, int stored_width, int stored_height,
                                  ShimPoint upright_px)
{
  const Turn *turn = turn_of (orientation);
  double x = turn->swap ? upright_px.y : upright_px.x;
  double y = turn->swap ? upright_px.x : upright_px.y;

  return (ShimPoint) { turn->flip_x ? stored_width - x : x, turn->flip_y ? stored_height - y : y };
}

/* The rectangle between two corners, whichever they are. Corners of whole pixels stay whole under every turn. */
static ShimRect
rect_between (ShimPoint a, ShimPoint b)
{
  return (ShimRect) { (int) MIN (a.x, b.x), (int) MIN (a.y, b.y), (int) ABS (b.x - a.x), (int) ABS (b.y - a.y) };
}

/**
 * shim_orientation_rect_to_upright:
 * @orientation: an orientation
 * @stored_width: columns in the file
 * @stored_height: rows in the file
 * @stored: whole pixels of the stored picture
 *
 * Returns: the same pixels in the upright picture
 */
ShimRect
shim_orientation_rect_to_upright (ShimOrientation orientation, int stored_width, int stored_height,
                                  const ShimRect *stored)
{
  ShimPoint a, b;

  g_return_val_if_fail (stored != NULL, ((ShimRect) { 0 }));

  a = (ShimPoint) { stored->x, stored->y };
  b = (ShimPoint) { (double) stored->x + stored->width, (double) stored->y + stored->height };
  return rect_between (shim_orientation_point_to_upright (orientation, stored_width, stored_height, a),
                       shim_orientation_point_to_upright (orientation, stored_width, stored_height, b));
}

/**
 * shim_orientation_rect_to_stored:
 * @orientation: an orientation
 * @stored_width: columns in the file
 * @stored_height: rows in the file
 * @upright: whole pixels of the upright picture
 *
 * Returns: the same pixels in the stored picture
 */
ShimRect
shim_orientation_rect_to_stored (ShimOrientation orientation, int stored_width, int stored_height,
                                 const ShimRect *upright)
{
  ShimPoint a, b;

  g_return_val_if_fail (upright != NULL, ((ShimRect) { 0 }));

  a = (ShimPoint) { upright->x, upright->y };
  b = (ShimPoint) { (double) upright->x + upright->width, (double) upright->y + upright->height };
  return rect_between (shim_orientation_point_to_stored (orientation, stored_width, stored_height, a),
                       shim_orientation_point_to_stored (orientation, stored_width, stored_height, b));
}

static const ShimPoint side_vectors[] = {
  [SHIM_FAR_UNKNOWN] = { 0, 0 },
  [SHIM_FAR_UP] = { 0, -1 },
  [SHIM_FAR_DOWN] = { 0, 1 },
  [SHIM_FAR_LEFT] = { -1, 0 },
  [SHIM_FAR_RIGHT] = { 1, 0 },
};

static ShimFarSide
side_of_vector (double dx, double dy)
{
  for (guint side = SHIM_FAR_UP; side < G_N_ELEMENTS (side_vectors); side++)
    if (dx * side_vectors[side].x + dy * side_vectors[side].y > 0.5)
      return (ShimFarSide) side;
  return SHIM_FAR_UNKNOWN;
}

/**
 * shim_orientation_side_to_upright:
 * @orientation: an orientation
 * @stored_side: a side of the stored picture
 *
 * Returns: which side of the upright picture that is; unknown stays unknown
 */
ShimFarSide
shim_orientation_side_to_upright (ShimOrientation orientation, ShimFarSide stored_side)
{
  ShimPoint to, from;

  g_return_val_if_fail ((guint) stored_side < G_N_ELEMENTS (side_vectors), SHIM_FAR_UNKNOWN);

  to = shim_orientation_point_to_upright (orientation, 0, 0, side_vectors[stored_side]);
  from = shim_orientation_point_to_upright (orientation, 0, 0, (ShimPoint) { 0, 0 });
  return side_of_vector (to.x - from.x, to.y - from.y);
}

/**
 * shim_orientation_side_to_stored:
 * @orientation: an orientation
 * @upright_side: a side of the upright picture
 *
 * Returns: which side of the stored picture that is; unknown stays unknown
 */
ShimFarSide
shim_orientation_side_to_stored (ShimOrientation orientation, ShimFarSide upright_side)
{
  ShimPoint to, from;

  g_return_val_if_fail ((guint) upright_side < G_N_ELEMENTS (side_vectors), SHIM_FAR_UNKNOWN);

  to = shim_orientation_point_to_stored (orientation, 0, 0, side_vectors[upright_side]);
  from = shim_orientation_point_to_stored (orientation, 0, 0, (ShimPoint) { 0, 0 });
  return side_of_vector (to.x - from.x, to.y - from.y);
}
