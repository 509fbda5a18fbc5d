/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <gsl/gsl_eigen.h>
#include <math.h>

#include "shim-gain-nodes.h"
#include "shim-gsl.h"

/* Three-term recurrence of the polynomials that are orthogonal under the rows' weights, by Stieltjes' procedure. */
typedef struct
{
  guint n;
  double total;
  double a[SHIM_GAIN_NODES_MAX];
  double b[SHIM_GAIN_NODES_MAX];  /* square roots; b[0] is not used */
} Recurrence;

static void
recurrence_init (Recurrence *self, const ShimGainNode *rows, guint n_rows, guint n, double mid, double half)
{
  g_autofree double *last = g_new0 (double, n_rows);
  g_autofree double *now = g_new (double, n_rows);
  double last_norm = 0.0;

  self->n = n;
  self->total = 0.0;
  for (guint i = 0; i < n_rows; i++)
    now[i] = 1.0;
  for (guint k = 0; k < n; k++)
    {
      double norm = 0.0, mean = 0.0, b;

      for (guint i = 0; i < n_rows; i++)
        {
          double square = rows[i].weight * now[i] * now[i];

          norm += square;
          mean += square * (rows[i].v - mid) / half;
        }
      b = k > 0 ? norm / last_norm : 0.0;
      self->a[k] = mean / norm;
      self->b[k] = sqrt (b);
      if (k == 0)
        self->total = norm;
      for (guint i = 0; i < n_rows; i++)
        {
          double next = ((rows[i].v - mid) / half - self->a[k]) * now[i] - b * last[i];

          last[i] = now[i];
          now[i] = next;
        }
      last_norm = norm;
    }
}

/* The nodes are the eigenvalues of the recurrence's tridiagonal matrix; the first components of its eigenvectors tell the
 * weights. */
static void
nodes_of_recurrence (const Recurrence *self, double mid, double half, ShimGainNode *nodes)
{
  gsl_matrix *jacobi = gsl_matrix_calloc (self->n, self->n), *vectors = gsl_matrix_alloc (self->n, self->n);
  gsl_vector *values = gsl_vector_alloc (self->n);
  gsl_eigen_symmv_workspace *workspace = gsl_eigen_symmv_alloc (self->n);

  for (guint k = 0; k < self->n; k++)
    {
      gsl_matrix_set (jacobi, k, k, self->a[k]);
      if (k > 0)
        gsl_matrix_set (jacobi, k, k - 1, self->b[k]);
    }
  gsl_eigen_symmv (jacobi, values, vectors, workspace);
  for (guint k = 0; k < self->n; k++)
    {
      double first = gsl_matrix_get (vectors, 0, k);

      nodes[k].v = mid + half * gsl_vector_get (values, k);
      nodes[k].weight = self->total * first * first;
    }
  gsl_eigen_symmv_free (workspace);
  gsl_vector_free (values);
  gsl_matrix_free (vectors);
  gsl_matrix_free (jacobi);
}

/* The frequency changes along the ruler so slowly that a straight line between rows is right to 1e-9. */
static double
cycles_between (const ShimGainNode *rows, guint n_rows, double v)
{
  guint i = 1;
  double share;

  while (i + 1 < n_rows && rows[i].v < v)
    i++;
  share = (v - rows[i - 1].v) / (rows[i].v - rows[i - 1].v);
  return rows[i - 1].cycles_per_px + share * (rows[i].cycles_per_px - rows[i - 1].cycles_per_px);
}

/**
 * shim_gain_nodes_reduce:
 * @rows: places by growing v, with weights of 0 or more
 * @n_rows: how many
 * @n_wanted: nodes wanted, at most %SHIM_GAIN_NODES_MAX
 * @nodes: (out caller-allocates): room for so many
 *
 * Finds a few places with weights that give the same sum as all rows do for any function that is as smooth as a polynomial
 * of degree 2 n − 1: the Gaussian quadrature that belongs to the rows' weights, by G. H. Golub and J. H. Welsch, Calculation of
 * Gauss quadrature rules, Mathematics of Computation 23 (1969) 221 (method from memory).
 *
 * Returns: how many nodes there are: fewer where there are not so many rows with a weight
 */
guint
shim_gain_nodes_reduce (const ShimGainNode *rows, guint n_rows, guint n_wanted, ShimGainNode *nodes)
{
  Recurrence recurrence;
  double mid, half;
  guint n_weighty = 0;

  g_return_val_if_fail (rows != NULL && nodes != NULL && n_wanted >= 1 && n_wanted <= SHIM_GAIN_NODES_MAX, 0);

  for (guint i = 0; i < n_rows; i++)
    {
      if (rows[i].weight > 0.0 && n_weighty < n_wanted)
        nodes[n_weighty] = rows[i];
      n_weighty += rows[i].weight > 0.0;
    }
  if (n_weighty <= n_wanted)
    return n_weighty;
  shim_gsl_init ();
  mid = 0.5 * (rows[0].v + rows[n_rows - 1].v);
  half = 0.5 * (rows[n_rows - 1].v - rows[0].v);
  recurrence_init (&recurrence, rows, n_rows, n_wanted, mid, half);
  nodes_of_recurrence (&recurrence, mid, half, nodes);
  for (guint k = 0; k < n_wanted; k++)
    nodes[k].cycles_per_px = cycles_between (rows, n_rows, nodes[k].v);
  return n_wanted;
}
