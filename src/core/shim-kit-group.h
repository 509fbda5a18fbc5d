/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <gsl/gsl_matrix.h>

#include "shim-kit-model.h"

G_BEGIN_DECLS

/*
 * One group of linked items inside a kit model. The side with fewer items is called "few", the other "many".
 * The many are eliminated: the normal equations of y = few + many have a diagonal block for them, so what is
 * left is one dense matrix of the few's size (its Schur complement, a graph Laplacian). Its pseudo-inverse
 * gives every variance that is asked for.
 */

/**
 * ShimKitGroup:
 * @few_is_body: whether the few are the bodies
 * @n_few: items of the smaller side
 * @n_many: items of the larger side
 * @n: readings
 * @reading: (array length=n): their indices in the model, sorted by item of the many
 * @few: (array length=n): item of the few of each reading
 * @start: (array length=n_many+1): where the readings of each of the many begin
 * @y: (array length=n): defocus, µm
 * @sigma: (array length=n): standard errors
 * @robust: (array length=n): robust factors of the weights, 1 = full
 * @few_term: (array length=n_few): solution; only sums of one of each side mean something
 * @many_term: (array length=n_many): solution
 * @many_weight: (array length=n_many): Σ of the weights of its readings
 * @inverse: pseudo-inverse of the reduced matrix, its rows and columns add up to 0
 * @weighted_few: (array length=n_few): mean over the many of the weighted share of each of the few
 * @mean_column: (array length=n_few): @inverse times @weighted_few
 * @mean_inverse_weight: mean over the many of 1 / @many_weight
 * @df: degrees of freedom, n − n_few − n_many + 1
 * @chi_squared: Σ weight r²
 * @residual_ss: Σ r²
 * @typical_var: harmonic mean of sigma²
 */
typedef struct
{
  gboolean few_is_body;
  guint n_few;
  guint n_many;
  gsize n;
  gsize *reading;
  guint *few;
  gsize *start;
  double *y;
  double *sigma;
  double *robust;
  double *few_term;
  double *many_term;
  double *many_weight;
  gsl_matrix *inverse;
  double *weighted_few;
  double *mean_column;
  double mean_inverse_weight;
  double df;
  double chi_squared;
  double residual_ss;
  double typical_var;
} ShimKitGroup;

ShimKitGroup *shim_kit_group_new       (gboolean few_is_body, guint n_few, guint n_many, gsize n);
void          shim_kit_group_free      (ShimKitGroup *self);
gboolean      shim_kit_group_solve     (ShimKitGroup *self, gboolean robust, gboolean use_scatter, GError **error);

/* What follows is before the factor of the scatter: multiply by shim_kit_group_factor(). */
double        shim_kit_group_sum_var   (const ShimKitGroup *self, guint few, guint many);
void          shim_kit_group_sum_vars  (const ShimKitGroup *self, guint many, double *vars);
double        shim_kit_group_term_var  (const ShimKitGroup *self, gboolean is_few, guint item);
double        shim_kit_group_level_var (const ShimKitGroup *self, gboolean is_few, guint item);
double        shim_kit_group_factor    (const ShimKitGroup *self, gboolean use_scatter);

G_END_DECLS
