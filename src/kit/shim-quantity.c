/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <math.h>
#include <string.h>

#include "shim-quantity.h"

/* What a unit is in another one. Foot, inch, pound and ounce: NIST Special Publication 811, appendix B.8. */
static const struct
{
  const char *written, *unit;
  double factor;
} units[] = {
  { "cm", "mm", 10.0 },       { "m", "mm", 1000.0 },  { "in", "mm", 25.4 },         { "ft", "mm", 304.8 },
  { "mm", "m", 0.001 },       { "cm", "m", 0.01 },    { "ft", "m", 0.3048 },        { "kg", "g", 1000.0 },
  { "lb", "g", 453.59237 },   { "lbs", "g", 453.59237 }, { "oz", "g", 28.349523125 }, { "um", "µm", 1.0 },
  { "f", "f/", 1.0 },         { "ƒ/", "f/", 1.0 },    { "1:", "f/", 1.0 },          { "x", "×", 1.0 },
};

/* Spreadsheets put blanks of many kinds between thousands and before a unit, and have a minus sign and an apostrophe of their own. */
static char *
with_plain_signs (const char *text)
{
  GString *out = g_string_new (NULL);

  for (const char *p = text; *p != '\0'; p = g_utf8_next_char (p))
    {
      const gunichar c = g_utf8_get_char (p);

      if (g_unichar_isspace (c))
        g_string_append_c (out, ' ');
      else if (c == 0x2212)
        g_string_append_c (out, '-');
      else if (c == 0x2019)
        g_string_append_c (out, '\'');
      else
        g_string_append_unichar (out, c);
    }
  return g_strstrip (g_string_free (out, FALSE));
}

static gboolean
is_one_of (char c, const char *signs)
{
  return c != '\0' && strchr (signs, c) != NULL;
}

/**
 * shim_quantity_split:
 * @text: what somebody wrote: "1.299,00 €", "f/2.8", "0,65 kg"
 * @number: (out) (transfer full): the number in it, with its sign
 * @beside: (out) (transfer full): what stands before or behind it; empty when there is nothing
 *
 * Returns: whether there is a number, with something on one side of it at most
 */
gboolean
shim_quantity_split (const char *text, char **number, char **beside)
{
  g_autofree char *plain = NULL;
  const char *start, *end;

  g_return_val_if_fail (text != NULL, FALSE);
  g_return_val_if_fail (number != NULL && beside != NULL, FALSE);

  plain = with_plain_signs (text);
  start = strpbrk (g_str_has_prefix (plain, "1:") ? plain + strlen ("1:") : plain, "0123456789");
  if (start == NULL)
    return FALSE;
  end = start;
  while (g_ascii_isdigit (*end) || (is_one_of (*end, ".,' ") && g_ascii_isdigit (end[1])))
    end++;
  if (start > plain && is_one_of (start[-1], ".,"))
    start--;
  if (start > plain && is_one_of (start[-1], "-+"))
    start--;
  if (start > plain && *end != '\0')
    return FALSE;
  *number = g_strndup (start, (gsize) (end - start));
  *beside = start > plain ? g_strndup (plain, (gsize) (start - plain)) : g_strdup (end);
  g_strstrip (*beside);
  return TRUE;
}

/* Of the @number's points and commas the decimal one, or %NULL. Where both stand, it is the last; one that stands more than once parts
 * thousands, and so does a single one before three digits where numbers @is_grouped. */
static const char *
find_decimal_sign (const char *number, gboolean is_grouped)
{
  const char *point = strchr (number, '.'), *comma = strchr (number, ',');
  const char *last = MAX (strrchr (number, '.'), strrchr (number, ','));
  const gsize before = strspn (number, "0123456789");

  if (last == NULL || (point != NULL && comma != NULL))
    return last;
  if (last != (point != NULL ? point : comma))
    return NULL;
  return is_grouped && number + before == last && before >= 1 && before <= 3 && *number != '0' && strlen (last + 1) == 3 ? NULL : last;
}

/* The digits before @end; what parts them parts thousands, always the same sign. Returns whether it does. */
static gboolean
append_whole (GString *digits, const char *number, const char *end)
{
  char sign = '\0';
  gsize n_in_group = 0;

  for (const char *p = number; p < end; p++)
    if (g_ascii_isdigit (*p))
      {
        g_string_append_c (digits, *p);
        n_in_group++;
      }
    else if (n_in_group == 0 || n_in_group > 3 || (sign != '\0' && (*p != sign || n_in_group != 3)))
      return FALSE;
    else
      {
        sign = *p;
        n_in_group = 0;
      }
  return sign == '\0' || n_in_group == 3;
}

/**
 * shim_quantity_number:
 * @number: as shim_quantity_split() gives it
 * @is_grouped: whether such numbers are large: then 1,450 and 1.450 are above a thousand
 * @value: (out): its value
 *
 * Decimals with a point or a comma; thousands parted by the other of the two, blanks or apostrophes.
 *
 * Returns: whether it is a number
 */
gboolean
shim_quantity_number (const char *number, gboolean is_grouped, double *value)
{
  g_autoptr (GString) digits = g_string_new (NULL);
  const char *decimal_sign, *end;
  char *stop = NULL;

  g_return_val_if_fail (number != NULL, FALSE);
  g_return_val_if_fail (value != NULL, FALSE);

  if (is_one_of (*number, "-+"))
    g_string_append_c (digits, *number++);
  decimal_sign = find_decimal_sign (number, is_grouped);
  end = decimal_sign != NULL ? decimal_sign : number + strlen (number);
  if (!append_whole (digits, number, end))
    return FALSE;
  if (decimal_sign != NULL)
    g_string_append_printf (digits, ".%s", decimal_sign + 1);
  errno = 0;
  *value = g_ascii_strtod (digits->str, &stop);
  return stop != digits->str && *stop == '\0' && errno == 0 && isfinite (*value);
}

/**
 * shim_quantity_factor:
 * @beside: what stands beside a number
 * @unit: (nullable): the unit that is wanted
 *
 * Returns: what the number is to be multiplied by, or 0 when @beside is no unit for it
 */
double
shim_quantity_factor (const char *beside, const char *unit)
{
  g_autofree char *folded = NULL;
  g_autofree char *wanted = NULL;

  g_return_val_if_fail (beside != NULL, 0.0);

  folded = g_utf8_casefold (beside, -1);
  wanted = g_utf8_casefold (unit != NULL ? unit : "", -1);
  if (*folded == '\0' || g_str_equal (folded, wanted))
    return 1.0;
  for (guint i = 0; unit != NULL && i < G_N_ELEMENTS (units); i++)
    if (g_str_equal (units[i].unit, unit) && g_str_equal (units[i].written, folded))
      return units[i].factor;
  return 0.0;
}
