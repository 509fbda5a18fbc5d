/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "shim-day.h"

static const char *const months[] = { "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec" };

/* No camera is older than photography: what is less is no year. */
#define FIRST_YEAR 1826

/* The three parts of a day as it was written, in that order. */
typedef struct
{
  guint numbers[3];
  guint n_digits[3];
  gboolean is_name[3]; /* a month by its name */
  char sign;           /* between the first two */
} Parts;

static guint
month_from_name (const char *start, gsize length)
{
  for (guint i = 0; length >= 3 && i < G_N_ELEMENTS (months); i++)
    if (g_ascii_strncasecmp (start, months[i], 3) == 0)
      return i + 1;
  return 0;
}

/* One part, and @text moved behind it. */
static gboolean
read_part (const char **text, Parts *parts, guint i)
{
  const char *start = *text;
  gsize n = strspn (start, "0123456789");

  if (n > 0 && n <= 4)
    parts->numbers[i] = (guint) g_ascii_strtoull (start, NULL, 10);
  else
    {
      n = 0;
      while (g_ascii_isalpha (start[n]))
        n++;
      parts->numbers[i] = month_from_name (start, n);
      parts->is_name[i] = TRUE;
    }
  parts->n_digits[i] = (guint) n;
  *text = start + n;
  return n > 0 && parts->numbers[i] > 0;
}

/* A time of day behind it says nothing more. */
static gboolean
is_rest (const char *text)
{
  return *text == '\0' || ((*text == ' ' || *text == 'T') && strspn (text + 1, "0123456789:.Z ") == strlen (text + 1));
}

static gboolean
read_parts (const char *text, Parts *parts)
{
  *parts = (Parts) { 0 };
  for (guint i = 0; i < 3; i++)
    {
      if (!read_part (&text, parts, i))
        return FALSE;
      if (i == 0)
        parts->sign = *text;
      if (i < 2 && strspn (text, "./- ,") == 0)
        return FALSE;
      text += i < 2 ? strspn (text, "./- ,") : 0;
    }
  return is_rest (text);
}

/* Points part day and month in this order everywhere; a year stands first only where the month follows. */
static ShimDayOrder
own_order (const Parts *parts)
{
  if (parts->is_name[1] || (!parts->is_name[0] && parts->sign == '.') || parts->numbers[0] > 12)
    return SHIM_DAY_FIRST;
  if (parts->is_name[0] || parts->numbers[1] > 12)
    return SHIM_DAY_MONTH_FIRST;
  return SHIM_DAY_ORDER_UNKNOWN;
}

/**
 * shim_day_order:
 * @text: a day as somebody wrote it
 *
 * Returns: the order of day and month in it, as far as it tells itself; that of a year that stands first is unknown
 */
ShimDayOrder
shim_day_order (const char *text)
{
  Parts parts;

  g_return_val_if_fail (text != NULL, SHIM_DAY_ORDER_UNKNOWN);

  return read_parts (text, &parts) && parts.n_digits[0] < 4 ? own_order (&parts) : SHIM_DAY_ORDER_UNKNOWN;
}

/* Two digits as POSIX strptime() reads %y. */
static guint
whole_year (const Parts *parts, guint i)
{
  if (parts->n_digits[i] == 4)
    return parts->numbers[i];
  if (parts->n_digits[i] != 2 || parts->is_name[i])
    return 0;
  return parts->numbers[i] + (parts->numbers[i] >= 69 ? 1900 : 2000);
}

/**
 * shim_day_parse:
 * @text: a day as spreadsheets write it: 2021-3-12, 12.03.2021, 12/03/21, 12-Mar-2021
 * @order: how 03/04/2021 is read
 *
 * Returns: (transfer full) (nullable): the day as YYYY-MM-DD; %NULL when it is none, or may be two
 */
char *
shim_day_parse (const char *text, ShimDayOrder order)
{
  Parts parts;
  guint year, month, day;

  g_return_val_if_fail (text != NULL, NULL);

  if (!read_parts (text, &parts))
    return NULL;
  if (parts.n_digits[0] == 4 && !parts.is_name[0])
    {
      year = parts.numbers[0];
      month = parts.numbers[1];
      day = parts.numbers[2];
    }
  else
    {
      const ShimDayOrder own = own_order (&parts);
      const ShimDayOrder known = own != SHIM_DAY_ORDER_UNKNOWN ? own : order;

      if (known == SHIM_DAY_ORDER_UNKNOWN && parts.numbers[0] != parts.numbers[1])
        return NULL;
      year = whole_year (&parts, 2);
      day = parts.numbers[known == SHIM_DAY_MONTH_FIRST ? 1 : 0];
      month = parts.numbers[known == SHIM_DAY_MONTH_FIRST ? 0 : 1];
    }
  if (year == 0 || !g_date_valid_dmy ((GDateDay) day, (GDateMonth) month, (GDateYear) year))
    return NULL;
  return g_strdup_printf ("%04u-%02u-%02u", year, month, day);
}

/**
 * shim_day_is_two:
 * @text: a day as somebody wrote it
 *
 * Returns: whether it is a day either way, and not the same one, whichever of day and month stands first
 */
gboolean
shim_day_is_two (const char *text)
{
  g_autofree char *one = shim_day_parse (text, SHIM_DAY_FIRST);
  g_autofree char *other = shim_day_parse (text, SHIM_DAY_MONTH_FIRST);

  return one != NULL && other != NULL && strcmp (one, other) != 0;
}

static gboolean
is_month (const Parts *parts, guint i)
{
  return parts->is_name[i] || (parts->n_digits[i] <= 2 && parts->numbers[i] <= 12);
}

/**
 * shim_day_parse_rough:
 * @text: a year or a month as somebody wrote it: 2019, 3/2022, 2022-03, March 2022
 *
 * Returns: (transfer full) (nullable): YYYY or YYYY-MM, as ISO 8601 writes days of which no more is known (from memory); %NULL when it
 *   is neither
 */
char *
shim_day_parse_rough (const char *text)
{
  Parts parts = { 0 };
  guint year;

  g_return_val_if_fail (text != NULL, NULL);

  if (!read_part (&text, &parts, 0))
    return NULL;
  if (*text == '\0')
    return parts.n_digits[0] == 4 && !parts.is_name[0] && parts.numbers[0] >= FIRST_YEAR ? g_strdup_printf ("%u", parts.numbers[0]) : NULL;
  text += strspn (text, "./- ");
  if (!read_part (&text, &parts, 1) || *text != '\0')
    return NULL;
  year = is_month (&parts, 0) ? 1 : 0;
  if (parts.n_digits[year] != 4 || parts.is_name[year] || parts.numbers[year] < FIRST_YEAR || !is_month (&parts, 1 - year))
    return NULL;
  return g_strdup_printf ("%u-%02u", parts.numbers[year], parts.numbers[1 - year]);
}
