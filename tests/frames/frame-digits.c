/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "frame-digits.h"

#include <math.h>

#define TEXEL_MM 0.1
#define MARGIN_MM 6.0
/* Strokes run on a field of 4 x 6 units. */
#define FIELD_WIDTH 4.0
#define FIELD_HEIGHT 6.0
#define GAP 1.6
#define STROKE 0.36

struct _FrameNumerals
{
  int width;  /* texels along the scale */
  int height; /* across */
  double *sums; /* (width + 1) x (height + 1): ink above and to the left */
};

/* One stroke per digit, x and y in turn, y upward. */
static const double strokes[10][28] = {
  { 1, 0, 3, 0, 4, 1.4, 4, 4.6, 3, 6, 1, 6, 0, 4.6, 0, 1.4, 1, 0 },
  { 0.9, 4.7, 2.3, 6, 2.3, 0 },
  { 0, 4.6, 0.6, 5.6, 2, 6, 3.4, 5.5, 3.8, 4.4, 3.3, 3.2, 0, 0, 4, 0 },
  { 0.2, 5.4, 1.8, 6, 3.4, 5.4, 3.6, 4.3, 2.8, 3.3, 1.4, 3.2, 2.8, 3.1, 3.9, 2, 3.6, 0.7, 2, 0, 0.2, 0.6 },
  { 3, 0, 3, 6, 0, 1.8, 4, 1.8 },
  { 3.6, 6, 0.6, 6, 0.4, 3.3, 2, 3.8, 3.6, 3.2, 4, 1.9, 3.4, 0.6, 1.8, 0, 0.1, 0.6 },
  { 3.4, 5.6, 2, 6, 0.7, 5.2, 0, 3, 0.2, 1.2, 1.2, 0, 2.8, 0, 3.9, 1.1, 3.9, 2.4, 2.8, 3.5, 1.3, 3.5, 0.1, 2.2 },
  { 0, 6, 4, 6, 1.4, 0 },
  { 2, 3.2, 0.5, 4.1, 0.6, 5.4, 2, 6, 3.4, 5.4, 3.5, 4.1, 2, 3.2, 0.2, 2, 0.3, 0.7, 2, 0, 3.7, 0.7, 3.8, 2, 2, 3.2 },
  { 0.6, 0.4, 2, 0, 3.3, 0.8, 4, 3, 3.8, 4.8, 2.8, 6, 1.2, 6, 0.1, 4.9, 0.1, 3.6, 1.2, 2.5, 2.7, 2.5, 3.9, 3.8 },
};
static const int stroke_points[10] = { 9, 3, 8, 11, 4, 9, 12, 3, 13, 12 };

static double
distance_to_segment (double x, double y, const double *from, const double *to)
{
  double dx = to[0] - from[0], dy = to[1] - from[1];
  double t = CLAMP (((x - from[0]) * dx + (y - from[1]) * dy) / (dx * dx + dy * dy), 0.0, 1.0);

  return hypot (x - from[0] - t * dx, y - from[1] - t * dy);
}

static double
distance_to_digit (int digit, double x, double y)
{
  double nearest = G_MAXDOUBLE;

  for (int i = 0; i + 1 < stroke_points[digit]; i++)
    nearest = MIN (nearest, distance_to_segment (x, y, strokes[digit] + 2 * i, strokes[digit] + 2 * i + 2));
  return nearest;
}

/* Inks one digit whose field starts at texel @left. */
static void
draw_digit (FrameNumerals *numerals, int digit, double left, double unit, gboolean flip)
{
  int first = MAX (0, (int) floor (left - unit));
  int last = MIN (numerals->width, (int) ceil (left + (FIELD_WIDTH + 1) * unit));

  for (int j = 0; j < numerals->height; j++)
    for (int i = first; i < last; i++)
      {
        double x = (i + 0.5 - left) / unit;
        double y = (flip ? j + 0.5 : numerals->height - j - 0.5) / unit - 0.5;
        double ink = CLAMP ((STROKE - distance_to_digit (digit, x, y)) * unit + 0.5, 0.0, 1.0);
        double *texel = numerals->sums + (gsize) (j + 1) * (numerals->width + 1) + i + 1;

        *texel = MAX (*texel, ink);
      }
}

static void
draw_number (FrameNumerals *numerals, int number, double centre, double unit, gboolean flip)
{
  g_autofree char *text = g_strdup_printf ("%d", number);
  int n = (int) strlen (text);
  double left = centre - (n * FIELD_WIDTH + (n - 1) * GAP) / 2.0 * unit;

  for (int i = 0; i < n; i++)
    draw_digit (numerals, text[i] - '0', left + i * (FIELD_WIDTH + GAP) * unit, unit, flip);
}

/**
 * frame_numerals_new:
 * @length_mm: of the scale
 * @step_mm: from one numeral to the next
 * @height_mm: of the lane
 * @flip: whether the numerals' feet stand at v = 0 of the lane (else their heads)
 *
 * Returns: (transfer full): numerals 0, 1, 2 … at 0, @step_mm, …
 */
FrameNumerals *
frame_numerals_new (double length_mm, double step_mm, double height_mm, gboolean flip)
{
  FrameNumerals *numerals = g_new0 (FrameNumerals, 1);
  int stride;

  numerals->width = (int) ceil ((length_mm + 2.0 * MARGIN_MM) / TEXEL_MM);
  numerals->height = (int) ceil (height_mm / TEXEL_MM);
  stride = numerals->width + 1;
  numerals->sums = g_new0 (double, (gsize) stride * (numerals->height + 1));
  for (int i = 0; i * step_mm <= length_mm + 1e-6; i++)
    draw_number (numerals, i, (i * step_mm + MARGIN_MM) / TEXEL_MM, numerals->height / (FIELD_HEIGHT + 1.0), flip);
  for (int j = 1; j <= numerals->height; j++)
    for (int i = 1; i < stride; i++)
      numerals->sums[j * stride + i] += numerals->sums[j * stride + i - 1] + numerals->sums[(j - 1) * stride + i]
                                        - numerals->sums[(j - 1) * stride + i - 1];
  return numerals;
}

/* The sum at a place between texels. */
static double
sum_at (const FrameNumerals *numerals, double x, double y)
{
  int i, j, stride = numerals->width + 1;
  const double *sum;

  x = CLAMP (x, 0.0, numerals->width - 1e-9);
  y = CLAMP (y, 0.0, numerals->height - 1e-9);
  i = (int) x;
  j = (int) y;
  sum = numerals->sums + j * stride + i;
  x -= i;
  y -= j;
  return (1.0 - y) * ((1.0 - x) * sum[0] + x * sum[1]) + y * ((1.0 - x) * sum[stride] + x * sum[stride + 1]);
}

/* Mean ink, 0 to 1, over a patch about (u, v); v counts from the lane's border. */
double
frame_numerals_ink (const FrameNumerals *numerals, double u, double v, double du, double dv)
{
  double x0 = (u - du / 2.0 + MARGIN_MM) / TEXEL_MM, x1 = (u + du / 2.0 + MARGIN_MM) / TEXEL_MM;
  double y0 = (v - dv / 2.0) / TEXEL_MM, y1 = (v + dv / 2.0) / TEXEL_MM;

  if (y1 <= 0.0 || y0 >= numerals->height)
    return 0.0;
  return (sum_at (numerals, x1, y1) - sum_at (numerals, x0, y1) - sum_at (numerals, x1, y0) + sum_at (numerals, x0, y0))
         / ((x1 - x0) * (y1 - y0));
}

void
frame_numerals_free (FrameNumerals *numerals)
{
  if (numerals == NULL)
    return;
  g_free (numerals->sums);
  g_free (numerals);
}
