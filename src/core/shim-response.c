/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-linear-fit.h"
#include "shim-response.h"
#include "shim-stats.h"

#define LEVEL 0.95

static const char *const state_names[] = {
  [SHIM_RESPONSE_NOTHING] = "nothing",
  [SHIM_RESPONSE_ONE_SETTING] = "one-setting",
  [SHIM_RESPONSE_UNCLEAR] = "unclear",
  [SHIM_RESPONSE_WRONG_WAY] = "wrong-way",
  [SHIM_RESPONSE_CLEAR] = "clear",
  [SHIM_RESPONSE_OUT_OF_REACH] = "out-of-reach",
};

const char *
shim_response_state_to_name (ShimResponseState state)
{
  g_return_val_if_fail ((guint) state < G_N_ELEMENTS (state_names), "nothing");

  return state_names[state];
}

/* The rounds that count, as plain columns. */
typedef struct
{
  gsize n;
  double *setting;
  double *offset_mm;
  double *se_mm; /* random part */
  double common_se_mm;
  double df; /* of the scatter behind @se_mm; 0 = nothing tells the scatter */
} Columns;

static void
columns_clear (Columns *columns)
{
  g_free (columns->setting);
  g_free (columns->offset_mm);
  g_free (columns->se_mm);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Columns, columns_clear)

/* Where a round alone cannot tell its scatter (a single frame), the other rounds of the test can. */
static double
random_se_of (const ShimRoundStats *round, const ShimScatter *pooled)
{
  if (round->df > 0.0 || !(pooled->df > 0.0))
    return round->random_se_mm;
  return MAX (pooled->sd_mm / sqrt (round->n_used), round->random_se_mm);
}

static void
columns_init (Columns *columns, const ShimResponsePoint *points, gsize n, double reference_mm)
{
  g_autofree ShimRoundStats *rounds = g_new (ShimRoundStats, MAX (n, 1));
  double common_squares = 0.0;
  ShimScatter pooled;

  for (gsize i = 0; i < n; i++)
    rounds[i] = points[i].round;
  shim_round_pool (rounds, n, &pooled);

  columns->n = 0;
  columns->df = pooled.df;
  columns->setting = g_new (double, MAX (n, 1));
  columns->offset_mm = g_new (double, MAX (n, 1));
  columns->se_mm = g_new (double, MAX (n, 1));
  for (gsize i = 0; i < n; i++)
    {
      if (points[i].round.n_used == 0 || !isfinite (points[i].round.mean_mm))
        continue;
      columns->setting[columns->n] = points[i].setting;
      columns->offset_mm[columns->n] = points[i].round.mean_mm - reference_mm;
      columns->se_mm[columns->n++] = random_se_of (&points[i].round, &pooled);
      common_squares += points[i].round.common_se_mm * points[i].round.common_se_mm;
    }
  columns->common_se_mm = columns->n > 0 ? sqrt (common_squares / columns->n) : 0.0;
}

static guint
count_settings (const Columns *columns)
{
  guint n_different = 0;

  for (gsize i = 0; i < columns->n; i++)
    {
      gboolean seen = FALSE;

      for (gsize j = 0; j < i; j++)
        seen = seen || columns->setting[j] == columns->setting[i];
      n_different += !seen;
    }
  return n_different;
}

static gboolean
errors_are_known (const Columns *columns)
{
  for (gsize i = 0; i < columns->n; i++)
    if (!(columns->se_mm[i] > 0.0))
      return FALSE;
  return columns->df > 0.0;
}

/*
 * The line, with the variances of what the rounds do not share. The rounds' errors are taken as they stand,
 * but widened where the rounds lie farther from a line than these say: keying in a setting, or touching the
 * camera, can move more than a round shows. Where they do so beyond chance (99 %), the part that was added
 * rests on the few rounds alone, and the degrees of freedom say so. With a limit of 95 % one good test of
 * three rounds in twenty would be called unclear for nothing.
 */
static gboolean
fit_line (const Columns *columns, ShimLineFit *line)
{
  if (!errors_are_known (columns))
    {
      if (columns->n >= 3)
        return shim_line_fit (columns->setting, columns->offset_mm, NULL, columns->n, SHIM_LINE_ERRORS_FROM_SCATTER,
                              line, NULL);
      /* Two single frames: a line, and no idea how good it is. */
      {
        const double ones[] = { 1.0, 1.0 };

        if (!shim_line_fit (columns->setting, columns->offset_mm, ones, columns->n, SHIM_LINE_ERRORS_GIVEN, line,
                            NULL))
          return FALSE;
        line->slope_var = line->intercept_var = INFINITY;
        line->covariance = 0.0;
        return TRUE;
      }
    }

  if (!shim_line_fit (columns->setting, columns->offset_mm, columns->se_mm, columns->n, SHIM_LINE_ERRORS_WIDER, line,
                      NULL))
    return FALSE;
  line->df = columns->df;
  if (columns->n > 2)
    {
      const double extra_df = columns->n - 2.0, ratio = line->residual_ss / extra_df;
      const double variances[] = { 1.0, ratio - 1.0 }, dfs[] = { columns->df, extra_df };

      if (shim_stats_f_tail (ratio, extra_df, columns->df) < 0.01)
        line->df = shim_stats_combined_df (variances, dfs, 2);
    }
  return TRUE;
}

/* Whether a parabola fits better than a line, beyond chance (99 %). */
static gboolean
find_bend (const Columns *columns, guint n_settings)
{
  g_autofree double *design = NULL;
  g_autoptr (ShimLinearFit) fit = NULL;

  if (n_settings < 4 || !errors_are_known (columns))
    return FALSE;
  design = g_new (double, 3 * columns->n);
  for (gsize i = 0; i < columns->n; i++)
    {
      design[3 * i] = 1.0;
      design[3 * i + 1] = columns->setting[i];
      design[3 * i + 2] = columns->setting[i] * columns->setting[i];
    }
  fit = shim_linear_fit_new (design, columns->offset_mm, columns->se_mm, columns->n, 3, SHIM_LINE_ERRORS_WIDER, NULL);
  return fit != NULL
         && fabs (fit->coefficients[2]) > shim_stats_t_quantile (0.995, columns->df) * sqrt (fit->covariance[8]);
}

/* How likely the line's zero lies on the side of @neighbour, beyond the middle between it and @setting. */
static double
chance_of (const ShimResponse *self, const ShimSettingRange *range, int setting, int neighbour)
{
  double se_mm = 0.0, middle_mm, towards;

  if (neighbour < range->min || neighbour > range->max)
    return 0.0;
  middle_mm = shim_line_fit_at (&self->line, 0.5 * ((double) setting + neighbour), &se_mm);
  towards = middle_mm * self->line.slope * (setting - neighbour);
  if (se_mm == 0.0)
    return towards > 0.0 ? 1.0 : 0.0;
  return shim_stats_t_probability (copysign (middle_mm, towards) / se_mm, self->line.df);
}

static void
choose_setting (ShimResponse *self, const ShimSettingRange *range)
{
  const double wanted = isfinite (self->zero.at) ? self->zero.at : 0.0;

  self->best_setting = (int) lround (CLAMP (wanted, (double) range->min, (double) range->max));
  self->residual_mm = shim_line_fit_at (&self->line, self->best_setting, &self->residual_se_mm);
  self->chance_lower = chance_of (self, range, self->best_setting, self->best_setting - 1);
  self->chance_higher = chance_of (self, range, self->best_setting, self->best_setting + 1);
}

static ShimResponseState
judge (const ShimResponse *self, const ShimSettingRange *range)
{
  if (!self->zero.has_interval)
    return SHIM_RESPONSE_UNCLEAR;
  if ((self->line.slope < 0.0) != (range->counts_other_way != FALSE))
    return SHIM_RESPONSE_WRONG_WAY;
  if (self->zero.low > range->max + 0.5 || self->zero.high < range->min - 0.5)
    return SHIM_RESPONSE_OUT_OF_REACH;
  return SHIM_RESPONSE_CLEAR;
}

void
shim_response (const ShimResponsePoint *points,
               gsize n,
               const ShimSettingRange *range,
               const ShimRoundStats *reference,
               ShimResponse *result)
{
  const gboolean has_reference = reference != NULL && reference->n_used > 0 && isfinite (reference->mean_mm);
  g_auto (Columns) columns = { 0 };

  g_return_if_fail (points != NULL || n == 0);
  g_return_if_fail (range != NULL && range->min <= range->max);
  g_return_if_fail (result != NULL);

  *result = (ShimResponse) {
    .step_mm = NAN, .step_se_mm = NAN, .residual_mm = NAN, .residual_se_mm = NAN,
    .zero = { .at = NAN, .se = NAN, .low = NAN, .high = NAN, .level = LEVEL, .g = INFINITY },
  };
  if (has_reference)
    {
      result->reference_mm = reference->mean_mm;
      result->reference_se_mm = reference->random_se_mm > 0.0 ? reference->random_se_mm : 0.0;
    }
  columns_init (&columns, points, n, result->reference_mm);
  result->n_settings = count_settings (&columns);
  if (result->n_settings < 2 || !fit_line (&columns, &result->line))
    {
      result->state = result->n_settings == 0 ? SHIM_RESPONSE_NOTHING : SHIM_RESPONSE_ONE_SETTING;
      return;
    }

  /* What all rounds share moves the line up or down as a whole. A reference round of the same set-up shares
   * it too, and takes it away when it is subtracted; its own random error takes its place. */
  if (has_reference)
    result->line.intercept_var += result->reference_se_mm * result->reference_se_mm;
  else
    result->line.intercept_var += columns.common_se_mm * columns.common_se_mm;
  result->step_mm = result->line.slope;
  result->step_se_mm = sqrt (result->line.slope_var);
  shim_crossing_find (&result->line, 0.0, SHIM_CROSSING_MEAN, LEVEL, &result->zero);
  result->bends = find_bend (&columns, result->n_settings);
  choose_setting (result, range);
  result->state = judge (result, range);
}

double
shim_response_at (const ShimResponse *self, double setting, double *se_mm, double *half_width_mm)
{
  double offset_mm, se = NAN;

  g_return_val_if_fail (self != NULL, NAN);

  if (self->n_settings < 2)
    {
      if (se_mm != NULL)
        *se_mm = NAN;
      if (half_width_mm != NULL)
        *half_width_mm = NAN;
      return NAN;
    }
  offset_mm = shim_line_fit_at (&self->line, setting, &se);
  if (se_mm != NULL)
    *se_mm = se;
  if (half_width_mm != NULL)
    *half_width_mm = shim_stats_t_quantile (0.5 + 0.5 * LEVEL, self->line.df) * se;
  return offset_mm;
}
