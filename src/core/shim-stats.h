/* SPDX-License-Identifier: GPL-3.0-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * ShimHuber:
 * @location: the robust mean, in the unit of the values
 * @scale: the robust standard deviation used as its yardstick (1.4826 × MAD, but not below the floor)
 * @se: standard error of @location from the values' own scatter; NAN for a single value
 * @n_pulled: how many values lie beyond 1.5 @scale and count for less than one
 *
 * What shim_stats_huber() found.
 */
typedef struct
{
  double location;
  double scale;
  double se;
  guint n_pulled;
} ShimHuber;

/**
 * shim_stats_mean:
 * @values: (array length=n): the values
 * @n: how many, at least one
 *
 * Returns: the mean, with a second pass that removes the rounding of the first
 */
double   shim_stats_mean           (const double *values, gsize n);

/**
 * shim_stats_sd:
 * @values: (array length=n): the values
 * @n: how many
 *
 * Returns: the standard deviation with the divisor @n − 1 (corrected two-pass); NAN when @n is below 2
 */
double   shim_stats_sd             (const double *values, gsize n);

/**
 * shim_stats_median:
 * @values: (array length=n): the values, in any order; left as they are
 * @n: how many, at least one
 *
 * Returns: the median
 */
double   shim_stats_median         (const double *values, gsize n);

/**
 * shim_stats_mad:
 * @values: (array length=n): the values
 * @n: how many, at least one
 *
 * Returns: 1.4826 × the median absolute deviation from the median: what the standard deviation would be if the values
 * were normal
 */
double   shim_stats_mad            (const double *values, gsize n);

/**
 * shim_stats_huber:
 * @values: (array length=n): the values
 * @n: how many
 * @expected_sd: the scatter to be expected, 0 when nothing is known; the scale is never taken below half of it
 * @result: (out): location, scale and standard error
 *
 * Huber's location with k = 1.5, scale 1.4826 MAD (P. J. Huber, Robust Estimation of a Location Parameter, Annals of
 * Mathematical Statistics 35 (1964); from memory).
 *
 * Returns: %FALSE when @n is 0
 */
gboolean shim_stats_huber          (const double *values, gsize n, double expected_sd, ShimHuber *result);

/**
 * shim_stats_pooled_sd:
 * @sds: (array length=n): standard deviations of the groups; those of groups with fewer than two values are
 *   not looked at
 * @counts: (array length=n): how many values each group has
 * @n: number of groups
 * @df: (out) (optional): degrees of freedom, Σ (count − 1)
 *
 * Returns: √(Σ (count − 1) sd² / Σ (count − 1)); NAN when there are no degrees of freedom
 */
double   shim_stats_pooled_sd      (const double *sds, const guint *counts, gsize n, double *df);

/**
 * shim_stats_t_quantile:
 * @p: probability, within (0, 1)
 * @df: degrees of freedom, above 0; INFINITY gives the normal quantile
 *
 * Returns: Student's t with probability @p below it
 */
double   shim_stats_t_quantile     (double p, double df);

/**
 * shim_stats_t_probability:
 * @t: a value
 * @df: degrees of freedom, above 0, INFINITY allowed
 *
 * Returns: the probability below @t
 */
double   shim_stats_t_probability  (double t, double df);

/**
 * shim_stats_normal_quantile:
 * @p: probability, within (0, 1)
 *
 * Returns: the standard normal quantile
 */
double   shim_stats_normal_quantile (double p);

/**
 * shim_stats_f_tail:
 * @ratio: ratio of two variances, 0 or above
 * @df_above: degrees of freedom of the upper one, finite
 * @df_below: of the lower one, finite
 *
 * Returns: the probability that Fisher's F is larger than @ratio
 */
double   shim_stats_f_tail         (double ratio, double df_above, double df_below);

/**
 * shim_stats_combined_df:
 * @variances: (array length=n): variances that are added
 * @dfs: (array length=n): their degrees of freedom, INFINITY where known exactly
 * @n: how many
 *
 * Welch–Satterthwaite: (Σ v)² / Σ (v² / df), as NIST TN 1297 appendix B gives it.
 *
 * Returns: the degrees of freedom of the sum; INFINITY when all are known exactly
 */
double   shim_stats_combined_df    (const double *variances, const double *dfs, gsize n);

G_END_DECLS
