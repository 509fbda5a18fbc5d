/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "shim-core-error.h"
#include "shim-zoom-value.h"

/* Errors closer than this, in tolerances, are equal: the rest is rounding. */
#define EQUAL 1e-9

/* No body has so many settings; a longer range is a slip, and trying all pairs of it would take for ever. */
#define LONGEST_RANGE 1000

double
shim_zoom_middle_mm (double wide_mm, double tele_mm)
{
  if (!(wide_mm > 0.0) || !(tele_mm >= wide_mm) || isinf (tele_mm))
    return NAN;
  return sqrt (wide_mm * tele_mm);
}

gboolean
shim_zoom_readings_check (const ShimZoomReading *readings, gsize n, GError **error)
{
  for (gsize i = 0; i < n; i++)
    if (!(readings[i].focal_mm > 0.0) || isinf (readings[i].focal_mm) || !(readings[i].distance_mm > 0.0)
        || !isfinite (readings[i].wanted) || !(readings[i].tolerance_steps > 0.0))
      {
        g_set_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID,
                     "Measurement %" G_GSIZE_FORMAT
                     " of the lens lacks a focal length, a distance, a setting or a tolerance.",
                     i + 1);
        return FALSE;
      }
  return TRUE;
}

static gboolean
check_readings (const ShimZoomReading *readings, gsize n, int min, int max, GError **error)
{
  if (n == 0)
    {
      g_set_error_literal (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_TOO_FEW,
                           "No focal length of the zoom has been measured yet.");
      return FALSE;
    }
  if (min > max || (gint64) max - min > LONGEST_RANGE)
    {
      g_set_error (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID,
                   "The range of settings, %d to %d, is not one of a body.", min, max);
      return FALSE;
    }
  return shim_zoom_readings_check (readings, n, error);
}

/* How a choice does over the readings. */
typedef struct
{
  double worst;
  double total;
  gsize worst_at;
} Score;

static void
add_error (Score *score, const ShimZoomReading *reading, gsize i, double setting)
{
  const double error = fabs (setting - reading->wanted) / reading->tolerance_steps;

  score->total += error;
  if (error > score->worst)
    {
      score->worst = error;
      score->worst_at = i;
    }
}

/* Less worst error, then less total. @tie is what decides when both are equal. */
static gboolean
is_better (const Score *score, const Score *best, gboolean tie)
{
  if (fabs (score->worst - best->worst) > EQUAL)
    return score->worst < best->worst;
  if (fabs (score->total - best->total) > EQUAL)
    return score->total < best->total;
  return tie;
}

/* A range has some dozens of settings, so all are tried: no formula can be more exact. */
gboolean
shim_zoom_one (const ShimZoomReading *readings, gsize n, int min, int max, ShimZoomOne *result, GError **error)
{
  Score best = { INFINITY, INFINITY, 0 };

  g_return_val_if_fail (readings != NULL || n == 0, FALSE);
  g_return_val_if_fail (result != NULL, FALSE);

  if (!check_readings (readings, n, min, max, error))
    return FALSE;
  for (int setting = min; setting <= max; setting++)
    {
      Score score = { -1.0, 0.0, 0 };

      for (gsize i = 0; i < n; i++)
        add_error (&score, &readings[i], i, setting);
      if (is_better (&score, &best, ABS (setting) < ABS (result->setting)))
        {
          best = score;
          *result = (ShimZoomOne) { setting, score.worst, readings[score.worst_at].focal_mm };
        }
    }
  return TRUE;
}

/* 0 at the wide end, 1 at the long end, by the logarithm of the focal length; not beyond. */
static double
share_of (double focal_mm, double wide_mm, double tele_mm)
{
  return CLAMP (log (focal_mm / wide_mm) / log (tele_mm / wide_mm), 0.0, 1.0);
}

static gboolean
has_two_focals (const ShimZoomReading *readings, gsize n)
{
  for (gsize i = 1; i < n; i++)
    if (readings[i].focal_mm != readings[0].focal_mm)
      return TRUE;
  return FALSE;
}

gboolean
shim_zoom_two (const ShimZoomReading *readings, gsize n, double wide_mm, double tele_mm, int min, int max,
               ShimZoomTwo *result, GError **error)
{
  g_autofree double *shares = g_new (double, MAX (n, 1));
  Score best = { INFINITY, INFINITY, 0 };

  g_return_val_if_fail (readings != NULL || n == 0, FALSE);
  g_return_val_if_fail (result != NULL, FALSE);

  if (!check_readings (readings, n, min, max, error))
    return FALSE;
  if (!has_two_focals (readings, n))
    {
      g_set_error_literal (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_TOO_FEW,
                           "Two values need measurements at two focal lengths or more.");
      return FALSE;
    }
  if (!(wide_mm > 0.0) || !(tele_mm > wide_mm) || isinf (tele_mm))
    {
      g_set_error_literal (error, SHIM_CORE_ERROR, SHIM_CORE_ERROR_INVALID,
                           "A zoom needs a shortest and a longer longest focal length.");
      return FALSE;
    }
  for (gsize i = 0; i < n; i++)
    shares[i] = share_of (readings[i].focal_mm, wide_mm, tele_mm);

  for (int wide = min; wide <= max; wide++)
    for (int tele = min; tele <= max; tele++)
      {
        Score score = { -1.0, 0.0, 0 };

        for (gsize i = 0; i < n; i++)
          add_error (&score, &readings[i], i, wide + shares[i] * (tele - wide));
        if (is_better (&score, &best, ABS (wide) + ABS (tele) < ABS (result->wide) + ABS (result->tele)))
          {
            best = score;
            *result = (ShimZoomTwo) { wide, tele, score.worst, readings[score.worst_at].focal_mm };
          }
      }
  return TRUE;
}
