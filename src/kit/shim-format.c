/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <stdlib.h>

#include "shim-format.h"
#include "shim-field.h"

/* Numbers for people, the same in the window, on paper and on the command line: in the user's locale, with the
 * typographic minus sign, no more digits than are known. Files (CSV, JSON) do not use these. */

#define MINUS "\u2212"
#define NOT_KNOWN "–"

/**
 * shim_format_number:
 * @value: a number, NAN = not known
 * @decimals: digits after the decimal point, 0 to 6
 *
 * Returns: (transfer full): the number; an en dash when not known
 */
char *
shim_format_number (double value, int decimals)
{
  g_autofree char *digits = NULL;

  g_return_val_if_fail (decimals >= 0 && decimals <= 6, NULL);

  if (isnan (value))
    return g_strdup (NOT_KNOWN);
  if (isinf (value))
    return g_strdup (value > 0 ? "∞" : MINUS "∞");
  digits = g_strdup_printf ("%.*f", decimals, fabs (value));
  /* No "−0.0": what rounds to nothing has no sign. */
  if (value < 0.0 && strtod (digits, NULL) != 0.0)
    return g_strconcat (MINUS, digits, NULL);
  return g_steal_pointer (&digits);
}

/**
 * shim_format_signed:
 * @value: a number, NAN = not known
 * @decimals: digits after the decimal point, 0 to 6
 *
 * Returns: (transfer full): the number with its sign, also when positive
 */
char *
shim_format_signed (double value, int decimals)
{
  g_autofree char *number = shim_format_number (value, decimals);

  if (isnan (value) || value <= 0.0 || strtod (number, NULL) == 0.0)
    return g_steal_pointer (&number);
  return g_strconcat ("+", number, NULL);
}

/* Two significant digits of the standard error, at most three decimals: what the trade can use. */
static int
decimals_for (double se)
{
  int decimals;

  if (isnan (se) || se <= 0.0)
    return 1;
  decimals = 1 - (int) floor (log10 (se));
  return CLAMP (decimals, 0, 3);
}

static char *
with_error (char *number, double se, int decimals, const char *unit)
{
  g_autofree char *value = number;
  g_autofree char *error = NULL;

  if (isnan (se))
    return g_strdup_printf ("%s\u00a0%s", value, unit);
  error = shim_format_number (se, decimals);
  return g_strdup_printf ("%s\u00a0±\u00a0%s\u00a0%s", value, error, unit);
}

/**
 * shim_format_with_error:
 * @value: a measured number
 * @se: its standard error, NAN = not known
 * @unit: its unit
 *
 * Returns: (transfer full): as "12.3 ± 0.4 mm"
 */
char *
shim_format_with_error (double value, double se, const char *unit)
{
  g_return_val_if_fail (unit != NULL, NULL);

  if (isnan (value))
    return g_strdup (NOT_KNOWN);
  return with_error (shim_format_number (value, decimals_for (se)), se, decimals_for (se), unit);
}

/**
 * shim_format_signed_error:
 * @value: a measured number
 * @se: its standard error, NAN = not known
 * @unit: its unit
 *
 * Returns: (transfer full): as "+12.3 ± 0.4 mm"
 */
char *
shim_format_signed_error (double value, double se, const char *unit)
{
  g_return_val_if_fail (unit != NULL, NULL);

  if (isnan (value))
    return g_strdup (NOT_KNOWN);
  return with_error (shim_format_signed (value, decimals_for (se)), se, decimals_for (se), unit);
}

/**
 * shim_format_setting:
 * @setting: a setting, %SHIM_NO_INT = none
 *
 * Returns: (transfer full): as "+7", "−3", "0"; an en dash when there is none
 */
char *
shim_format_setting (gint64 setting)
{
  if (setting == SHIM_NO_INT)
    return g_strdup (NOT_KNOWN);
  return shim_format_signed ((double) setting, 0);
}

/**
 * shim_format_distance:
 * @distance_mm: a distance, NAN = not known
 *
 * Returns: (transfer full): in metres from one metre on, else in millimetres
 */
char *
shim_format_distance (double distance_mm)
{
  g_autofree char *number = NULL;

  if (isnan (distance_mm))
    return g_strdup (NOT_KNOWN);
  if (fabs (distance_mm) < 1000.0)
    {
      number = shim_format_number (distance_mm, 0);
      return g_strdup_printf ("%s\u00a0mm", number);
    }
  number = shim_format_number (distance_mm / 1000.0, 2);
  return g_strdup_printf ("%s\u00a0m", number);
}

/**
 * shim_format_focal:
 * @focal_min_mm: shortest focal length
 * @focal_max_mm: longest, NAN or equal for a prime
 *
 * Returns: (transfer full): as "50 mm" or "24–70 mm"
 */
char *
shim_format_focal (double focal_min_mm, double focal_max_mm)
{
  if (isnan (focal_min_mm))
    return g_strdup (NOT_KNOWN);
  if (isnan (focal_max_mm) || focal_max_mm == focal_min_mm)
    return g_strdup_printf ("%.4g\u00a0mm", focal_min_mm);
  return g_strdup_printf ("%.4g–%.4g\u00a0mm", focal_min_mm, focal_max_mm);
}

/**
 * shim_format_f_number:
 * @f_number: an f-number, NAN = not known
 *
 * Returns: (transfer full): as "f/1.8"
 */
char *
shim_format_f_number (double f_number)
{
  if (isnan (f_number))
    return g_strdup (NOT_KNOWN);
  return g_strdup_printf ("f/%.2g", f_number);
}

/**
 * shim_format_exposure:
 * @exposure_s: seconds, NAN = not known
 *
 * Returns: (transfer full): as "1/250 s" or "0.5 s"
 */
char *
shim_format_exposure (double exposure_s)
{
  if (isnan (exposure_s) || exposure_s <= 0.0)
    return g_strdup (NOT_KNOWN);
  if (exposure_s < 0.3)
    return g_strdup_printf ("1/%.0f\u00a0s", 1.0 / exposure_s);
  return g_strdup_printf ("%.2g\u00a0s", exposure_s);
}

/**
 * shim_format_age_days:
 * @days: an age, below 0 = not known
 *
 * Returns: (transfer full): in days, months or years, as one would say it
 */
char *
shim_format_age_days (gint64 days)
{
  if (days < 0)
    return g_strdup (NOT_KNOWN);
  if (days == 0)
    return g_strdup (_ ("today"));
  if (days < 60)
    return g_strdup_printf (g_dngettext (GETTEXT_PACKAGE, "%d day", "%d days", (gulong) days), (int) days);
  if (days < 730)
    return g_strdup_printf (g_dngettext (GETTEXT_PACKAGE, "%d month", "%d months", (gulong) (days / 30)), (int) (days / 30));
  return g_strdup_printf (g_dngettext (GETTEXT_PACKAGE, "%d year", "%d years", (gulong) (days / 365)), (int) (days / 365));
}

static char *
format_local (const char *at, const char *format)
{
  g_autoptr (GDateTime) utc = g_date_time_new_from_iso8601 (at, NULL);
  g_autoptr (GDateTime) local = utc != NULL ? g_date_time_to_local (utc) : NULL;

  return local != NULL ? g_date_time_format (local, format) : g_strdup (at);
}

/**
 * shim_format_day:
 * @at: a time as the register holds it, ISO 8601 in UTC, or a day
 *
 * Returns: (transfer full): the day it was where the person is, "YYYY-MM-DD"
 */
char *
shim_format_day (const char *at)
{
  return format_local (at, "%Y-%m-%d");
}

/**
 * shim_format_time:
 * @at: a time as the register holds it, ISO 8601 in UTC
 *
 * Returns: (transfer full): day and time where the person is, "YYYY-MM-DD HH:MM"
 */
char *
shim_format_time (const char *at)
{
  return format_local (at, "%Y-%m-%d %H:%M");
}

/**
 * shim_format_product:
 * @maker: (nullable): who made it
 * @model: (nullable): as engraved
 *
 * Many models are engraved with their maker's name; it is not said twice.
 *
 * Returns: (transfer full) (nullable): both together; %NULL when neither is known
 */
char *
shim_format_product (const char *maker, const char *model)
{
  if (maker == NULL || model == NULL)
    return g_strdup (maker != NULL ? maker : model);
  if (g_str_has_prefix (model, maker))
    return g_strdup (model);
  return g_strdup_printf ("%s %s", maker, model);
}
