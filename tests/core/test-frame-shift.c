/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <string.h>

#include "normal-numbers.h"
#include "shim-frame-shift.h"

/* Pictures of round spots, whose blur and place are known in closed form: a Gaussian spot of variance s² blurred by
 * a Gaussian of variance b² is one of variance s² + b², its height times s² / (s² + b²); none of the program's own
 * sampling is in it. */

#define WIDTH 200
#define HEIGHT 640
#define REACH SHIM_FRAME_SHIFT_REACH_PX
#define LEFT 900
#define TOP 500
#define PICTURE_WIDTH 2400
#define PICTURE_HEIGHT 1800
#define N_SPOTS 400

/* How the second frame differs from the first. */
typedef struct
{
  double dx_px;
  double dy_px;
  double turn_rad;
  double growth;
  double blur_before_px;
  double blur_after_px;
  double light;
  double noise;
  double covered; /* share of the piece under a hand, from the top */
} Case;

typedef struct
{
  double x;
  double y;
  double radius;
  double height;
} Spot;

static void
make_spots (Spot spots[N_SPOTS], guint32 seed)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (seed);

  for (int i = 0; i < N_SPOTS; i++)
    spots[i] = (Spot) {
      .x = g_rand_double_range (rand, LEFT - REACH, LEFT + WIDTH + REACH),
      .y = g_rand_double_range (rand, TOP - REACH, TOP + HEIGHT + REACH),
      .radius = g_rand_double_range (rand, 1.2, 4.0),
      .height = g_rand_double_range (rand, -0.6, 0.6),
    };
}

/* Where @case puts a place of the first frame, by its own formula. */
static void
move (const Case *c, double x, double y, double *to_x, double *to_y)
{
  const double mx = LEFT + WIDTH / 2.0, my = TOP + HEIGHT / 2.0;

  *to_x = mx + (1.0 + c->growth) * (x - mx) - c->turn_rad * (y - my) + c->dx_px;
  *to_y = my + (1.0 + c->growth) * (y - my) + c->turn_rad * (x - mx) + c->dy_px;
}

static void
add_spot (double *sum, const ShimRect *rect, const Spot *spot, double x, double y, double blur)
{
  const double own = spot->radius * spot->radius, variance = own + blur * blur;
  const int reach = (int) (4.0 * sqrt (variance)) + 1;

  for (int j = MAX ((int) y - reach, rect->y); j < MIN ((int) y + reach, rect->y + rect->height); j++)
    for (int i = MAX ((int) x - reach, rect->x); i < MIN ((int) x + reach, rect->x + rect->width); i++)
      sum[(gsize) (j - rect->y) * rect->width + (i - rect->x)] +=
        spot->height * own / variance * exp (-0.5 * (pow (i + 0.5 - x, 2) + pow (j + 0.5 - y, 2)) / variance);
}

static guint8 *
draw (const ShimRect *rect, const Spot spots[N_SPOTS], const Case *c, gboolean after, GRand *rand, ShimLuma *luma)
{
  const gsize n = (gsize) rect->width * rect->height;
  const double light = after ? c->light : 1.0;
  g_autofree double *sum = g_new0 (double, n);
  guint8 *px = g_malloc (n);

  for (int i = 0; i < N_SPOTS; i++)
    {
      double x = spots[i].x, y = spots[i].y;

      if (after)
        move (c, spots[i].x, spots[i].y, &x, &y);
      add_spot (sum, rect, &spots[i], x, y, after ? c->blur_after_px : c->blur_before_px);
    }
  for (gsize i = 0; i < n; i++)
    {
      const double grey = 110.0 * light * exp (CLAMP (sum[i], -2.0, 0.7)) + c->noise * normal_number (rand);

      px[i] = (guint8) CLAMP (lrint (grey), 0, 255);
    }
  *luma = (ShimLuma) { .rect = *rect, .picture_width = PICTURE_WIDTH, .picture_height = PICTURE_HEIGHT,
                       .stride = (gsize) rect->width, .px = px };
  return px;
}

static gboolean
find (const Case *c, guint32 seed_after, ShimFrameShift *shift)
{
  const ShimRect small = { LEFT, TOP, WIDTH, HEIGHT };
  const ShimRect large = { LEFT - REACH, TOP - REACH, WIDTH + 2 * REACH, HEIGHT + 2 * REACH };
  g_autoptr (GRand) rand = g_rand_new_with_seed (7);
  g_autofree guint8 *before_px = NULL;
  g_autofree guint8 *after_px = NULL;
  Spot before_spots[N_SPOTS], after_spots[N_SPOTS];
  ShimLuma before, after;

  make_spots (before_spots, 1);
  make_spots (after_spots, seed_after);
  before_px = draw (&small, before_spots, c, FALSE, rand, &before);
  after_px = draw (&large, after_spots, c, TRUE, rand, &after);
  memset (after_px, 90, (gsize) large.width * (gsize) (c->covered > 0.0 ? REACH + c->covered * HEIGHT : 0));
  return shim_frame_shift_find (&before, &after, shift);
}

/* The shift at four corners of the piece, against where the spots were put. */
static void
check_shift (const Case *c, double within_px)
{
  ShimFrameShift shift;

  g_assert_true (find (c, 1, &shift));
  for (int corner = 0; corner < 4; corner++)
    {
      const ShimPoint px = { LEFT + (corner & 1) * WIDTH, TOP + (corner >> 1) * HEIGHT };
      const ShimPoint found = shim_frame_shift_apply (&shift, px);
      double x, y;

      move (c, px.x, px.y, &x, &y);
      g_test_message ("off by %+.3f, %+.3f px; se %.3f px; %u of %u patches", found.x - x, found.y - y, shift.se_px,
                      shift.n_agreeing, shift.n_patches);
      g_assert_cmpfloat (hypot (found.x - x, found.y - y), <=, within_px);
    }
  g_assert_cmpfloat (shift.se_px, <, within_px);
}

static void
test_shifts (void)
{
  static const Case cases[] = {
    { .light = 1.0, .noise = 1.0 },
    { .dx_px = 0.37, .dy_px = -0.81, .light = 1.0, .noise = 1.0 },
    { .dx_px = -3.25, .dy_px = 7.6, .blur_after_px = 2.5, .light = 1.0, .noise = 2.0 },
    { .dx_px = 2.5, .dy_px = 0.5, .blur_before_px = 3.0, .light = 0.7, .noise = 2.0 },
    { .dx_px = 41.3, .dy_px = -77.7, .blur_before_px = 1.0, .blur_after_px = 2.0, .light = 1.2, .noise = 2.0 },
    { .dx_px = -140.6, .dy_px = 150.2, .light = 1.0, .noise = 1.0 },
    { .dx_px = 1.5, .dy_px = 0.2, .growth = 0.004, .light = 1.0, .noise = 1.0 },
    { .dx_px = 5.5, .dy_px = 0.2, .turn_rad = 0.008, .growth = -0.002, .blur_after_px = 1.5, .light = 1.0,
      .noise = 2.0 },
    { .dx_px = 0.6, .dy_px = 0.7, .light = 1.0, .noise = 1.0, .covered = 0.4 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    check_shift (&cases[i], 0.1);
}

/* Another scene, and nothing at all. */
static void
test_unmatched (void)
{
  const Case still = { .light = 1.0, .noise = 2.0 }, hidden = { .light = 1.0, .noise = 1.0, .covered = 1.25 };
  ShimFrameShift shift;

  g_assert_false (find (&still, 2, &shift));
  g_assert_false (find (&hidden, 1, &shift));
}

/* Growth about the picture's middle is focusing, whatever it does to the piece; a turn is not. */
static void
test_movement (void)
{
  ShimFrameShift shift = { .middle_px = { 1000.0, 820.0 }, .growth = 0.005 };

  shift.dx_px = 0.005 * (1000.0 - PICTURE_WIDTH / 2);
  shift.dy_px = 0.005 * (820.0 - PICTURE_HEIGHT / 2);
  g_assert_cmpfloat (shim_frame_shift_movement_px (&shift, PICTURE_WIDTH, PICTURE_HEIGHT, 320.0), <, 1e-9);
  shift.dx_px += 3.0;
  shift.dy_px += 4.0;
  shift.turn_rad = 0.01;
  g_assert_cmpfloat_with_epsilon (
    shim_frame_shift_movement_px (&shift, PICTURE_WIDTH, PICTURE_HEIGHT, 320.0), 8.2, 1e-9);
  shift = (ShimFrameShift) { .middle_px = { PICTURE_WIDTH / 2, PICTURE_HEIGHT / 2 }, .growth = 0.03 };
  g_assert_cmpfloat_with_epsilon (
    shim_frame_shift_movement_px (&shift, PICTURE_WIDTH, PICTURE_HEIGHT, 320.0), 6.4, 1e-9);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/frame-shift/shifts", test_shifts);
  g_test_add_func ("/core/frame-shift/unmatched", test_unmatched);
  g_test_add_func ("/core/frame-shift/movement", test_movement);
  return g_test_run ();
}
