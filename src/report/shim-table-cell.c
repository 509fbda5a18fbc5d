/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <string.h>

#include "shim-quantity.h"
#include "shim-table-cell.h"

/* The longest sign of a currency that is still taken for one: "US$", "CHF", "Kčs.". */
#define MOST_SIGN_LETTERS 4

/* Where "24–70" is cut, or %NULL, and where it goes on. A minus before the number is none. */
static const char *
find_dash (const char *cell, const char **after)
{
  static const char *const dashes[] = { "-", "\u2010", "\u2011", "\u2012", "\u2013", "\u2212", "…", "...", " to " };

  for (const char *p = *cell != '\0' ? g_utf8_next_char (cell) : cell; *p != '\0'; p = g_utf8_next_char (p))
    for (guint i = 0; i < G_N_ELEMENTS (dashes); i++)
      if (g_str_has_prefix (p, dashes[i]))
        {
          *after = p + strlen (dashes[i]);
          return p;
        }
  return NULL;
}

static gboolean
parse_range (const ShimTableColumn *column, ShimRecord *record, const char *cell, GError **error)
{
  const char *after = NULL, *dash = find_dash (cell, &after);
  g_autofree char *lower = dash != NULL ? g_strndup (cell, (gsize) (dash - cell)) : NULL;

  if (dash == NULL)
    return shim_record_parse (record, column->field, cell, error);
  return shim_record_parse (record, column->field, lower, error) && shim_record_parse (record, column->upper, after, error);
}

static gboolean
is_currency (const char *sign)
{
  for (const char *p = sign; *p != '\0'; p = g_utf8_next_char (p))
    if (!g_unichar_isalpha (g_utf8_get_char (p)) && g_unichar_type (g_utf8_get_char (p)) != G_UNICODE_CURRENCY_SYMBOL && *p != '.')
      return FALSE;
  return g_utf8_strlen (sign, -1) <= MOST_SIGN_LETTERS;
}

static gboolean
parse_money (const ShimTableColumn *column, ShimRecord *record, const char *cell, GError **error)
{
  g_autofree char *number = NULL;
  g_autofree char *sign = NULL;

  if (!shim_quantity_split (cell, &number, &sign) || !is_currency (sign))
    return shim_record_parse (record, column->field, cell, error);
  if (!shim_record_parse (record, column->field, number, error))
    return FALSE;
  if (column->beside != NULL && *sign != '\0')
    shim_record_set_text (record, column->beside, sign);
  return TRUE;
}

static gboolean
parse_day (const ShimTableColumn *column, ShimRecord *record, const char *cell, GError **error)
{
  g_autofree char *text = g_strstrip (g_strdup (cell));
  g_autofree char *day = shim_day_parse (text, column->order);

  return shim_record_parse (record, column->field, day != NULL ? day : text, error);
}

/**
 * shim_table_cell_parse:
 * @column: what the cell fills
 * @record: where to
 * @cell: a cell of a spreadsheet: may hold both ends of a range, or a sum with its currency
 * @error: return location for a #ShimKitError
 *
 * Returns: whether it was understood
 */
gboolean
shim_table_cell_parse (const ShimTableColumn *column, ShimRecord *record, const char *cell, GError **error)
{
  g_return_val_if_fail (column != NULL && column->field != NULL, FALSE);
  g_return_val_if_fail (cell != NULL, FALSE);

  if (column->upper != NULL)
    return parse_range (column, record, cell, error);
  if (column->field->beside != NULL)
    return parse_money (column, record, cell, error);
  if (column->field->type == SHIM_FIELD_DATE)
    return parse_day (column, record, cell, error);
  return shim_record_parse (record, column->field, cell, error);
}
