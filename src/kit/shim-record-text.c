/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <errno.h>
#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "shim-day.h"
#include "shim-kit-error.h"
#include "shim-quantity.h"
#include "shim-record.h"

/* More than anybody writes into one field; a table that is broken may bring a cell of megabytes. */
#define MOST_BYTES 20000

/* Turning fields into text and back: one place for CSV, forms and the command line. */

/* 1.125 of a field with large numbers would be read back as 1125. */
static gboolean
looks_grouped (const ShimField *field, const char *number)
{
  const char *point = strchr (number, '.');

  return (field->flags & SHIM_FIELD_GROUPED) != 0 && point != NULL && strspn (point + 1, "0123456789") == 3;
}

/**
 * shim_record_to_string:
 * @self: a record
 * @field: one of its fields, not a blob
 *
 * In the C locale, as CSV and JSON want it; numbers with no more digits than they need.
 *
 * Returns: (transfer full): the value; an empty string when not known
 */
char *
shim_record_to_string (ShimRecord *self, const ShimField *field)
{
  char buffer[G_ASCII_DTOSTR_BUF_SIZE];

  g_return_val_if_fail (SHIM_IS_RECORD (self), NULL);
  g_return_val_if_fail (field != NULL && field->type != SHIM_FIELD_BLOB, NULL);

  if (!shim_record_is_known (self, field))
    return g_strdup ("");
  switch (field->type)
    {
    case SHIM_FIELD_BOOL:
      return g_strdup (shim_record_get_int (self, field) != 0 ? "yes" : "no");
    case SHIM_FIELD_INT:
      return g_strdup_printf ("%" G_GINT64_FORMAT, shim_record_get_int (self, field));
    case SHIM_FIELD_REAL:
      g_ascii_formatd (buffer, sizeof buffer, "%.10g", shim_record_get_real (self, field));
      return g_strconcat (buffer, looks_grouped (field, buffer) ? "0" : "", NULL);
    case SHIM_FIELD_TEXT:
    case SHIM_FIELD_CHOICE:
    case SHIM_FIELD_DATE:
    case SHIM_FIELD_TIME:
    case SHIM_FIELD_REF:
    case SHIM_FIELD_BLOB:
    default:
      return g_strdup (shim_record_get_text (self, field));
    }
}

/**
 * shim_record_dup_title:
 * @self: a record
 *
 * Returns: (transfer full): what people call it: its name, else its note, else its kind ("Lens")
 */
char *
shim_record_dup_title (ShimRecord *self)
{
  static const char *const names[] = { "label", "name", "note" };
  const ShimKind *kind;

  g_return_val_if_fail (SHIM_IS_RECORD (self), NULL);

  kind = shim_record_get_kind (self);
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
    {
      const ShimField *field = shim_kind_find_field (kind, names[i]);

      if (field != NULL && shim_record_is_known (self, field))
        return g_strdup (shim_record_get_text (self, field));
    }
  return g_strdup (_ (kind->label));
}

static gboolean
in_range (const ShimField *field, double value, GError **error)
{
  char low[G_ASCII_DTOSTR_BUF_SIZE], high[G_ASCII_DTOSTR_BUF_SIZE];

  if (isfinite (value) && ((field->min == 0.0 && field->max == 0.0) || (value >= field->min && value <= field->max)))
    return TRUE;
  g_ascii_formatd (low, sizeof low, "%g", field->min);
  g_ascii_formatd (high, sizeof high, "%g", field->max);
  g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID, _ ("%s must lie between %s and %s"), _ (field->label), low,
               high);
  return FALSE;
}

/* The typographic minus sign stands in forms, and comes in by copying from documents. */
static char *
with_plain_minus (const char *text)
{
  return g_str_has_prefix (text, "\u2212") ? g_strconcat ("-", text + strlen ("\u2212"), NULL) : g_strdup (text);
}

/* A number may have its unit beside it, or another one that is known. */
static gboolean
parse_real (const ShimField *field, const char *text, double *value, GError **error)
{
  g_autofree char *number = NULL;
  g_autofree char *beside = NULL;
  double factor = 0.0;

  if (shim_quantity_split (text, &number, &beside))
    factor = shim_quantity_factor (beside, field->unit);
  if (factor == 0.0 || !shim_quantity_number (number, (field->flags & SHIM_FIELD_GROUPED) != 0 && factor == 1.0, value))
    {
      g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID, _ ("%s: “%s” is not a number"), _ (field->label), text);
      return FALSE;
    }
  *value *= factor;
  return in_range (field, *value, error);
}

static gboolean
parse_int (const ShimField *field, const char *text, gint64 *value, GError **error)
{
  g_autofree char *plain = with_plain_minus (text);
  char *end = NULL;

  errno = 0;
  *value = g_ascii_strtoll (plain, &end, 10);
  if (end == plain || *end != '\0' || errno != 0)
    {
      g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID, _ ("%s: “%s” is not a whole number"), _ (field->label),
                   text);
      return FALSE;
    }
  return in_range (field, (double) *value, error);
}

static gboolean
parse_bool (const ShimField *field, const char *text, gint64 *value, GError **error)
{
  static const char *const yes[] = { "yes", "y", "true", "1", "x", NULL };
  static const char *const no[] = { "no", "n", "false", "0", NULL };
  g_autofree char *lower = g_utf8_strdown (text, -1);

  if (g_strv_contains (yes, lower))
    *value = 1;
  else if (g_strv_contains (no, lower))
    *value = 0;
  else
    {
      g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID, _ ("%s: “%s” is neither yes nor no"), _ (field->label),
                   text);
      return FALSE;
    }
  return TRUE;
}

static const char *
match_choice (const ShimField *field, const char *text)
{
  g_autofree char *wanted = g_utf8_casefold (text, -1);

  for (const ShimChoice *choice = field->choices; choice->value != NULL; choice++)
    {
      g_autofree char *label = g_utf8_casefold (choice->label, -1);
      g_autofree char *local_label = g_utf8_casefold (_ (choice->label), -1);

      if (strcmp (wanted, choice->value) == 0 || strcmp (wanted, label) == 0 || strcmp (wanted, local_label) == 0)
        return choice->value;
    }
  return NULL;
}

static gboolean
parse_choice (ShimRecord *self, const ShimField *field, const char *text, GError **error)
{
  const char *value = match_choice (field, text);
  g_autoptr (GString) allowed = NULL;

  if (value != NULL)
    {
      shim_record_set_text (self, field, value);
      return TRUE;
    }
  allowed = g_string_new (NULL);
  for (const ShimChoice *choice = field->choices; choice->value != NULL; choice++)
    g_string_append_printf (allowed, "%s%s", allowed->len > 0 ? ", " : "", choice->value);
  g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID, _ ("%s: “%s” is not one of %s"), _ (field->label), text,
               allowed->str);
  return FALSE;
}

static char *
normalize_time (const char *text)
{
  g_autoptr (GTimeZone) utc = g_time_zone_new_utc ();
  g_autoptr (GDateTime) time = g_date_time_new_from_iso8601 (text, utc);
  g_autoptr (GDateTime) time_utc = time != NULL ? g_date_time_to_utc (time) : NULL;

  return time_utc != NULL ? g_date_time_format (time_utc, "%Y-%m-%dT%H:%M:%SZ") : NULL;
}

/* A date or time as it is kept: UTC, so that sorting as text sorts by time. */
static char *
normalize_date (const ShimField *field, const char *text, GError **error)
{
  char *value = field->type == SHIM_FIELD_DATE ? shim_day_parse (text, SHIM_DAY_ORDER_UNKNOWN) : normalize_time (text);

  if (value == NULL && (field->flags & SHIM_FIELD_ROUGH_DAY) != 0)
    value = shim_day_parse_rough (text);
  if (value == NULL && shim_day_is_two (text))
    g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID,
                 _ ("%s: “%s” may be two days, by who wrote it; write it as 2026-11-25"), _ (field->label), text);
  else if (value == NULL)
    g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID, _ ("%s: “%s” is not a date as 2026-11-25"), _ (field->label),
                 text);
  return value;
}

static gboolean
parse_date (ShimRecord *self, const ShimField *field, const char *text, GError **error)
{
  g_autofree char *value = normalize_date (field, text, error);

  if (value == NULL)
    return FALSE;
  shim_record_set_text (self, field, value);
  return TRUE;
}

static gboolean
check_date (const ShimField *field, const char *text, GError **error)
{
  g_autofree char *value = normalize_date (field, text, error);

  if (value == NULL)
    return FALSE;
  if (strcmp (value, text) == 0)
    return TRUE;
  g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID, _ ("%s: “%s” should be written as “%s”"), _ (field->label),
               text, value);
  return FALSE;
}

static void
set_unknown (ShimRecord *self, const ShimField *field)
{
  if (field->type == SHIM_FIELD_INT)
    shim_record_set_int (self, field, SHIM_NO_INT);
  else if (field->type == SHIM_FIELD_BOOL)
    shim_record_set_int (self, field, 0);
  else if (field->type == SHIM_FIELD_REAL)
    shim_record_set_real (self, field, NAN);
  else
    shim_record_set_text (self, field, NULL);
}

/**
 * shim_record_parse:
 * @self: a record
 * @field: one of its fields, not a blob
 * @string: (nullable): what somebody typed; surrounding blanks do not count, nothing means "not known"
 * @error: return location for a #ShimKitError
 *
 * Texts (serials above all) are kept as they stand, leading zeros included.
 *
 * Returns: whether @string was understood and inside the field's range; otherwise the record is unchanged
 */
gboolean
shim_record_parse (ShimRecord *self, const ShimField *field, const char *string, GError **error)
{
  g_autofree char *text = NULL;
  gint64 whole = 0;
  double real = 0.0;

  g_return_val_if_fail (SHIM_IS_RECORD (self), FALSE);
  g_return_val_if_fail (field != NULL && field->type != SHIM_FIELD_BLOB, FALSE);

  text = g_strstrip (g_strdup (string != NULL ? string : ""));
  if (!g_utf8_validate (text, -1, NULL))
    {
      g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID, _ ("%s is not readable text (UTF-8 is expected)"),
                   _ (field->label));
      return FALSE;
    }
  if (strlen (text) > MOST_BYTES)
    {
      g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID, _ ("%s is too long: %d letters are the most"), _ (field->label),
                   MOST_BYTES);
      return FALSE;
    }
  if (*text == '\0')
    {
      set_unknown (self, field);
      return TRUE;
    }
  switch (field->type)
    {
    case SHIM_FIELD_INT:
      if (!parse_int (field, text, &whole, error))
        return FALSE;
      shim_record_set_int (self, field, whole);
      return TRUE;
    case SHIM_FIELD_BOOL:
      if (!parse_bool (field, text, &whole, error))
        return FALSE;
      shim_record_set_int (self, field, whole);
      return TRUE;
    case SHIM_FIELD_REAL:
      if (!parse_real (field, text, &real, error))
        return FALSE;
      shim_record_set_real (self, field, real);
      return TRUE;
    case SHIM_FIELD_CHOICE:
      return parse_choice (self, field, text, error);
    case SHIM_FIELD_DATE:
    case SHIM_FIELD_TIME:
      return parse_date (self, field, text, error);
    case SHIM_FIELD_TEXT:
    case SHIM_FIELD_REF:
    case SHIM_FIELD_BLOB:
    default:
      shim_record_set_text (self, field, text);
      return TRUE;
    }
}

static gboolean
check_field (ShimRecord *self, const ShimField *field, GError **error)
{
  if (!shim_record_is_known (self, field))
    {
      if ((field->flags & SHIM_FIELD_REQUIRED) == 0)
        return TRUE;
      g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_MISSING, _ ("“%s” is missing"), _ (field->label));
      return FALSE;
    }
  if (field->type == SHIM_FIELD_INT)
    return in_range (field, (double) shim_record_get_int (self, field), error);
  if (field->type == SHIM_FIELD_REAL)
    return in_range (field, shim_record_get_real (self, field), error);
  if (field->type == SHIM_FIELD_DATE || field->type == SHIM_FIELD_TIME)
    return check_date (field, shim_record_get_text (self, field), error);
  if (field->type == SHIM_FIELD_CHOICE && match_choice (field, shim_record_get_text (self, field)) == NULL)
    {
      g_set_error (error, SHIM_KIT_ERROR, SHIM_KIT_ERROR_INVALID, _ ("%s: “%s” is not one of the choices"),
                   _ (field->label), shim_record_get_text (self, field));
      return FALSE;
    }
  return TRUE;
}

/**
 * shim_record_check:
 * @self: a record
 * @error: return location for a #ShimKitError
 *
 * Returns: whether every required field is known and every number lies in its range
 */
gboolean
shim_record_check (ShimRecord *self, GError **error)
{
  const ShimKind *kind;

  g_return_val_if_fail (SHIM_IS_RECORD (self), FALSE);

  kind = shim_record_get_kind (self);
  for (guint i = 0; i < kind->n_fields; i++)
    if (!check_field (self, &kind->fields[i], error))
      return FALSE;
  return TRUE;
}
