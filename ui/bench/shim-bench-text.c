/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <glib/gi18n.h>
#include <math.h>

#include "shim-bench-text.h"
#include "shim-format.h"

#define LEFT_TO_RIGHT_ISOLATE "\u2066"
#define END_OF_ISOLATE "\u2069"

/* A number with its sign and unit, kept left to right inside a right-to-left sentence, where its sign would else
   change sides. */
static char *
isolated (char *number)
{
  g_autofree char *text = number;

  return g_strconcat (LEFT_TO_RIGHT_ISOLATE, text, END_OF_ISOLATE, NULL);
}

/**
 * shim_bench_text_offset:
 * @offset_mm: an offset, NAN = not measured
 * @se_mm: its standard error, NAN = not known
 *
 * Returns: (transfer full): "+0.42 ± 0.05 mm"
 */
char *
shim_bench_text_offset (double offset_mm, double se_mm)
{
  if (isnan (offset_mm))
    return g_strdup (_ ("not measured"));
  return isolated (shim_format_signed_error (offset_mm, se_mm, "mm"));
}

/**
 * shim_bench_text_about:
 * @offset_mm: an offset that was looked at, not measured; NAN allowed
 *
 * Returns: (transfer full): "+0.4 mm"
 */
char *
shim_bench_text_about (double offset_mm)
{
  g_autofree char *number = shim_format_signed (offset_mm, 1);

  if (isnan (offset_mm))
    return g_steal_pointer (&number);
  return isolated (g_strdup_printf ("%s\u00a0mm", number));
}

/**
 * shim_bench_text_setting:
 * @setting: a setting
 *
 * Returns: (transfer full): with its sign, as cameras show it: "+3", "0", "−2"
 */
char *
shim_bench_text_setting (gint64 setting)
{
  return isolated (shim_format_setting (setting));
}

/**
 * shim_bench_text_length:
 * @length_mm: a length without a sign; NAN and INFINITY allowed
 *
 * Returns: (transfer full): with as many decimals as a photographer can use: "0.42 mm", "36 mm", "2.5 m"
 */
char *
shim_bench_text_length (double length_mm)
{
  g_autofree char *number = NULL;

  if (isinf (length_mm))
    return g_strdup (_ ("without end"));
  if (isnan (length_mm) || length_mm >= 1000.0)
    return shim_format_distance (length_mm);
  number = shim_format_number (length_mm, length_mm >= 100.0 ? 0 : length_mm >= 10.0 ? 1 : 2);
  return g_strdup_printf ("%s\u00a0mm", number);
}

/**
 * shim_bench_text_round:
 * @round: a round
 * @number: its number in the test, from 1
 *
 * Returns: (transfer full): "Round 2: setting +5"
 */
char *
shim_bench_text_round (const ShimRoundSummary *round, guint number)
{
  g_autofree char *setting = NULL;

  if (round->is_reference)
    return g_strdup_printf (_ ("Round %u: reference"), number);
  setting = shim_bench_text_setting (round->round->setting);
  return g_strdup_printf (_ ("Round %u: setting %s"), number, setting);
}
