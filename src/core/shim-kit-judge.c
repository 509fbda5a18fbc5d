/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-kit-judge.h"
#include "shim-stats.h"

/* "Clearly more than": three times a standard error, and three times what its like differ among themselves (a
 * judgement) – more where these are few, since a MAD of two or three says little. */
#define CLEARLY 3.0
#define FEW_OTHERS 3.0

#define CHECKED 1e-8
#define CONFIDENCE 0.99

/* Against the others, where there are at least two of them. That bodies differ a little is no reason for
 * service; one that stands apart from others that agree is. */
static gboolean
stands_apart (const ShimKitSide *side, gsize item, double se_um, double *off_by_um)
{
  g_autofree double *others = g_new (double, side->n);
  gsize n_others = 0;

  for (gsize i = 0; i < side->n; i++)
    if (i != item)
      others[n_others++] = side->levels[i];
  *off_by_um = side->levels[item] - shim_stats_median (others, n_others);
  return fabs (*off_by_um) > side->limit_um && fabs (*off_by_um) > CLEARLY * se_um
         && fabs (*off_by_um) > CLEARLY * (1.0 + FEW_OTHERS / n_others) * shim_stats_mad (others, n_others);
}

/*
 * Says whether an item is off by itself. With three of its like or more it is held against the others; with
 * fewer against 0, as far as its partners allow: lenses made to be right scatter about 0, so a body on which
 * several of them are off by the same amount is off itself. @se_um is the standard error of the term.
 */
void
shim_kit_judge_item (const ShimKitSide *side, gsize item, guint n_partners, double se_um, ShimKitTerm *term)
{
  term->off_by_um = NAN;
  term->is_off = FALSE;
  if (side->n >= 3)
    term->is_off = stands_apart (side, item, se_um, &term->off_by_um);
  else if (n_partners >= 3 && isfinite (side->partner_spread_um))
    {
      const double doubt_um = hypot (se_um, side->partner_spread_um / sqrt (n_partners));

      term->off_by_um = side->levels[item];
      term->is_off = fabs (term->off_by_um) > side->limit_um && fabs (term->off_by_um) > CLEARLY * doubt_um;
    }
}

/* What the model without reading @i says against it: difference and its standard error. @var is the variance
 * of the fitted value. */
static double
studentize (const ShimKitGroup *group, gsize i, double residual, double var, gboolean use_scatter, double *df)
{
  const double weight = group->robust[i] / (group->sigma[i] * group->sigma[i]);
  const double freedom = 1.0 - weight * var;
  double difference, variance, factor;

  if (!(freedom > CHECKED))
    return NAN;
  difference = residual / freedom;
  variance = group->sigma[i] * group->sigma[i] + var / freedom;
  *df = group->df - 1.0;
  factor = *df > 0.5 ? MAX (group->chi_squared - weight * residual * difference, 0.0) / *df : NAN;
  if (!use_scatter && !(factor > 1.0))
    {
      /* the given errors are large enough to explain the others: they are taken as they stand */
      factor = 1.0;
      *df = INFINITY;
    }
  return factor > 0.0 ? difference / sqrt (variance * factor) : NAN;
}

/* Residuals of all readings of a group, and which of them the others contradict. */
void
shim_kit_judge_group (const ShimKitGroup *group, gboolean use_scatter, ShimKitFit *fits)
{
  g_autofree double *vars = g_new (double, group->n);
  g_autofree double *dfs = g_new (double, group->n);
  gsize n_checked = 0;

  for (guint many = 0; many < group->n_many; many++)
    {
      shim_kit_group_sum_vars (group, many, vars + group->start[many]);
      for (gsize i = group->start[many]; i < group->start[many + 1]; i++)
        {
          ShimKitFit *fit = &fits[group->reading[i]];

          fit->fitted_um = group->few_term[group->few[i]] + group->many_term[many];
          fit->residual_um = group->y[i] - fit->fitted_um;
          fit->weight = group->robust[i];
          fit->studentized = studentize (group, i, fit->residual_um, vars[i], use_scatter, &dfs[i]);
          n_checked += isfinite (fit->studentized);
        }
    }
  for (gsize i = 0; i < group->n; i++)
    {
      ShimKitFit *fit = &fits[group->reading[i]];

      fit->contradicts = isfinite (fit->studentized)
                         && fabs (fit->studentized)
                              > shim_stats_t_quantile (1.0 - 0.5 * (1.0 - CONFIDENCE) / n_checked, dfs[i]);
    }
}
