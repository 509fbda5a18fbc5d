/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-ctl-request.h"
#include "shim-ctl.h"

/* Numbers separated by commas, as many as wanted; the last may be missing when @optional. */
static gboolean
parse_numbers (const char *option, const char *text, double *numbers, guint n, gboolean last_is_optional)
{
  g_auto (GStrv) parts = g_strsplit (text, ",", -1);
  guint n_parts = g_strv_length (parts);

  if (n_parts != n && !(last_is_optional && n_parts == n - 1))
    {
      shim_ctl_usage (_ ("%s wants %u numbers separated by commas, not “%s”"), option, n, text);
      return FALSE;
    }
  for (guint i = 0; i < n_parts; i++)
    {
      char *end = NULL;

      numbers[i] = g_ascii_strtod (g_strstrip (parts[i]), &end);
      if (end == parts[i] || *end != '\0' || !isfinite (numbers[i]))
        {
          shim_ctl_usage (_ ("%s: “%s” is not a number"), option, parts[i]);
          return FALSE;
        }
    }
  return TRUE;
}

static gboolean
parse_range (const char *option, const char *text, double min, double max, double *number)
{
  if (text == NULL)
    return TRUE;
  if (!parse_numbers (option, text, number, 1, FALSE))
    return FALSE;
  if (*number >= min && *number <= max)
    return TRUE;
  shim_ctl_usage (_ ("%s must lie between %g and %g"), option, min, max);
  return FALSE;
}

/**
 * shim_ctl_parse_point:
 * @option: name of the option, for the message
 * @text: "X,Y"
 * @point: (out): the place
 *
 * On failure it has said why on standard error.
 *
 * Returns: whether it was understood
 */
gboolean
shim_ctl_parse_point (const char *option, const char *text, ShimPoint *point)
{
  double n[2];

  if (!parse_numbers (option, text, n, 2, FALSE))
    return FALSE;
  *point = (ShimPoint) { n[0], n[1] };
  return TRUE;
}

static gboolean
request_from_places (const ShimCtlRequest *options, ShimMeasureRequest *request)
{
  double n[5] = { NAN, NAN, NAN, NAN, NAN };

  if (options->target != NULL)
    {
      if (!shim_ctl_parse_point ("--target", options->target, &request->target_px))
        return FALSE;
      request->has_target = TRUE;
    }
  if (options->strip != NULL)
    {
      if (!parse_numbers ("--strip", options->strip, n, 5, TRUE))
        return FALSE;
      request->has_strip = TRUE;
      request->strip_a_px = (ShimPoint) { n[0], n[1] };
      request->strip_b_px = (ShimPoint) { n[2], n[3] };
      request->strip_width_px = n[4];
    }
  if (options->click != NULL)
    {
      if (!shim_ctl_parse_point ("--click", options->click, &request->click_px))
        return FALSE;
      request->has_click = TRUE;
    }
  return TRUE;
}

/**
 * shim_ctl_request_parse:
 * @options: what was typed
 * @request: (out): the same, understood
 *
 * On failure it has said why on standard error.
 *
 * Returns: whether it was understood
 */
gboolean
shim_ctl_request_parse (const ShimCtlRequest *options, ShimMeasureRequest *request)
{
  double pitch_um = NAN;

  shim_measure_request_init (request);
  if (!request_from_places (options, request)
      || !parse_range ("--tick", options->tick, 0.1, 50.0, &request->tick_mm)
      || !parse_range ("--angle", options->angle, 5.0, 85.0, &request->angle_deg)
      || !parse_range ("--focal", options->focal, 1.0, 6000.0, &request->focal_mm)
      || !parse_range ("--f-number", options->f_number, 0.5, 64.0, &request->f_number)
      || !parse_range ("--distance", options->distance, 50.0, 1e6, &request->distance_mm)
      || !parse_range ("--pixel-pitch", options->pitch, 0.5, 30.0, &pitch_um)
      || !parse_range ("--coc", options->coc, 0.001, 0.2, &request->coc_mm))
    return FALSE;
  request->pixel_pitch_mm = pitch_um / 1000.0;
  if (options->far_side != NULL
      && (!shim_far_side_from_name (options->far_side, &request->far_side) || request->far_side == SHIM_FAR_UNKNOWN))
    {
      shim_ctl_usage (_ ("--far is one of up, down, left and right, not “%s”"), options->far_side);
      return FALSE;
    }
  return TRUE;
}

/**
 * shim_ctl_request_clear:
 * @options: what was typed; freed and emptied
 */
void
shim_ctl_request_clear (ShimCtlRequest *options)
{
  g_free (options->target);
  g_free (options->strip);
  g_free (options->click);
  g_free (options->tick);
  g_free (options->angle);
  g_free (options->far_side);
  g_free (options->focal);
  g_free (options->f_number);
  g_free (options->distance);
  g_free (options->pitch);
  g_free (options->coc);
  *options = (ShimCtlRequest) { 0 };
}
