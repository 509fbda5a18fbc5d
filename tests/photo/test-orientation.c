/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "shim-orientation.h"

/* A stored picture of 6 × 4 pixels, and where its first pixel, and the pixel to the right of it, must be seen.
 * CIPA DC-008, tag Orientation: "the 0th row is at the visual ..., the 0th column at the visual ..." (from memory):
 * 1 top/left, 2 top/right, 3 bottom/right, 4 bottom/left, 5 left/top, 6 right/top, 7 right/bottom, 8 left/bottom. */
static const struct
{
  ShimOrientation orientation;
  ShimFarSide row_0;
  ShimFarSide column_0;
} cases[] = {
  { SHIM_ORIENTATION_NORMAL, SHIM_FAR_UP, SHIM_FAR_LEFT },
  { SHIM_ORIENTATION_MIRROR, SHIM_FAR_UP, SHIM_FAR_RIGHT },
  { SHIM_ORIENTATION_TURN_180, SHIM_FAR_DOWN, SHIM_FAR_RIGHT },
  { SHIM_ORIENTATION_MIRROR_VERTICAL, SHIM_FAR_DOWN, SHIM_FAR_LEFT },
  { SHIM_ORIENTATION_TRANSPOSE, SHIM_FAR_LEFT, SHIM_FAR_UP },
  { SHIM_ORIENTATION_TURN_RIGHT, SHIM_FAR_RIGHT, SHIM_FAR_UP },
  { SHIM_ORIENTATION_TRANSVERSE, SHIM_FAR_RIGHT, SHIM_FAR_DOWN },
  { SHIM_ORIENTATION_TURN_LEFT, SHIM_FAR_LEFT, SHIM_FAR_DOWN },
};

#define STORED_WIDTH 6
#define STORED_HEIGHT 4

/* Which side of an upright picture of this size a point lies on, when it lies on the edge. */
static gboolean
is_at (ShimPoint p, ShimFarSide side, int width, int height)
{
  switch (side)
    {
    case SHIM_FAR_UP:
      return p.y == 0;
    case SHIM_FAR_DOWN:
      return p.y == height;
    case SHIM_FAR_LEFT:
      return p.x == 0;
    case SHIM_FAR_RIGHT:
      return p.x == width;
    case SHIM_FAR_UNKNOWN:
    default:
      return FALSE;
    }
}

static void
test_standard (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      ShimOrientation o = cases[i].orientation;
      ShimPoint corner = shim_orientation_point_to_upright (o, STORED_WIDTH, STORED_HEIGHT, (ShimPoint) { 0, 0 });
      ShimPoint on_row_0 = shim_orientation_point_to_upright (o, STORED_WIDTH, STORED_HEIGHT, (ShimPoint) { 2.25, 0 });
      ShimPoint on_column_0 = shim_orientation_point_to_upright (o, STORED_WIDTH, STORED_HEIGHT, (ShimPoint) { 0, 1.5 });
      int width, height;

      g_test_message ("orientation %d", o);
      shim_orientation_upright_size (o, STORED_WIDTH, STORED_HEIGHT, &width, &height);
      g_assert_cmpint (width, ==, o >= 5 ? STORED_HEIGHT : STORED_WIDTH);
      g_assert_cmpint (height, ==, o >= 5 ? STORED_WIDTH : STORED_HEIGHT);
      g_assert_cmpint (shim_orientation_swaps_axes (o), ==, o >= 5);
      g_assert_true (is_at (corner, cases[i].row_0, width, height));
      g_assert_true (is_at (corner, cases[i].column_0, width, height));
      g_assert_true (is_at (on_row_0, cases[i].row_0, width, height));
      g_assert_true (is_at (on_column_0, cases[i].column_0, width, height));
      g_assert_false (is_at (on_column_0, cases[i].row_0, width, height));
      g_assert_cmpint (shim_orientation_side_to_upright (o, SHIM_FAR_UP), ==, cases[i].row_0);
      g_assert_cmpint (shim_orientation_side_to_upright (o, SHIM_FAR_LEFT), ==, cases[i].column_0);
    }
}

static void
test_there_and_back (void)
{
  for (int o = 1; o <= 8; o++)
    for (double x = 0; x <= STORED_WIDTH; x += 0.75)
      for (double y = 0; y <= STORED_HEIGHT; y += 0.75)
        {
          ShimPoint upright = shim_orientation_point_to_upright (o, STORED_WIDTH, STORED_HEIGHT, (ShimPoint) { x, y });
          ShimPoint back = shim_orientation_point_to_stored (o, STORED_WIDTH, STORED_HEIGHT, upright);

          g_assert_cmpfloat (back.x, ==, x);
          g_assert_cmpfloat (back.y, ==, y);
        }
}

static void
test_rects (void)
{
  const ShimRect stored = { 1, 2, 4, 1 };

  for (int o = 1; o <= 8; o++)
    {
      ShimRect upright = shim_orientation_rect_to_upright (o, STORED_WIDTH, STORED_HEIGHT, &stored);
      ShimRect back = shim_orientation_rect_to_stored (o, STORED_WIDTH, STORED_HEIGHT, &upright);
      ShimPoint middle = shim_orientation_point_to_upright (o, STORED_WIDTH, STORED_HEIGHT, (ShimPoint) { 3.0, 2.5 });

      g_assert_cmpint (upright.width, ==, o >= 5 ? 1 : 4);
      g_assert_cmpint (upright.height, ==, o >= 5 ? 4 : 1);
      g_assert_cmpfloat (upright.x + upright.width / 2.0, ==, middle.x);
      g_assert_cmpfloat (upright.y + upright.height / 2.0, ==, middle.y);
      g_assert_cmpmem (&back, sizeof back, &stored, sizeof stored);
    }
}

static void
test_sides (void)
{
  for (int o = 1; o <= 8; o++)
    for (int side = SHIM_FAR_UNKNOWN; side <= SHIM_FAR_RIGHT; side++)
      g_assert_cmpint (shim_orientation_side_to_stored (o, shim_orientation_side_to_upright (o, side)), ==, side);

  /* A camera held upright by a quarter turn: what is stored at the left is seen at the top (6) or at the bottom
   * (8). */
  g_assert_cmpint (shim_orientation_side_to_upright (SHIM_ORIENTATION_TURN_RIGHT, SHIM_FAR_LEFT), ==, SHIM_FAR_UP);
  g_assert_cmpint (shim_orientation_side_to_upright (SHIM_ORIENTATION_TURN_LEFT, SHIM_FAR_LEFT), ==, SHIM_FAR_DOWN);
}

static void
test_nonsense (void)
{
  ShimPoint p = shim_orientation_point_to_upright ((ShimOrientation) 77, STORED_WIDTH, STORED_HEIGHT, (ShimPoint) { 1, 3 });

  g_assert_cmpfloat (p.x, ==, 1);
  g_assert_cmpfloat (p.y, ==, 3);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/photo/orientation/standard", test_standard);
  g_test_add_func ("/photo/orientation/there-and-back", test_there_and_back);
  g_test_add_func ("/photo/orientation/rects", test_rects);
  g_test_add_func ("/photo/orientation/sides", test_sides);
  g_test_add_func ("/photo/orientation/nonsense", test_nonsense);
  return g_test_run ();
}
