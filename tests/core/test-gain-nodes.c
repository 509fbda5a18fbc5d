/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-gain-nodes.h"

#define N_ROWS 4001

static double
moment (const ShimGainNode *nodes, guint n, int power)
{
  double sum = 0.0;

  for (guint i = 0; i < n; i++)
    sum += nodes[i].weight * pow (nodes[i].v / 1000.0, power);
  return sum;
}

/* Even weights over -1 to 1: four nodes lie where Legendre's polynomial of the fourth degree vanishes (M. Abramowitz and
 * I. A. Stegun, Handbook of Mathematical Functions, table 25.4; from memory). */
static void
test_even (void)
{
  static const double places[] = { 0.861136, 0.339981 }, weights[] = { 0.347855, 0.652145 };
  g_autofree ShimGainNode *rows = g_new (ShimGainNode, N_ROWS);
  ShimGainNode nodes[4];

  for (guint i = 0; i < N_ROWS; i++)
    rows[i] = (ShimGainNode) { (i - 2000.0) / 2.0, 0.3, 2.0 / N_ROWS };
  g_assert_cmpuint (shim_gain_nodes_reduce (rows, N_ROWS, 4, nodes), ==, 4);
  for (guint k = 0; k < 4; k++)
    {
      guint like = fabs (nodes[k].v) > 600.0 ? 0 : 1;

      g_assert_cmpfloat_with_epsilon (fabs (nodes[k].v) / 1000.0, places[like], 1e-3);
      g_assert_cmpfloat_with_epsilon (nodes[k].weight, weights[like], 1e-3);
      g_assert_cmpfloat_with_epsilon (nodes[k].cycles_per_px, 0.3, 1e-12);
    }
}

/* Weights that rise and fall, a row left out, and the frequency between rows. */
static void
test_moments (void)
{
  ShimGainNode rows[41], nodes[6];

  for (guint i = 0; i < 41; i++)
    rows[i] = (ShimGainNode) { 1000.0 + i, 0.2 + 0.001 * i, i == 12 ? 0.0 : 1.0 - cos (2.0 * G_PI * (i + 0.5) / 41.0) };
  g_assert_cmpuint (shim_gain_nodes_reduce (rows, 41, 6, nodes), ==, 6);
  for (int power = 0; power < 12; power++)
    g_assert_cmpfloat_with_epsilon (moment (nodes, 6, power) / moment (rows, 41, power), 1.0, 1e-11);
  for (guint k = 0; k < 6; k++)
    g_assert_cmpfloat_with_epsilon (nodes[k].cycles_per_px, 0.2 + 0.001 * (nodes[k].v - 1000.0), 1e-12);
}

static void
test_few (void)
{
  const ShimGainNode rows[] = { { 1.0, 0.1, 0.5 }, { 2.0, 0.2, 0.0 }, { 3.0, 0.3, 0.25 } };
  ShimGainNode nodes[6];

  g_assert_cmpuint (shim_gain_nodes_reduce (rows, 3, 6, nodes), ==, 2);
  g_assert_cmpfloat (nodes[1].v, ==, 3.0);
  g_assert_cmpfloat (nodes[1].weight, ==, 0.25);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/core/gain-nodes/even", test_even);
  g_test_add_func ("/core/gain-nodes/moments", test_moments);
  g_test_add_func ("/core/gain-nodes/few", test_few);
  return g_test_run ();
}
